"""What a case file may say: every section and key, in words, with an example.

The reader, the form on the screen and the table in the README are all made from these rows.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from waterplan.case.values import Quantity
from waterplan.dose import conflicts, substances
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

# How much bicarbonate goes in beside tricaine.
BUFFERS = ("what the water needs", "one to one", "two to one", "none")
# What the rules for conflicts can speak of, in a file's words.
KNOWN_THINGS = tuple(sorted(thing.replace("_", " ") for thing in conflicts.conflict_things()))

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
                    _choice("eaten", "may it, or a fish from its water, be eaten", ("no", "yes")),
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
                ),
            ),
            Section(
                name="doses",
                words="what is meant to go into a water, a table for each",
                many=True,
                fields=(
                    _choice("substance", "what it is", substances.known_substances(), required=True),
                    _choice("use", "what it is for", substances.every_use(), required=True),
                    _text(
                        "into",
                        "a vessel by its name, home pond, or litres and how they were found",
                        "grey tub",
                        required=True,
                    ),
                    _text("strength", "level that the veterinarian wants", "100 mg/L"),
                    _text("went_in", "what has gone in, to find its level", "5 g"),
                    _text("bottle", "what the label says", "10 mg/mL"),
                    _value("scale", Family.SCALE, "division_g", "intended", "smallest division of the scale", "0.1 g"),
                    _value("syringe", Family.SYRINGE, "division_ml", "intended", "division of the syringe", "1 mL"),
                    _value("drop", Family.SYRINGE, "drop_ml", "intended", "size of one drop", "0.05 mL"),
                    _when("opened", "when the bottle was opened or made up"),
                    _choice("buffer", "bicarbonate for tricaine", BUFFERS),
                    _value(
                        "added", Family.VOLUME, "volume_l", "volume", "water that a hose brought", "800 L, owner's word"
                    ),
                    _choice("overflowed", "did as much run over", ("no", "yes")),
                ),
            ),
            Section(
                name="injections",
                words="what is meant to go into the fish, a table for each",
                many=True,
                fields=(
                    _text("drug", "drug", "meloxicam", required=True),
                    _value("dose", Family.BODY_DOSE, "dose_mg_per_kg", "intended", "dose by weight", "1 mg/kg"),
                    _value("stock", Family.STOCK, "stock_mg_per_ml", "intended", "strength on the vial", "5 mg/mL"),
                    _value("syringe", Family.SYRINGE, "division_ml", "intended", "division of the syringe", "0.01 mL"),
                    _choice("weight_confirmed", "does the vet take a weight that was not weighed", ("no", "yes")),
                ),
            ),
            Section(
                name="already",
                words="what is already in the water, the filter or the fish, a table for each",
                many=True,
                fields=(
                    _choice("what", "what it is", KNOWN_THINGS, required=True),
                    _text("where", "in which water: a vessel's name or home pond; all of them without it", "home pond"),
                    _text("level", "its level, where it is known", "0.5 mg/L"),
                    _when("since", "since when"),
                ),
            ),
        )
    }
)
