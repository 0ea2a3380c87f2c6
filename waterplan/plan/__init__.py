"""From a case to a plan: seven moments."""
