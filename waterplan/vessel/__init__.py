"""How much water there is, with its error."""
