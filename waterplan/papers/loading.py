"""What stands on the paper for the van: what to load, part by part."""

from waterplan.papers.drawings import Drawings
from waterplan.papers.parts import Values


def van_page(drawings: Drawings) -> Values:
    """What to load, with the figures of the plan that each amount adds up."""
    plan = drawings.speaker.plan
    parts = dict.fromkeys(one.part for one in plan.van)
    return {"parts": {part: [one for one in plan.van if one.part == part] for part in parts}}
