"""When what takes hours must begin to be done in time, and from when that is late."""

from datetime import UTC, datetime, timedelta

from waterplan.actions.record import Action, Kind
from waterplan.plan.record import Plan
from waterplan.words.speaker import Speaker

_TAKES_HOURS = frozenset({Kind.WARM, Kind.COOL, Kind.DEGAS})


def begins(speaker: Speaker, one: Action) -> tuple[datetime | None, bool]:
    """When what takes hours must begin, and whether that is past; None where it takes less, or has its own time."""
    figure = speaker.plan.figures.get(one.amounts.get("hours", "")) if one.kind in _TAKES_HOURS else None
    hours = (one.parts - 1) * (one.every_h or 0.0) if figure is None else figure.act_on
    if one.by is None or one.at is not None or not hours or one.is_conditional:
        return None, False
    begin = one.by - timedelta(hours=hours)
    return begin, begin < _newest(speaker.plan)


def _newest(plan: Plan) -> datetime:
    """The time of the plan, where it has none that of its newest reading: what is to begin before it is late."""
    read = (one.taken for water in plan.waters for one in water.states[0].quantities.values() if one.taken)
    return plan.made.as_of or max(read, default=datetime.min.replace(tzinfo=UTC))
