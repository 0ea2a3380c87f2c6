"""What a case file may say: every section and key, in words, with an example.

The reader, the form on the screen and the table in the README are all made from these rows.
"""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

from waterplan.dose import conflicts, salt, substances
from waterplan.first_plan.first_case.fields import Field, Kind, Section, choice, count, text, value, when
from waterplan.first_plan.first_case.sections_tank import TANK_SECTIONS
from waterplan.first_plan.first_case.tank_choices import BackUp, MadeOf, Stones
from waterplan.fish.species import known_species
from waterplan.units import Family
from waterplan.vessel.forms import Form, Plan, Profile
from waterplan.vessel.systematic import Edge

VERSION_KEY, VERSION = "waterplan_case", 1


class Filter(StrEnum):
    """What the biofilter of a tank can do."""

    SEEDED = "seeded"
    UNSEEDED = "unseeded"
    DAMAGED = "damaged"
    MATURING = "maturing"


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


class By(StrEnum):
    """How the volume of a body of water was measured."""

    SHAPE = "shape"
    SOUNDINGS = "soundings"
    GRID = "grid"
    LINES = "lines"
    CONTOURS = "contours"
    TRACER = "tracer"
    TIMED = "timed fill"
    METER = "meter"
    DRAWN = "draw-down"


class Reads(StrEnum):
    """What a tracer test reads, in which unit."""

    MS = "conductivity at 25 °C in mS/cm"
    US = "conductivity at 25 °C in µS/cm"
    CHLORIDE = "chloride in mg/L"
    SALINITY = "salinity in g/L"


_WATER = (
    value("temperature", Family.TEMPERATURE, "water_temp_c", "temperature", "temperature", "17.5 °C, thermometer"),
    value("ph", Family.PH, "ph", "ph", "pH", "7.8, pH meter"),
    value("oxygen", Family.CONCENTRATION, "do_mg_per_l", "oxygen", "dissolved oxygen", "8.1 mg/L, oxygen meter"),
    value("tan", Family.AMMONIA, "tan_mg_n_per_l", "tan", "total ammonia", "<0.25 mg/L as N, drop kit"),
    value("nitrite", Family.NITRITE, "nitrite_mg_no2_per_l", "nitrite", "nitrite", "0.1 mg/L as NO2, drop kit"),
    value(
        "alkalinity",
        Family.ALKALINITY,
        "alkalinity_mg_caco3_per_l",
        "alkalinity",
        "alkalinity",
        "110 mg/L as CaCO3, drop kit",
    ),
    value("salinity", Family.SALT, "salinity_g_per_l", "salinity", "salt in the water", "0.4 g/L, conductivity meter"),
    value("chlorine", Family.CONCENTRATION, "chlorine_mg_per_l", "chlorine", "total chlorine", "0 mg/L, drop kit"),
    value("chloride", Family.CONCENTRATION, "chloride_mg_per_l", "chloride", "chloride", "30 mg/L, drop kit"),
    value("nitrate", Family.NITRATE, "nitrate_mg_no3_per_l", "nitrate", "nitrate", "20 mg/L as NO3, drop kit"),
)
WATER_KEYS = tuple(field.key for field in _WATER)

_SHAPE = (
    choice("shape", "plan of the water surface", tuple(Shape)),
    value("length", Family.LENGTH, "length_m", "dimension", "length of the water surface", "1.2 m, tape"),
    value("width", Family.LENGTH, "width_m", "dimension", "width of the water surface", "60 cm, tape"),
    value("diameter", Family.LENGTH, "diameter_m", "dimension", "diameter of a round one", "90 cm, tape"),
    value("depth", Family.LENGTH, "depth_m", "dimension", "depth of the water", "45 cm, tape"),
    value("volume", Family.VOLUME, "volume_l", "volume", "litres, where they are known", "60 L, marked tub"),
)
SHAPE_KEYS = tuple(field.key for field in _SHAPE)

