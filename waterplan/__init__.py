"""Plans the water for an operation on an ornamental pond fish, with the error and the source of every number."""
