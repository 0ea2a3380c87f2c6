"""Water brought to a temperature and kept at it: the degrees, the steps of a ramp, the ice and the watts."""
