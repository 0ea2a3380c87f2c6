"""From a case to a plan in seven moments; `waterplan.first_plan.whole.plan` makes it."""
