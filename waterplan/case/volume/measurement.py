"""One way in which the volume of a water was measured: what all ways share, and what may have changed since."""

from collections.abc import Iterator, Mapping
from enum import StrEnum
from functools import cached_property
from typing import Annotated, ClassVar, Literal

from waterplan.case.kinds import Flag, Number, OneOf, Text
from waterplan.case.measures import area, litres, measure, size
from waterplan.case.part import Fault, Part
from waterplan.case.references import WaterNamed
from waterplan.case.values import Reading
from waterplan.case.volume.rows import Rows, Table
from waterplan.units import Family
from waterplan.vessel.systematic import Edge


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


UNIT, SHORE = OneOf(("m", "cm", "mm", "ft", "in")), OneOf(("straight", "curved"))


class Measurement(Part):
    """A way of measuring; each way has keys of its own besides."""

    first: ClassVar[tuple[str, ...]] = ("of", "by")
    pairs: ClassVar[tuple[tuple[str, str], ...]] = ()
    by: By
    """how it was measured: `soundings`"""
    of: Annotated[str, WaterNamed()]
    """which water: home pond, or the name of a vessel: `home pond`"""
    part: Annotated[str, Text()] = ""
    """name of the part, where a water is measured in parts that add up: `plant bay`"""
    takes_place: Annotated[bool | None, Flag()] = None
    """this part takes the place of water, as an island does: `false`"""

    @cached_property
    def readings(self) -> Mapping[str, Reading]:
        """What was measured, by its key."""
        return {key: value for key, value in self if isinstance(value, Reading)}

    @cached_property
    def rows(self) -> Mapping[str, Table]:
        """The cells of each line as they were written, by their key."""
        return {key: value for key, value in self if isinstance(value, tuple) and value}

    @cached_property
    def words(self) -> Mapping[str, str]:
        """What was chosen of it, by its key."""
        named = {"of", "by", "part"}
        return {key: str(value) for key, value in self if isinstance(value, str) and value and key not in named}

    @cached_property
    def numbers(self) -> Mapping[str, float]:
        """Plain numbers in the unit that the readings are in, by their key."""
        return {key: float(value) for key, value in self if type(value) in {int, float}}

    def has(self, key: str) -> bool:
        """Whether a key was given."""
        return getattr(self, key, None) not in (None, (), "")

    @property
    def area_is_known(self) -> bool:
        """Whether the area of the water's surface follows from what was given."""
        return self.has("surface") or self.has("outline")

    def faults(self) -> Iterator[Fault]:
        """What is needed beside something else."""
        yield from super().faults()
        if self.takes_place and not self.part:
            yield Fault("part", "nothing", "name the part that takes the place of water")
        for first, second in self.pairs:
            if self.has(first) and not self.has(second):
                yield Fault(second, "nothing", f"needed beside {first}")
        if self.has("level_fall") and not self.area_is_known:
            yield Fault("surface", "nothing", "level_fall needs the area of the water's surface")


class Fallen(Measurement):
    """A measurement since which the level may have fallen."""

    level_fall: Annotated[Reading | None, size("level_fall_m")] = None
    """how far the level stands lower now than when it was measured: `4 cm`"""


class Surfaced(Fallen):
    """A measurement that does not give the area of the surface by itself."""

    surface: Annotated[Reading | None, area("area_m2")] = None
    """area of the water's surface, where no outline or shape gives it: `8 m2`"""


class Hung(Fallen):
    """A measurement that did not see what hangs on to the water."""

    pairs: ClassVar[tuple[tuple[str, str], ...]] = (("pipe_length", "pipe_bore"),)
    filter_bodies: Annotated[Reading | None, litres("filter_bodies_l")] = None
    """water in filters that was not measured: `180 L`"""
    pipe_length: Annotated[Reading | None, size("pipe_length_m")] = None
    """length of pipes that hold water: `12 m`"""
    pipe_bore: Annotated[Reading | None, size("pipe_bore_m")] = None
    """inner diameter of the pipes: `46 mm`"""


