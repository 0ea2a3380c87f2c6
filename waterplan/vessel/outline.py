"""The traced shore: a closed line of points, its area, and what lies inside it."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from waterplan.errors import CaseError, ImpossibleInput, Mistake
from waterplan.published import FloatArray, published

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


def as_points(rows: object, what: str) -> FloatArray:
    """Rows of x and y as an array of shape (n, 2); a row that is no pair of finite numbers is a mistake."""
    found, mistakes = [], []
    for number, row in enumerate(rows if isinstance(rows, Sequence | np.ndarray) else (), start=1):
        try:
            x, y = (float(value) for value in row)
        except (TypeError, ValueError):
            x, y = np.nan, np.nan
        if not (np.isfinite(x) and np.isfinite(y)):
            mistakes.append(Mistake(where=f"row {number}", read=str(row), would_do="give x and y in metres"))
        found.append((x, y))
    if mistakes:
        raise CaseError(what, mistakes)
    return np.asarray(found, dtype=np.float64).reshape(-1, 2)


def _crossing(points: FloatArray) -> tuple[int, int] | None:
    """The first two sides that cross or touch, or None."""
    start, end = points, np.roll(points, -1, axis=0)
    count = len(points)

    def side(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
        turn = (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
        return np.asarray(turn, dtype=np.float64)

    for first in range(count - 2):
        later = np.arange(first + 2, count - (first == 0))
        if later.size == 0:
            continue
        here = side(start[first], end[first], start[later]) * side(start[first], end[first], end[later])
        there = side(start[later], end[later], start[first]) * side(start[later], end[later], end[first])
        low, high = np.minimum(start[later], end[later]), np.maximum(start[later], end[later])
        mine_low, mine_high = np.minimum(start[first], end[first]), np.maximum(start[first], end[first])
        boxes_meet = ((low <= mine_high) & (high >= mine_low)).all(axis=1)
        meets = (here <= 0) & (there <= 0) & boxes_meet
        if meets.any():
            return first + 1, int(later[np.argmax(meets)]) + 1
    return None


def _smooth(points: FloatArray) -> FloatArray:
    closed = np.concatenate([points, points[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    steps = np.arange(_CHORDS) / _CHORDS
    places = (along[:-1, None] + np.diff(along)[:, None] * steps).ravel()
    return np.asarray(CubicSpline(along, closed, bc_type="periodic")(places), dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """A traced shore.

    Parameters
    ----------
    points : array
        Corners in order, shape (n, 2), the first not repeated [m].
    curved : bool
        True where the shore bends between the points (a smooth closed curve is laid through them); False where it is
        straight from point to point.
    point_error_m : float
        One standard deviation of where a point was taken, along either axis [m].

    Attributes
    ----------
    ring : array
        The shore as a polygon: the points themselves, or the smooth curve through them in short chords [m].
    area_m2 : float
        Area inside the shore [m2].

    Raises
    ------
    CaseError
        Fewer than three points, a point twice, or a shore that crosses itself: all with their rows.

    Examples
    --------
    >>> Outline.traced([(0, 0), (6, 0), (6, 4), (0, 4)]).area_m2
    24.0
    """

    points: FloatArray
    curved: bool = False
    point_error_m: float = 0.0
    ring: FloatArray = field(init=False)
    area_m2: float = field(init=False)

    @classmethod
    def traced(cls, rows: object, *, curved: bool = False, point_error_m: float = 0.0) -> "Outline":
        """An outline from rows of x and y [m]; all that is wrong with them is told together, by row."""
        points = as_points(rows, "outline")
        if len(points) > _FEWEST and (points[0] == points[-1]).all():
            points = points[:-1]
        return cls(points=points, curved=curved, point_error_m=point_error_m)

    def __post_init__(self) -> None:
        count = len(self.points)
        if not (np.isfinite(self.point_error_m) and self.point_error_m >= 0):
            raise ImpossibleInput("point_error_m", self.point_error_m, "0 or more", unit="m")
        if count < _FEWEST:
            raise CaseError("outline", [Mistake(where="rows", read=f"{count} points", would_do="give at least three")])
        same = (self.points == np.roll(self.points, 1, axis=0)).all(axis=1)
        if same.any():
            row = int(np.argmax(same)) + 1
            read = f"{self.points[row - 1, 0]:g}, {self.points[row - 1, 1]:g}"
            raise CaseError(
                "outline", [Mistake(where=f"row {row}", read=read, would_do="leave out the repeated point")]
            )
        crossing = _crossing(self.points)
        ring = _smooth(self.points) if self.curved else self.points
        if crossing is None and self.curved:
            chords = _crossing(ring)
            crossing = None if chords is None else ((chords[0] - 1) // _CHORDS + 1, (chords[1] - 1) // _CHORDS + 1)
        if crossing is not None:
            mistake = Mistake(
                where=f"rows {crossing[0]} and {crossing[1]}",
                read="a shore that crosses itself",
                would_do="give the points in order along the shore: the sides that start there meet",
            )
            raise CaseError("outline", [mistake])
        area = polygon_area_m2(ring[:, 0], y_m=ring[:, 1])
        if area <= 0:
            raise CaseError("outline", [Mistake(where="rows", read="no area", would_do="give points not on one line")])
        object.__setattr__(self, "ring", ring)
        object.__setattr__(self, "area_m2", area)

    @property
    def area_error_m2(self) -> float:
        """One standard deviation of the area from the errors of the points, each by itself [m2]."""
        across = np.roll(self.points, -1, axis=0) - np.roll(self.points, 1, axis=0)
        return float(self.point_error_m / 2.0 * np.sqrt((across**2).sum()))

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
