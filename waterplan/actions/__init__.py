"""One file a kind of action: what can be done about a judgement, sized on the state that stands before it."""
