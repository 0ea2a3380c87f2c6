"""A drug by body weight: milligrams, millilitres, the dilution that a syringe can measure, and the sites."""

import math
from dataclasses import dataclass
from enum import StrEnum

from waterplan import tables
from waterplan.dose.rounding import Safe, round_safely
from waterplan.errors import Refused
from waterplan.published import Numbers, published

_LADDER = (10.0, 5.0, 2.0, 20.0, 50.0, 100.0)


class WeightFrom(StrEnum):
    """Where the weight comes from."""

    WEIGHED = "weighed"
    LENGTH = "worked out from the length"
    GUESSED = "guessed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Injection:
    """What to draw up: of the stock itself (`dilution` 1) or of 1 part in `dilution` parts in all.

    `draw_ml` is rounded down to the syringe's division and split evenly over `sites`; `given_mg` is what it holds.
    """

    wanted_mg: float
    stock_ml: float
    dilution: float
    strength_mg_per_ml: float
    draw_ml: float
    given_mg: float
    sites: int
    site_ml: float


@published(source="waterplan", locator="dose x weight / strength", status="derived")
def injection_ml(weight_kg: Numbers, *, dose_mg_per_kg: Numbers, stock_mg_per_ml: Numbers) -> Numbers:
    """Volume of a stock that holds a dose by body weight.

    Parameters
    ----------
    weight_kg : float or array
        Weight of the fish [kg].
    dose_mg_per_kg : float or array
        Drug for a kilogram of fish, as the active form the label counts [mg/kg].
    stock_mg_per_ml : float or array
        The same active form in the stock [mg/mL].

    Returns
    -------
    float or array
        Stock, not yet rounded [mL].

    Raises
    ------
    ImpossibleInput
        A figure is negative or not finite.

    Notes
    -----
    mg/kg x kg / (mg/mL). Say which form both figures count (flunixin or flunixin meglumine). Checked against hand
    arithmetic.

    Examples
    --------
    >>> round(injection_ml(2.4, dose_mg_per_kg=0.5, stock_mg_per_ml=50.0), 6)
    0.024
    """
    return weight_kg * dose_mg_per_kg / stock_mg_per_ml


@published(source="waterplan", locator="dilution, syringe and site rules of dose_rules", status="judgement")
def draw_up(
    weight_kg: float,
    *,
    dose_mg_per_kg: float,
    stock_mg_per_ml: float,
    division_ml: float,
    weight_from: WeightFrom,
    weight_confirmed: bool = False,
) -> Injection:
    """What to draw up for a dose by body weight: diluted to what a syringe measures, split where a site is full.

    Parameters
    ----------
    weight_kg : float
        Weight of the fish [kg].
    dose_mg_per_kg : float
        Drug for a kilogram of fish, chosen by the veterinarian [mg/kg].
    stock_mg_per_ml : float
        The same active form in the stock [mg/mL].
    division_ml : float
        Smallest division of the syringe [mL].
    weight_from : WeightFrom
        Where the weight comes from.
    weight_confirmed : bool
        The veterinarian takes a weight that was not weighed.

    Returns
    -------
    Injection
        Milligrams, dilution, millilitres as drawn, and sites.

    Raises
    ------
    ImpossibleInput
        A figure is negative, not finite, or nothing is to be given.
    Refused
        The weight was not weighed and not confirmed, no dilution can be measured and fits a site, or the volume fills
        too many sites.

    Notes
    -----
    A volume under ten divisions of the syringe is not drawn; the dilution must lift it over that and still fit one
    site (0.5 mL/kg, from memory). A volume that reaches the ceiling of a site is split. Compatibility, pH and sterility
    of a dilution are the veterinarian's. Checked against hand arithmetic.

    Examples
    --------
    >>> dose = draw_up(2.4, dose_mg_per_kg=0.5, stock_mg_per_ml=50.0, division_ml=0.01, weight_from=WeightFrom.WEIGHED)
    >>> dose.dilution, dose.draw_ml
    (10.0, 0.24)
    """
    _require_weight(weight_from, weight_confirmed)
    wanted_mg = weight_kg * dose_mg_per_kg
    stock_ml = float(injection_ml(weight_kg, dose_mg_per_kg=dose_mg_per_kg, stock_mg_per_ml=stock_mg_per_ml))
    least_ml = division_ml * tables.row("dose_rules", rule="smallest_divisions").value
    full_site_ml = weight_kg * tables.row("dose_rules", rule="site_volume").value
    dilution = _dilution(stock_ml, least_ml, full_site_ml)
    draw_ml = round_safely(stock_ml * dilution, division=division_ml, safe=Safe.DOWN).amount
    sites = math.floor(draw_ml / full_site_ml * (1.0 + 1e-9)) + 1
    most = int(tables.row("dose_rules", rule="most_sites").value)
    if sites > most:
        raise Refused(
            f"{draw_ml:g} mL would fill {sites} sites of {full_site_ml:.2g} mL: a stronger stock, or another route"
        )
    strength = stock_mg_per_ml / dilution
    return Injection(
        wanted_mg=wanted_mg,
        stock_ml=stock_ml,
        dilution=dilution,
        strength_mg_per_ml=strength,
        draw_ml=draw_ml,
        given_mg=draw_ml * strength,
        sites=sites,
        site_ml=draw_ml / sites,
    )


def _require_weight(weight_from: WeightFrom, confirmed: bool) -> None:
    if WeightFrom(weight_from) is not WeightFrom.WEIGHED and not confirmed:
        raise Refused(
            f"the weight was {WeightFrom(weight_from).value}: weigh the fish, or the veterinarian confirms the weight"
        )


def _dilution(stock_ml: float, least_ml: float, full_site_ml: float) -> float:
    if stock_ml >= least_ml * (1.0 - 1e-9):
        return 1.0
    if stock_ml <= 0.0:
        raise Refused("nothing is to be given: the dose or the weight is 0")
    for dilution in _LADDER:
        if least_ml * (1.0 - 1e-9) <= stock_ml * dilution <= full_site_ml:
            return dilution
    raise Refused(
        f"{stock_ml:.2g} mL cannot be drawn up: no dilution is both {least_ml:g} mL or more, which this syringe can "
        f"measure, and {full_site_ml:.2g} mL or less, which one site of this fish takes; a finer syringe is needed"
    )
