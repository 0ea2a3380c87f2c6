"""The set-up of a recovery or hospital tank for the fish in hand: its sizes and kit, and a tank where there is none."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from waterplan import tables
from waterplan.case.choices import Shape
from waterplan.case.part import quantity_of
from waterplan.case.values import BadValue, parse_reading
from waterplan.case.waters import Vessel
from waterplan.errors import CaseError, Mistake
from waterplan.plan.quick import quick_tank
from waterplan.plan.record import Plan

_L_PER_M3, _CM_PER_M = 1000.0, 100.0
_NEEDED = "hospital/size/needed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A tank as it is to be drawn [m], with the fish that goes in and the room it is to have; `stated` where its sides are.

    `lengths` says how many lengths of the fish the room is; the kit is as it was written.
    """

    round: bool
    length_m: float
    width_m: float
    depth_m: float
    rim_m: float | None
    stated: bool
    fish_m: float
    room_m: float
    lengths: float
    stones: int
    lid: bool
    kit: Mapping[str, str]


def demand(name: str) -> float:
    """What a hospital tank is to have."""
    return tables.row("hospital_demands", demand=name).value


def laid(plan: Plan, water: str) -> Laid | None:
    """A tank of a plan, from what was written of it; None where its litres or the fish's length are not known.

    Parameters
    ----------
    plan : Plan
        The plan.
    water : str
        The path of the tank, such as `hospital-1`.

    Returns
    -------
    Laid or None
        Where only litres were written, sides that hold them in the proportions that a tank is to have.
    """
    kit = _written(plan, water)
    inside = {one.fish for each in plan.waters if each.id == water for one in each.occupants}
    lengths = [plan.figures[one.length].best for one in plan.fish if one.id in inside and one.length]
    volume = plan.figures.get(f"{water}/volume")
    fish = max((cm / _CM_PER_M for cm in lengths if cm), default=0.0)
    if not fish or volume is None or not volume.best:
        return None
    across = _metres(kit, "diameter")
    length, width, depth = (across or _metres(kit, "length"), across or _metres(kit, "width"), _metres(kit, "depth"))
    stated = bool(length and width and depth)
    if not (length and width and depth):
        length, width, depth = _sides(volume.best, fish)
    shape = kit.get("shape", Shape.RECTANGLE.value)
    return Laid(
        round=stated and shape != Shape.RECTANGLE,
        length_m=length,
        width_m=width,
        depth_m=depth,
        rim_m=_metres(kit, "rim"),
        stated=stated,
        fish_m=fish,
        room_m=demand("lengths long") * fish,
        lengths=demand("lengths long"),
        stones=int(kit.get("outlets", "1")) if kit.get("air") else 0,
        lid=kit.get("lid") == "True",
        kit=kit,
    )


def with_tank(case: Mapping[str, Any], use: str) -> dict[str, Any]:
    """The tables of a case with a tank that would do for its first patient, where it has none of that use.

    Parameters
    ----------
    case : mapping
        The raw tables.
    use : str
        `revival` or `hospital`.

    Returns
    -------
    dict
        The tables, with the smallest tank that serves; the same where there is one.

    Raises
    ------
    CaseError
        The fish has neither a weight nor a length, or something cannot be read.
    """
    vessels = list(case.get("vessels", ()))
    if any(one.get("use") == use for one in vessels):
        return dict(case)
    patient: Mapping[str, Any] = next(iter(case.get("patients", ())), {})
    sized = quick_tank(
        species_name=patient.get("species", ""),
        weight=str(patient.get("weight", "")),
        length=str(patient.get("length", "")),
        temperature=str(case.get("home_water", {}).get("temperature", "")),
        ph=str(case.get("home_water", {}).get("ph", "")),
    )
    litres = sized.figures[_NEEDED].act_on
    if litres is None:
        would_do = "no tank of any size would do for this fish in this water: state a cooler temperature or a lower pH"
        raise CaseError(use, [Mistake(where="home_water", read="", would_do=would_do)])
    return {**case, "vessels": [*vessels, {"name": f"{use} tank", "use": use, "volume": f"{litres:g} L, marked tub"}]}


def number_of(case: Mapping[str, Any], water: str) -> int | None:
    """Which of the vessels of a case a water is, counted from nought; the path of a water counts those of its use."""
    use, _, number = water.partition("-")
    found = [n for n, one in enumerate(case.get("vessels", ())) if one.get("use") == use]
    return found[int(number) - 1] if number.isdecimal() and 0 < int(number) <= len(found) else None


def _written(plan: Plan, water: str) -> dict[str, str]:
    vessels: dict[int, dict[str, str]] = {}
    for one in plan.written:
        if one.section == "vessels":
            vessels.setdefault(one.ordinal, {})[one.key] = one.text
    listed = list(vessels.values())
    number = number_of({"vessels": listed}, water)
    return {} if number is None else listed[number]


def _metres(kit: Mapping[str, str], key: str) -> float | None:
    try:
        read = parse_reading(kit[key], quantity_of(Vessel, key)) if key in kit else None
    except BadValue:
        return None
    return read.measured.best if read else None


def _sides(litres: float, fish_m: float) -> tuple[float, float, float]:
    """Length, width and depth that hold the litres, in the proportions that a tank for the fish is to have."""
    depth = max(demand("least depth"), demand("lengths deep") * fish_m)
    width = math.sqrt(litres / _L_PER_M3 / depth * demand("lengths wide") / demand("lengths long"))
    return width * demand("lengths long") / demand("lengths wide"), width, depth
