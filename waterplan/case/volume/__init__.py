"""How much water there is: the ways in which a case can measure it."""
