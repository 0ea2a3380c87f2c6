"""What must not meet: a rule table over the water, the filter, the fish and the plan.

Adding a rule is adding a row to `conflicts`; adding something it can speak of is adding a row to `conflict_things`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.spread import Band


class Severity(StrEnum):
    """What a conflict asks for, the gravest first."""

    REFUSE = "refuse"
    ACT = "act"
    CAUTION = "caution"

    @property
    def rank(self) -> int:
        """0 for the gravest."""
        return list(Severity).index(self)


Level: TypeAlias = float | Band | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """A rule that holds: how grave it is, and the row with its words and its source."""

    rule: str
    severity: Severity
    row: tables.Row

    @property
    def stops_a_dose(self) -> bool:
        """Whether what it speaks of is not put in while it holds; else it is told beside the dose."""
        return self.severity is Severity.REFUSE or (self.severity is Severity.ACT and self.row["stops"] == "yes")


@cache
def conflict_things() -> Mapping[str, tables.Row]:
    """What a rule can speak of.

    Returns
    -------
    mapping of str to tables.Row
        By name: a row with `words` and the unit of its level.

    Notes
    -----
    The rows of the table `conflict_things`.

    Examples
    --------
    >>> conflict_things()["salt"].unit
    'g/L'
    """
    return MappingProxyType({row["thing"]: row for row in tables.table("conflict_things")})


def conflicts(things: Mapping[str, Level]) -> tuple[Conflict, ...]:
    """The rules that hold for what is in the water, the filter, the fish and the plan, the gravest first.

    Parameters
    ----------
    things : mapping of str to float, Band or None
        What is there, by the names of `conflict_things`, with its level in the unit of that row, or the band of it: a
        rule fires where it holds anywhere in the band; None where it is there and its level is not known or it has none.

    Returns
    -------
    tuple of Conflict
        The rules that hold.

    Raises
    ------
    ImpossibleInput
        A name is not in the table, or a level is not a number.

    Notes
    -----
    A level that is not known counts as one that fires the rule. What is absent fires nothing: a level that was measured
    as nothing is given as 0.

    Examples
    --------
    >>> [conflict.rule for conflict in conflicts({"salt": 3.0, "zeolite": None})]
    ['salt with zeolite']
    """
    known = conflict_things()
    for name, level in things.items():
        if name not in known:
            raise ImpossibleInput("things", name, "one of " + ", ".join(sorted(known)))
        if level is not None and np.any(np.isnan(level)):
            raise ImpossibleInput(name, level, "a number, or None where it is not known")
    found = [
        Conflict(rule=row["rule"], severity=Severity(row["severity"]), row=row)
        for row in tables.table("conflicts")
        if all(_may_hold(row, which, things) for which in ("first", "second") if row[which])
    ]
    return tuple(sorted(found, key=lambda conflict: conflict.severity.rank))


def _may_hold(row: tables.Row, which: str, things: Mapping[str, Level]) -> bool:
    """Whether a thing of a rule may be there at such a level; a level that is not known counts as such."""
    if row[which] not in things:
        return False
    level = things[row[which]]
    if level is None:
        return True
    low, high = (level.low, level.high) if isinstance(level, Band) else (level, level)
    return float(row[f"{which}_from"] or "-inf") <= high and low < float(row[f"{which}_below"] or "inf")
