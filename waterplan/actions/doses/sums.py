"""How much of a substance a water takes: one budget for what is there and what is added, whatever door it came in by."""

from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import Stopped, reason
from waterplan.dose.rounding import Safe
from waterplan.published import FloatArray, Numbers
from waterplan.spread import band
from waterplan.stay.record import ActEnd

PER_UNIT = 1000.0  # mg in a g, uL in a mL
_ROOM = 1.0 + 1e-9
_RESIDUE = 0.01  # what the rounding of an amount leaves of it


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """What brings a water to a level, before it is rounded: in draws, and the amount that is safe to act by.

    Amounts are in g, or in mL of a substance that is counted in uL/L; `litres` are those that were used, of the volume's
    low end for what harms by overdose and of its high end for an antidote.
    """

    draws: FloatArray
    amount: float
    litres: float
    safe: Safe

    @property
    def end(self) -> ActEnd:
        """The end of the volume, and of the need, that is acted on."""
        return ActEnd.LOW if self.safe is Safe.DOWN else ActEnd.HIGH


def needed(
    litres: FloatArray, *, wanted: float, there: Numbers, safe: Safe, per_unit: float = PER_UNIT, went_in: float = 0.0
) -> Needed:
    """The amount that brings a water to a level, for the end of volume and of what is there that does no harm.

    Parameters
    ----------
    litres : array, shape (draws + 1,)
        Volume of water [L].
    wanted : float
        Level wanted [mg/L, or the unit of the substance].
    there : float or array, shape (draws + 1,)
        What is in it already, in the same unit.
    safe : Safe
        For what harms by overdose the low end of the volume and the high end of what is there; for an antidote the others.
    per_unit : float
        How many units of the level one of the amount is: 1000 mg in a g, 1 for g/L.
    went_in : float
        What of `there` was weighed in and is in no reading, as the amount is counted.

    Returns
    -------
    Needed
        The amount; 0 where the water may hold as much already.
    """
    low, _, high = band(litres)
    least, _, most = band(there)
    used, held = (low, most) if safe is Safe.DOWN else (high, least)
    draws = np.maximum(wanted - there, 0.0) * litres / per_unit
    amount, ends = max(wanted - held, 0.0) * used / per_unit, band(draws)
    # Both ends together, and never past the end of the amount itself.
    amount = min(amount, ends.low) if safe is Safe.DOWN else max(amount, ends.high)
    if went_in:  # taken off to the gram: a water that was dosed as ordered is not ordered the rest of an error
        without = max(wanted - band(there - went_in * per_unit / litres).high, 0.0) * used / per_unit
        left = without - went_in
        amount = min(amount, left) if left > _RESIDUE * went_in else 0.0
    return Needed(draws=draws, amount=amount, litres=used, safe=safe)


def level(litres: FloatArray, *, there: FloatArray, given: float, per_unit: float = PER_UNIT) -> FloatArray:
    """The level that a given amount makes beside what is there, over all draws.

    Parameters
    ----------
    litres : array, shape (draws + 1,)
        Volume of water [L].
    there : array, shape (draws + 1,)
        What is in it already, in the unit of the level.
    given : float
        What goes in [g; mL of a substance that is counted in uL/L].
    per_unit : float
        How many units of the level one of the amount is: 1000 mg in a g, 1 for g/L.

    Returns
    -------
    array, shape (draws + 1,)
        The level.
    """
    return np.asarray(there + given * per_unit / litres)


def highest(litres: FloatArray, *, there: FloatArray, given: float, per_unit: float = PER_UNIT) -> float:
    """The level at the low end of the volume with what is there at its high end; arguments as for `level`."""
    return band(there).high + given * per_unit / band(litres).low


def require_room(
    litres: FloatArray,
    *,
    wanted: float,
    there: FloatArray,
    ceiling: float | None,
    guessed: bool,
    unit: str,
    row: str = "",
) -> None:
    """Stops a level that passes its ceiling, a water that may hold more than that already, and a narrow margin on a guess.

    Raises
    ------
    Stopped
        One of these, with its figures.
    """
    if ceiling is None:
        return
    words = {"table": row} if row else {}
    most = (ceiling, unit)
    if wanted > ceiling * _ROOM:
        raise Stopped(reason("above-the-highest-level", words, wanted=(wanted, unit), ceiling=most))
    if band(there).high > ceiling * _ROOM:
        raise Stopped(reason("holds-more-than-the-highest-level", words, there=(there, unit), ceiling=most))
    narrow = tables.row("dose_rules", rule="narrow_margin").value
    if guessed and wanted > 0.0 and ceiling / wanted < narrow:
        told = reason("measure-the-volume-first", words, wanted=(wanted, unit), ceiling=most, volume=(litres, "L"))
        raise Stopped(told)
