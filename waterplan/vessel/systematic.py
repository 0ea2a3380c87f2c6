"""Systematic samples: what the shore is like, the variance of an equally spaced sum, and what hides between two points."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, published
from waterplan.spread import Measured


class Edge(StrEnum):
    """What the water does at the shore."""

    RUNS_OUT = "the floor rises to the surface"
    LEDGES = "the floor rises to the surface in ledges"
    WALL = "the water stands against a wall"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shore:
    """What is known of the shore of a pond that is sampled in lines or in a grid.

    Parameters
    ----------
    edge : Edge
        Whether the floor runs out, with or without ledges, or stops at a wall.
    area_m2 : Measured, optional
        Area of the water's surface, needed where there is a wall [m2].
    wall_depth_m : float
        Mean depth at the foot of the wall, where there is one [m].

    Raises
    ------
    ImpossibleInput
        A wall without an area or a depth.

    Examples
    --------
    >>> Shore(edge=Edge.RUNS_OUT).wall_depth_m
    0.0
    """

    edge: Edge
    area_m2: Measured | None = None
    wall_depth_m: float = 0.0

    def __post_init__(self) -> None:
        if self.edge is Edge.WALL and (self.area_m2 is None or self.wall_depth_m == 0):
            limits = "given with the area of the water and the depth at the wall's foot"
            raise ImpossibleInput("shore", "a wall", limits)


def hidden_between(values: FloatArray, *, places: FloatArray) -> FloatArray:
    """What a curve may do between its points, by the integral of each slice, as one standard deviation with its sign.

    Parameters
    ----------
    values, places : array
        Three or more values, and where each was taken, growing [-].

    Returns
    -------
    array
        For each slice between two places, in the unit of the values times that of the places.

    Notes
    -----
    A ledge anywhere in a slice steps at once by what the slice rises or falls beyond the slope of the slices beside it,
    evenly anywhere in the slice: the integral misses by that step times the slice over the root of twelve. Beside the
    first and the last slice stands the slope of the next one, or the straight line through the next two, whichever leaves
    less to a ledge: a bowl that steepens evenly to its shore hides none.

    Examples
    --------
    >>> hidden_between([0.0, 3.0, 4.0, 3.0, 0.0], places=[0.0, 1.0, 2.0, 3.0, 4.0]).tolist()
    [0.0, 0.0, 0.0, 0.0]
    """
    step = np.diff(places)
    slope = np.diff(values) / step
    left = slope.copy()
    left[1:-1] -= (slope[2:] + slope[:-2]) / 2.0
    for end, beside, next_one in ((0, 1, 2), (-1, -2, -3)):
        by_next = slope[end] - slope[beside]
        on_a_line = by_next - (slope[beside] - slope[next_one]) if len(slope) > 2 else by_next
        left[end] = min(by_next, on_a_line, key=abs)
    return np.asarray(left * step**2 / np.sqrt(12.0), dtype=np.float64)


_AT_A_HALF = 1e-6
# A floor that rises to the surface is at its steepest there as a round bank is, by the root of the way to the shore.
_ROUND_BANK, _SLOPE = 0.5, 1.0
_BY_A_JUMP, _BY_A_SLOPE = 2.0, 8.0


def _share(smoothness: float) -> float:
    """The share of 3 C0 - 4 C1 + C2 that is the variance, by how the function ends: 0 with a jump, 1 in a slope.

    gamma(2q + 2) zeta(2q + 2) cos(pi q) / ((2 pi)^(2q + 2) (1 - 2^(2q - 1))), from memory of García-Fiñana & Cruz-Orive
    (2004, Statistics 38:243-272); 1/12 and 1/240 at its ends, as Gundersen & Jensen have them.
    """
    from scipy.special import gamma, zeta

    if abs(smoothness - 0.5) < _AT_A_HALF:  # 0/0 there: by the slopes of both
        ends = np.pi / (2.0 * np.log(2.0))
    else:
        ends = np.cos(np.pi * smoothness) / (1.0 - 2.0 ** (2.0 * smoothness - 1.0))
    order = 2.0 * smoothness + 2.0
    return float(gamma(order) * zeta(order) * ends / (2.0 * np.pi) ** order)


@published(source="gundersen_jensen_1987", locator="3 C0 - 4 C1 + C2, times 1/12 or 1/240", status="derived")
def systematic_variance(values: FloatArray, *, spacing_m: float, edge: Edge) -> float:
    """Variance of an integral taken as the sum of equally spaced values times their spacing.

    Parameters
    ----------
    values : array
        Equally spaced values from end to end, 0 beyond them; the last axis is summed along, the others added up.
    spacing_m : float
        Distance between neighbours [m].
    edge : Edge
        Whether the values end in a jump, run out, or run out in ledges.

    Returns
    -------
    float
        Variance of the integral [unit of the values times m, squared].

    Raises
    ------
    ImpossibleInput
        The spacing is negative or not finite.

    Notes
    -----
    spacing^2 times alpha (3 C0 - 4 C1 + C2), with C_k the sum of products of values k places apart: from the
    Euler-Maclaurin expansion of the covariogram of a function with a random start. alpha is 1/12 where the
    function ends in a jump and 1/240 where it runs out with a kink. The values show how steeply they run out beside their
    spacing: doubling it makes the bracket 2^(2q + 1) times as large, and alpha is that of q, between a round bank
    (q = 1/2) and a slope (q = 1). Over ledges the bracket is part jump and part slope: doubling the spacing doubles
    the one and makes the other eight times as large, which parts them, and each has its own alpha. What each value misses
    by itself is not taken out of C0: a ledge is missed alike in neighbouring values. Where a single row
    ends in jumps of opposite sign and its length is a whole number of spacings, as when a pond is shared out evenly,
    both ends miss together: twice the product of the ends is added. Checked against exact averages over the start for
    a block, a half ellipse, a wedge and a triangle, and by the coverage table in DEVELOPERS.md.

    Examples
    --------
    >>> round(systematic_variance([1.0, 1.0], spacing_m=1.0, edge=Edge.WALL), 6)
    0.166667
    """
    values = np.asarray(values, dtype=np.float64)
    padded = np.concatenate([values, np.zeros((*values.shape[:-1], 4))], axis=-1)
    own, next_one, next_but_one, fourth = (
        float((padded[..., : padded.shape[-1] - lag] * padded[..., lag:]).sum()) for lag in (0, 1, 2, 4)
    )
    spread = max(3.0 * own - 4.0 * next_one + next_but_one, 0.0)
    grows = _BY_A_SLOPE
    if spread > 0:
        wider = 3.0 * own - 4.0 * next_but_one + fourth
        grows = float(np.clip(wider / spread, _BY_A_JUMP, _BY_A_SLOPE))
    if edge is Edge.RUNS_OUT:
        alpha = _share(max((np.log2(grows) - 1.0) / 2.0, _ROUND_BANK))
    else:
        jumps = 1.0 if edge is Edge.WALL else (_BY_A_SLOPE - grows) / (_BY_A_SLOPE - _BY_A_JUMP)
        alpha = jumps * _share(0.0) + (1.0 - jumps) * _share(_SLOPE)
    together = max(-2.0 * float(values[0] * values[-1]), 0.0) if edge is Edge.WALL and values.ndim == 1 else 0.0
    return spacing_m**2 * alpha * (spread + together)
