"""The traced shore: a closed line of points, its area, and what lies inside it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from waterplan import tables
from waterplan.errors import CaseError, Mistake
from waterplan.published import FloatArray, published
from waterplan.spread import Measured

# A curved shore is drawn with this many chords between two traced points.
_CHORDS = 8
_FEWEST = 3


@published(source="bronshtein_2015", locator="3.1 Planimetry: area of a polygon", status="derived")
def polygon_area_m2(x_m: FloatArray, *, y_m: FloatArray) -> float:
    """Area inside a closed line of corners.

    Parameters
    ----------
    x_m, y_m : array
        Corners in order, either way round, the first not repeated [m].

    Returns
    -------
    float
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        A coordinate is not finite.

    Notes
    -----
    Half the sum of x_i y_(i+1) - x_(i+1) y_i; exact for straight sides. The line must not cross itself (`Outline`
    sees to that). Checked against the polygon areas that an independent library stored with real traced ponds.

    Examples
    --------
    >>> polygon_area_m2([0.0, 6.0, 6.0, 0.0], y_m=[0.0, 0.0, 4.0, 4.0])
    24.0
    """
    x, y = x_m - np.mean(x_m), y_m - np.mean(y_m)
    return abs(float(x @ np.roll(y, -1) - np.roll(x, -1) @ y)) / 2.0


def closed_along(points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The corners with the first one again at the end, and how far along the closed line each of them lies [m]."""
    closed = np.concatenate([points, points[:1]])
    return closed, np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])


