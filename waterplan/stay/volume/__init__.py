"""How much water there is in each body: every way in which it was measured, and what they say together."""
