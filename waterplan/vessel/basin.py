"""A vessel as its filling curve: litres at a depth, the surface there, and the water that stands in it."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers
from waterplan.spread import Draws, Measured
from waterplan.vessel.limits import require_not_above
from waterplan.vessel.shapes import LITRES_PER_M3
from waterplan.vessel.volume import Volume, relative_sd

_CENTIMETRE, _PER_M = 0.01, 100.0


class Form(StrEnum):
    """How far a real vessel is from the shape it is taken for; each is a row of `vessel_methods`."""

    RIGID = "rigid tub from its size"
    LINER = "liner pond from its size"
    INFORMAL = "informal pond without slopes"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Basin:
    """A shape that can be filled from its deepest point to its rim.

    Parameters
    ----------
    filling : callable
        Gives the litres for a depth of water at the deepest point, `depth_m` [m], from 0 to the rim.
    brim_m : float or array
        Height of the rim above the deepest point [m].
    equations : tuple
        The published functions behind it.

    Examples
    --------
    >>> tub = Basin(filling=lambda depth_m: 2000.0 * depth_m, brim_m=1.0)
    >>> float(tub.volume_l(0.5)), round(float(tub.surface_m2(0.5)), 6)
    (1000.0, 2.0)
    """

    filling: Callable[..., Numbers]
    brim_m: Numbers
    equations: tuple[Callable[..., object], ...] = ()

    def __post_init__(self) -> None:
        brim = np.asarray(self.brim_m, dtype=np.float64)
        if not (np.isfinite(brim) & (brim > 0)).all():
            raise ImpossibleInput("brim_m", self.brim_m, "finite and above 0")

    def volume_l(self, depth_m: Numbers) -> Numbers:
        """Litres at a depth of water at the deepest point [m]; deeper than the rim is impossible."""
        if not np.all(np.asarray(depth_m) >= 0):
            raise ImpossibleInput("depth_m", depth_m, "0 or more")
        require_not_above("depth_m", depth_m, "brim_m", self.brim_m)
        return self.filling(depth_m=np.minimum(depth_m, self.brim_m))

    def surface_m2(self, depth_m: Numbers) -> Numbers:
        """Mean area over the centimetre below the surface, or over all the depth where it is less than that [m2]."""
        litres_per_cm = self.volume_l(depth_m) - self.filling(depth_m=np.maximum(depth_m - _CENTIMETRE, 0.0))
        return litres_per_cm * _PER_M / LITRES_PER_M3


def water_in(
    basin: Basin, *, freeboard_m: Measured, form: Form, draws: Draws, name: str, surface: Basin | None = None
) -> Volume:
    """The water in a basin of drawn sizes, with the error of the shape it is taken for.

    Parameters
    ----------
    basin : Basin
        A basin whose sizes are draws or exact.
    freeboard_m : Measured
        How far the water stands below the rim [m]; give it a floor of 0.
    form : Form
        How far the vessel is from that shape.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.
    surface : Basin, optional
        The basin of which the surface is taken, where that is another one.

    Returns
    -------
    Volume
        Litres and surface, with the errors of the sizes and, in the litres, of the shape.

    Raises
    ------
    ImpossibleInput
        The water stands below the floor or above the rim in some draw.

    Notes
    -----
    The error of the shape is one log-normal factor from `vessel_methods`.

    Examples
    --------
    >>> tub = Basin(filling=lambda depth_m: 2000.0 * depth_m, brim_m=0.5)
    >>> found = water_in(tub, freeboard_m=Measured.exact(0.1), form=Form.RIGID, draws=Draws(count=10), name="tub")
    >>> round(found.litres[0])
    800
    """
    depth = basin.brim_m - draws.of(f"{name} freeboard_m", freeboard_m)
    litres = basin.volume_l(depth) * draws.of(f"{name} form", Measured.within_factor(1.0, relative_sd(form)))
    return Volume(
        litres=litres,
        area_m2=np.asarray((surface or basin).surface_m2(depth)),
        equations=basin.equations,
        rows=(f"vessel_methods/{form}",),
    )
