"""A body of water with a fish in it, through time."""
