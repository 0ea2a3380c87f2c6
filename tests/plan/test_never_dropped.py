"""What is never taken back because something else got worse beside it."""

from types import SimpleNamespace

import pytest

from waterplan.actions.proposing import Proposal
from waterplan.actions.record import Action, Kind, Who
from waterplan.hazards.record import Hazard
from waterplan.plan.accepting import _offender
from waterplan.stay.effects import Effect
from waterplan.stay.record import Moment

WORSE = [SimpleNamespace(record=SimpleNamespace(water="home-pond", hazard=Hazard.TEMPERATURE_STEP))]


def on_the_pond(kind: Kind) -> Proposal:
    action = Action(id=f"call/{kind}/home-pond", kind=kind, moment=Moment.CALL, water="home-pond", who=Who.OWNER)
    return Proposal(action=action, effects=(Effect(action=action.id, water="home-pond"),))


@pytest.mark.parametrize("kind", [Kind.AIR, Kind.NEUTRALISE])
def test_air_and_antidote_stay_where_they_are_not_the_cause(kind: Kind) -> None:
    assert _offender((on_the_pond(kind),), WORSE) is None


def test_what_may_be_the_cause_goes() -> None:
    warmed = on_the_pond(Kind.WARM)
    assert _offender((on_the_pond(Kind.AIR), warmed), WORSE) is warmed
