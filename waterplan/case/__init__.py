"""Reading and checking a case and its water readings."""
