"""One way in which the volume of a water was measured: what all ways share, and what may have changed since."""

from collections.abc import Iterator, Mapping
from enum import StrEnum
from functools import cached_property
from typing import Annotated, ClassVar

from waterplan.case.kinds import Flag, OneOf, Text
from waterplan.case.measures import area, litres, measure, size
from waterplan.case.part import Fault, Part
from waterplan.case.references import WaterNamed
from waterplan.case.values import Reading
from waterplan.case.volume.rows import Table
from waterplan.units import Family


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
