"""When what takes hours must begin to be done in time, and from when that is late."""

from datetime import UTC, datetime, timedelta

from waterplan.actions.record import Action, Kind
from waterplan.plan.record import Plan

_TAKES_HOURS = frozenset({Kind.AIR, Kind.WARM, Kind.COOL, Kind.DEGAS})
_AT_ONCE = timedelta()


def begins(plan: Plan, one: Action) -> tuple[datetime | None, bool]:
    """When what takes hours must begin, and whether that is past; None where it takes less, or has its own time."""
    lasts = _lasts(plan, one)
    if one.by is None or not lasts:
        return None, False
    return one.by - lasts, one.by - lasts < _newest(plan)


def is_done_by(plan: Plan, one: Action, at: datetime) -> bool:
    """Whether what begins now is done by a time, or by its own where that is later."""
    return one.by is None or _newest(plan) + _lasts(plan, one) <= max(one.by, at)


def _lasts(plan: Plan, one: Action) -> timedelta:
    """What an action takes from its beginning to its end; nothing where it has its own time, or only may be needed."""
    figure = plan.figures.get(one.amounts.get("hours", "")) if one.kind in _TAKES_HOURS else None
    hours = (one.parts - 1) * (one.every_h or 0.0) if figure is None else figure.act_on
    return _AT_ONCE if one.at is not None or not hours or one.is_conditional else timedelta(hours=hours)


def _newest(plan: Plan) -> datetime:
    """The time of the plan, where it has none that of its newest reading: what is to begin before it is late."""
    read = (one.taken for water in plan.waters for one in water.states[0].quantities.values() if one.taken)
    return plan.made.as_of or max(read, default=datetime.min.replace(tzinfo=UTC))
