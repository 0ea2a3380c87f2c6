"""From a case to a plan: stay, judgements, actions, the joint judgement, and their order."""