_FISH_SIZE = (
    value("length", Family.FISH_LENGTH, "length_cm", "length", "length of the fish", "31 cm, measuring board"),
    value("weight", Family.MASS, "weight_kg", "weight", "weight of the fish", "0.62 kg, scales"),
)

# How much bicarbonate goes in beside tricaine.
BUFFERS = ("what the water needs", "one to one", "two to one", "none")
GRADES = tuple(row["grade"] for row in salt.salt_grades())
# What the rules for conflicts can speak of, in a file's words.
KNOWN_THINGS = tuple(sorted(thing.replace("_", " ") for thing in conflicts.conflict_things()))


def _rows(key: str, words: str, example: str) -> Field:
    return Field(key=key, kind=Kind.ROWS, words=words, example=example)


def _number(key: str, words: str, example: str) -> Field:
    return Field(key=key, kind=Kind.NUMBER, words=words, example=example)


def _size(key: str, term: str, words: str, example: str) -> Field:
    return value(key, Family.LENGTH, term, "dimension", words, example)


def _area(key: str, term: str, words: str, example: str) -> Field:
    return value(key, Family.AREA, term, "area", words, example)


def _litres(key: str, term: str, words: str, example: str) -> Field:
    return value(key, Family.VOLUME, term, "litres", words, example)


