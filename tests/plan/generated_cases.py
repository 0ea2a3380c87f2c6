"""Cases made up at random, written as a case file writes them: from a seed, or by hypothesis, which makes them smaller."""

import math
import random
from collections import OrderedDict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

from hypothesis import strategies as st

from waterplan import tables
from waterplan.case.choices import Source
from waterplan.case.log import read_log
from waterplan.case.model import Case, Logged
from waterplan.case.reading import read_case
from waterplan.case.seen import SIGNS
from waterplan.case.tank_choices import Happens
from waterplan.dose import substances
from waterplan.fish.species import known_species
from waterplan.plan.record import Plan

Document = dict[str, Any]
DRAWS, SEED = 64, 20260514
SPECIES = (*known_species(), "unknown")
MEANT = tuple(dict.fromkeys(row["meant"] for row in tables.table("meant")))
DRUGS = tuple(dict.fromkeys(row["drug"] for row in tables.table("drugs")))
USES = ("induction", "irrigation", "revival", "hospital", "dip")
SOURCES = tuple(one.value for one in Source)
FILTERS = ("seeded", "unseeded", "damaged", "maturing")
THINGS = tuple(row["thing"].replace("_", " ") for row in tables.table("conflict_things"))
# Names that mean something to the file, to another table, to a browser or to a spreadsheet.
NAMES = (
    "blue tub",
    "bucket 2",
    "number 1",
    "Hospital tank",
    "patient",
    "=1+1",
    "<b>x</b>",
    "a, b (50 L)",
    "Übergröße",
    "52.8 US gal tub",
)
# What a kit shows of each reading: the ways it may be found, and the last place that it shows.
HOWS: Mapping[str, tuple[Sequence[str], int]] = {
    "temperature": (("thermometer", "digital thermometer", "logger", ""), 1),
    "ph": (("pH meter", "drop kit", "strip", ""), 1),
    "oxygen": (("oxygen meter", "drop kit", ""), 1),
    "tan": (("drop kit", "photometer", ""), 2),
    "nitrite": (("drop kit", "photometer", ""), 2),
    "alkalinity": (("drop kit", "photometer", "strip", ""), 0),
    "salinity": (("conductivity meter", "refractometer", ""), 2),
    "chlorine": (("drop kit", "photometer", "water company", ""), 2),
    "chloride": (("drop kit", ""), 0),
    "nitrate": (("drop kit", ""), 0),
    "gas_pressure": (("",), 0),
    "carbon_dioxide": (("",), 0),
}
UNITS = {
    "temperature": "°C",
    "ph": "",
    "oxygen": "mg/L",
    "tan": "mg/L as N",
    "nitrite": "mg/L as NO2",
    "alkalinity": "mg/L as CaCO3",
    "salinity": "g/L",
    "chlorine": "mg/L",
    "chloride": "mg/L",
    "nitrate": "mg/L as NO3",
    "gas_pressure": "%",
    "carbon_dioxide": "mg/L",
}
FEWEST = {"tan": 0.25, "nitrite": 0.1, "chlorine": 0.05}
# What an event needs the hospital tank to have, and those whose weight is told.
_NEEDS = {
    Happens.HEATER_STICKS: "heater",
    Happens.HEATER_FAILS: "heater",
    Happens.HEATER_MENDED: "heater",
    Happens.FILTER_DAMAGED: "filter",
    Happens.CLEAN_TEST: "filter",
}
# The vessel that a bath is mostly meant for.
_MEANT_FOR = {
    "induction": "induction",
    "maintenance": "irrigation",
    "bath": "hospital",
    "prolonged": "hospital",
    "dip": "dip",
}
_WEIGHED = frozenset({Happens.SALT, Happens.BICARBONATE, Happens.ICE, Happens.MEAL})


_KEPT = 40  # several relations ask for the plan of the same few cases
_PLANS: OrderedDict[str, Plan] = OrderedDict()


