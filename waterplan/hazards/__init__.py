"""One file a hazard: a water, its occupants and a stretch of time go in, a judgement comes out."""
