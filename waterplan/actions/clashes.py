"""What must not meet in a water: what is read in it, what is in it already, its fish, its filter, and the dose."""

from collections.abc import Mapping

import numpy as np

from waterplan.actions.dose_water import DoseWater
from waterplan.actions.draft import Reason, reason
from waterplan.dose.conflicts import Conflict, Level, conflict_things, conflicts
from waterplan.spread import Band, band
from waterplan.stay.quantities import Q
from waterplan.stay.state import Known

_READ: Mapping[str, Q] = {
    "salt": Q.SALT,
    "tan": Q.AMMONIA,
    "nitrite": Q.NITRITE,
    "ph": Q.PH,
    "alkalinity": Q.ALKALINITY,
    "oxygen": Q.OXYGEN,
    "temperature": Q.TEMPERATURE,
}


def clashes_of(
    water: DoseWater, put_in: Mapping[str, float | None], *, without: frozenset[str] = frozenset()
) -> tuple[tuple[Conflict, ...], tuple[Conflict, ...]]:
    """The rules that hold for what a dose puts into a water.

    Parameters
    ----------
    water : DoseWater
        The water before the dose.
    put_in : mapping of str to float or None
        What the dose puts in, by the names of the table `conflict_things`, with its level.
    without : frozenset of str
        What is left out of account, as the alkalinity where a bath is buffered and its own pH is worked out.

    Returns
    -------
    tuple of tuple of Conflict
        Those that hold as far as is known, the gravest first; and those that hold only if a quantity that nobody
        measured lies where it might.

    Notes
    -----
    A measured level counts with its band: a rule fires where it holds anywhere in it. What is only assumed fires a rule
    where it holds whatever it is.
    """
    sure: dict[str, Level] = dict.fromkeys(water.things)
    ends: list[dict[str, Level]] = [{}, {}]
    for thing, quantity in _READ.items():
        if not water.state.has(quantity):
            continue
        known = water.state.known[quantity]
        if known.is_known:
            sure[thing] = _rounded(known)
        else:
            low, _, high = band(known.draws)
            ends[0][thing], ends[1][thing] = low, high
    for name, held in water.state.contents.items():
        if name in conflict_things():
            sure[name] = _rounded(held) if held.is_known else None
    sure |= put_in
    low, high = ({one.rule: one for one in _about(put_in, sure | end, without)} for end in ends)
    firm = {one.rule: one for one in _about(put_in, sure, without)} | {
        rule: one for rule, one in low.items() if rule in high
    }
    gravest = sorted(firm.values(), key=lambda one: one.severity.rank)
    return tuple(gravest), tuple(one for rule, one in (low | high).items() if rule not in firm)


def told(conflict: Conflict) -> Reason:
    """A rule as a reason: its row holds the words."""
    return reason("must not meet", {"rule": conflict.rule, "row": conflict.row.id})


def _rounded(known: Known) -> Band:
    """The band of a reading without the dust of floats, so that what was read as 5 is not below 5."""
    return Band(*(float(np.round(end, 9)) for end in band(known.draws)))


def _about(put_in: Mapping[str, float | None], things: Mapping[str, Level], without: frozenset[str]) -> list[Conflict]:
    """The rules that speak of what is put in."""
    left = {name: level for name, level in things.items() if name not in without}
    return [one for one in conflicts(left) if {one.row["first"], one.row["second"]} & put_in.keys()]