@dataclass(frozen=True, slots=True, kw_only=True)
class Generated:
    """A case as a document, the log of its readings, and the time that it is planned for."""

    number: int
    document: Document
    log: str
    as_of: datetime | None

    def case(self) -> Case:
        """The case that the document is read as."""
        return read_case(self.document, file="generated")

    def readings(self, case: Case) -> tuple[Logged, ...]:
        """The rows of the log."""
        return read_log(self.log, case=case, file="log").rows

    def plan(self, **more: Any) -> Plan:
        """The plan of the case, of few draws; made once while it is among the last asked for."""
        asked = repr((self.document, self.log, self.as_of, sorted(more.items())))
        if asked not in _PLANS:
            _PLANS[asked] = self._planned(**more)
        _PLANS.move_to_end(asked)
        while len(_PLANS) > _KEPT:
            _PLANS.popitem(last=False)
        return _PLANS[asked]

    def _planned(self, **more: Any) -> Plan:
        from waterplan.plan.whole import plan

        case = self.case()
        given = {"readings": self.readings(case), "as_of": self.as_of, "draws": DRAWS, "seed": SEED} | more
        return plan(case, **given)


def cases(count: int, seed: int) -> Iterator[Generated]:
    """So many cases, the same for the same seed; case `n` is the same whatever the count."""
    return (case_of(number, seed) for number in range(count))


def case_of(number: int, seed: int) -> Generated:
    """One of them alone."""
    return generated(random.Random(seed * 1_000_003 + number), number=number)


def generated_cases() -> st.SearchStrategy[Generated]:
    """The same cases as a strategy."""
    return st.randoms(use_true_random=False).map(generated)


def generated(rng: random.Random, *, number: int | None = None) -> Generated:
    """One case of whatever the source of chance gives; numbered ones take the doses, drugs and events in turn."""
    return _Maker(rng, number).whole()


@cache
def _uses_of(substance: str) -> tuple[str, ...]:
    return tuple(substances.uses_of(substance))


@cache
def _every_dose() -> tuple[tuple[str, str], ...]:
    return tuple((name, use) for name in substances.known_substances() for use in _uses_of(name))


@cache
def _grades() -> tuple[str, ...]:
    return tuple(row["grade"] for row in tables.table("salt_grades"))


@cache
def _ranges(table: str, column: str) -> Mapping[str, tuple[float, ...]]:
    found: dict[str, list[float]] = {}
    for row in tables.table(table):
        found.setdefault(row[column], []).extend(
            level for level in (row.low, row.value, row.high) if math.isfinite(level)
        )
    return {name: tuple(levels) for name, levels in found.items() if levels}