class Stood(Hung):
    """A measurement that saw nothing of what stands in the water either."""

    pairs: ClassVar[tuple[tuple[str, str], ...]] = (("gravel_area", "gravel_depth"), *Hung.pairs)
    gravel_area: Annotated[Reading | None, area("bed_area_m2")] = None
    """area of gravel that was not measured around: `3 m2`"""
    gravel_depth: Annotated[Reading | None, size("bed_thickness_m")] = None
    """thickness of the gravel: `10 cm`"""
    rock: Annotated[Reading | None, measure(Family.MASS, "rock_kg", "rock weight")] = None
    """rock under water: `240 kg`"""
    fish: Annotated[Reading | None, measure(Family.MASS, "biomass_kg", "rock weight")] = None
    """weight of all the fish: `12 kg`"""
    folds: Annotated[bool | None, Flag()] = None
    """take off the folds of a liner: `false`"""


# -- by its depths -------------------------------------------------------------------------------------------------------


class Soundings(Stood):
    """The shore, and depths at places inside it."""

    by: Literal[By.SOUNDINGS]
    """how it was measured: `soundings`"""
    unit: Annotated[str, UNIT]
    """unit of length of all rows: `m`"""
    outline: Annotated[Table, Rows()]
    """the shore in order, x y and, at a wall, the depth at its foot: `0 0`"""
    soundings: Annotated[Table, Rows()]
    """soundings, x y depth: `1.2 0.8 0.65`"""
    shore: Annotated[str | None, SHORE] = None
    """the shore between its points: `curved`"""
    deepest: Annotated[Reading | None, size("deepest_m")] = None
    """the greatest depth, where it was measured by itself: `1.4 m`"""


class Sectioned(Stood, Surfaced):
    """Depths at even distances."""

    unit: Annotated[str, UNIT]
    """unit of length of all rows: `m`"""
    spacing: Annotated[Reading, size("spacing_m")]
    """distance between soundings in a row, or between lines: `0.5 m`"""
    edge: Annotated[Edge, OneOf(Edge, needed=True)]
    """the water at the shore of a grid or of lines: `the floor rises to the surface`"""
    wall_depth: Annotated[Reading | None, size("wall_depth_m")] = None
    """depth at the foot of such a wall: `0.4 m`"""
    outline: Annotated[Table, Rows()] = ()
    """the shore in order, x y: `0 0`"""
    shore: Annotated[str | None, SHORE] = None
    """the shore between its points: `curved`"""

    def faults(self) -> Iterator[Fault]:
        """What a wall needs."""
        yield from super().faults()
        if self.edge is Edge.WALL:
            if not self.area_is_known:
                yield Fault("surface", "nothing", "a wall needs the area of the water, or its outline")
            if self.wall_depth is None:
                yield Fault("wall_depth", "nothing", "say how deep it is at the foot of the wall")


class Grid(Sectioned):
    """Depths row by row."""

    by: Literal[By.GRID]
    """how it was measured: `grid`"""
    grid: Annotated[Table, Rows()]
    """depths row by row, - where it is dry: `0.4 0.7 -`"""
    row_spacing: Annotated[Reading | None, size("row_spacing_m")] = None
    """distance between the rows of a grid: `0.5 m`"""


class Lines(Sectioned):
    """Depths along lines across the water."""

    by: Literal[By.LINES]
    """how it was measured: `lines`"""
    lines: Annotated[Table, Rows()]
    """number of the line, distance along it, depth; both shores too: `1 0.5 0.4`"""


class Contours(Stood):
    """The area of the water at several depths."""

    by: Literal[By.CONTOURS]
    """how it was measured: `contours`"""
    unit: Annotated[str, UNIT]
    """unit of length of all rows: `m`"""
    contours: Annotated[Table, Rows()]
    """depth, and the area of the water at that depth: `0 8.4`"""
    deepest: Annotated[Reading | None, size("deepest_m")] = None
    """the greatest depth, where it was measured by itself: `1.4 m`"""
    upright_to: Annotated[Reading | None, size("upright_m")] = None
    """to which depth the sides are upright all round, the least depth at their foot: `0.6 m`"""

    @property
    def area_is_known(self) -> bool:
        """The first contour is the surface."""
        return True


