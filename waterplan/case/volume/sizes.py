"""A water measured by its shape: an outline, a profile and the sizes that the two need."""

from collections.abc import Iterator
from types import MappingProxyType
from typing import Annotated, Literal

from waterplan.case.kinds import Number, OneOf, Whole
from waterplan.case.measures import area as area_of
from waterplan.case.measures import size
from waterplan.case.part import Fault
from waterplan.case.values import Reading
from waterplan.case.volume.measurement import SHORE, UNIT, By, Stood
from waterplan.case.volume.rows import Rows, Table
from waterplan.errors import ImpossibleInput
from waterplan.vessel.basin import Form
from waterplan.vessel.forms import Plan, Profile, sizes_wanted

# The keys of the case for the sizes of the vessel room.
SIZE_KEYS = MappingProxyType(
    {
        "length_m": "length",
        "width_m": "width",
        "diameter_m": "diameter",
        "side_m": "side",
        "sides": "sides",
        "base_m": "base",
        "height_m": "height",
        "notch_length_m": "notch_length",
        "notch_width_m": "notch_width",
        "first_lobe_width_m": "first_lobe_width",
        "second_lobe_width_m": "second_lobe_width",
        "corner_radius_m": "corner_radius",
        "area_m2": "area",
        "middle_area_m2": "middle_area",
        "floor_area_m2": "floor_area",
        "brim_m": "rim",
        "floor_fall_m": "floor_fall",
        "wall_slope": "wall_slope",
    }
)
_LINER = ("length_m", "width_m", "brim_m", "wall_slope")


class ShapeGiven(Stood):
    """An outline, a profile and sizes."""

    by: Literal[By.SHAPE]
    """how it was measured: `shape`"""
    plan: Annotated[Plan, OneOf(Plan, needed=True)]
    """outline of the full vessel: `rectangle`"""
    profile: Annotated[Profile, OneOf(Profile, needed=True)]
    """how it narrows downwards: `vertical walls, flat floor`"""
    made: Annotated[Form, OneOf(Form, needed=True)]
    """how near it comes to that shape: `rigid tub from its size`"""
    below_rim: Annotated[Reading, size("freeboard_m")]
    """how far the water stands below the rim: `8 cm`"""
    length: Annotated[Reading | None, size("length_m")] = None
    """length at the rim: `4 m`"""
    width: Annotated[Reading | None, size("width_m")] = None
    """width at the rim: `2.5 m`"""
    diameter: Annotated[Reading | None, size("diameter_m")] = None
    """diameter at the rim: `2 m`"""
    side: Annotated[Reading | None, size("side_m")] = None
    """side of a regular polygon: `80 cm`"""
    sides: Annotated[int | None, Whole()] = None
    """how many sides it has: `8`"""
    base: Annotated[Reading | None, size("base_m")] = None
    """base of a triangle: `3 m`"""
    height: Annotated[Reading | None, size("height_m")] = None
    """height of a triangle over its base: `2 m`"""
    notch_length: Annotated[Reading | None, size("notch_length_m")] = None
    """length of the corner missing from an L: `1 m`"""
    notch_width: Annotated[Reading | None, size("notch_width_m")] = None
    """width of the corner missing from an L: `1 m`"""
    first_lobe_width: Annotated[Reading | None, size("first_lobe_width_m")] = None
    """width of a kidney's first lobe: `2 m`"""
    second_lobe_width: Annotated[Reading | None, size("second_lobe_width_m")] = None
    """width of a kidney's second lobe: `1.5 m`"""
    corner_radius: Annotated[Reading | None, size("corner_radius_m")] = None
    """radius of rounded corners: `10 cm`"""
    area: Annotated[Reading | None, area_of("area_m2")] = None
    """area at the rim of a free outline, where none is traced: `8.4 m2`"""
    middle_area: Annotated[Reading | None, area_of("middle_area_m2")] = None
    """area half way down: `6 m2`"""
    floor_area: Annotated[Reading | None, area_of("floor_area_m2")] = None
    """area of the floor: `4 m2`"""
    rim: Annotated[Reading | None, size("brim_m")] = None
    """height of the rim over the deepest point: `1.2 m`"""
    wall_slope: Annotated[float | None, Number()] = None
    """how far a wall leans in for each unit of depth: `0.3`"""
    floor_fall: Annotated[Reading | None, size("floor_fall_m")] = None
    """how much deeper the floor is at one end: `20 cm`"""
    unit: Annotated[str | None, UNIT] = None
    """unit of length of all rows: `m`"""
    outline: Annotated[Table, Rows()] = ()
    """the shore of a free outline in order, x y: `0 0`"""
    shore: Annotated[str | None, SHORE] = None
    """the shore between its points: `curved`"""
    shelves: Annotated[Table, Rows()] = ()
    """depth below the rim, width, and length where it does not go all round: `0.3 0.4`"""

    @property
    def area_is_known(self) -> bool:
        """A shape has one."""
        return True

    def faults(self) -> Iterator[Fault]:
        """Sizes that its plan and its profile lack, or have no use for."""
        yield from super().faults()
        if (self.outline or self.shelves) and self.unit is None:
            yield Fault("unit", "nothing", "say the unit of length of the rows: m, cm, mm, ft or in")
        if self.shelves and self.plan is not Plan.RECTANGLE:
            yield Fault("shelves", "given", "shelves go with a rectangle: leave them out, or take soundings")
        try:
            sizes = sizes_needed(self.plan, self.profile, shelves=bool(self.shelves))
        except ImpossibleInput as error:
            yield Fault("profile", f"{error.value}", f"use {error.limits}")
            return
        outlined = bool(self.outline) and self.plan is Plan.FREE
        for key in sizes:
            if not self.has(key) and not (key == "area" and outlined):
                yield Fault(key, "nothing", "this shape needs it")
        may = {*sizes, *(("corner_radius", "floor_fall") if self.shelves else ())}
        for key in SIZE_KEYS.values():
            if self.has(key) and key not in may:
                yield Fault(key, "given", f"this shape takes {', '.join(sizes)}: leave it out")


def sizes_needed(plan: Plan, profile: Profile, *, shelves: bool = False) -> tuple[str, ...]:
    """The keys of the sizes that a shape needs; those of a liner pond where it has shelves."""
    return tuple(SIZE_KEYS[name] for name in (_LINER if shelves else sizes_wanted(plan, profile)))
