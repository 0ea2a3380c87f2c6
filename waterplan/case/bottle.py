"""What the label of a bottle says, in every way the trade writes it, and what is refused because it can be read twice.

The grammar is one::

    "powder"   "98 % pure"   "85 % eugenol"   "100 mg tablets"
    "10 mg/mL"   "5 % w/v"   "35 % w/w, 1.13 kg/L"   "96 % v/v"
    "10 % PVP-I"   "1 % available iodine"   "5 % available chlorine"
    "7.5 % PVP-I, scrub" (with detergent)
    "1 in 10 of 50 mg/mL" (1 part in 10 parts in all)   "1 plus 9 of 50 mg/mL" (1 part and 9 of water)
"""

import re
from dataclasses import dataclass, replace

from waterplan.case.values import BadValue
from waterplan.dose.iodine import available_iodine_mg_per_ml
from waterplan.dose.stock import OneTo, StrengthUnit, dilution_fraction, strength_mg_per_ml
from waterplan.errors import ImpossibleInput

_NUMBER = r"(?P<number>\d+(?:\.\d+)?|\.\d+)"
_DILUTED = re.compile(rf"^1 (?P<how>in|plus) {_NUMBER} of (?P<rest>.+)$")
_RATIO = re.compile(r"^1\s*:\s*\d")
_WRITTEN = re.compile(rf"^{_NUMBER}\s*(?P<unit>[^,]*?)\s*(?:,\s*(?P<density>\d+(?:\.\d+)?)\s*kg/L)?$")
_SCRUB = re.compile(r"[,\s]*\(?(?:with )?(?:antiseptic |surgical )?(?:scrub|detergent|soap)\)?$", re.IGNORECASE)
_PURE = ("powder", "crystals", "pure")
WOULD_DO = (
    "write what the label says: 'powder', '98 % pure', '10 mg/mL', '5 % w/v', '35 % w/w, 1.13 kg/L', '100 mg tablets', "
    "'10 % PVP-I', '96 % v/v', '85 % eugenol'"
)
_NAMED = {"density_kg_per_l": "density", "parts": "number of parts"}
# A tenth of povidone-iodine by mass is available iodine: 1 % of it is 10 % of the other.
_PVP_PER_AVAILABLE = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottle:
    """A label: milligrams of active substance in a mL, or the active share of what is weighed, or a tablet.

    `percent_vv` is of a spirit, `pvp_iodine_percent` of povidone-iodine; `of_eugenol` says that the share is that of
    eugenol in an oil, `detergent` that it is a scrub with detergent in it.
    """

    text: str
    mg_per_ml: float | None = None
    active_fraction: float | None = None
    tablet_mg: float | None = None
    percent_vv: float | None = None
    pvp_iodine_percent: float | None = None
    of_eugenol: bool = False
    detergent: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """Something that was weighed, drawn up or counted: `unit` is g, mL, tablets or drops."""

    text: str
    value: float
    unit: str


_AMOUNTS = {
    "mg": (1e-3, "g"),
    "g": (1.0, "g"),
    "kg": (1e3, "g"),
    "mL": (1.0, "mL"),
    "L": (1e3, "mL"),
    "tablet": (1.0, "tablets"),
    "tablets": (1.0, "tablets"),
    "drops": (1.0, "drops"),
}


def parse_amount(text: str) -> Amount:
    """What has gone in; BadValue where it cannot be told how much that is."""
    written = " ".join(text.split())
    match = re.match(rf"^{_NUMBER}\s*(?P<unit>\w+)$", written)
    if match is None or match["unit"] not in _AMOUNTS or float(match["number"]) <= 0.0:
        raise BadValue(repr(text), "write how much went in: " + ", ".join(f"'5 {unit}'" for unit in _AMOUNTS))
    factor, unit = _AMOUNTS[match["unit"]]
    return Amount(text=written, value=float(match["number"]) * factor, unit=unit)


def parse_bottle(text: str) -> Bottle:
    """A label as a Bottle; BadValue where it cannot be taken, or can be read in two ways."""
    written = " ".join(text.split())
    if _RATIO.match(written):
        raise BadValue(
            repr(text),
            "1:n is read in two ways: write '1 in 10 of …' (10 parts in all) or '1 plus 10 of …' (11 parts in all)",
        )
    plain = _SCRUB.sub("", written)
    try:
        found = _parse(plain)
        return found if plain == written else replace(found, text=written, detergent=True)
    except ImpossibleInput as wrong:
        raise BadValue(repr(text), f"the {_NAMED.get(wrong.argument, 'strength')} must be {wrong.limits}") from None


def _parse(written: str) -> Bottle:
    diluted = _DILUTED.match(written)
    if diluted:
        stock = _parse(diluted["rest"])
        if stock.mg_per_ml is None:
            raise BadValue(
                repr(written), "a dilution is of a liquid: say the strength of the stock, such as '50 mg/mL'"
            )
        meaning = OneTo.IN if diluted["how"] == "in" else OneTo.PLUS
        share = float(dilution_fraction(float(diluted["number"]), meaning=meaning))
        pvp = None if stock.pvp_iodine_percent is None else stock.pvp_iodine_percent * share
        return Bottle(text=written, mg_per_ml=stock.mg_per_ml * share, pvp_iodine_percent=pvp)
    if written in _PURE:
        return Bottle(text=written, active_fraction=1.0)
    match = _WRITTEN.match(written)
    if match is None:
        raise BadValue(repr(written), WOULD_DO)
    density = float(match["density"]) if match["density"] else None
    if float(match["number"]) <= 0.0:
        raise BadValue(repr(written), "the strength must be above 0")
    return _of_unit(written, float(match["number"]), match["unit"], density)


def _of_unit(written: str, number: float, unit: str, density: float | None) -> Bottle:
    if unit in {"% pure", "% eugenol"}:
        return _share(written, number, density, of_eugenol=unit == "% eugenol")
    if unit in {"mg tablet", "mg tablets"}:
        return Bottle(text=written, tablet_mg=number)
    if unit == "% v/v":
        if number > 100.0:
            raise BadValue(repr(written), "at most 100 % v/v")
        return Bottle(text=written, percent_vv=number)
    if unit in {"% PVP-I", "% available iodine"}:
        percent = number * (_PVP_PER_AVAILABLE if unit == "% available iodine" else 1.0)
        mg_per_ml = float(available_iodine_mg_per_ml(percent))
        return Bottle(text=written, mg_per_ml=mg_per_ml, pvp_iodine_percent=percent)
    known = {str(one).casefold(): str(one) for one in StrengthUnit}
    label = StrengthUnit.PERCENT_WV if unit == "% available chlorine" else known.get(unit.casefold(), unit)
    if label not in set(StrengthUnit):
        raise BadValue(repr(written), f"{_doubtful(unit)}{WOULD_DO}")
    strength = strength_mg_per_ml(number, unit=StrengthUnit(label), density_kg_per_l=density)
    return Bottle(text=written, mg_per_ml=float(strength))


def _share(written: str, percent: float, density: float | None, *, of_eugenol: bool) -> Bottle:
    if percent > 100.0:
        raise BadValue(repr(written), "nothing is purer than 100 %")
    per_ml = None if density is None else percent / 100.0 * density * 1000.0
    return Bottle(text=written, active_fraction=percent / 100.0, mg_per_ml=per_ml, of_eugenol=of_eugenol)


def _doubtful(unit: str) -> str:
    if unit == "%":
        return "a bare % does not say of what (5 % w/v is 50 mg/mL, 5 % w/w needs the density); "
    if unit == "ppm":
        return "ppm has no stated basis; "
    return ""
