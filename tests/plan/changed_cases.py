"""A case changed in one respect: a reading worse or left out, another fish, other names, another order, other units."""

import copy
import dataclasses
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from tests.plan.generated_cases import Document, Generated
from waterplan.stay.record import WaterKind

_NUMBER = re.compile(
    r"^(?P<below><?)(?P<number>-?[\d.]+)(?:\s*±\s*(?P<error>[\d.]+))?\s*(?P<unit>[^,]*)(?P<how>(?:,.*)?)$"
)
# How far a reading moves to be plainly worse, in its own unit, and how far it can go.
STEPS: Mapping[str, tuple[float, float, float]] = {
    "temperature": (4.0, 0.5, 36.0),
    "ph": (0.8, 4.5, 10.5),
    "oxygen": (3.0, 0.0, 18.0),
    "tan": (1.0, 0.0, 20.0),
    "nitrite": (1.0, 0.0, 30.0),
    "alkalinity": (60.0, 0.0, 400.0),
    "salinity": (3.0, 0.0, 30.0),
    "chlorine": (0.5, 0.0, 5.0),
    "gas_pressure": (10.0, 80.0, 200.0),
    "carbon_dioxide": (20.0, 0.0, 200.0),
}

# What else tells the same of a water.
ALSO_TELLS: Mapping[str, tuple[str, ...]] = {"oxygen": ("oxygen_saturation",), "salinity": ("conductivity",)}


def changed(case: Generated, change: Callable[[Document], object]) -> Generated:
    """The same case after a change of its document."""
    document = copy.deepcopy(case.document)
    change(document)
    return dataclasses.replace(case, document=document)


def water_tables(document: Document) -> Iterator[tuple[str, Document]]:
    """The tables that hold readings, with the path that the plan gives to their water."""
    if "home_water" in document:
        yield "home-pond", document["home_water"]
    if "mains_water" in document:
        yield "mains", document["mains_water"]
    seen: dict[str, int] = {}
    for vessel in document.get("vessels", ()):
        kind = WaterKind(vessel["use"])
        seen[kind] = seen.get(kind, 0) + 1
        yield f"{kind}-{seen[kind]}", vessel


def table_of(document: Document, water: str) -> Document:
    """The table that holds the readings of a water."""
    return next(table for path, table in water_tables(document) if path == water)


def readings(document: Document) -> list[tuple[str, str]]:
    """Each reading of the case: its water's path and its key."""
    return [(water, key) for water, table in water_tables(document) for key in STEPS if key in table]


def moved(text: str, key: str, direction: int) -> str | None:
    """A reading made plainly higher or lower, found in the same way; None where it says no number."""
    match = _NUMBER.match(text)
    if match is None or "%" in match["unit"] or "basis" in text or "°F" in text:
        return None
    step, low, high = STEPS[key]
    number = min(max(float(match["number"]) + direction * step, low), high)
    if (number - float(match["number"])) * direction < step / 4:
        return None
    error = f" ± {match['error']}" if match["error"] else ""
    return f"{number:g}{error} {match['unit']}".strip() + match["how"]


def with_reading(water: str, key: str, text: str) -> Callable[[Document], None]:
    """A change that gives a reading another text."""
    return lambda document: table_of(document, water).update({key: text})


def without_reading(water: str, key: str) -> Callable[[Document], object]:
    """A change that leaves a reading out, and whatever else tells the same."""
    return lambda document: [table_of(document, water).pop(one, None) for one in (key, *ALSO_TELLS.get(key, ()))]


def another_patient(species: str = "koi", weight: str = "1.4 kg, scales") -> Callable[[Document], object]:
    """A change that adds a fish to the patients."""
    return lambda document: document["patients"].append({"species": species, "weight": weight})


def another_in_the_pond(species: str) -> Callable[[Document], object]:
    """A change that adds fish to the home pond."""
    fish = {"species": species, "count": 2, "weight": "0.8 kg, scales"}
    return lambda document: document.setdefault("other_fish", []).append(fish)


def fed(document: Document) -> None:
    """The fish are fed a per cent a day, in three meals."""
    document.setdefault("intended", {}).update(feed="1 %/day", meals=3)


