"""Limits of the tables, the strictest of several fish; and a course held against one, on one side or between two."""

from collections.abc import Iterable
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.record import Hazard, Side
from waterplan.hazards.subject import Assessed, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd


def water_limit(quantity: str, level: str) -> tables.Row:
    """The row of `water_limits` of a quantity that is the same for all fish."""
    return tables.row("water_limits", quantity=quantity, group="any", level=level)


def nh3_limit(groups: Iterable[str]) -> tables.Row:
    """The strictest limit of un-ionised ammonia of some groups of fish; that of the most sensitive where none is named."""
    rows = [tables.row("water_limits", quantity="nh3", group=one, level="limit") for one in sorted(set(groups))]
    return min(rows, key=lambda row: row.value) if rows else nh3_limit({"trout_like"})


def oxygen_level(groups: Iterable[str], *, state: str, level: str) -> tables.Row:
    """The highest level of oxygen of some groups of fish; of all groups where none is named."""
    named = sorted(set(groups)) or sorted({row["group"] for row in tables.table("oxygen_levels")})
    rows = [tables.row("oxygen_levels", group=one, state=state, level=level) for one in named]
    return max(rows, key=lambda row: row.value)


def at_most(
    subject: Subject,
    hazard: Hazard,
    quantity: Q,
    *beside: Q,
    limit: tables.Row,
    harm: tables.Row | None = None,
    **more: Any,
) -> Assessed:
    """The most of a quantity over a stretch against a limit and the level of harm; `more` stands in place of what follows."""
    high = {"which": "highest", "act_end": ActEnd.HIGH, "side": Side.AT_MOST, "values": levels.most(subject, quantity)}
    return _one_sided(subject, hazard, (quantity, *beside), limit, harm, high | more)


def at_least(
    subject: Subject,
    hazard: Hazard,
    quantity: Q,
    *beside: Q,
    limit: tables.Row,
    harm: tables.Row | None = None,
    **more: Any,
) -> Assessed:
    """The least of a quantity over a stretch against a limit and the level of harm; `more` stands in place of what follows."""
    low = {"which": "lowest", "act_end": ActEnd.LOW, "side": Side.AT_LEAST, "values": levels.least(subject, quantity)}
    return _one_sided(subject, hazard, (quantity, *beside), limit, harm, low | more)


def _one_sided(
    subject: Subject,
    hazard: Hazard,
    quantities: tuple[Q, ...],
    limit: tables.Row,
    harm: tables.Row | None,
    more: dict[str, Any],
) -> Assessed:
    made = {
        "quantity": quantities[0],
        "unit": UNITS[quantities[0]],
        "limit": limit.value,
        "limit_row": limit,
        "harm": None if harm is None else harm.value,
        "clock_unit": levels.clock_unit(subject),
        "rows": () if harm is None else (harm.id,),
        **more,
    }
    if harm is not None and "until_harm_h" not in made:
        falls = made["side"] is Side.AT_LEAST
        made["until_harm_h"] = levels.until(subject, quantities[0], made["harm"], falls=falls)
    if "rests" not in made:
        made["rests"] = levels.rests(subject, hazard, *quantities)
    return Assessed(**made)


def between(
    subject: Subject,
    hazard: Hazard,
    quantity: Q,
    *beside: Q,
    limit: tuple[float, float],
    harm: tuple[float, float],
    limit_row: tables.Row,
    rows: tuple[str, ...],
) -> Assessed:
    """What lies farthest out of a band over a stretch, against the band that is wanted and the one out of which harm begins."""
    below = levels.until(subject, quantity, harm[0], falls=True)
    above = levels.until(subject, quantity, harm[1], falls=False)
    return Assessed(
        quantity=quantity,
        which="farthest",
        values=farthest(subject, quantity, limit),
        unit=UNITS[quantity],
        side=Side.BETWEEN,
        limit=limit[0],
        upper=limit[1],
        limit_row=limit_row,
        harm=harm[0],
        harm_upper=harm[1],
        until_harm_h=np.minimum(below, above),
        clock_unit=levels.clock_unit(subject),
        rests=levels.rests(subject, hazard, quantity, *beside),
        rows=rows,
    )


def farthest(subject: Subject, quantity: Q, within: tuple[float, float]) -> FloatArray:
    """Of the least and the most of each draw over a stretch the one that lies farther out of a band."""
    least, most = levels.least(subject, quantity), levels.most(subject, quantity)
    return np.where(most - within[1] > within[0] - least, most, least)
