"""Every body of water from the call to the recheck, as draws with their origin; who is in it, and in what state."""