# What is measured in rows is in the one unit of length that stands beside them.
_VOLUME = (
    text("of", "which water: home pond, or the name of a vessel", "home pond", required=True),
    choice("by", "how it was measured", tuple(By), required=True),
    text("part", "name of the part, where a water is measured in parts that add up", "plant bay"),
    choice("takes_place", "this part takes the place of water, as an island does", ("no", "yes")),
    choice("unit", "unit of length of all rows", ("m", "cm", "mm", "ft", "in")),
    _rows("outline", "the shore in order, x y and, at a wall, the depth at its foot", "0 0"),
    choice("shore", "the shore between its points", ("straight", "curved")),
    _rows("soundings", "soundings, x y depth", "1.2 0.8 0.65"),
    _rows("grid", "depths row by row, - where it is dry", "0.4 0.7 -"),
    _rows("lines", "number of the line, distance along it, depth; both shores too", "1 0.5 0.4"),
    _rows("contours", "depth, and the area of the water at that depth", "0 8.4"),
    _size("spacing", "spacing_m", "distance between soundings in a row, or between lines", "0.5 m"),
    _size("row_spacing", "row_spacing_m", "distance between the rows of a grid", "0.5 m"),
    choice("edge", "the water at the shore of a grid or of lines", tuple(Edge)),
    _size("wall_depth", "wall_depth_m", "depth at the foot of such a wall", "0.4 m"),
    _size("deepest", "deepest_m", "the greatest depth, where it was measured by itself", "1.4 m"),
    value("salt", Family.MASS, "tracer_salt_kg", "salt weight", "salt weighed in", "2.5 kg, scales"),
    value("purity", Family.SHARE, "purity_percent", "purity", "sodium chloride in the salt", "99.5 %"),
    choice("reads", "what was read before and after, and its unit", tuple(Reads)),
    _number("reads_to", "each reading is good to ± this, in the unit of the readings", "0.005"),
    _rows("before", "place, and the reading before the salt", "inlet 0.412"),
    _rows("after", "place, hours since the salt, and the reading", "inlet 4 0.678"),
    _litres("bucket", "bucket_l", "water in the bucket", "10 ± 0.1 L"),
    _rows("bucket_salt", "grams of salt in the bucket, counted up from 0, and the reading", "5 1.34"),
    _litres("top_up", "added_l", "water added between the readings", "120 L"),
    _number("top_up_reads", "what the added water reads", "0.35"),
    _rows("seconds", "seconds to fill the bucket, one filling to a line", "41"),
    value("fill_time", Family.DURATION, "fill_min", "time", "how long the filling took", "2.5 h"),
    _litres("meter_before", "meter_before_l", "water meter before", "18240 L"),
    _litres("meter_after", "meter_after_l", "water meter after", "26910 L"),
    _litres("drawn", "drawn_l", "water let out", "300 ± 10 L"),
    _size("fall", "level_fall_m", "how far the level fell by it", "3.5 ± 0.2 cm"),
    _size("mean_depth", "mean_depth_m", "mean depth before", "0.8 m"),
    choice("plan", "outline of the full vessel", tuple(Plan)),
    choice("profile", "how it narrows downwards", tuple(Profile)),
    choice("made", "how near it comes to that shape", tuple(Form)),
    _size("length", "length_m", "length at the rim", "4 m"),
    _size("width", "width_m", "width at the rim", "2.5 m"),
    _size("diameter", "diameter_m", "diameter at the rim", "2 m"),
    _size("side", "side_m", "side of a regular polygon", "80 cm"),
    Field(key="sides", kind=Kind.COUNT, words="how many sides it has", example="8"),
    _size("base", "base_m", "base of a triangle", "3 m"),
    _size("height", "height_m", "height of a triangle over its base", "2 m"),
    _size("notch_length", "notch_length_m", "length of the corner missing from an L", "1 m"),
    _size("notch_width", "notch_width_m", "width of the corner missing from an L", "1 m"),
    _size("first_lobe_width", "first_lobe_width_m", "width of a kidney's first lobe", "2 m"),
    _size("second_lobe_width", "second_lobe_width_m", "width of a kidney's second lobe", "1.5 m"),
    _size("corner_radius", "corner_radius_m", "radius of rounded corners", "10 cm"),
    _area("area", "area_m2", "area at the rim of a free outline, where none is traced", "8.4 m2"),
    _area("middle_area", "middle_area_m2", "area half way down", "6 m2"),
    _area("floor_area", "floor_area_m2", "area of the floor", "4 m2"),
    _size("rim", "brim_m", "height of the rim over the deepest point", "1.2 m"),
    _size("below_rim", "freeboard_m", "how far the water stands below the rim", "8 cm"),
    _number("wall_slope", "how far a wall leans in for each unit of depth", "0.3"),
    _size("floor_fall", "floor_fall_m", "how much deeper the floor is at one end", "20 cm"),
    _rows("shelves", "depth below the rim, width, and length where it does not go all round", "0.3 0.4"),
    _area("gravel_area", "bed_area_m2", "area of gravel that was not measured around", "3 m2"),
    _size("gravel_depth", "bed_thickness_m", "thickness of the gravel", "10 cm"),
    value("rock", Family.MASS, "rock_kg", "rock weight", "rock under water", "240 kg"),
    value("fish", Family.MASS, "biomass_kg", "rock weight", "weight of all the fish", "12 kg"),
    _litres("filter_bodies", "filter_bodies_l", "water in filters that was not measured", "180 L"),
    _size("pipe_length", "pipe_length_m", "length of pipes that hold water", "12 m"),
    _size("pipe_bore", "pipe_bore_m", "inner diameter of the pipes", "46 mm"),
    choice("folds", "take off the folds of a liner", ("no", "yes")),
    _size("level_fall", "level_fall_m", "how far the level stands lower now than when it was measured", "4 cm"),
    _area("surface", "area_m2", "area of the water's surface, where no outline or shape gives it", "8 m2"),
)
VOLUME_KEYS = tuple(field.key for field in _VOLUME)

