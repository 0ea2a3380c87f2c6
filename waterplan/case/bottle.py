"""What the label of a bottle says, in every way the trade writes it, and what is refused because it can be read twice.

The grammar is one::

    "powder"   "98 % pure"   "85 % eugenol"   "100 mg tablets"
    "10 mg/mL"   "5 % w/v"   "35 % w/w, 1.13 kg/L"   "96 % v/v"
    "10 % PVP-I"   "1 % available iodine"   "5 % available chlorine"
    "7.5 % PVP-I, scrub" (with detergent)   "10 % PVP-I, tincture" (in spirit), in any words that say so
    "1 in 10 of 50 mg/mL" (1 part in 10 parts in all)   "1 plus 9 of 50 mg/mL" (1 part and 9 of water)
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from waterplan.case.values import BadValue
from waterplan.dose.iodine import available_iodine_mg_per_ml
from waterplan.dose.stock import OneTo, StrengthUnit, dilution_fraction, strength_mg_per_ml
from waterplan.errors import ImpossibleInput

_NUMBER = r"(?P<number>\d+(?:\.\d+)?|\.\d+)"
_DILUTED = re.compile(rf"^1 (?P<how>in|plus) {_NUMBER} of (?P<rest>.+)$", re.IGNORECASE)
_RATIO = re.compile(r"^1\s*:\s*\d")
_OF_A_STOCK = re.compile(rf"^1\s*:\s*{_NUMBER} of (?P<rest>.+)$")
_WRITTEN = re.compile(rf"^{_NUMBER}\s*(?P<unit>[^,]*?)\s*(?:,\s*(?P<density>\d+(?:\.\d+)?)\s*kg/L)?$", re.IGNORECASE)
# What no fish bears, wherever a label says so; and where it says that there is none of it.
_DETERGENT = re.compile(r"\b(?:scrub|detergent|soap|surfactant|shampoo)s?\b", re.IGNORECASE)
_SPIRIT = re.compile(r"\b(?:tinctures?|alcoholic|in spirit)\b", re.IGNORECASE)
_WITHOUT = re.compile(
    r"[,\s]*\(?\b(?:(?:no|without|free of) (?:detergent|soap|surfactant|alcohol)s?|(?:detergent|soap|alcohol)[- ]free)\b\)?",
    re.IGNORECASE,
)
_PIECES = re.compile(rf"[,;()]|\bwith\b|{_DETERGENT.pattern}|{_SPIRIT.pattern}", re.IGNORECASE)
_PURE = ("powder", "crystals", "pure")
WOULD_DO = (
    "write what the label says: 'powder', '98 % pure', '10 mg/mL', '5 % w/v', '35 % w/w, 1.13 kg/L', '100 mg tablets', "
    "'10 % PVP-I', '96 % v/v', '85 % eugenol'"
)
_DOUBTFUL = {
    "%": "a bare % does not say of what (5 % w/v is 50 mg/mL, 5 % w/w needs the density); ",
    "ppm": "ppm has no stated basis; ",
}
_NAMED = {"density_kg_per_l": "density", "parts": "number of parts"}
# A tenth of povidone-iodine by mass is available iodine: 1 % of it is 10 % of the other.
_PVP_PER_AVAILABLE = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottle:
    """A label: milligrams of active substance in a mL, or the active share of what is weighed, or a tablet.

    `percent_vv` is of a spirit, `pvp_iodine_percent` of povidone-iodine; `of_eugenol` says that the share is that of
    eugenol in an oil, `detergent` that it is a scrub with detergent in it, `tincture` that it is made up in spirit.
    """

    text: str
    mg_per_ml: float | None = None
    active_fraction: float | None = None
    tablet_mg: float | None = None
    percent_vv: float | None = None
    pvp_iodine_percent: float | None = None
    of_eugenol: bool = False
    detergent: bool = False
    tincture: bool = False


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
_UNITS_OF_AMOUNTS = {unit.casefold(): found for unit, found in _AMOUNTS.items()}


def parse_amount(text: str) -> Amount:
    """What has gone in; BadValue where it cannot be told how much that is."""
    written = " ".join(text.split())
    match = re.match(rf"^{_NUMBER}\s*(?P<unit>\w+)$", written)
    if match is None or match["unit"].casefold() not in _UNITS_OF_AMOUNTS or float(match["number"]) <= 0.0:
        raise BadValue(repr(text), "write how much went in: " + ", ".join(f"'5 {unit}'" for unit in _AMOUNTS))
    factor, unit = _UNITS_OF_AMOUNTS[match["unit"].casefold()]
    return Amount(text=written, value=float(match["number"]) * factor, unit=unit)


def parse_bottle(text: str) -> Bottle:
    """A label as a Bottle; BadValue where it cannot be taken, or can be read in two ways.

    One with detergent or in spirit is taken whatever else it says: it is refused, and not its label.
    """
    written = " ".join(text.split())
    said = _WITHOUT.sub("", written)
    detergent, spirit = bool(_DETERGENT.search(said)), bool(_SPIRIT.search(said))
    if detergent or spirit:
        return replace(_strength_among(_PIECES.split(said)), text=written, detergent=detergent, tincture=spirit)
    if _RATIO.match(said):
        raise BadValue(repr(text), f"1:n is read in two ways: {_both_ways(said)}")
    try:
        return replace(_parse(said), text=written)
    except ImpossibleInput as wrong:
        raise BadValue(repr(text), f"the {_NAMED.get(wrong.argument, 'strength')} must be {wrong.limits}") from None


def _strength_among(pieces: Iterable[str | None]) -> Bottle:
    """The first piece of a label that is a strength; without any where none is."""
    for piece in pieces:
        try:
            return _parse((piece or "").strip())
        except (BadValue, ImpossibleInput):
            continue
    return Bottle(text="")


def _both_ways(written: str) -> str:
    """A ratio as what it may mean, with both strengths where those of the stock can be read."""
    match = _OF_A_STOCK.match(written)
    if match is None:
        return "write '1 in 10 of …' (10 parts in all) or '1 plus 10 of …' (11 parts in all)"
    number, rest = float(match["number"]), match["rest"]
    try:
        stock = _parse(rest).mg_per_ml
    except (BadValue, ImpossibleInput):
        stock = None
    ways = [("in", number), ("plus", number + 1.0)]
    strengths = ["" if stock is None else f", {stock / parts:.3g} mg/mL" for _, parts in ways]
    told = [
        f"'1 {how} {number:g} of {rest}' ({parts:g} parts in all{strength})"
        for (how, parts), strength in zip(ways, strengths, strict=True)
    ]
    return "write " + " or ".join(told)


def _parse(written: str) -> Bottle:
    diluted = _DILUTED.match(written)
    if diluted:
        stock = _parse(diluted["rest"])
        if stock.mg_per_ml is None:
            would_do = "a dilution is of a liquid: say the strength of the stock, such as '50 mg/mL'"
            raise BadValue(repr(written), would_do)
        meaning = OneTo.IN if diluted["how"].casefold() == "in" else OneTo.PLUS
        share = float(dilution_fraction(float(diluted["number"]), meaning=meaning))
        pvp = None if stock.pvp_iodine_percent is None else stock.pvp_iodine_percent * share
        return Bottle(text=written, mg_per_ml=stock.mg_per_ml * share, pvp_iodine_percent=pvp)
    if written.casefold() in _PURE:
        return Bottle(text=written, active_fraction=1.0)
    match = _WRITTEN.match(written)
    if match is None:
        raise BadValue(repr(written), WOULD_DO)
    density = float(match["density"]) if match["density"] else None
    if float(match["number"]) <= 0.0:
        raise BadValue(repr(written), "the strength must be above 0")
    return _of_unit(written, float(match["number"]), match["unit"], density)


def _of_unit(written: str, number: float, unit: str, density: float | None) -> Bottle:
    unit = re.sub(r"^%\s*(?=\S)", "% ", unit.casefold())
    if unit in {"% pure", "% eugenol"}:
        if number > 100.0:
            raise BadValue(repr(written), "nothing is purer than 100 %")
        per_ml = None if density is None else number / 100.0 * density * 1000.0
        of_eugenol = unit == "% eugenol"
        return Bottle(text=written, active_fraction=number / 100.0, mg_per_ml=per_ml, of_eugenol=of_eugenol)
    if unit in {"mg tablet", "mg tablets"}:
        return Bottle(text=written, tablet_mg=number)
    if unit == "% v/v":
        if number > 100.0:
            raise BadValue(repr(written), "at most 100 % v/v")
        return Bottle(text=written, percent_vv=number)
    if unit in {"% pvp-i", "% available iodine"}:
        percent = number * (_PVP_PER_AVAILABLE if unit == "% available iodine" else 1.0)
        mg_per_ml = float(available_iodine_mg_per_ml(percent))
        return Bottle(text=written, mg_per_ml=mg_per_ml, pvp_iodine_percent=percent)
    known = {one.casefold(): one for one in StrengthUnit}
    label = StrengthUnit.PERCENT_WV if unit == "% available chlorine" else known.get(unit)
    if label is None:
        raise BadValue(repr(written), f"{_DOUBTFUL.get(unit, '')}{WOULD_DO}")
    return Bottle(text=written, mg_per_ml=float(strength_mg_per_ml(number, unit=label, density_kg_per_l=density)))
