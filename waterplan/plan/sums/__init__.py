"""More sums without a case: about a water, and about a tub with a fish in it."""
