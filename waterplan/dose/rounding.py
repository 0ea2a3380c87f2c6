"""Rounding in the safe direction to what a scale or syringe can show."""

import math
from dataclasses import dataclass
from enum import StrEnum

from waterplan import tables
from waterplan.published import published

# An amount of more divisions than this is read by coarser ones: kilograms are not weighed to the hundredth of a gram.
_MOST_DIVISIONS = 10_000.0


class Safe(StrEnum):
    """The direction in which an amount may be rounded without harm."""

    DOWN = "down"  # what harms by overdose
    UP = "up"  # an antidote, which fails by underdose


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounded:
    """An amount as it can be weighed or drawn up, and the division that somebody reads so much by.

    `below_resolution` says that the rounding is a larger share of the amount than the rule allows, or that the amount
    is too few divisions to be read, so that a stock solution is needed.
    """

    amount: float
    division: float
    below_resolution: bool


@published(source="waterplan", locator="rounding to a division", status="derived")
def round_safely(amount: float, *, division: float, safe: Safe, counted: bool = False) -> Rounded:
    """Rounds an amount in the safe direction to a division, and says when it is below the resolution.

    Parameters
    ----------
    amount : float
        Amount before rounding [g or mL].
    division : float
        Smallest division of the scale or syringe; many of them are read by coarser ones [g or mL].
    safe : Safe
        Down for what harms by overdose, up for an antidote.
    counted : bool
        It is counted, as tablets are, and not read off a scale, so that few divisions are as sure as many.

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
    `dose_rules` holds the share by which rounding may move an amount, and the fewest divisions that are read: half a
    division of ten is a twentieth (judgement). Checked by its properties and hand arithmetic.

    Examples
    --------
    >>> round_safely(1.057, division=0.1, safe=Safe.UP).amount
    1.1
    """
    while not counted and amount >= _MOST_DIVISIONS * division:
        division *= 10.0
    parts = amount / division
    # 0.3 / 0.1 is 2.9999999999999996: what is a whole number of divisions to nine places is one.
    whole = round(parts) if math.isclose(parts, round(parts), rel_tol=1e-9) else None
    count = whole if whole is not None else (math.floor if Safe(safe) is Safe.DOWN else math.ceil)(parts)
    digits = max(0, 12 - math.floor(math.log10(division)) - 1)
    rounded = round(count * division, min(digits, 15))
    share_off = abs(rounded - amount) / amount if amount > 0 else 0.0
    allowed = tables.row("dose_rules", rule="rounding_error").value
    fewest = tables.row("dose_rules", rule="smallest_divisions").value
    unread = amount > 0.0 and not counted and parts < fewest * (1.0 - 1e-9)
    return Rounded(amount=rounded, division=division, below_resolution=share_off > allowed or unread)


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedStock:
    """A stock to be made because an amount is too small to weigh: weigh this, make it up to that, draw this much."""

    weigh_g: float
    make_up_ml: float
    draw_ml: float


@published(source="waterplan", locator="dilution", status="derived")
def propose_stock(amount_g: float, *, division_g: float, division_ml: float) -> WeighedStock | None:
    """A stock solution for an amount below what the scale can show.

    Parameters
    ----------
    amount_g : float
        Substance wanted [g].
    division_g : float
        Smallest division of the scale [g].
    division_ml : float
        Smallest division of the syringe or measure [mL].

    Returns
    -------
    WeighedStock or None
        What to weigh [g], what to make it up to, and what to draw up, not yet rounded [mL]; None where no stock of a
        litre or less can be weighed on this scale and drawn with this syringe.

    Raises
    ------
    ImpossibleInput
        A figure is negative or not finite.

    Notes
    -----
    What is weighed is enough divisions of the scale, and what is drawn enough of the syringe, by the rule
    `smallest_divisions`. Whether the substance dissolves at that strength is not known here. Checked by its
    properties.

    Examples
    --------
    >>> propose_stock(0.02, division_g=0.1, division_ml=0.1)
    WeighedStock(weigh_g=1.0, make_up_ml=100.0, draw_ml=2.0)
    """
    fewest = tables.row("dose_rules", rule="smallest_divisions").value
    weigh_g = division_g * fewest
    for make_up_ml in (100.0, 1000.0):
        draw_ml = amount_g / weigh_g * make_up_ml
        if division_ml * fewest * (1.0 - 1e-9) <= draw_ml <= make_up_ml:
            return WeighedStock(weigh_g=weigh_g, make_up_ml=make_up_ml, draw_ml=draw_ml)
    return None
