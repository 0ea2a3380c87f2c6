"""The fish of a case, and what is meant to happen to them: the operation, the stay, the journey, and events by the clock."""

from collections.abc import Iterator
from datetime import datetime
from typing import Annotated

from pydantic.json_schema import SkipJsonSchema

from waterplan.case.choices import Condition, Wound
from waterplan.case.kinds import Flag, OneOf, Text, Whole
from waterplan.case.measures import OXYGEN, degrees, intended, litres, measure
from waterplan.case.part import Fault, Part
from waterplan.case.references import PatientsNamed, WaterNamed
from waterplan.case.tank_choices import Carrier, Happens
from waterplan.case.times import TO_THE_MINUTE, When
from waterplan.case.values import Reading
from waterplan.fish.species import known_species, other_names
from waterplan.units import Family

_SPECIES = OneOf(known_species(), needed=True, also=tuple(other_names().items()))
_NEEDS_WEIGHT = frozenset({Happens.MEAL, Happens.SALT, Happens.BICARBONATE, Happens.ICE, Happens.FISH_IN})
_NEEDS_WORDS = frozenset({Happens.FILTER_DAMAGED, Happens.FISH_IN, Happens.FISH_OUT})


class Sized(Part):
    """A fish as it was measured, or one of several alike."""

    length: Annotated[Reading | None, measure(Family.FISH_LENGTH, "length_cm", "length")] = None
    """length of the fish: `31 cm, measuring board`"""
    weight: Annotated[Reading | None, measure(Family.MASS, "weight_kg", "weight")] = None
    """weight of the fish: `0.62 kg, scales`"""


class Patient(Sized):
    """A fish that is treated, or several alike."""

    first = ("species", "name", "count")
    ordinal: SkipJsonSchema[int] = 1
    species: Annotated[str, _SPECIES] = "unknown"
    """species: `koi`"""
    name: Annotated[str, Text()] = ""
    """name or mark: `Bramble`"""
    count: Annotated[int, Whole(least=1)] = 1
    """how many of them, alike: `1`"""
    done: Annotated[str, Text()] = ""
    """what is done to it: `heron wound on the flank closed with five sutures`"""
    condition: Annotated[Condition | None, OneOf(Condition)] = None
    """body condition: `good`"""
    last_fed: Annotated[datetime | None, When()] = None
    """when it last ate: `2026-05-14T09:30`"""
    quarantined: Annotated[datetime | None, When()] = None
    """kept apart from other fish since; its days are counted and clear nothing: `2026-04-20`"""
    eaten: Annotated[bool | None, Flag()] = None
    """may it, or a fish from its water, be eaten: `false`"""
    wound: Annotated[Wound | None, OneOf(Wound)] = None
    """has it a wound: `closed`"""

    @property
    def path(self) -> str:
        """What it is known by."""
        return f"patient-{self.ordinal}"


class OtherFish(Sized):
    """A sort of fish that shares the home pond."""

    first = ("species", "count")
    ordinal: SkipJsonSchema[int] = 1
    species: Annotated[str, _SPECIES]
    """species: `koi`"""
    count: Annotated[int, Whole()]
    """how many: `6`"""

    @property
    def path(self) -> str:
        """What it is known by."""
        return f"other-{self.ordinal}"


class Intended(Part):
    """What is meant to happen."""

    operation_at: Annotated[datetime | None, When()] = None
    """when the operation begins: `2026-05-14T09:30`"""
    temperature: Annotated[Reading | None, degrees()] = None
    """temperature in the hospital tank: `20 °C`"""
    oxygen: Annotated[Reading | None, OXYGEN] = None
    """oxygen that the veterinarian wants, in mg/L or in % of saturation: `8 mg/L`"""
    salt: Annotated[Reading | None, intended(Family.SALT, "salinity_g_per_l")] = None
    """salt in the hospital tank: `2 g/L`"""
    salt_dip: Annotated[Reading | None, intended(Family.SALT, "salinity_g_per_l")] = None
    """strength of a salt dip: `25 g/L`"""
    days: Annotated[Reading | None, intended(Family.DURATION, "stay_min")] = None
    """days in the hospital tank: `14 days`"""
    feed: Annotated[Reading | None, intended(Family.FEED, "feed_percent_per_day")] = None
    """feed in hospital: `0.25 %/day`"""
    protein: Annotated[Reading | None, intended(Family.SHARE, "protein_percent")] = None
    """crude protein of the feed, as its label has it: `38 %`"""
    iodine_stock: Annotated[Reading | None, intended(Family.IODINE_STOCK, "pvp_iodine_percent")] = None
    """povidone-iodine on the bottle: `10 % PVP-I`"""
    meals: Annotated[int | None, Whole()] = None
    """meals a day: `2`"""
    room: Annotated[Reading | None, degrees("air_temp_c")] = None
    """temperature of the room: `17 °C, thermometer`"""
    room_swing: Annotated[Reading | None, intended(Family.TEMPERATURE_STEP, "daily_swing_c")] = None
    """how far the room's temperature moves up and down from that in a day: `3 °C`"""
    unattended: Annotated[Reading | None, intended(Family.DURATION, "unattended_min")] = None
    """longest time that nobody looks at the tank: `12 h`"""
    urgent: Annotated[bool | None, Flag()] = None
    """is the operation an emergency that cannot wait; it can where nothing is said: `true`"""

    @property
    def feeding(self) -> Reading | None:
        """The feed, where there is to be any."""
        return self.feed if self.feed is not None and self.feed.measured.best > 0.0 else None


