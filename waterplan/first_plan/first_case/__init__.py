"""The case of the first plan, as its rooms read it."""
