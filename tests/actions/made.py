"""A case laid out with judgements written by hand, for tests of what actions are made of them."""

from dataclasses import replace

import numpy as np

from tests.actions.written import exactly
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Judgement, Limit, Side, Verdict
from waterplan.hazards.subject import Judged
from waterplan.spread import Draws
from waterplan.stay.effects import Effects
from waterplan.stay.ground import Ground
from waterplan.stay.record import Moment
from waterplan.stay.whole import lay_out, stay

DRAWS = 64

# Everything exact, so that an amount can be worked by hand.
EXACT = f"""
waterplan_case = 1
[patient]
species = "koi"
weight = "2 ± 0 kg"
length = "50 ± 0 cm"
[home_pond]
volume = "10000 ± 0 L"
[home_water]
{exactly(temperature=18, ph=7.6, oxygen=8, tan=0.2, nitrite=0.05, alkalinity=100, salinity=0.2, chlorine=0.3)}[mains_water]
disinfectant = "chloramine"
{exactly(temperature=18, ph=7.6, tan=0.05, nitrite=0.05, alkalinity=100, salinity=0.2, chlorine=0.5)}[[vessels]]
name = "grey tub"
use = "revival"
volume = "200 ± 0 L"
[[vessels]]
name = "long tank"
use = "hospital"
volume = "1000 ± 0 L"
filled_with = "mains water"
air = "8 L/min"
outlets = 2
[intended]
operation_at = 2026-05-14T10:00:00
"""


def ground_of(text: str = EXACT, draws: int = DRAWS) -> Ground:
    """A case laid out with few draws."""
    return lay_out(read_case(text), draws=Draws(count=draws))


def judged(
    ground: Ground,
    water: str,
    hazard: Hazard,
    *,
    verdict: Verdict = Verdict.ACT_NOW,
    limit: float | None = None,
    upper: float | None = None,
    row: str = "",
    side: Side = Side.AT_MOST,
    until_h: float | None = None,
    stretch: str = "",
) -> Judged:
    """A judgement as a hazard makes it."""
    place = ground.places[water]
    path = "/".join(filter(None, (water, hazard.value, stretch)))
    moment = place.stretches[0].moment if place.stretches else Moment.PREPARE
    until = None
    if until_h is not None:
        until = ground.figures.put(f"{path}/until-harm", np.full(ground.inputs.size, until_h), unit="h")
    levels = Limit(value=limit, upper=upper, unit="", side=side, row=row, status="judgement", source="test")
    fish = tuple(dict.fromkeys(one for part in place.stretches for one in part.fish))
    record = Judgement(
        id=path, hazard=hazard, moment=moment, water=water, fish=fish, verdict=verdict, limit=levels, until_harm=until
    )
    return Judged(record=record, passed=None, rests=(), sums={})


def context_of(ground: Ground, *found: Judged, accepted: tuple[Proposal, ...] = ()) -> Context:
    """What a maker is given."""
    effects = Effects(all=tuple(effect for one in accepted for effect in one.effects))
    return Context(ground=ground, stay=stay(ground, effects), judged={one.id: one for one in found}, accepted=accepted)


def only(proposals: object, kind: Kind) -> Proposal:
    """The one proposal of a kind."""
    found = [one for one in proposals if one.action.kind is kind]  # type: ignore[attr-defined]
    assert len(found) == 1, [one.action.id for one in found]
    return found[0]


def act_on(context: Context, path: str) -> float | None:
    """The number that a person acts by."""
    return context.figures.record(path).act_on


__all__ = ["EXACT", "act_on", "context_of", "ground_of", "judged", "only", "replace"]
