"""A case: what was measured and what is intended."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from waterplan.first_plan.first_case.bottle import Amount, Bottle
from waterplan.first_plan.first_case.schema import By, Filter, Shape, Use, Walls
from waterplan.first_plan.first_case.tank_choices import BackUp, Carrier, Happens, MadeOf, Stones
from waterplan.first_plan.first_case.values import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Patient:
    """The fish."""

    species: str
    name: str = ""
    length: Reading | None = None
    weight: Reading | None = None
    done: str = ""
    condition: str = ""
    last_fed: datetime | None = None
    eaten: str = ""
    wound: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the water is."""

    name: str = ""
    altitude: Reading | None = None
    station_pressure: Reading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """The size of a body of water as it was given."""

    shape: Shape | None = None
    length: Reading | None = None
    width: Reading | None = None
    diameter: Reading | None = None
    depth: Reading | None = None
    volume: Reading | None = None

    @property
    def is_given(self) -> bool:
        """Whether there is anything to find a volume from."""
        return self.volume is not None or self.shape is not None

    @property
    def has_surface(self) -> bool:
        """Whether its shape and sizes give the area of its surface: beside a volume the sizes may be left out."""
        if self.shape is Shape.ROUND:
            return self.diameter is not None
        return self.shape is not None and self.length is not None and self.width is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class HomePond:
    """The pond it comes from."""

    body: Body = field(default_factory=Body)
    walls: Walls | None = None
    filter: Filter | None = None
    zeolite: str = ""
    plants: str = ""
    wanted_within: Reading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherFish:
    """A sort of fish that shares the home pond."""

    species: str
    count: int
    length: Reading | None = None
    weight: Reading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """What was measured in one water: readings by their key in the case."""

    taken: datetime | None = None
    disinfectant: str = ""
    readings: Mapping[str, Reading] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """A tub or tank."""

    name: str
    use: Use
    body: Body
    rim: Reading | None = None
    filled_with: str = "home water"
    air: Reading | None = None
    outlets: int | None = None
    heater: Reading | None = None
    filter: Filter | None = None
    filter_ran: Reading | None = None
    lid: str = ""
    stones: Stones | None = None
    air_depth: Reading | None = None
    made_of: MadeOf | None = None
    back_up: BackUp | None = None
    back_up_air: Reading | None = None
    water: Water = field(default_factory=Water)


@dataclass(frozen=True, slots=True, kw_only=True)
class Intended:
    """What is meant to happen."""

    operation_at: datetime | None = None
    temperature: Reading | None = None
    salt: Reading | None = None
    salt_dip: Reading | None = None
    days: Reading | None = None
    feed: Reading | None = None
    iodine_stock: Reading | None = None
    meals: int | None = None
    room: Reading | None = None
    room_swing: Reading | None = None
    unattended: Reading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OxygenCylinder:
    """The oxygen cylinder at hand."""

    volume: Reading | None = None
    pressure: Reading | None = None
    flow: Reading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Transport:
    """How the fish travels."""

    by: Carrier | None = None
    volume: Reading | None = None
    oxygen: Reading | None = None
    hours: Reading | None = None
    temperature: Reading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseEvent:
    """Something that happens to the hospital tank at a time."""

    at: datetime
    what: Happens
    volume: Reading | None = None
    weight: Reading | None = None
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """Something that is meant to go into a water; `into` names it, and `volume` is there where it was given in litres."""

    substance: str
    use: str
    into: str
    volume: Reading | None = None
    strength: Reading | None = None
    went_in: Amount | None = None
    bottle: Bottle | None = None
    scale: Reading | None = None
    syringe: Reading | None = None
    drop: Reading | None = None
    opened: datetime | None = None
    buffer: str = ""
    added: Reading | None = None
    overflowed: str = ""
    expires: datetime | None = None
    again: Reading | None = None
    washed: str = ""
    grade: str = ""
    changed: Reading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Injection:
    """A drug that is meant to go into the fish, by its weight."""

    drug: str
    dose: Reading | None = None
    stock: Reading | None = None
    syringe: Reading | None = None
    weight_confirmed: str = ""
    again: Reading | None = None
    expires: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Already:
    """What is there already: in a water, a filter or the fish. `what` is a name of the table `conflict_things`."""

    what: str
    where: str = ""
    level: float | None = None
    since: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """One way in which the volume of a water was measured: what was given, by its key in the case.

    `rows` are the cells of each line as they were written; `numbers` are in the unit that the readings are in.
    """

    of: str
    by: By
    readings: Mapping[str, Reading] = field(default_factory=dict)
    rows: Mapping[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    numbers: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One patient, the place, the waters, the vessels, and what is intended."""

    patient: Patient
    vessels: tuple[Vessel, ...]
    place: Place = field(default_factory=Place)
    home_pond: HomePond | None = None
    other_fish: tuple[OtherFish, ...] = ()
    home_water: Water = field(default_factory=Water)
    mains_water: Water = field(default_factory=Water)
    intended: Intended = field(default_factory=Intended)
    oxygen_cylinder: OxygenCylinder | None = None
    transport: Transport | None = None
    events: tuple[CaseEvent, ...] = ()
    doses: tuple[Dose, ...] = ()
    injections: tuple[Injection, ...] = ()
    already: tuple[Already, ...] = ()
    volumes: tuple[Measurement, ...] = ()
    file: str = "case"

    def vessels_for(self, use: Use) -> tuple[Vessel, ...]:
        """The vessels of one use, in the file's order."""
        return tuple(vessel for vessel in self.vessels if vessel.use is use)

    def water(self, name: str) -> Water | None:
        """A water by its name: "home water", "mains water" or a vessel's."""
        if name == "home water":
            return self.home_water
        if name == "mains water":
            return self.mains_water
        return next((vessel.water for vessel in self.vessels if vessel.name == name), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """One row of a readings file."""

    taken: datetime
    water: str
    key: str
    reading: Reading
