"""Putting a substance into a volume of water, or a drug into a weight of fish.

salt, iodine, neutralise, rounding.
"""
