"""A vessel as its filling curve: litres at a depth, the depth of some litres, and what is built of several parts."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers, as_numbers
from waterplan.vessel.limits import require_not_above

Filling: TypeAlias = Callable[[Numbers], Numbers]

# 2^-60 of the height of the rim is far below what any stick can read.
_HALVINGS = 60
_LEVELS_CHECKED = 65
_CENTIMETRE = 0.01


def _plain(value: object) -> Numbers:
    array = np.asarray(value, dtype=np.float64)
    return array.item() if array.ndim == 0 else array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Basin:
    """A shape that can be filled from its deepest point to its rim.

    Parameters
    ----------
    filling : callable
        Gives the litres for a depth of water at the deepest point [m], from 0 to the rim.
    brim_m : float or array
        Height of the rim above the deepest point [m].

    Examples
    --------
    >>> from waterplan.vessel.shapes import prism_volume_l
    >>> tub = Basin(filling=lambda depth_m: prism_volume_l(2.0, depth_m=depth_m), brim_m=1.0)
    >>> tub.volume_l(0.5), round(tub.depth_m(600.0), 3), tub.litres_per_cm(0.5)
    (1000.0, 0.3, 20.0)
    """

    filling: Filling
    brim_m: Numbers

    def __post_init__(self) -> None:
        brim = np.asarray(self.brim_m, dtype=np.float64)
        if not (np.isfinite(brim) & (brim > 0)).all():
            raise ImpossibleInput("brim_m", self.brim_m, "finite and above 0")

    def volume_l(self, depth_m: Numbers) -> Numbers:
        """Litres at a depth of water at the deepest point [m]; deeper than the rim is impossible."""
        depth_m = self._depth(depth_m)
        return self.filling(np.minimum(depth_m, self.brim_m))

    def full_l(self) -> Numbers:
        """Litres to the rim."""
        return self.filling(self.brim_m)

    def depth_m(self, volume_l: Numbers) -> Numbers:
        """The depth of water at the deepest point [m] that holds some litres; more than it holds is impossible."""
        wanted = np.asarray(as_numbers(volume_l), dtype=np.float64)
        if not (wanted >= 0).all():
            raise ImpossibleInput("volume_l", volume_l, "0 or more")
        require_not_above("volume_l", wanted, "litres to the rim", self.full_l())
        low = np.zeros(np.broadcast_shapes(wanted.shape, np.shape(self.brim_m)))
        high = low + np.asarray(self.brim_m)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            short = np.asarray(self.filling(middle)) < wanted
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        return _plain((low + high) / 2.0)

    def litres_per_cm(self, depth_m: Numbers) -> Numbers:
        """Litres in the centimetre below the surface, or in all the water where it is shallower than that."""
        depth_m = self._depth(depth_m)
        return self.filling(np.minimum(depth_m, self.brim_m)) - self.filling(
            _plain(np.maximum(depth_m - _CENTIMETRE, 0.0))
        )

    def level_fall_m(self, depth_m: Numbers, *, change_fraction: float) -> Numbers:
        """How far the level falls [m] when a fraction of the water (0 to 1) is let out, as for a water change."""
        if not 0.0 <= change_fraction <= 1.0:
            raise ImpossibleInput("change_fraction", change_fraction, "0 to 1")
        return depth_m - self.depth_m((1.0 - change_fraction) * self.volume_l(depth_m))

    def _depth(self, depth_m: Numbers) -> Numbers:
        depth = np.asarray(as_numbers(depth_m), dtype=np.float64)
        if not (depth >= 0).all():
            raise ImpossibleInput("depth_m", depth_m, "0 or more")
        require_not_above("depth_m", depth, "brim_m", self.brim_m)
        return _plain(depth)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """One part of a built-up basin: where its floor lies, and whether it is water or takes the place of water.

    Parameters
    ----------
    basin : Basin
        The part by itself.
    floor_m : float or array
        Height of the part's deepest point above the deepest point of the whole [m].
    takes_place : bool
        True for a bench, a step or a block that stands in the water.
    """

    basin: Basin
    floor_m: Numbers = 0.0
    takes_place: bool = False


def together(*parts: Part, brim_m: Numbers | None = None) -> Basin:
    """A basin built of parts side by side, on top of one another, and less what takes the place of water.

    Parameters
    ----------
    *parts : Part
        At least one part that is water. A part is full when the water stands above its own rim.
    brim_m : float or array, optional
        Height of the rim of the whole [m]; the highest rim among the parts that are water where it is not given.

    Returns
    -------
    Basin
        The sum less the differences.

    Raises
    ------
    ImpossibleInput
        No part is water, or what takes its place is at some level more than there is water.

    Examples
    --------
    >>> from waterplan.vessel.shapes import prism_volume_l
    >>> deep = Basin(filling=lambda depth_m: prism_volume_l(2.0, depth_m=depth_m), brim_m=1.0)
    >>> wide = Basin(filling=lambda depth_m: prism_volume_l(5.0, depth_m=depth_m), brim_m=0.3)
    >>> pond = together(Part(basin=deep), Part(basin=wide, floor_m=1.0))
    >>> pond.full_l(), pond.volume_l(1.25)
    (3500.0, 3250.0)
    """
    water = [part for part in parts if not part.takes_place]
    if not water:
        raise ImpossibleInput("parts", len(water), "at least one that is water")
    if brim_m is None:
        rims = [np.asarray(part.floor_m) + np.asarray(part.basin.brim_m) for part in water]
        brim_m = _plain(np.maximum.reduce(np.broadcast_arrays(*rims)))

    def filling(depth_m: Numbers) -> Numbers:
        total: Numbers = 0.0
        for part in parts:
            inside = _plain(np.clip(depth_m - part.floor_m, 0.0, part.basin.brim_m))
            litres = part.basin.filling(inside)
            total = total - litres if part.takes_place else total + litres
        return total

    heights = np.linspace(0.0, 1.0, _LEVELS_CHECKED)
    curve = np.stack([np.asarray(filling(_plain(height * np.asarray(brim_m)))) for height in heights])
    rounding = 1e-9 * np.abs(curve).max()
    if (np.diff(curve, axis=0) < -rounding).any() or (curve < -rounding).any():
        raise ImpossibleInput("parts", "what takes the place of water", "no more than the water at any level")
    return Basin(filling=filling, brim_m=brim_m)
