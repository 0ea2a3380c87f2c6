"""The waters of a case: the place, what was measured in each, and how large each is."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from functools import cached_property
from typing import Annotated, ClassVar

from pydantic.json_schema import SkipJsonSchema

from waterplan.case.choices import Disinfectant, FilledWith, Filter, Looks, Shape, Source, Use, Walls, Where
from waterplan.case.kinds import Flag, OneOf, Text, Whole
from waterplan.case.measures import OXYGEN, SATURATION, Measure, degrees, intended, litres, measure, size
from waterplan.case.names import HOME_POND
from waterplan.case.part import Fault, Part
from waterplan.case.references import PatientsNamed
from waterplan.case.tank_choices import BackUp, MadeOf, Stones
from waterplan.case.times import When
from waterplan.case.values import Quantity, Reading
from waterplan.units import Family

_NEEDED: Mapping[Shape | None, tuple[str, ...]] = {
    Shape.RECTANGLE: ("length", "width", "depth"),
    Shape.ROUND: ("diameter", "depth"),
    Shape.OVAL: ("length", "width", "depth"),
}
_EXCESS = Quantity(family=Family.GAS_EXCESS, term="delta_p_mmhg", instrument_name="gas excess")
_GAS = measure(Family.TOTAL_GAS, "total_gas_percent", "total gas", otherwise=_EXCESS)


class Place(Part):
    """Where the water is."""

    name: Annotated[str, Text()] = ""
    """place: `garden pond, north slope`"""
    altitude: Annotated[Reading | None, measure(Family.ALTITUDE, "altitude_m", "altitude")] = None
    """altitude above the sea: `640 m, map`"""
    station_pressure: Annotated[Reading | None, measure(Family.PRESSURE, "air_pressure_kpa", "pressure")] = None
    """air pressure at the place itself, not reduced to sea level: `94.2 kPa, barometer`"""
    authority: Annotated[str, Text()] = ""
    """whom to call about a notifiable fish disease, with the number: `district veterinary office, 01234 5678`"""
    vet_by_day: Annotated[str, Text()] = ""
    """the practice and its number by day, as papers print it: `fish practice, 01234 5678`"""
    out_of_hours: Annotated[str, Text()] = ""
    """whom to phone at night and on a holiday, with the number: `vet on call, 01234 8765`"""


class Body(Part):
    """The size of a body of water as it was given."""

    shape: Annotated[Shape | None, OneOf(Shape)] = None
    """plan of the water surface: `round`"""
    length: Annotated[Reading | None, size("length_m")] = None
    """length of the water surface: `1.2 m, tape`"""
    width: Annotated[Reading | None, size("width_m")] = None
    """width of the water surface: `60 cm, tape`"""
    diameter: Annotated[Reading | None, size("diameter_m")] = None
    """diameter of a round one: `90 cm, tape`"""
    depth: Annotated[Reading | None, size("depth_m")] = None
    """depth of the water: `45 cm, tape`"""
    volume: Annotated[Reading | None, litres()] = None
    """litres, where they are known: `60 L, marked tub`"""

    @property
    def has_surface(self) -> bool:
        """Whether its shape and sizes give the area of its surface: beside a volume the sizes may be left out."""
        sizes = [key for key in _NEEDED.get(self.shape, ()) if key != "depth"]
        return bool(sizes) and all(getattr(self, key) is not None for key in sizes)

    def faults(self) -> Iterator[Fault]:
        """A shape without its sizes, sizes without a shape."""
        yield from super().faults()
        given = {key for key in ("length", "width", "diameter", "depth") if getattr(self, key) is not None}
        if self.volume is not None:
            return
        for key in _NEEDED.get(self.shape, ()):
            if key not in given:
                yield Fault(key, "nothing", f"the shape {self.shape} needs its {key}")
        if self.shape is None and given:
            yield Fault("shape", "nothing", "say which: " + ", ".join(Shape))


class Water(Part):
    """What was measured in one water."""

    taken: Annotated[datetime | None, When()] = None
    """when it was measured: `2026-05-14T09:30`"""
    where: Annotated[Where | None, OneOf(Where)] = None
    """where in it; at the surface and at the inflow some readings look too good and clear nothing: `at the bottom`"""
    read_depth: Annotated[Reading | None, size("depth_m")] = None
    """how deep in it; near the surface oxygen, salt and gas clear nothing, and layers are not followed: `1.2 m, tape`"""
    kit_expires: Annotated[datetime | None, When()] = None
    """the date on the reagents of the kit; one that is over it clears nothing: `2026-10-31`"""
    ph_taken: Annotated[datetime | None, When()] = None
    """when the pH was read, where not with the rest: of a pond in the afternoon, oxygen before dawn: `2026-05-13T16:00`"""
    temperature: Annotated[Reading | None, degrees()] = None
    """temperature: `17.5 °C, thermometer`"""
    ph: Annotated[Reading | None, measure(Family.PH, "ph", "ph")] = None
    """pH: `7.8, pH meter`"""
    oxygen: Annotated[Reading | None, OXYGEN] = None
    """dissolved oxygen, in mg/L or in % of saturation: `8.1 mg/L, oxygen meter`"""
    oxygen_saturation: Annotated[Reading | None, Measure(SATURATION)] = None
    """oxygen in % of saturation, where the meter shows both: `92 % saturation, oxygen meter`"""
    tan: Annotated[Reading | None, measure(Family.AMMONIA, "tan_mg_n_per_l", "tan")] = None
    """total ammonia: `<0.25 mg/L as N, drop kit`"""
    nitrite: Annotated[Reading | None, measure(Family.NITRITE, "nitrite_mg_no2_per_l", "nitrite")] = None
    """nitrite: `0.1 mg/L as NO2, drop kit`"""
    alkalinity: Annotated[Reading | None, measure(Family.ALKALINITY, "alkalinity_mg_caco3_per_l", "alkalinity")] = None
    """alkalinity: `110 mg/L as CaCO3, drop kit`"""
    salinity: Annotated[Reading | None, measure(Family.SALT, "salinity_g_per_l", "salinity")] = None
    """salt in the water: `0.4 g/L, conductivity meter`"""
    conductivity: Annotated[
        Reading | None, measure(Family.CONDUCTIVITY, "specific_conductance_ms_per_cm", "conductivity")
    ] = None
    """conductivity, as the meter brings it to 25 °C: `0.6 mS/cm at 25 °C, conductivity meter`"""
    chlorine: Annotated[Reading | None, measure(Family.CONCENTRATION, "chlorine_mg_per_l", "chlorine")] = None
    """total chlorine: `0 mg/L, drop kit`"""
    chloride: Annotated[Reading | None, measure(Family.CONCENTRATION, "chloride_mg_per_l", "chloride")] = None
    """chloride: `30 mg/L, drop kit`"""
    nitrate: Annotated[Reading | None, measure(Family.NITRATE, "nitrate_mg_no3_per_l", "nitrate")] = None
    """nitrate: `20 mg/L as NO3, drop kit`"""
    carbon_dioxide: Annotated[Reading | None, measure(Family.CONCENTRATION, "co2_mg_per_l", "carbon dioxide")] = None
    """dissolved carbon dioxide: `8 mg/L, drop kit`"""
    gas_pressure: Annotated[Reading | None, _GAS] = None
    """total gas pressure in % of the air's, or how far it is above the air's: `104 %, gas pressure meter`"""

    @cached_property
    def readings(self) -> Mapping[str, Reading]:
        """What was measured, by its key."""
        return {key: reading for key in WATER_KEYS if (reading := getattr(self, key)) is not None}


_NOT_READ = frozenset({"taken", "where", "read_depth", "kit_expires", "ph_taken"})
WATER_KEYS = tuple(key for key in Water.model_fields if key not in _NOT_READ)


class MainsWater(Water):
    """The water that is new: the tap's, where nothing else is said."""

    kind: Annotated[Source | None, OneOf(Source)] = None
    """where the new water comes from; not stated, it is taken for disinfected tap water: `well`"""
    disinfectant: Annotated[Disinfectant | None, OneOf(Disinfectant)] = None
    """what the water company uses: `chlorine`"""


