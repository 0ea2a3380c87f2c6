"""The chemistry and physics of water, one subject a file."""
