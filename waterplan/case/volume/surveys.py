"""A water measured by its depths: soundings, a grid, lines across it, or contours."""

from collections.abc import Iterator
from typing import Annotated, Literal

from waterplan.case.kinds import OneOf
from waterplan.case.measures import size
from waterplan.case.part import Fault
from waterplan.case.values import Reading
from waterplan.case.volume.measurement import SHORE, UNIT, By, Stood, Surfaced
from waterplan.case.volume.rows import Rows, Table
from waterplan.vessel.systematic import Edge


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
        if self.edge is not Edge.RUNS_OUT:
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

    @property
    def area_is_known(self) -> bool:
        """The first contour is the surface."""
        return True
