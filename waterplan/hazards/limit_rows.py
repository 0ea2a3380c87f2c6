"""Limits of the tables, the strictest of several fish."""

from collections.abc import Iterable

from waterplan import tables
from waterplan.hazards.record import Limit, Side

RATIO = "of chloride to 1"


def water_limit(quantity: str, level: str) -> tables.Row:
    """The row of `water_limits` of a quantity that is the same for all fish."""
    return tables.row("water_limits", quantity=quantity, group="any", level=level)


def nh3_limit(groups: Iterable[str]) -> tables.Row:
    """The strictest limit of un-ionised ammonia of some groups of fish; that of the most sensitive where none is named."""
    named = sorted(set(groups)) or ["trout_like"]
    rows = (tables.row("water_limits", quantity="nh3", group=one, level="limit") for one in named)
    return min(rows, key=lambda row: row.value)


def oxygen_level(groups: Iterable[str], *, state: str, level: str) -> tables.Row:
    """The highest level of oxygen of some groups of fish; of all groups where none is named."""
    named = sorted(set(groups)) or sorted({row["group"] for row in tables.table("oxygen_levels")})
    rows = (tables.row("oxygen_levels", group=one, state=state, level=level) for one in named)
    return max(rows, key=lambda row: row.value)


def strictest(limits: Iterable[Limit | None]) -> Limit | None:
    """Of several limits in force for one water the one that keeps them all; that of the first kind, None where there is none.

    One of a ratio of two readings is that of neither.
    """
    given = [(one.value, one) for one in limits if one is not None and one.value is not None and one.unit != RATIO]
    kept = [(value, one) for value, one in given if (one.unit, one.side) == (given[0][1].unit, given[0][1].side)]
    if not kept:
        return None
    level, least = (max if kept[0][1].side is not Side.AT_MOST else min)(kept, key=lambda one: one[0])
    most = min((one.upper for _, one in kept if one.upper is not None), default=level)
    return least.model_copy(update={"upper": most}) if most > level else least