@dataclass
class _Maker:
    rng: random.Random
    number: int | None

    def yes(self, chance: float = 0.5) -> bool:
        return self.rng.random() < chance

    def one(self, of: Sequence[Any]) -> Any:
        return of[self.rng.randrange(len(of))]

    def turn(self, of: Sequence[Any], taken: int) -> Any:
        """One of several: the first that a numbered case takes comes in turn, so that none is left out."""
        return of[self.number % len(of)] if taken == 0 and self.number is not None else self.one(of)

    def within(self, low: float, high: float, places: int = 2) -> float:
        return round(low + (high - low) * self.rng.random(), places)

    def when(self, low_h: float, high_h: float) -> datetime:
        return self.start + timedelta(minutes=5 * round(12 * (low_h + (high_h - low_h) * self.rng.random())))

    def time(self, at: datetime) -> Any:
        return at if self.yes(0.3) else at.isoformat()

    # -- the whole --------------------------------------------------------------------------------------------

    def whole(self) -> Generated:
        # Now and then somebody has measured everything, and all of it is well.
        self.careful = self.yes(0.15)
        self.start = datetime(2026, 1, 1, 10) + timedelta(days=self.rng.randrange(365), hours=self.one((0, 0, 4, 12)))
        self.temperature = self.within(4, 29, 1)
        self.days = self.one((1, 2, 3))
        self.eaten = self.one(("no", "no", "yes", None))
        document: Document = {"waterplan_case": 1}
        document["patients"] = self.patients()
        self.patient_count = len(document["patients"])
        document |= self.some(self.yes(0.8), place=self.place())
        pond = self.yes(0.85)
        document |= self.some(pond, home_pond=self.home_pond(), other_fish=self.other_fish())
        document |= self.some(self.yes(0.9), home_water=self.water(self.temperature, self.yes(0.15)))
        document |= self.some(self.yes(0.75), mains_water=self.mains())
        self.vessels = self.some_vessels(0 if pond and self.yes(0.12) else 1)
        document |= self.some(bool(self.vessels), vessels=self.vessels)
        document |= self.some(self.hospital or self.yes(0.85), intended=self.intended())
        document |= self.some(self.yes(0.15), oxygen_cylinder={"volume": "2 L, stamp", "pressure": "120 bar, gauge"})
        document |= self.some(self.yes(0.3), transports=[self.transport() for _ in range(self.one((1, 1, 2)))])
        self.paths = self.vessel_paths()
        self.into = [*self.paths.values(), *(["home pond"] if pond else [])]
        document |= self.some(self.hospital, events=self.events() if self.hospital else [])
        document["doses"] = [self.dose(taken) for taken in range(self.one((0, 1, 1, 1, 2, 3)))]
        document["injections"] = [self.injection(taken) for taken in range(self.one((0, 0, 1, 2)))]
        document["already"] = [self.already(taken) for taken in range(self.one((0, 0, 1, 2)))]
        document["done"] = [self.was_done() for _ in range(self.one((0, 0, 0, 1, 2)))]
        document["volumes"] = self.volumes(pond)
        document |= self.some(self.yes(0.2), utc_offset=self.one(("+02:00", "-05:30")))
        document = {key: value for key, value in document.items() if value not in ([], {})}
        times = (None, None, self.when(-3, 0), self.when(1, 24 * self.days), self.when(24, 240))
        as_of = None if (time := self.one(times)) is None else time.replace(tzinfo=UTC)
        log = self.log()
        document |= self.some(self.yes(0.25), seen=[self.sign() for _ in range(self.one((1, 1, 2)))])
        document |= self.some(self.yes(0.25), meant=[self.meant(taken) for taken in range(self.one((1, 1, 2)))])
        document |= self.some(self.yes(0.15), given=[{"drug": self.one(DRUGS), "at": self.when(-400, 0).isoformat()}])
        document |= self.some(self.yes(0.1), notes=[{"words": "edges of the wound pale", "of": self.one(NAMES)}])
        if "home_pond" in document and self.yes(0.15):
            document["home_pond"] |= {"new_fish": self.when(-3000, 0).isoformat()}
        if "home_water" in document and self.yes(0.2):
            beside = ({"where": "at the inflow"}, {"where": "at the bottom"}, {"kit_expires": "2025-10-31"})
            document["home_water"] |= self.one(beside)
        return Generated(number=self.number or 0, document=document, log=log, as_of=as_of)

    def meant(self, taken: int) -> Document:
        """Something that somebody means to do at the pond or in a tub."""
        water = self.some(self.yes(0.3) and bool(self.into), water=self.one(self.into or [""]))
        return {"what": self.turn(MEANT, taken), **water, **self.some(self.yes(0.3), words="before bed")}

    def sign(self) -> Document:
        """Something seen at the pond or a tub, with or without what else a caller says of it."""
        more = {"fish": self.one(("one", "several", "most", "unknown")), "words": "since the thunderstorm"}
        water = self.some(self.yes(0.3) and bool(self.into), water=self.one(self.into or [""]))
        return {"sign": self.one(SIGNS), **water, **self.some(self.yes(0.5), **more)}

    def some(self, wanted: bool, **sections: Any) -> Document:
        return sections if wanted else {}

    def vessel_paths(self) -> dict[int, str]:
        """What the case calls each vessel: its name, or its path where the name means the pond."""
        seen: dict[str, int] = {}
        found = {}
        for place, vessel in enumerate(self.vessels):
            seen[vessel["use"]] = seen.get(vessel["use"], 0) + 1
            path = f"{vessel['use']}-{seen[vessel['use']]}"
            found[place] = path if vessel["name"] == "home pond" else vessel["name"]
        return found

    @property
    def hospital(self) -> bool:
        return any(vessel["use"] == "hospital" for vessel in self.vessels)

    # -- fish -------------------------------------------------------------------------------------------------

    def patients(self) -> list[Document]:
        found = []
        for _ in range(self.one((1, 1, 1, 2, 3))):
            patient = {"species": self.one(SPECIES), **self.size()}
            patient |= self.some(self.yes(0.6), name=self.one(("Bramble", "Copper", "Bramble", "home pond", "=2+2")))
            patient |= self.some(self.yes(0.4), condition=self.one(("good", "thin", "fat", "weak")))
            patient |= self.some(self.yes(0.5), wound=self.one(("none", "closed", "open")))
            patient |= self.some(self.eaten is not None, eaten=self.eaten)
            patient |= self.some(self.yes(0.5), last_fed=self.time(self.when(-96, -2)))
            patient |= self.some(self.yes(0.1), count=self.one((1, 2, 5)))
            patient |= self.some(self.yes(0.5), done="wound on the flank closed with five sutures")
            found.append(patient)
        return found

    def size(self) -> Document:
        kg = round(10 ** self.within(-1.3, 0.8, 4), 3)
        cm = round(27.0 * kg ** (1 / 3) * self.within(0.93, 1.07, 3), 1)
        weight = f"{kg} kg{self.one((', scales', ', spring scale', ', estimate', ''))}"
        length = f"{cm} cm{self.one((', measuring board', ', tape', ', estimate', ''))}"
        return self.one(({"weight": weight}, {"weight": weight, "length": length}, {"length": length}))

    def other_fish(self) -> list[Document]:
        return [
            {"species": self.one(SPECIES), "count": self.one((1, 2, 6, 15)), **self.size()}
            for _ in range(self.one((0, 1, 1, 2)))
        ]

    # -- places and waters ------------------------------------------------------------------------------------

    def place(self) -> Document:
        metres = self.one((5, 120, 640, 1400))
        place: Document = {"name": "walled garden"}
        place |= self.some(self.yes(0.8), altitude=self.one((f"{metres} m, map", f"{round(metres * 3.2808)} ft")))
        sea_level = self.yes(0.3)
        kpa = round(101.3 * (1 - 2.25577e-5 * (0 if sea_level else metres)) ** 5.2559, 1)
        return place | self.some(self.yes(0.25), station_pressure=f"{kpa} kPa, barometer")

    def reading(self, key: str, number: float) -> str:
        """A reading as it is written, by some instrument or with a stated error."""
        ways, places = HOWS[key]
        how, unit = self.one(ways), UNITS[key]
        if self.yes(0.04) and not self.careful:
            return "not measured"
        if key in FEWEST and number < FEWEST[key] and self.yes(0.6):
            return f"<{FEWEST[key]} {unit}, drop kit"
        plain = f"{number:.{places}f} {unit}".strip() + (f", {how}" if how else "")
        others = {
            "tan": (0.1, f"{number:.{places}f} mg/L, basis unknown"),
            "nitrite": (0.1, f"{number:.{places}f} mg/L, basis unknown"),
            "temperature": (0.15, f"{number * 1.8 + 32:.1f} °F, thermometer"),
            "oxygen": (0.2, f"{self.within(40, 130, 0):.0f} % saturation"),
        }
        chance, other = others.get(key, (0.0, plain))
        stated = f"{number:.{places}f} ± {10.0**-places:g} {unit}".strip()
        return other if self.yes(chance) else stated if self.yes(0.08) else plain

    def water(self, temperature: float, bad: bool) -> Document:
        """Any of the readings of a water: mostly good, some of them bad, now and then two that cannot both be."""
        bad_of = {name for name in HOWS if bad and not self.careful and self.yes(0.4)}
        numbers = {
            "temperature": temperature + self.within(-0.5, 0.5, 1),
            "ph": self.within(8.6, 9.6, 1) if "ph" in bad_of else self.within(6.6, 8.3, 1),
            "oxygen": self.within(1.5, 5, 1) if "oxygen" in bad_of else self.within(6.5, 11, 1),
            "tan": self.within(0.5, 5) if "tan" in bad_of else self.one((0, 0.1, 0.2)),
            "nitrite": self.within(0.5, 6) if "nitrite" in bad_of else self.one((0, 0.05, 0.2)),
            "alkalinity": self.within(5, 30, 0) if "alkalinity" in bad_of else self.within(60, 240, 0),
            "salinity": self.within(3, 9) if "salinity" in bad_of else self.within(0.05, 0.6),
            "chlorine": self.within(0.1, 2) if "chlorine" in bad_of else 0,
            "chloride": self.within(5, 60, 0),
            "nitrate": self.within(5, 120, 0),
            "gas_pressure": self.within(108, 125, 0) if "gas_pressure" in bad_of else self.within(97, 102, 0),
            "carbon_dioxide": self.within(25, 60, 0) if "carbon_dioxide" in bad_of else self.within(1, 6, 0),
        }
        chance = 1.0 if self.careful else self.one((0.15, 0.6, 1.0))
        rare = {"gas_pressure", "carbon_dioxide", "chloride", "nitrate"}
        keys = [key for key in numbers if self.yes(chance * (0.3 if key in rare and chance < 1 else 1))]
        found: Document = {key: self.reading(key, numbers[key]) for key in keys}
        if "oxygen" in found and found["oxygen"].endswith("mg/L, oxygen meter") and self.yes(0.1):
            found["oxygen_saturation"] = f"{self.one((30, 95, 140))} %"
        if "salinity" in found and self.yes(0.1):
            found["conductivity"] = f"{self.one((300, 700, 6000))} µS/cm at 25 °C"
        return found | self.some(self.yes(0.7), taken=self.time(self.when(-8, -0.5)))

    def mains(self) -> Document:
        found = self.water(self.within(4, 18, 1), self.yes(0.3))
        if self.yes(0.5) and not self.careful:
            found["chlorine"] = self.reading("chlorine", self.within(0.1, 2))
        found |= self.some(self.yes(0.6), disinfectant=self.one(("chlorine", "chloramine", "none")))
        turn, rest = divmod(self.number or 0, 3)  # every third case says what its new water is
        return found | self.some(rest == 1, kind=SOURCES[turn % len(SOURCES)])

    def home_pond(self) -> Document:
        body = self.one(
            (
                {"volume": f"{self.one((1500, 6000, 20000))} L{self.one((', timed fill', ', tracer', ''))}"},
                {"volume": "8000 L, owner's word"},
                {"shape": "oval", "length": "4.2 m, tape", "width": "2.6 m, tape", "depth": "1.1 m, tape"},
                {"shape": "round", "diameter": "2.4 m, tape", "depth": "0.7 m"},
            )
        )
        found: Document = dict(body)
        found |= self.some("shape" in body, walls=self.one(("vertical", "sloping")))
        found |= self.some(self.yes(0.6), filter=self.one(FILTERS))
        found |= self.some(self.yes(0.3), zeolite=self.one(("no", "yes")))
        return found | self.some(self.yes(0.4), plants=self.one(("no", "yes")))

    def some_vessels(self, fewest: int) -> list[Document]:
        if not fewest:
            return []
        names = list(NAMES)
        found = []
        for _ in range(self.one((1, 2, 3, 4))):
            use = "hospital" if not found and self.yes(0.6) else self.one(USES)
            found.append(self.vessel(names.pop(self.rng.randrange(len(names))), use))
        return found

    def vessel(self, name: str, use: str) -> Document:
        big = use == "hospital"
        found: Document = {"name": name, "use": use}
        if self.yes(0.6):
            litres = self.one((90, 300, 650)) if big else self.one((12, 25, 60, 90))
            how = self.one((", marked tub", ", meter fill", ", timed fill", ", owner's word", ""))
            found["volume"] = f"{litres} L{how}"
        else:
            sides = ("1.4 m, tape", "0.7 m, tape", "0.5 m, tape") if big else ("60 cm, tape", "40 cm", "30 cm, tape")
            found |= {"shape": "rectangle"} | dict(zip(("length", "width", "depth"), sides, strict=True))
            found |= self.some(self.yes(), rim="70 cm")
        found |= self.some(self.yes(0.5), filled_with=self.one(("home water", "mains water")))
        found |= self.some(self.yes(0.6), air=f"{self.one((2, 6, 12))} L/min", outlets=self.one((1, 2)))
        found |= self.some(self.yes(0.3), stones=self.one(("ordinary", "fine")))
        found |= self.some(self.yes(0.4), lid=self.one(("yes", "no")))
        found |= self.some(self.yes(0.2), back_up=self.one(("battery air pump", "oxygen cylinder", "none")))
        if big:
            found |= self.some(self.yes(0.6), filter=self.one(FILTERS))
            found |= self.some(found.get("filter") == "maturing", filter_ran="20 days")
            found |= self.some(self.yes(0.6), heater=f"{self.one((100, 300, 600))} W")
        if self.patient_count > 1 and self.yes(0.3):
            found["patients"] = [self.one((1, 2))]
        if self.careful or self.yes(0.6):
            apart = 0 if self.careful else self.one((0, 0, 2, 6, -4))
            found |= self.water(self.temperature + apart, self.yes(0.25))
        return found

    # -- what is meant to happen ------------------------------------------------------------------------------

    def intended(self) -> Document:
        found: Document = {"days": f"{self.days} days"}
        found |= self.some(self.yes(0.85), operation_at=self.time(self.start))
        found |= self.some(self.yes(0.6), temperature=f"{self.temperature + self.one((0, 2, 4)):.1f} °C")
        found |= self.some(self.yes(0.4), salt=f"{self.one((1, 2, 3, 6))} g/L")
        found |= self.some(self.yes(0.15), salt_dip=f"{self.one((10, 20, 30))} g/L")
        found |= self.some(self.yes(0.4), feed=f"{self.one((0, 0.25, 1))} %/day", meals=self.one((1, 2, 3)))
        found |= self.some(self.yes(0.3), room=f"{self.within(8, 32, 0):.0f} °C, thermometer")
        found |= self.some(self.yes(0.3), unattended=f"{self.one((6, 10, 14))} h")
        return found | self.some(self.yes(0.1), oxygen=self.one(("7 mg/L", "85 % saturation")))

    def transport(self) -> Document:
        bag = self.yes(0.6)
        found: Document = {"by": "bag with oxygen" if bag else "box with air"}
        found |= self.some(self.yes(0.9), volume=f"{self.one((8, 14, 40))} L, marked tub")
        found |= self.some(bag and self.yes(0.8), oxygen=f"{self.one((10, 36))} L, owner's word")
        found |= self.some(self.yes(0.9), hours=self.one(("30 min", "75 min", "6 h", "20 h")))
        return found | self.some(self.yes(0.6), temperature=f"{self.temperature:.1f} °C, thermometer")

    def events(self) -> list[Document]:
        tank = next(vessel for vessel in self.vessels if vessel["use"] == "hospital")
        can = [what for what in Happens if what not in {Happens.FISH_OUT, *_NEEDS}]
        can += [what for what, key in _NEEDS.items() if tank.get(key, "unseeded") != "unseeded"]
        found = []
        for taken in range(self.one((0, 1, 1, 2, 3))):
            what = self.turn(can, taken)
            event: Document = {"at": self.when(1, 24 * self.days), "what": str(what)}
            event |= self.some(what is Happens.CHANGE, volume="40 L, marked tub")
            event |= self.some(what is Happens.FILTER_DAMAGED, words="peroxide")
            event |= self.some(what in _WEIGHED, weight=f"{self.one((50, 300))} g")
            event |= self.some(what is Happens.FISH_IN, weight="0.8 kg", words="number 9")
            found.append(event)
        return sorted(found, key=lambda event: event["at"])

    def dose(self, taken: int) -> Document:
        substance, use = self.turn(_every_dose(), taken)
        row = substances.substance(substance)
        meant = [self.paths[n] for n, vessel in enumerate(self.vessels) if vessel["use"] == _MEANT_FOR.get(use)]
        into = self.one(meant if meant and self.yes(0.7) else (*self.into, "20 L, marked tub"))
        found: Document = {"substance": substance, "use": use, "into": into}
        strength = self.strength(row["agent"], use, row.unit)
        found |= self.some(self.yes(0.85) and strength is not None, strength=strength)
        powder = ("powder", "98 % pure")
        bottle = {
            "powder": self.one(powder),
            "oil": "85 % eugenol",
            "liquid": "10 % PVP-I" if row["agent"] == "iodine" else "37 % w/v",
        }
        spirit = {"ethanol": "96 % v/v", "hypochlorite": "5 % available chlorine"}
        found |= self.some(self.yes(0.85), bottle=spirit.get(substance, bottle[row["form"]]))
        found |= self.some(
            self.yes(0.8), scale=self.one(("0.1 g", "1 g", "0.01 g")), syringe=self.one(("1 mL", "0.1 mL"))
        )
        found |= self.some(substance == "tricaine" and self.yes(0.7), buffer=self.one(("one to one", "none")))
        found |= self.some(use == "hose left running", added="800 L, owner's word", overflowed=self.one(("no", "yes")))
        found |= self.some(strength is not None and self.yes(0.2), again=strength)
        return found | self.some(substance == "salt" and self.yes(), grade=self.one(_grades()))

    def strength(self, agent: str, use: str, unit: str) -> str | None:
        """A level that the tables tell of, or one far from it."""
        for table, column in (("anaesthetics", "agent"), ("bath_limits", "agent"), ("disinfectants", "agent")):
            levels = _ranges(table, column).get(agent, ())
            if levels:
                level = self.one(levels) * self.one((1, 1, 1, 1, 0.5, 3))
                return f"{min(level, 100.0 if unit == '% v/v' else 5e4):.4g} {unit}"
        if agent == "salt":
            return f"{self.one((2, 3, 5, 10, 25))} g/L"
        return f"{self.one((1, 2, 10))} {unit}" if use not in {"tap water", "hose left running"} else None

    def injection(self, taken: int) -> Document:
        row = self.turn(tables.table("drugs"), taken)
        found: Document = {"drug": row["drug"]}
        level = next((level for level in (row.value, row.high) if math.isfinite(level)), 1.0)
        found |= self.some(self.yes(0.8), dose=f"{level * self.one((1, 1, 1, 4)):.4g} mg/kg")
        found |= self.some(self.yes(0.9), stock=f"{self.one((1, 5, 10, 50))} mg/mL")
        found |= self.some(self.yes(0.8), syringe=self.one(("0.01 mL", "0.1 mL")))
        return found | self.some(self.yes(0.3), weight_confirmed=self.one(("no", "yes")))

    def already(self, taken: int) -> Document:
        found: Document = {"what": self.turn(THINGS, taken)}
        found |= self.some(bool(self.into) and self.yes(0.8), where=self.one(self.into or ("home pond",)))
        found |= self.some(found["what"] == "zeolite" and self.yes(), grams="250 g")
        found |= self.some(found["what"] == "salt" and self.yes(), level="1 g/L")
        return found | self.some(self.yes(0.7), since=self.time(self.when(-240, -1)))

    def was_done(self) -> Document:
        at, water = self.time(self.when(-48, 24)), self.one(self.into or ("",))
        ways: tuple[Document, ...] = (
            {"what": "water change", "volume": "40 L, marked tub"},
            {"what": "salt", "substance": "salt", "amount": "200 g"},
            {"what": "air on"},
        )
        return {"at": at, **self.one(ways)} | self.some(bool(water), water=water)

    def volumes(self, pond: bool) -> list[Document]:
        if not pond or not self.yes(0.15):
            return []
        timed = {
            "of": "home pond",
            "by": "timed fill",
            "bucket": "10 ± 0.1 L",
            "seconds": "41\n42\n40",
            "fill_time": "8 h",
        }
        meter = {"of": "home pond", "by": "meter", "meter_before": "18240 L", "meter_after": "26910 L"}
        return [self.one((timed, meter))]

    def log(self) -> str:
        """Rows of readings through the stay."""
        rows = ["taken,water,what,reading"]
        waters = list(self.paths.values())
        for _ in range(self.one((0, 0, 0, 1, 3, 6))):
            key = self.one(("temperature", "tan", "nitrite", "ph", "oxygen", "salinity", "chlorine"))
            water = self.one(("home water", *waters))
            number = self.one(
                {"temperature": (12.0, 18.5), "ph": (6.8, 8.9), "oxygen": (4.0, 9.0)}.get(key, (0, 0.4, 1.5))
            )
            taken = self.when(0.5, 24 * self.days).isoformat()
            rows.append(f'{taken},"{water}",{key},"{self.reading(key, number)}"')
        return "\n".join(rows) + "\n"
