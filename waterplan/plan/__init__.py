"""From a case to a plan in seven moments; `waterplan.plan.whole.plan` makes it."""
