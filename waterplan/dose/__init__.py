"""Putting a substance into a volume of water."""
