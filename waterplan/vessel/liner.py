"""Liner ponds: leaning walls, shelves all round, steps along a side, a floor that falls."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers
from waterplan.spread import Draws, Measured
from waterplan.vessel.basin import Basin, Form, water_in
from waterplan.vessel.limits import require_not_above
from waterplan.vessel.shapes import prism_volume_l
from waterplan.vessel.solids import battered_volume_l, sloping_floor_volume_l
from waterplan.vessel.volume import Volume

_LEVELS_CHECKED = 65


class Shelf(NamedTuple):
    """A level ledge.

    Attributes
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


class _Part(NamedTuple):
    """What fills by itself from its own floor to its own rim; a sign of -1 where it takes the place of water."""

    filling: Callable[..., Numbers]
    floor_m: Numbers
    brim_m: Numbers
    sign: float


def _filling(parts: Sequence[_Part], *, depth_m: Numbers) -> Numbers:
    total: Numbers = 0.0
    for part in parts:
        inside = np.clip(depth_m - part.floor_m, 0.0, part.brim_m)
        total = total + part.sign * part.filling(depth_m=inside)
    return total


def liner_pond(
    *,
    length_m: Numbers,
    width_m: Numbers,
    brim_m: Numbers,
    wall_slope: Numbers = 0.0,
    corner_radius_m: Numbers = 0.0,
    shelves: Sequence[Shelf] = (),
    floor_fall_m: Numbers | None = None,
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
    floor_fall_m : float or array, optional
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
    >>> round(float(pond.volume_l(1.5)), 1)
    29232.0
    """
    around = [shelf for shelf in shelves if shelf.length_m is None]
    for shelf in shelves:
        require_not_above("shelf depth_m", shelf.depth_m, "brim_m", brim_m)
    brim, fall = np.asarray(brim_m), np.asarray(0.0 if floor_fall_m is None else floor_fall_m)
    parts = []
    length, width, radius, top = length_m, width_m, corner_radius_m, np.zeros_like(brim)
    for number, (bottom, ledge) in enumerate([*((one.depth_m, one.width_m) for one in around), (brim, 0.0)], 1):
        height = np.asarray(bottom) - top
        if not (height > 0).all():
            raise ImpossibleInput("shelves", f"shelf {number}", "given from the top down, each below the one before")
        tier = partial(
            battered_volume_l,
            length_m=length,
            width_m=width,
            brim_m=height,
            wall_slope=wall_slope,
            corner_radius_m=radius,
        )
        parts.append(_Part(tier, brim - bottom, height, 1.0))
        inwards = wall_slope * height + ledge
        length, width, radius = length - 2.0 * inwards, width - 2.0 * inwards, np.maximum(radius - inwards, 0.0)
        if not (np.minimum(length, width) >= 0).all():
            raise ImpossibleInput("shelves and walls", f"tier {number}", "such that they do not meet above the floor")
        top = np.asarray(bottom)
    for shelf in shelves:
        height = brim - shelf.depth_m - fall / 2.0
        if shelf.length_m is not None and (height > 0).all():
            block = partial(prism_volume_l, shelf.length_m * shelf.width_m)
            parts.append(_Part(block, fall / 2.0, height, -1.0))
    if (fall != 0).any():
        flat = partial(prism_volume_l, length * width)
        falling = partial(sloping_floor_volume_l, length_m=length, width_m=width, floor_fall_m=fall)
        parts.append(_Part(lambda depth_m: flat(depth_m=depth_m) - falling(depth_m=depth_m), 0.0, brim, -1.0))
    filling = partial(_filling, parts)
    curve = np.stack([np.asarray(filling(depth_m=share * brim)) for share in np.linspace(0.0, 1.0, _LEVELS_CHECKED)])
    rounding = 1e-9 * np.abs(curve).max()
    if (np.diff(curve, axis=0) < -rounding).any() or (curve < -rounding).any():
        raise ImpossibleInput("parts", "what takes the place of water", "no more than the water at any level")
    equations = (battered_volume_l,) if floor_fall_m is None else (battered_volume_l, sloping_floor_volume_l)
    return Basin(filling=filling, brim_m=brim_m, equations=equations)


def measured_liner_volume(
    *,
    sizes: Mapping[str, Measured],
    shelves: Sequence[Shelf],
    shelf_sd: float,
    freeboard_m: Measured,
    form: Form,
    draws: Draws,
    name: str,
) -> Volume:
    """Volume of water in a liner pond from its measured sizes.

    Parameters
    ----------
    sizes : mapping of str to Measured
        `length_m`, `width_m` and `brim_m`; where there are any, `wall_slope`, `corner_radius_m` and `floor_fall_m`.
    shelves : sequence of Shelf
        Shelves and steps, as they were measured.
    shelf_sd : float
        One standard deviation of each of their sizes, as a fraction of it.
    freeboard_m : Measured
        How far the water stands below the rim [m]; give it a floor of 0.
    form : Form
        How far the pond is from that shape.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

    Returns
    -------
    Volume
        Litres and surface, with the errors of the sizes and of the shape.

    Raises
    ------
    ImpossibleInput
        A size cannot be in some draw.

    Examples
    --------
    >>> sizes = {key: Measured.exact(value) for key, value in {"length_m": 6.0, "width_m": 4.0, "brim_m": 1.5}.items()}
    >>> pond = measured_liner_volume(
    ...     sizes=sizes, shelves=[], shelf_sd=0.05, freeboard_m=Measured.exact(0.0), form=Form.LINER, draws=Draws(),
    ...     name="pond",
    ... )
    >>> round(pond.litres[0])
    36000
    """

    def taped(number: int, shelf: Shelf) -> Shelf:
        drawn = {
            key: draws.of(f"{name} shelf {number} {key}", Measured.within_factor(value, shelf_sd))
            for key, value in shelf._asdict().items()
            if value is not None
        }
        return Shelf(**drawn)

    drawn = {key: draws.of(f"{name} {key}", size) for key, size in sizes.items()}
    pond = liner_pond(shelves=[taped(number, shelf) for number, shelf in enumerate(shelves)], **drawn)
    surface = liner_pond(shelves=shelves, **drawn)
    return water_in(pond, freeboard_m=freeboard_m, form=form, draws=draws, name=name, surface=surface)
