"""The species, the size, what a fish takes from the water and gives to it."""
