"""No food while oxygen is short or ammonia and nitrite are high."""

from collections.abc import Iterator

from waterplan.actions.needs import Need, needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind
from waterplan.hazards.record import Hazard, Why
from waterplan.stay.effects import NotFed
from waterplan.stay.record import WaterKind


def stop_feeding(context: Context) -> Iterator[Proposal]:
    """Feeding stopped in the pond and in the tank where something must be done, or where meals are what drives it."""
    for need in needs(context, Hazard.OXYGEN, Hazard.AMMONIA, Hazard.NITRITE, Hazard.TEMPERATURE):
        if (need.kind is WaterKind.HOME and need.urgent) or (
            need.kind is WaterKind.HOSPITAL and need.urgent and _fed(context)
        ):
            yield _one(need)


def _fed(context: Context) -> bool:
    feed = context.ground.case.intended.feed
    return feed is not None and feed.measured.best > 0.0


def _one(need: Need) -> Proposal:
    path = need.id(Kind.STOP_FEEDING)

    return need.proposal(
        Kind.STOP_FEEDING,
        done=None,
        cautions=(Why(code="until-two-readings-are-good"),),
        effects=(NotFed(action=path, water=need.path, at_h=need.at_h),),
    )
