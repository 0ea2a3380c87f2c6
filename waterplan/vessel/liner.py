"""Liner ponds: leaning walls, shelves all round, steps along a side, a floor that falls."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers
from waterplan.vessel.basin import Basin, Part, together
from waterplan.vessel.limits import require_not_above
from waterplan.vessel.shapes import prism_volume_l
from waterplan.vessel.solids import battered_volume_l, sloping_floor_volume_l


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shelf:
    """A level ledge.

    Parameters
    ----------
    depth_m : float or array
        How far below the rim it lies [m].
    width_m : float or array
        How far it reaches into the pond [m].
    length_m : float or array, optional
        Its length along the wall [m] where it is a step or runs along one side; all round the pond where not given.
    """

    depth_m: Numbers
    width_m: Numbers
    length_m: Numbers | None = None


def _wedge_under(depth_m: Numbers, *, length_m: Numbers, width_m: Numbers, floor_fall_m: Numbers) -> Numbers:
    whole = prism_volume_l(length_m * width_m, depth_m=depth_m)
    return whole - sloping_floor_volume_l(depth_m, length_m=length_m, width_m=width_m, floor_fall_m=floor_fall_m)


def liner_pond(
    *,
    length_m: Numbers,
    width_m: Numbers,
    brim_m: Numbers,
    wall_slope: Numbers = 0.0,
    corner_radius_m: Numbers = 0.0,
    shelves: Sequence[Shelf] = (),
    floor_fall_m: Numbers = 0.0,
) -> Basin:
    """A rectangular liner pond with leaning walls, shelves, steps, rounded corners and a falling floor.

    Parameters
    ----------
    length_m, width_m : float or array
        Length and width at the rim [m].
    brim_m : float or array
        Height of the rim above the deepest point [m].
    wall_slope : float or array
        How far a wall leans in for each metre of depth, above, between and below the shelves.
    corner_radius_m : float or array
        Radius of the corners at the rim [m].
    shelves : sequence of Shelf
        Shelves all round, from the top down, and shelves or steps along a side, in any order.
    floor_fall_m : float or array
        How much deeper the floor is at one end of its length than at the other [m].

    Returns
    -------
    Basin
        The pond, to be filled to a depth at its deepest point.

    Raises
    ------
    ImpossibleInput
        The walls or the shelves meet above the floor, a shelf lies below the floor or above another that should be
        higher, or the steps and the slope of the floor would take more than the water there is.

    Notes
    -----
    A shelf all round divides the pond into tiers, each a battered solid on top of the next. A step or a shelf along a
    side takes the place of a block of its own area below its level; where walls lean, the block leans with them, which
    leaves its area the same at every height; over a falling floor it is taken to stand half way along. The wedge under
    a falling floor is taken from under the flat floor's own rectangle, which neglects its spread along leaning walls.

    Examples
    --------
    >>> pond = liner_pond(length_m=6.0, width_m=4.0, brim_m=1.5, shelves=[Shelf(depth_m=0.3, width_m=0.3)])
    >>> round(pond.full_l(), 1)
    29232.0
    """
    around = [shelf for shelf in shelves if shelf.length_m is None]
    along = [shelf for shelf in shelves if shelf.length_m is not None]
    for shelf in shelves:
        require_not_above("shelf depth_m", shelf.depth_m, "brim_m", brim_m)
    parts = []
    length, width, radius, top = length_m, width_m, corner_radius_m, np.zeros_like(np.asarray(brim_m))
    for number, bottom in enumerate([*(shelf.depth_m for shelf in around), brim_m]):
        height = np.asarray(bottom) - top
        if not (height > 0).all():
            raise ImpossibleInput(
                "shelves", f"shelf {number + 1}", "given from the top down, each below the one before"
            )
        tier = partial(
            battered_volume_l,
            length_m=length,
            width_m=width,
            brim_m=height,
            wall_slope=wall_slope,
            corner_radius_m=radius,
        )
        parts.append(Part(basin=Basin(filling=tier, brim_m=height), floor_m=np.asarray(brim_m) - np.asarray(bottom)))
        ledge = around[number].width_m if number < len(around) else 0.0
        inwards = wall_slope * height + ledge
        length, width, radius = length - 2.0 * inwards, width - 2.0 * inwards, np.maximum(radius - inwards, 0.0)
        if not (np.minimum(length, width) >= 0).all():
            raise ImpossibleInput(
                "shelves and walls", f"tier {number + 1}", "such that they do not meet above the floor"
            )
        top = np.asarray(bottom)
    for shelf in along:
        block = partial(_block, area_m2=shelf.length_m * shelf.width_m if shelf.length_m is not None else 0.0)
        stands_at = np.asarray(floor_fall_m) / 2.0
        height = np.asarray(brim_m) - np.asarray(shelf.depth_m) - stands_at
        if (height > 0).all():
            parts.append(Part(basin=Basin(filling=block, brim_m=height), floor_m=stands_at, takes_place=True))
    if np.any(np.asarray(floor_fall_m) != 0):
        wedge = partial(_wedge_under, length_m=length, width_m=width, floor_fall_m=floor_fall_m)
        parts.append(Part(basin=Basin(filling=wedge, brim_m=brim_m), takes_place=True))
    return together(*parts, brim_m=brim_m)


def _block(depth_m: Numbers, *, area_m2: Numbers) -> Numbers:
    return prism_volume_l(area_m2, depth_m=depth_m)