class HomePond(Body):
    """The pond the fish comes from and goes back to."""

    first: ClassVar[tuple[str, ...]] = tuple(Body.model_fields)
    walls: Annotated[Walls | None, OneOf(Walls)] = None
    """how the sides go down: `sloping`"""
    filter: Annotated[Filter | None, OneOf(Filter)] = None
    """what the pond's filter can do: `seeded`"""
    zeolite: Annotated[bool | None, Flag()] = None
    """is there zeolite in the filter: `false`"""
    plants: Annotated[bool | None, Flag()] = None
    """are there plants in the water: `true`"""
    looks: Annotated[Looks | None, OneOf(Looks)] = None
    """how its water looks; what nobody read before dawn or in the afternoon lies in the band of such water: `green`"""
    new_fish: Annotated[datetime | None, When()] = None
    """when the last new fish went in: `2026-04-20`"""
    wanted_within: Annotated[Reading | None, measure(Family.SHARE, "half_band_percent", "dimension")] = None
    """how near its volume is wanted, ±, for the salt of a tracer test: `5 %`"""


class Vessel(Water, Body):
    """A tub or tank at hand, and what was measured in it."""

    first: ClassVar[tuple[str, ...]] = ("name", "use", *Body.model_fields)
    ordinal: SkipJsonSchema[int] = 1
    name: Annotated[str, Text()]
    """its name: `grey tub`"""
    use: Annotated[Use, OneOf(Use, needed=True)]
    """what it is for: `revival`"""
    patients: Annotated[tuple[int, ...], PatientsNamed()] = ()
    """which patients go into it, by name or number; all of them without it: `Copper`"""
    rim: Annotated[Reading | None, size("depth_m")] = None
    """height of its wall: `60 cm`"""
    filled_with: Annotated[FilledWith, OneOf(FilledWith, needed=True)] = FilledWith.HOME
    """the water in it: `home water`"""
    air: Annotated[Reading | None, measure(Family.AIR_FLOW, "air_l_per_min", "air")] = None
    """air put into it: `6 L/min`"""
    outlets: Annotated[int | None, Whole()] = None
    """air stones: `2`"""
    heater: Annotated[Reading | None, measure(Family.POWER, "heater_w", "heater")] = None
    """heater: `300 W`"""
    filter: Annotated[Filter | None, OneOf(Filter)] = None
    """what its filter can do: `unseeded`"""
    filter_ran: Annotated[Reading | None, intended(Family.DURATION, "stay_min")] = None
    """how long a maturing one has run: `20 days`"""
    lid: Annotated[bool | None, Flag()] = None
    """is it covered: `true`"""
    stones: Annotated[Stones | None, OneOf(Stones)] = None
    """what kind of air stones: `fine`"""
    air_depth: Annotated[Reading | None, size("depth_m")] = None
    """depth of the air stones: `40 cm, tape`"""
    made_of: Annotated[MadeOf | None, OneOf(MadeOf)] = None
    """what its walls are made of: `plastic`"""
    back_up: Annotated[BackUp | None, OneOf(BackUp)] = None
    """what blows when the power fails: `battery air pump`"""
    back_up_air: Annotated[Reading | None, measure(Family.AIR_FLOW, "air_l_per_min", "air")] = None
    """air of the back-up pump: `2 L/min`"""

    @property
    def path(self) -> str:
        """What it is known by: its use and its number among those of that use; a vat that is the home by the home's path."""
        return HOME_POND if self.use is Use.VAT else f"{self.use}-{self.ordinal}"