def unfed(document: Document) -> None:
    """The fish are not fed."""
    document.setdefault("intended", {}).update(feed="0 %/day", meals=1)


def salt_not_read(document: Document) -> None:
    """Nobody has read the salt of a vessel since, which would tell what is in it."""
    for _, table in water_tables(document):
        for key in ("salinity", "conductivity"):
            table.pop(key, None)


def at_altitude(metres: int) -> Callable[[Document], object]:
    """A change that moves the place up the hill; a barometer's reading is left out, and so is what hangs on it."""

    def change(document: Document) -> None:
        document["place"] = {"altitude": f"{metres} m, map"}

    return change


def renamed(case: Generated, names: Mapping[str, str]) -> Generated:
    """The case with other names for its vessels, wherever it speaks of them."""

    def new(text: Any) -> Any:
        return names.get(text, text) if isinstance(text, str) else text

    document = copy.deepcopy(case.document)
    for vessel in document.get("vessels", ()):
        vessel["name"] = new(vessel["name"])
    for section, key in (
        ("doses", "into"),
        ("already", "where"),
        ("seen", "water"),
        ("meant", "water"),
        ("volumes", "of"),
        ("events", "water"),
        ("done", "water"),
    ):
        for table in document.get(section, ()):
            if key in table:
                table[key] = new(table[key])
    log = case.log
    for old, name in names.items():
        log = log.replace(f',"{old}",', f',"{name}",')
    return dataclasses.replace(case, document=document, log=log)


def reordered(case: Generated) -> Generated:
    """The case with its sections in another order, and its vessels too; the vessels of one use keep theirs."""
    document = dict(reversed(copy.deepcopy(case.document).items()))
    if "vessels" in document:
        document["vessels"] = sorted(document["vessels"], key=lambda vessel: vessel["use"], reverse=True)
        document["vessels"] = [dict(reversed(vessel.items())) for vessel in document["vessels"]]
    return dataclasses.replace(case, document=document)


# -- other units --------------------------------------------------------------------------------------------------

# Unit, the other unit, and the factor and offset to it (of a value; a difference takes the factor alone).
OTHER: Mapping[str, tuple[str, float, float]] = {
    "°C": ("°F", 1.8, 32.0),
    "L": ("US gal", 1 / 3.785411784, 0.0),
    "kg": ("lb", 1 / 0.45359237, 0.0),
    "cm": ("in", 1 / 2.54, 0.0),
    "m": ("ft", 1 / 0.3048, 0.0),
    "mg/L as N": ("mg/L as NH4", 18.039 / 14.007, 0.0),
    "mg/L as NO2": ("mg/L as N", 14.007 / 46.005, 0.0),
    "mg/L as CaCO3": ("meq/L", 1 / 50.04, 0.0),
    "mg/L": ("µg/L", 1000.0, 0.0),
    "g/L": ("mg/L", 1000.0, 0.0),
    "L/min": ("L/h", 60.0, 0.0),
    "W": ("kW", 1e-3, 0.0),
    "kPa": ("hPa", 10.0, 0.0),
}
_WHERE = (
    "patients",
    "place",
    "home_pond",
    "other_fish",
    "home_water",
    "mains_water",
    "vessels",
    "intended",
    "transports",
)


def in_other_units(case: Generated) -> Generated:
    """The case with everything that was measured in other units, to nine digits."""

    def whole(found: Any, key: str = "") -> Any:
        if isinstance(found, dict):
            return {name: whole(part, name) for name, part in found.items()}
        if isinstance(found, list):
            return [whole(part) for part in found]
        return _other_unit(found) if isinstance(found, str) and key not in {"name", "done", "species"} else found

    document = {name: whole(part) if name in _WHERE else part for name, part in copy.deepcopy(case.document).items()}
    return dataclasses.replace(case, document=document)


def _other_unit(text: str) -> str:
    match = _NUMBER.match(text)
    if match is None or match["unit"] not in OTHER or "basis" in text:
        return text
    unit, factor, offset = OTHER[match["unit"]]
    number = f"{float(match['number']) * factor + offset:.9g}"
    error = f" ± {float(match['error']) * factor:.9g}" if match["error"] else ""
    return f"{match['below']}{number}{error} {unit}{match['how']}"
