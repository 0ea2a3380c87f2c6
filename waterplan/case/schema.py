"""What a case file may say: every section and key, in words, with an example.

The reader, the form on the screen and the table in the README are all made from these rows.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from waterplan.case.tank_choices import BackUp, Carrier, Happens, MadeOf, Stones
from waterplan.case.values import Quantity
from waterplan.fish.species import known_species
from waterplan.units import Family

VERSION_KEY, VERSION = "waterplan_case", 1


class Kind(StrEnum):
    """How the text of a key is read."""

    TEXT = "text"
    CHOICE = "choice"
    READING = "value with a unit"
    COUNT = "whole number"
    WHEN = "date and time"


class Filter(StrEnum):
    """What the biofilter of a tank can do."""

    SEEDED = "seeded"
    UNSEEDED = "unseeded"
    DAMAGED = "damaged"


class Use(StrEnum):
    """What a vessel is for."""

    INDUCTION = "induction"
    IRRIGATION = "irrigation"
    REVIVAL = "revival"
    HOSPITAL = "hospital"
    DIP = "dip"


class Shape(StrEnum):
    """The plan of a vessel or pond."""

    RECTANGLE = "rectangle"
    ROUND = "round"
    OVAL = "oval"


class Walls(StrEnum):
    """How the sides of a pond go down."""

    VERTICAL = "vertical"
    SLOPING = "sloping"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One key of a section."""

    key: str
    kind: Kind
    words: str
    example: str
    required: bool = False
    choices: tuple[str, ...] = ()
    quantity: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One table of the file; `many` for an array of tables."""

    name: str
    words: str
    fields: tuple[Field, ...]
    many: bool = False
    required: bool = False

    def field(self, key: str) -> Field | None:
        """The field of a key, or None."""
        return next((field for field in self.fields if field.key == key), None)


def _value(
    key: str, family: Family, term: str, instrument_name: str, words: str, example: str, *, required: bool = False
) -> Field:
    quantity = Quantity(family=family, term=term, instrument_name=instrument_name)
    return Field(key=key, kind=Kind.READING, words=words, example=example, quantity=quantity, required=required)


def _text(key: str, words: str, example: str, *, required: bool = False) -> Field:
    return Field(key=key, kind=Kind.TEXT, words=words, example=example, required=required)


def _choice(key: str, words: str, choices: tuple[str, ...], *, required: bool = False) -> Field:
    return Field(key=key, kind=Kind.CHOICE, words=words, example=choices[0], choices=choices, required=required)


def _count(key: str, words: str, example: str) -> Field:
    return Field(key=key, kind=Kind.COUNT, words=words, example=example)


def _when(key: str, words: str) -> Field:
    return Field(key=key, kind=Kind.WHEN, words=words, example="2026-05-14T09:30")


_WATER = (
    _value("temperature", Family.TEMPERATURE, "water_temp_c", "temperature", "temperature", "17.5 °C, thermometer"),
    _value("ph", Family.PH, "ph", "ph", "pH", "7.8, pH meter"),
    _value("oxygen", Family.CONCENTRATION, "do_mg_per_l", "oxygen", "dissolved oxygen", "8.1 mg/L, oxygen meter"),
    _value("tan", Family.AMMONIA, "tan_mg_n_per_l", "tan", "total ammonia", "<0.25 mg/L as N, drop kit"),
    _value("nitrite", Family.NITRITE, "nitrite_mg_no2_per_l", "nitrite", "nitrite", "0.1 mg/L as NO2, drop kit"),
    _value(
        "alkalinity",
        Family.ALKALINITY,
        "alkalinity_mg_caco3_per_l",
        "alkalinity",
        "alkalinity",
        "110 mg/L as CaCO3, drop kit",
    ),
    _value("salinity", Family.SALT, "salinity_g_per_l", "salinity", "salt in the water", "0.4 g/L, conductivity meter"),
    _value("chlorine", Family.CONCENTRATION, "chlorine_mg_per_l", "chlorine", "total chlorine", "0 mg/L, drop kit"),
    _value("chloride", Family.CONCENTRATION, "chloride_mg_per_l", "chloride", "chloride", "30 mg/L, drop kit"),
    _value("nitrate", Family.NITRATE, "nitrate_mg_no3_per_l", "nitrate", "nitrate", "20 mg/L as NO3, drop kit"),
)
WATER_KEYS = tuple(field.key for field in _WATER)

_SHAPE = (
    _choice("shape", "plan of the water surface", tuple(Shape)),
    _value("length", Family.LENGTH, "length_m", "dimension", "length of the water surface", "1.2 m, tape"),
    _value("width", Family.LENGTH, "width_m", "dimension", "width of the water surface", "60 cm, tape"),
    _value("diameter", Family.LENGTH, "diameter_m", "dimension", "diameter of a round one", "90 cm, tape"),
    _value("depth", Family.LENGTH, "depth_m", "dimension", "depth of the water", "45 cm, tape"),
    _value("volume", Family.VOLUME, "volume_l", "volume", "litres, where they are known", "60 L, marked tub"),
)
SHAPE_KEYS = tuple(field.key for field in _SHAPE)

_FISH_SIZE = (
    _value("length", Family.FISH_LENGTH, "length_cm", "length", "length of the fish", "31 cm, measuring board"),
    _value("weight", Family.MASS, "weight_kg", "weight", "weight of the fish", "0.62 kg, scales"),
)

SECTIONS: Mapping[str, Section] = MappingProxyType(
    {
        section.name: section
        for section in (
            Section(
                name="patient",
                words="the fish",
                required=True,
                fields=(
                    _choice("species", "species", known_species(), required=True),
                    _text("name", "name or mark", "Bramble"),
                    *_FISH_SIZE,
                    _text("done", "what is done to it", "heron wound on the flank closed with five sutures"),
                    _choice("condition", "body condition", ("good", "thin", "fat", "weak")),
                    _when("last_fed", "when it last ate"),
                ),
            ),
            Section(
                name="place",
                words="where the water is",
                fields=(
                    _text("name", "place", "garden pond, north slope"),
                    _value(
                        "altitude", Family.ALTITUDE, "altitude_m", "altitude", "altitude above the sea", "640 m, map"
                    ),
                    _value(
                        "station_pressure",
                        Family.PRESSURE,
                        "air_pressure_kpa",
                        "pressure",
                        "air pressure at the place itself, not reduced to sea level",
                        "94.2 kPa, barometer",
                    ),
                ),
            ),
            Section(
                name="home_pond",
                words="the pond it comes from and goes back to",
                fields=(
                    *_SHAPE,
                    _choice("walls", "how the sides go down", tuple(Walls)),
                    _choice("filter", "what the pond's filter can do", tuple(Filter)),
                    _choice("zeolite", "is there zeolite in the filter", ("no", "yes")),
                    _choice("plants", "are there plants in the water", ("no", "yes")),
                ),
            ),
            Section(
                name="other_fish",
                words="the other fish of the home pond, a table for each sort",
                many=True,
                fields=(
                    _choice("species", "species", known_species(), required=True),
                    Field(key="count", kind=Kind.COUNT, words="how many", example="6", required=True),
                    *_FISH_SIZE,
                ),
            ),
            Section(
                name="home_water",
                words="what was measured in the home pond",
                fields=(_when("taken", "when it was measured"), *_WATER),
            ),
            Section(
                name="mains_water",
                words="the tap",
                fields=(
                    _when("taken", "when it was measured"),
                    _choice("disinfectant", "what the water company uses", ("chlorine", "chloramine", "none")),
                    *_WATER,
                ),
            ),
            Section(
                name="vessels",
                words="the tubs and tanks at hand, a table for each",
                many=True,
                required=True,
                fields=(
                    _text("name", "its name", "grey tub", required=True),
                    _choice("use", "what it is for", tuple(Use), required=True),
                    *_SHAPE,
                    _value("rim", Family.LENGTH, "depth_m", "dimension", "height of its wall", "60 cm"),
                    _choice("filled_with", "the water in it", ("home water", "mains water")),
                    _value("air", Family.AIR_FLOW, "air_l_per_min", "air", "air put into it", "6 L/min"),
                    Field(key="outlets", kind=Kind.COUNT, words="air stones", example="2"),
                    _value("heater", Family.POWER, "heater_w", "heater", "heater", "300 W"),
                    _choice("filter", "what its filter can do", tuple(Filter)),
                    _choice("lid", "is it covered", ("yes", "no")),
                    _choice("stones", "what kind of air stones", tuple(Stones)),
                    _value(
                        "air_depth", Family.LENGTH, "depth_m", "dimension", "depth of the air stones", "40 cm, tape"
                    ),
                    _choice("made_of", "what its walls are made of", tuple(MadeOf)),
                    _choice("back_up", "what blows when the power fails", tuple(BackUp)),
                    _value(
                        "back_up_air", Family.AIR_FLOW, "air_l_per_min", "air", "air of the back-up pump", "2 L/min"
                    ),
                    _when("taken", "when its water was measured"),
                    *_WATER,
                ),
            ),
            Section(
                name="intended",
                words="what is meant to happen",
                fields=(
                    _when("operation_at", "when the operation begins"),
                    _value(
                        "temperature",
                        Family.TEMPERATURE,
                        "water_temp_c",
                        "temperature",
                        "temperature in the hospital tank",
                        "20 °C",
                    ),
                    _value("salt", Family.SALT, "salinity_g_per_l", "intended", "salt in the hospital tank", "2 g/L"),
                    _value("salt_dip", Family.SALT, "salinity_g_per_l", "intended", "strength of a salt dip", "25 g/L"),
                    _value("days", Family.DURATION, "stay_min", "intended", "days in the hospital tank", "14 days"),
                    _value("feed", Family.FEED, "feed_percent_per_day", "intended", "feed in hospital", "0.25 %/day"),
                    _value(
                        "iodine_stock",
                        Family.IODINE_STOCK,
                        "pvp_iodine_percent",
                        "intended",
                        "povidone-iodine on the bottle",
                        "10 % PVP-I",
                    ),
                    _count("meals", "meals a day", "2"),
                    _value(
                        "room",
                        Family.TEMPERATURE,
                        "air_temp_c",
                        "temperature",
                        "temperature of the room",
                        "17 °C, thermometer",
                    ),
                    _value(
                        "room_swing",
                        Family.TEMPERATURE_STEP,
                        "daily_swing_c",
                        "intended",
                        "how far the room's temperature moves up and down from that in a day",
                        "3 °C",
                    ),
                    _value(
                        "unattended",
                        Family.DURATION,
                        "unattended_min",
                        "intended",
                        "longest time that nobody looks at the tank",
                        "12 h",
                    ),
                ),
            ),
            Section(
                name="oxygen_cylinder",
                words="the oxygen cylinder at hand",
                fields=(
                    _value("volume", Family.VOLUME, "cylinder_l", "volume", "water volume stamped on it", "5 L, stamp"),
                    _value(
                        "pressure", Family.GAS_PRESSURE, "gauge_bar", "gauge", "what its gauge shows", "140 bar, gauge"
                    ),
                    _value("flow", Family.AIR_FLOW, "oxygen_flow_l_per_min", "intended", "flow of oxygen", "1 L/min"),
                ),
            ),
            Section(
                name="transport",
                words="how the fish travels",
                fields=(
                    _choice("by", "what it travels in", tuple(Carrier)),
                    _value("volume", Family.VOLUME, "volume_l", "volume", "water in it", "12 L, marked tub"),
                    _value("oxygen", Family.VOLUME, "gas_l", "volume", "oxygen over the water of a bag", "30 L"),
                    _value("hours", Family.DURATION, "stay_min", "intended", "time from closing to opening", "90 min"),
                    _value(
                        "temperature",
                        Family.TEMPERATURE,
                        "water_temp_c",
                        "temperature",
                        "temperature of its water",
                        "16 °C, thermometer",
                    ),
                ),
            ),
            Section(
                name="events",
                words="what happens to the hospital tank beside the daily change and meals, a table for each in order",
                many=True,
                fields=(
                    Field(key="at", kind=Kind.WHEN, words="when", example="2026-05-16T18:00", required=True),
                    _choice("what", "what happens", tuple(Happens), required=True),
                    _value("volume", Family.VOLUME, "volume_l", "volume", "water changed", "120 L, marked tub"),
                    _value("weight", Family.MASS, "event_kg", "intended", "weighed in, or weight of the fish", "300 g"),
                    _text("words", "name of the fish or of the treatment", "peroxide"),
                ),
            ),
        )
    }
)