SECTIONS: Mapping[str, Section] = MappingProxyType(
    {
        section.name: section
        for section in (
            Section(
                name="patient",
                words="the fish",
                required=True,
                fields=(
                    choice("species", "species", known_species(), required=True),
                    text("name", "name or mark", "Bramble"),
                    *_FISH_SIZE,
                    text("done", "what is done to it", "heron wound on the flank closed with five sutures"),
                    choice("condition", "body condition", ("good", "thin", "fat", "weak")),
                    when("last_fed", "when it last ate"),
                    choice("eaten", "may it, or a fish from its water, be eaten", ("no", "yes")),
                    choice("wound", "has it a wound", ("none", "closed", "open")),
                ),
            ),
            Section(
                name="place",
                words="where the water is",
                fields=(
                    text("name", "place", "garden pond, north slope"),
                    value(
                        "altitude", Family.ALTITUDE, "altitude_m", "altitude", "altitude above the sea", "640 m, map"
                    ),
                    value(
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
                    choice("walls", "how the sides go down", tuple(Walls)),
                    choice("filter", "what the pond's filter can do", tuple(Filter)),
                    choice("zeolite", "is there zeolite in the filter", ("no", "yes")),
                    choice("plants", "are there plants in the water", ("no", "yes")),
                    value(
                        "wanted_within",
                        Family.SHARE,
                        "half_band_percent",
                        "dimension",
                        "how near its volume is wanted, ±, for the salt of a tracer test",
                        "5 %",
                    ),
                ),
            ),
            Section(
                name="other_fish",
                words="the other fish of the home pond, a table for each sort",
                many=True,
                fields=(
                    choice("species", "species", known_species(), required=True),
                    Field(key="count", kind=Kind.COUNT, words="how many", example="6", required=True),
                    *_FISH_SIZE,
                ),
            ),
            Section(
                name="home_water",
                words="what was measured in the home pond",
                fields=(when("taken", "when it was measured"), *_WATER),
            ),
            Section(
                name="mains_water",
                words="the tap",
                fields=(
                    when("taken", "when it was measured"),
                    choice("disinfectant", "what the water company uses", ("chlorine", "chloramine", "none")),
                    *_WATER,
                ),
            ),
            Section(
                name="vessels",
                words="the tubs and tanks at hand, a table for each",
                many=True,
                required=True,
                fields=(
                    text("name", "its name", "grey tub", required=True),
                    choice("use", "what it is for", tuple(Use), required=True),
                    *_SHAPE,
                    value("rim", Family.LENGTH, "depth_m", "dimension", "height of its wall", "60 cm"),
                    choice("filled_with", "the water in it", ("home water", "mains water")),
                    value("air", Family.AIR_FLOW, "air_l_per_min", "air", "air put into it", "6 L/min"),
                    Field(key="outlets", kind=Kind.COUNT, words="air stones", example="2"),
                    value("heater", Family.POWER, "heater_w", "heater", "heater", "300 W"),
                    choice("filter", "what its filter can do", tuple(Filter)),
                    value(
                        "filter_ran",
                        Family.DURATION,
                        "stay_min",
                        "intended",
                        "how long a maturing one has run",
                        "20 days",
                    ),
                    choice("lid", "is it covered", ("yes", "no")),
                    choice("stones", "what kind of air stones", tuple(Stones)),
                    value("air_depth", Family.LENGTH, "depth_m", "dimension", "depth of the air stones", "40 cm, tape"),
                    choice("made_of", "what its walls are made of", tuple(MadeOf)),
                    choice("back_up", "what blows when the power fails", tuple(BackUp)),
                    value("back_up_air", Family.AIR_FLOW, "air_l_per_min", "air", "air of the back-up pump", "2 L/min"),
                    when("taken", "when its water was measured"),
                    *_WATER,
                ),
            ),
            Section(
                name="intended",
                words="what is meant to happen",
                fields=(
                    when("operation_at", "when the operation begins"),
                    value(
                        "temperature",
                        Family.TEMPERATURE,
                        "water_temp_c",
                        "temperature",
                        "temperature in the hospital tank",
                        "20 °C",
                    ),
                    value("salt", Family.SALT, "salinity_g_per_l", "intended", "salt in the hospital tank", "2 g/L"),
                    value("salt_dip", Family.SALT, "salinity_g_per_l", "intended", "strength of a salt dip", "25 g/L"),
                    value("days", Family.DURATION, "stay_min", "intended", "days in the hospital tank", "14 days"),
                    value("feed", Family.FEED, "feed_percent_per_day", "intended", "feed in hospital", "0.25 %/day"),
                    value(
                        "iodine_stock",
                        Family.IODINE_STOCK,
                        "pvp_iodine_percent",
                        "intended",
                        "povidone-iodine on the bottle",
                        "10 % PVP-I",
                    ),
                    count("meals", "meals a day", "2"),
                    value(
                        "room",
                        Family.TEMPERATURE,
                        "air_temp_c",
                        "temperature",
                        "temperature of the room",
                        "17 °C, thermometer",
                    ),
                    value(
                        "room_swing",
                        Family.TEMPERATURE_STEP,
                        "daily_swing_c",
                        "intended",
                        "how far the room's temperature moves up and down from that in a day",
                        "3 °C",
                    ),
                    value(
                        "unattended",
                        Family.DURATION,
                        "unattended_min",
                        "intended",
                        "longest time that nobody looks at the tank",
                        "12 h",
                    ),
                ),
            ),
            *TANK_SECTIONS,
            Section(
                name="doses",
                words="what is meant to go into a water, a table for each",
                many=True,
                fields=(
                    choice("substance", "what it is", substances.known_substances(), required=True),
                    choice("use", "what it is for", substances.every_use(), required=True),
                    text(
                        "into",
                        "a vessel by its name, home pond, or litres and how they were found",
                        "grey tub",
                        required=True,
                    ),
                    text("strength", "level that the veterinarian wants", "100 mg/L"),
                    text("went_in", "what has gone in, to find its level", "5 g"),
                    text("bottle", "what the label says", "10 mg/mL"),
                    value("scale", Family.SCALE, "division_g", "intended", "smallest division of the scale", "0.1 g"),
                    value("syringe", Family.SYRINGE, "division_ml", "intended", "division of the syringe", "1 mL"),
                    value("drop", Family.SYRINGE, "drop_ml", "intended", "size of one drop", "0.05 mL"),
                    when("opened", "when the bottle was opened or made up"),
                    choice("buffer", "bicarbonate for tricaine", BUFFERS),
                    value(
                        "added", Family.VOLUME, "volume_l", "volume", "water that a hose brought", "800 L, owner's word"
                    ),
                    choice("overflowed", "did as much run over", ("no", "yes")),
                    when("expires", "the date on the label after which it is not used"),
                    text("again", "the level once more, where it is far from all that is told of", "100 mg/L"),
                    choice("washed", "are the things to be disinfected clean", ("yes", "in doubt", "no")),
                    choice("grade", "which salt it is", GRADES),
                    value(
                        "changed",
                        Family.VOLUME,
                        "volume_l",
                        "volume",
                        "water changed each day while it is salted",
                        "60 L",
                    ),
                ),
            ),
            Section(
                name="injections",
                words="what is meant to go into the fish, a table for each",
                many=True,
                fields=(
                    text("drug", "drug", "meloxicam", required=True),
                    value("dose", Family.BODY_DOSE, "dose_mg_per_kg", "intended", "dose by weight", "1 mg/kg"),
                    value("stock", Family.STOCK, "stock_mg_per_ml", "intended", "strength on the vial", "5 mg/mL"),
                    value("syringe", Family.SYRINGE, "division_ml", "intended", "division of the syringe", "0.01 mL"),
                    choice("weight_confirmed", "does the vet take a weight that was not weighed", ("no", "yes")),
                    value(
                        "again",
                        Family.BODY_DOSE,
                        "dose_mg_per_kg",
                        "intended",
                        "the dose once more, where it is far from all that is told of",
                        "1 mg/kg",
                    ),
                    when("expires", "the date on the vial after which it is not used"),
                ),
            ),
            Section(
                name="already",
                words="what is already in the water, the filter or the fish, a table for each",
                many=True,
                fields=(
                    choice("what", "what it is", KNOWN_THINGS, required=True),
                    text("where", "in which water: a vessel's name or home pond; all of them without it", "home pond"),
                    text("level", "its level, where it is known", "0.5 mg/L"),
                    when("since", "since when"),
                ),
            ),
            Section(
                name="volumes",
                words="how much water there is, measured: a table for each way; several ways on one water are weighed together",
                many=True,
                fields=_VOLUME,
            ),
        )
    }
)
