"""Rounding in the safe direction to what a scale or syringe can show."""

import math
from dataclasses import dataclass
from enum import StrEnum

from waterplan import tables
from waterplan.published import published


class Safe(StrEnum):
    """The direction in which an amount may be rounded without harm."""

    DOWN = "down"  # what harms by overdose
    UP = "up"  # an antidote, which fails by underdose


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounded:
    """An amount as it can be weighed or drawn up.

    `share_off` is the rounding as a share of the wanted amount; `below_resolution` says that it is more than the rule
    allows, so that a stock solution is needed.
    """

    amount: float
    wanted: float
    division: float
    share_off: float
    below_resolution: bool


@published(source="waterplan", locator="rounding to a division", status="derived")
def round_safely(amount: float, *, division: float, safe: Safe) -> Rounded:
    """Rounds an amount in the safe direction to a division, and says when it is below the resolution.

    Parameters
    ----------
    amount : float
        Amount before rounding [g or mL].
    division : float
        Smallest division of the scale or syringe [g or mL].
    safe : Safe
        Down for what harms by overdose, up for an antidote.

    Returns
    -------
    Rounded
        Amount to weigh or draw up [g or mL], and whether the instrument can do it.

    Raises
    ------
    ImpossibleInput
        The amount is negative, or the division is not above 0.

    Notes
    -----
    `dose_rules` holds the share by which rounding may move an amount (judgement). Checked by its properties.

    Examples
    --------
    >>> round_safely(1.057, division=0.1, safe=Safe.UP).amount
    1.1
    """
    parts = amount / division
    # 0.3 / 0.1 is 2.9999999999999996: what is a whole number of divisions to nine places is one.
    whole = round(parts) if math.isclose(parts, round(parts), rel_tol=1e-9, abs_tol=1e-9) else None
    count = whole if whole is not None else (math.floor if Safe(safe) is Safe.DOWN else math.ceil)(parts)
    digits = max(0, 12 - math.floor(math.log10(division)) - 1)
    rounded = round(count * division, min(digits, 15))
    share_off = abs(rounded - amount) / amount if amount > 0 else 0.0
    allowed = tables.row("dose_rules", rule="rounding_error").value
    return Rounded(
        amount=rounded, wanted=amount, division=division, share_off=share_off, below_resolution=share_off > allowed
    )
