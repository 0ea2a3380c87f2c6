"""The doses of a case and its injections: how much, of what, into which water, or refused with why."""