def _crossing(points: FloatArray) -> tuple[int, int] | None:
    """The first two sides that cross or touch, counted from 0, or None."""
    start, end = points, np.roll(points, -1, axis=0)
    count = len(points)

    def side(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
        turn = (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
        return np.asarray(turn, dtype=np.float64)

    for first in range(count - 2):
        later = np.arange(first + 2, count - (first == 0))
        here = side(start[first], end[first], start[later]) * side(start[first], end[first], end[later])
        there = side(start[later], end[later], start[first]) * side(start[later], end[later], end[first])
        low, high = np.minimum(start[later], end[later]), np.maximum(start[later], end[later])
        mine_low, mine_high = np.minimum(start[first], end[first]), np.maximum(start[first], end[first])
        boxes_meet = ((low <= mine_high) & (high >= mine_low)).all(axis=1)
        meets = (here <= 0) & (there <= 0) & boxes_meet
        if meets.any():
            return first, int(later[np.argmax(meets)])
    return None


def _smooth(points: FloatArray) -> FloatArray:
    from scipy.interpolate import CubicSpline

    closed, along = closed_along(points)
    steps = np.arange(_CHORDS) / _CHORDS
    places = (along[:-1, None] + np.diff(along)[:, None] * steps).ravel()
    return np.asarray(CubicSpline(along, closed, bc_type="periodic")(places), dtype=np.float64)


def _wrong(where: str, read: str, would_do: str) -> CaseError:
    return CaseError("outline", [Mistake(where=where, read=read, would_do=would_do)])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """A traced shore.

    Parameters
    ----------
    points : array
        Corners in order, shape (n, 2), the first not repeated [m].
    ring : array
        The shore as a polygon: the points themselves, or the smooth curve through them in short chords [m].
    area_m2 : float
        Area inside the shore [m2].

    Examples
    --------
    >>> Outline.traced([(0, 0), (6, 0), (6, 4), (0, 4)]).area_m2
    24.0
    """

    points: FloatArray
    ring: FloatArray
    area_m2: float

    @classmethod
    def traced(cls, rows: ArrayLike, *, curved: bool = False) -> "Outline":
        """An outline from rows of x and y [m].

        Parameters
        ----------
        rows : array
            Corners in order, shape (n, 2); the first may stand at the end again [m].
        curved : bool
            True where the shore bends between the points (a smooth closed curve is laid through them); False where it
            is straight from point to point.

        Raises
        ------
        CaseError
            Fewer than three points, a point twice, or a shore that crosses itself: with its rows.
        """
        points = np.asarray(rows, dtype=np.float64).reshape(-1, 2)
        if len(points) > _FEWEST and (points[0] == points[-1]).all():
            points = points[:-1]
        if len(points) < _FEWEST:
            raise _wrong("rows", f"{len(points)} points", "give at least three")
        same = (points == np.roll(points, 1, axis=0)).all(axis=1)
        if same.any():
            row = int(np.argmax(same))
            raise _wrong(f"row {row + 1}", "{:g}, {:g}".format(*points[row]), "leave out the repeated point")
        lines = {1: points, _CHORDS: _smooth(points)} if curved else {1: points}
        for chords, ring in lines.items():
            crossing = _crossing(ring)
            if crossing is not None:
                first, second = (side // chords + 1 for side in crossing)
                would_do = "give the points in order along the shore: the sides that start there meet"
                raise _wrong(f"rows {first} and {second}", "a shore that crosses itself", would_do)
        area = polygon_area_m2(ring[:, 0], y_m=ring[:, 1])
        if area <= 0:
            raise _wrong("rows", "no area", "give points not on one line")
        return cls(points=points, ring=ring, area_m2=area)

    @property
    def point_error_m(self) -> float:
        """One standard deviation of where a point was taken, along either axis [m]."""
        return tables.row("vessel_survey", rule="traced point").value

    @property
    def area_error_m2(self) -> float:
        """One standard deviation of the area from the errors of the points, each by itself [m2]."""
        across = np.roll(self.points, -1, axis=0) - np.roll(self.points, 1, axis=0)
        return float(self.point_error_m / 2.0 * np.sqrt((across**2).sum()))

    @property
    def area(self) -> Measured:
        """The area with that error [m2]."""
        return Measured.within_factor(self.area_m2, self.area_error_m2 / self.area_m2)

    def contains(self, places: FloatArray) -> NDArray[np.bool_]:
        """Which places, shape (n, 2), lie inside the shore (by the parity of the sides to one hand of them)."""
        x, y = places[:, 0], places[:, 1]
        inside = np.zeros(len(places), dtype=np.bool_)
        for (x0, y0), (x1, y1) in zip(self.ring, np.roll(self.ring, -1, axis=0), strict=True):
            if y0 == y1:
                continue
            inside ^= ((y0 > y) != (y1 > y)) & (x < x0 + (y - y0) * (x1 - x0) / (y1 - y0))
        return inside

    def distance_m(self, places: FloatArray) -> FloatArray:
        """Distance of places, shape (n, 2), from the nearest shore [m]."""
        nearest = np.full(len(places), np.inf)
        for start, end in zip(self.ring, np.roll(self.ring, -1, axis=0), strict=True):
            side = end - start
            share = np.clip((places - start) @ side / (side @ side), 0.0, 1.0)
            nearest = np.minimum(nearest, np.hypot(*(places - start - share[:, None] * side).T))
        return nearest

    def nodes(self, count: int) -> tuple[FloatArray, FloatArray]:
        """About `count` places spread evenly inside, shape (n, 2), and the share of the area that each stands for."""
        low, high = self.ring.min(axis=0), self.ring.max(axis=0)
        lines = max(8, round(float(np.sqrt(count * (high[1] - low[1]) ** 2 / self.area_m2))))
        step = (high[1] - low[1]) / lines
        places, weights = [], []
        start, end = self.ring, np.roll(self.ring, -1, axis=0)
        for height in low[1] + step * (np.arange(lines) + 0.5):
            meets = (start[:, 1] > height) != (end[:, 1] > height)
            a, b = start[meets], end[meets]
            cuts = np.sort(a[:, 0] + (height - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1]))
            for left, right in zip(cuts[::2], cuts[1::2], strict=True):
                many = max(1, round((right - left) / step))
                places.append(
                    np.column_stack([left + (right - left) * (np.arange(many) + 0.5) / many, [height] * many])
                )
                weights.append(np.full(many, (right - left) / many))
        share = np.concatenate(weights)
        return np.concatenate(places), share / share.sum()