class OxygenCylinder(Part):
    """The oxygen cylinder at hand."""

    volume: Annotated[Reading | None, litres("cylinder_l")] = None
    """water volume stamped on it: `5 L, stamp`"""
    pressure: Annotated[Reading | None, measure(Family.GAS_PRESSURE, "gauge_bar", "gauge")] = None
    """what its gauge shows: `140 bar, gauge`"""
    flow: Annotated[Reading | None, intended(Family.AIR_FLOW, "oxygen_flow_l_per_min")] = None
    """flow of oxygen: `1 L/min`"""


class Transport(Part):
    """How fish travel: one bag or box."""

    ordinal: SkipJsonSchema[int] = 1
    by: Annotated[Carrier | None, OneOf(Carrier)] = None
    """what they travel in: `bag with oxygen`"""
    volume: Annotated[Reading | None, litres()] = None
    """water in it: `12 L, marked tub`"""
    oxygen: Annotated[Reading | None, litres("gas_l")] = None
    """oxygen over the water of a bag: `30 L`"""
    hours: Annotated[Reading | None, intended(Family.DURATION, "stay_min")] = None
    """time from closing to opening: `90 min`"""
    temperature: Annotated[Reading | None, degrees()] = None
    """temperature of its water: `16 °C, thermometer`"""
    altitude: Annotated[Reading | None, measure(Family.ALTITUDE, "altitude_m", "altitude")] = None
    """of a bag, how high it was filled and closed, where that is not the pond's height: `20 m, map`"""
    patients: Annotated[tuple[int, ...], PatientsNamed()] = ()
    """which patients travel in it, by name or number; all of them without it: `Copper`"""

    @property
    def path(self) -> str:
        """What it is known by: a bag, which it is taken for where nothing is said, or a box."""
        return f"{'box' if self.by is Carrier.BOX else 'bag'}-{self.ordinal}"


class CaseEvent(Part):
    """Something that happens at a time to a water: the hospital tank where none is named."""

    at: Annotated[datetime, When()]
    """when: `2026-05-14T09:30`"""
    what: Annotated[Happens, OneOf(Happens, needed=True)]
    """what happens: `power fails`"""
    water: Annotated[str, WaterNamed()] = ""
    """which water; the hospital tank without it: `home pond`"""
    volume: Annotated[Reading | None, litres()] = None
    """water changed: `120 L, marked tub`"""
    weight: Annotated[Reading | None, intended(Family.MASS, "event_kg")] = None
    """weighed in, or weight of the fish: `300 g`"""
    words: Annotated[str, Text()] = ""
    """name of the fish or of the treatment: `peroxide`"""

    @property
    def told(self) -> str:
        """The event and its time, as it is written."""
        return f"{self.what} at {self.at:{TO_THE_MINUTE}}"

    def faults(self) -> Iterator[Fault]:
        """What its kind of event needs."""
        yield from super().faults()
        if self.what is Happens.CHANGE and self.volume is None:
            yield Fault("volume", f"nothing for the {self.told}", "give the water changed, such as '120 L, marked tub'")
        if self.what in _NEEDS_WEIGHT and self.weight is None:
            yield Fault("weight", f"nothing for the {self.told}", "give its weight, such as '300 g'")
        if self.what in _NEEDS_WORDS and not self.words:
            yield Fault("words", f"nothing for the {self.told}", "name the fish or the treatment")