# -- by what fills it, what is let out, or a salt -----------------------------------------------------------------------


class Reads(StrEnum):
    """What a tracer test reads, in which unit."""

    MS = "conductivity at 25 °C in mS/cm"
    US = "conductivity at 25 °C in µS/cm"
    CHLORIDE = "chloride in mg/L"
    SALINITY = "salinity in g/L"


class Tracer(Surfaced):
    """Salt weighed in, and what the water read before and after."""

    pairs: ClassVar[tuple[tuple[str, str], ...]] = (("bucket_salt", "bucket"), ("top_up", "top_up_reads"))
    by: Literal[By.TRACER]
    """how it was measured: `tracer`"""
    salt: Annotated[Reading, measure(Family.MASS, "tracer_salt_kg", "salt weight")]
    """salt weighed in: `2.5 kg, scales`"""
    reads: Annotated[Reads, OneOf(Reads, needed=True)]
    """what was read before and after, and its unit: `salinity in g/L`"""
    reads_to: Annotated[float, Number()]
    """each reading is good to ± this, in the unit of the readings: `0.005`"""
    before: Annotated[Table, Rows()]
    """place, and the reading before the salt: `inlet 0.412`"""
    after: Annotated[Table, Rows()]
    """place, hours since the salt, and the reading: `inlet 4 0.678`"""
    purity: Annotated[Reading | None, measure(Family.SHARE, "purity_percent", "purity")] = None
    """sodium chloride in the salt: `99.5 %`"""
    bucket: Annotated[Reading | None, litres("bucket_l")] = None
    """water in the bucket: `10 ± 0.1 L`"""
    bucket_salt: Annotated[Table, Rows()] = ()
    """grams of salt in the bucket, counted up from 0, and the reading: `5 1.34`"""
    top_up: Annotated[Reading | None, litres("added_l")] = None
    """water added between the readings: `120 L`"""
    top_up_reads: Annotated[float | None, Number()] = None
    """what the added water reads: `0.35`"""

    def faults(self) -> Iterator[Fault]:
        """How much of the salt is sodium chloride must be known once."""
        yield from super().faults()
        if not self.bucket_salt and self.purity is None:
            say = "say how much of the salt is sodium chloride, or give a bucket test of the salt itself"
            yield Fault("purity", "nothing", say)
        if self.bucket_salt and self.purity is not None:
            yield Fault("purity", "given with a bucket test", "leave it out: the bucket test has it in")


class TimedFill(Hung, Surfaced):
    """How long the filling took, at a flow timed with a bucket."""

    by: Literal[By.TIMED]
    """how it was measured: `timed fill`"""
    bucket: Annotated[Reading, litres("bucket_l")]
    """water in the bucket: `10 ± 0.1 L`"""
    seconds: Annotated[Table, Rows()]
    """seconds to fill the bucket, one filling to a line: `41`"""
    fill_time: Annotated[Reading, measure(Family.DURATION, "fill_min", "time")]
    """how long the filling took: `2.5 h`"""


class Meter(Hung, Surfaced):
    """A water meter before and after the filling."""

    by: Literal[By.METER]
    """how it was measured: `meter`"""
    meter_before: Annotated[Reading, litres("meter_before_l")]
    """water meter before: `18240 L`"""
    meter_after: Annotated[Reading, litres("meter_after_l")]
    """water meter after: `26910 L`"""


class DrawDown(Stood):
    """Litres let out, and how far the level fell by it."""

    by: Literal[By.DRAWN]
    """how it was measured: `draw-down`"""
    drawn: Annotated[Reading, litres("drawn_l")]
    """water let out: `300 ± 10 L`"""
    fall: Annotated[Reading, size("level_fall_m")]
    """how far the level fell by it: `3.5 ± 0.2 cm`"""
    mean_depth: Annotated[Reading, size("mean_depth_m")]
    """mean depth before: `0.8 m`"""

    @property
    def area_is_known(self) -> bool:
        """The litres of a centimetre give it."""
        return True
