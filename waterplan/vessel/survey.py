"""Soundings inside a traced shore: what is wrong with them, the floor drawn through them, and the water over it."""

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, published
from waterplan.spread import Draws, Measured
from waterplan.vessel.limits import Row, WrongRows, numbers_of
from waterplan.vessel.outline import Outline, closed_along, polygon_area_m2
from waterplan.vessel.shapes import LITRES_PER_M3
from waterplan.vessel.volume import Volume, student

# A sounding may lie this many errors of a traced point beyond the shore, and at least this far [m].
_SLACK_ERRORS, _SLACK_M = 2.0, 0.05
# Two soundings at one place that differ by no more than this many errors of reading are one place read again.
_REPEATS = 3.0


def _read(rows: Sequence[Row], outline: Outline, deepest_m: float | None, depth_error_m: float) -> FloatArray:
    wrong = WrongRows("soundings")
    seen: dict[tuple[float, float], tuple[int, list[float]]] = {}
    for number, row in enumerate(rows, start=1):
        told = " | ".join(f"{cell:g}" if isinstance(cell, float) else str(cell) for cell in row)
        found = numbers_of(row, 3)
        if found is None:
            wrong.add(number, told, "give x, y and depth as three numbers in metres, with points for decimals")
            continue
        x, y, depth = found
        first, depths = seen.get((x, y), (number, []))
        if not np.isfinite(found).all():
            wrong.add(number, told, "give finite numbers; leave out what was not measured")
        elif depth < 0:
            wrong.add(number, f"{depth:g} m", "a depth is 0 or more, counted downwards from the water's surface")
        elif deepest_m is not None and depth > deepest_m:
            would_do = f"deeper than the deepest point, stated as {deepest_m:g} m: correct one of the two"
            wrong.add(number, f"{depth:g} m", would_do)
        elif depths and abs(depth - depths[0]) > _REPEATS * depth_error_m:
            wrong.add(number, f"{depth:g} m", f"row {first} gives {depths[0]:g} m at the same place: keep one")
        else:  # a logger that stands still reads the same place again
            seen[x, y] = (first, [*depths, depth])
    places = np.asarray(list(seen), dtype=np.float64).reshape(-1, 2)
    slack = max(_SLACK_ERRORS * outline.point_error_m, _SLACK_M)
    for (x, y), (number, _), inside in zip(places, seen.values(), outline.contains(places), strict=True):
        distance = 0.0 if inside else float(outline.distance_m(np.array([[x, y]]))[0])
        if distance > slack:
            would_do = f"{distance:.2f} m outside the shore: correct the place or the outline"
            wrong.add(number, f"{x:g}, {y:g}", would_do)
    fewest = int(tables.row("vessel_survey", rule="fewest soundings").value)
    if not wrong.mistakes and len(seen) < fewest:
        wrong.add("rows", f"{len(seen)} different places", f"give at least {fewest}")
    wrong.tell()
    return np.column_stack([places, [np.mean(depths) for _, depths in seen.values()]])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Survey:
    """A traced shore with soundings inside it.

    Parameters
    ----------
    outline : Outline
        The shore.
    soundings : array
        Rows of x, y and depth of water, shape (n, 3) [m].
    shore : array
        Rows of x, y and depth evenly along the shore, shape (m, 3) [m].
    depth_error_m : float
        One standard deviation of each sounding by itself [m].

    Examples
    --------
    >>> rows = [(1, 1, 1.0), (3, 1, 1.0), (5, 1, 1.0), (1, 3, 1.0), (3, 3, 1.0), (5, 3, 1.0)]
    >>> shore = Outline.traced([(0, 0), (6, 0), (6, 4), (0, 4)])
    >>> len(Survey.taken(shore, rows, shore_depth_m=1.0).shore)
    48
    """

    outline: Outline
    soundings: FloatArray
    shore: FloatArray
    depth_error_m: float

    @classmethod
    def taken(
        cls,
        outline: Outline,
        rows: Sequence[Row],
        *,
        shore_depth_m: float | Sequence[float] = 0.0,
        deepest_m: float | None = None,
    ) -> "Survey":
        """A survey from rows of x, y and depth [m].

        Parameters
        ----------
        outline : Outline
            The shore.
        rows : sequence of row
            The soundings.
        shore_depth_m : float or sequence of float
            Depth of water at each traced point of the shore, 0 where the floor runs out to the surface, the depth at
            the wall's foot where there is a wall [m].
        deepest_m : float, optional
            The greatest depth, where it was measured by itself [m].

        Raises
        ------
        CaseError
            A row that is not three numbers, a sounding outside the shore, deeper than stated, negative, or at the place
            of another with another depth (within three errors of reading they are one, and their mean is taken); or too
            few: all with their rows.
        """
        error = tables.row("vessel_survey", rule="depth reading").value
        soundings = _read(rows, outline, deepest_m, error)
        closed, along = closed_along(outline.ring)
        count = max(48, min(200, 4 * round(float(np.sqrt(len(soundings))))))
        places = along[-1] * np.arange(count) / count
        traced = along[: -1 : len(outline.ring) // len(outline.points)]
        depth = np.interp(places, traced, np.broadcast_to(shore_depth_m, len(traced)), period=along[-1])
        shore = np.column_stack([*(np.interp(places, along, axis) for axis in closed.T), depth])
        return cls(outline=outline, soundings=soundings, shore=shore, depth_error_m=error)

    def depth_at(self, places: FloatArray) -> FloatArray:
        """Depth at places inside the shore, shape (n, 2), by linear interpolation in Delaunay triangles [m]."""
        from scipy.interpolate import LinearNDInterpolator

        known = np.concatenate([self.soundings, self.shore])
        _, first = np.unique(known[:, :2], axis=0, return_index=True)
        known = known[first]
        centre = known[:, :2].mean(axis=0)
        interpolate = LinearNDInterpolator(known[:, :2] - centre, known[:, 2])
        depth = np.asarray(interpolate(places - centre), dtype=np.float64)
        missing = np.isnan(depth)
        if missing.any():
            apart = np.linalg.norm(places[missing, None] - known[None, :, :2], axis=2)
            depth[missing] = known[apart.argmin(axis=1), 2]
        return depth


def _apart(ones: FloatArray, others: FloatArray) -> FloatArray:
    """How far each place is from each of the others."""
    from scipy.spatial.distance import cdist

    return np.asarray(cdist(ones, others))


@published(
    source="rasmussen_williams_2006",
    locator="equations 2.41-2.42 (a trend), 4.17 (Matérn 3/2), 5.10-5.12 (leaving one out)",
    status="from memory",
)
def mean_depth_m(survey: Survey, *, progress: Callable[[float], None] | None = None) -> tuple[float, float]:
    """Mean depth inside a shore and its standard error, from the soundings themselves.

    Parameters
    ----------
    survey : Survey
        Shore and soundings.
    progress : callable, optional
        Told the share that is done, from 0 to 1, as the sum goes on.

    Returns
    -------
    tuple of float
        Mean depth [m], and one standard deviation of it with n - 2 degrees of freedom [m].

    Raises
    ------
    ImpossibleInput
        The floor comes out above the water's surface on the mean.

    Notes
    -----
    Kriging of the depth below the shore's mean depth, with a trend that grows with the distance from the shore. Thirty
    floors are tried: six ranges of the covariance (Matérn 3/2 or exponential), two ways of leaving the shore, even or
    uneven to the stick. In each, every sounding is predicted from the others and the shore; the squared misses set the
    variance, and their likelihood the weight of that floor. The error is the kriging error of the mean together with
    the spread between floors, widened by 30 %: in simulated ponds it was 15 to 30 % too small. Straight lines
    between soundings would read low in every bowl, and resampling them would read as low each time; trend and
    covariance carry the floor's curve. More than 300 soundings are first averaged in cells. Checked by simulation: the
    coverage table in DEVELOPERS.md.

    Examples
    --------
    >>> rows = [(1, 1, 1.0), (3, 1, 1.0), (5, 1, 1.0), (1, 3, 1.0), (3, 3, 1.0), (5, 3, 1.0)]
    >>> shore = Outline.traced([(0, 0), (6, 0), (6, 4), (0, 4)])
    >>> round(mean_depth_m(Survey.taken(shore, rows, shore_depth_m=1.0))[0], 6)
    1.0
    """
    places, depths, nugget = _in_cells(survey)
    shore, base = survey.shore, float(survey.shore[:, 2].mean())
    unit = np.sqrt(survey.outline.area_m2)
    known = np.concatenate([places, shore[:, :2]])
    below = np.concatenate([depths, shore[:, 2]]) - base
    fine, share = survey.outline.nodes(_FINE)
    coarse, coarse_share = survey.outline.nodes(_COARSE)
    apart, to_area = _apart(known, known) / unit, _apart(known, fine) / unit
    to_coarse, in_coarse = _apart(known, coarse) / unit, _apart(coarse, coarse) / unit
    inwards = survey.outline.distance_m(fine)
    furthest = float(inwards.max())
    coarse_inwards = survey.outline.distance_m(coarse) / furthest
    steep = 2.0 * float(np.abs(below[: len(places)]).mean()) / furthest
    at_shore = survey.depth_error_m**2 + (steep * survey.outline.point_error_m) ** 2
    noise = np.concatenate([nugget, np.full(len(shore), at_shore)])
    off_shore = np.concatenate([survey.outline.distance_m(places), np.zeros(len(shore))]) / furthest
    rows = np.arange(len(places))

    @lru_cache(maxsize=2)
    def covariances(
        reach: float, correlation: Callable[[FloatArray], FloatArray]
    ) -> tuple[FloatArray, FloatArray, FloatArray, float]:
        """Of the places, of each with the mean over all nodes and over the coarse ones, and of the latter itself."""
        # The error is a small difference of large numbers: the last two must stand for the same places.
        to_mean = _times(correlation(to_area / reach), share)
        to_same = _times(correlation(to_coarse / reach), coarse_share)
        of_mean = float(coarse_share @ _times(correlation(in_coarse / reach), coarse_share))
        return correlation(apart / reach), to_mean, to_same, of_mean

    answers: list[tuple[float, float, float]] = []
    for reach, (power, correlation, uneven) in itertools.product(_RANGES, _FLOORS):
        if progress is not None:
            progress(len(answers) / (len(_RANGES) * len(_FLOORS)))
        trend, mean_trend = off_shore**power, float(share @ (inwards / furthest) ** power)
        coarse_trend = float(coarse_share @ coarse_inwards**power)
        covariance, to_mean, to_same, of_mean = covariances(reach, correlation)
        variance = max(float(np.mean(below[rows] ** 2)), _LEAST_VARIANCE)
        for _ in range(2):
            whitening = _whitening(covariance + np.diag(uneven * noise / variance + _JITTER))
            weighted = _solved(whitening, trend)
            of_slope = 1.0 / float(trend @ weighted)
            slope = of_slope * float(weighted @ below)
            projected = _solved(whitening, below - slope * trend)
            spare = (np.einsum("ij,ij->j", whitening, whitening) - of_slope * weighted**2)[rows]
            miss2 = projected[rows] ** 2 / spare
            variance = max(float(np.mean(np.minimum(miss2, _CAP * np.median(miss2)))), _LEAST_VARIANCE)
        tail = np.log1p(miss2 / variance / _TAIL)
        likelihood = -0.5 * float(np.sum(np.log(variance / spare) + (_TAIL + 1.0) * tail))
        mean = base + float(to_mean @ projected) + slope * mean_trend
        left = coarse_trend - float(weighted @ to_same)
        error2 = variance * max(of_mean - float(np.sum(_times(whitening, to_same) ** 2)) + of_slope * left**2, 0.0)
        answers.append((likelihood, mean, error2))
    likelihoods, means, errors2 = np.asarray(answers).T
    weights = np.exp(likelihoods - likelihoods.max())
    weights /= weights.sum()
    mean = float(weights @ means)
    if mean <= 0:
        raise ImpossibleInput("soundings", f"a mean depth of {mean:g} m", "above 0")
    return mean, _TOO_SURE * float(np.sqrt(weights @ (errors2 + (means - mean) ** 2)))


def sounded_volume(
    survey: Survey, *, draws: Draws, name: str, progress: Callable[[float], None] | None = None
) -> Volume:
    """Volume of water from a traced shore and soundings inside it.

    Parameters
    ----------
    survey : Survey
        Shore and soundings.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.
    progress : callable, optional
        Told the share that is done, from 0 to 1, as the sum goes on.

    Returns
    -------
    Volume
        Litres and surface, with the errors of the floor between the soundings, of the shore, and of the depths in common.

    Raises
    ------
    ImpossibleInput
        The mean depth is not above 0.

    Notes
    -----
    Area times mean depth. The floor between the soundings is that of `mean_depth_m`, with n - 2 degrees of freedom.

    Examples
    --------
    >>> rows = [(1, 1, 1.0), (3, 1, 1.0), (5, 1, 1.0), (1, 3, 1.0), (3, 3, 1.0), (5, 3, 1.0)]
    >>> shore = Outline.traced([(0, 0), (6, 0), (6, 4), (0, 4)])
    >>> round(sounded_volume(Survey.taken(shore, rows, shore_depth_m=1.0), draws=Draws(), name="pond").litres[0])
    24000
    """
    mean, error = mean_depth_m(survey, progress=progress)
    freedom = len(survey.soundings) - 2.0
    floor = mean * np.exp(student(draws, f"{name} floor", sd=error / mean, freedom=freedom))
    common_error_m = tables.row("vessel_survey", rule="depths in common").value
    common = draws.of(f"{name} depths", Measured.within_factor(1.0, common_error_m / mean))
    area = survey.outline.area
    return Volume(
        litres=LITRES_PER_M3 * draws.of(f"{name} shore", area) * floor * common,
        area_m2=draws.of(f"{name} surface", area),
        equations=(polygon_area_m2, mean_depth_m),
        rows=("vessel_survey/depths in common", "vessel_survey/depth reading", "vessel_survey/traced point"),
    )


# Ranges of the covariance as multiples of the root of the area, and numbers of places that stand for the area.
_RANGES = tuple(np.geomspace(0.2, 4.0, 6))
_CAP, _TAIL = 14.6, 4.0
_FINE, _COARSE = 1200, 250
_MOST = 300
# Soundings predict one another better than they predict the rest of the floor, and range, trend and roughness are read from
# the same soundings: in simulated ponds by this much.
_TOO_SURE = 1.3
_JITTER = 1e-8
_LEAST_VARIANCE = 1e-6
# OpenBLAS shares out no product of fewer than 64 x 64 x 64 multiplications.
_TILE = 64


def _matern(distance: FloatArray) -> FloatArray:
    scaled = np.sqrt(3.0) * distance
    return np.asarray((1.0 + scaled) * np.exp(-scaled), dtype=np.float64)


def _whitening(matrix: FloatArray) -> FloatArray:
    """The inverse of the lower Cholesky factor of a symmetric positive definite matrix, shape (n, n).

    It goes by tiles so small that no library shares them out among threads: for matrices of this size threads that
    wait for one another cost more than they save, and on a busy machine seconds.
    """
    n = len(matrix)
    count = -(-n // _TILE)
    side = -(-n // count)
    padded = np.eye(count * side)
    padded[:n, :n] = matrix
    left = np.ascontiguousarray(padded.reshape(count, side, count, side).swapaxes(1, 2))
    found = np.zeros_like(left)
    for k in range(count):
        try:
            found[k, k] = np.linalg.inv(np.linalg.cholesky(left[k, k]))
        except np.linalg.LinAlgError:
            raise ImpossibleInput("soundings", "places", "different enough to tell their depths apart") from None
        under = left[k + 1 :, k] @ found[k, k].T
        left[k + 1 :, k] = under
        left[k + 1 :, k + 1 :] -= under[:, None] @ under.swapaxes(1, 2)[None]
        found[k, :k] = -found[k, k] @ (left[k, :k, None] @ found[:k, :k]).sum(axis=0)
    return np.asarray(found.swapaxes(1, 2).reshape(count * side, count * side)[:n, :n], dtype=np.float64)


def _solved(whitening: FloatArray, vector: FloatArray) -> FloatArray:
    """The inverse of the matrix times a vector."""
    return _times(whitening.T, _times(whitening, vector))


def _exponential(distance: FloatArray) -> FloatArray:
    return np.asarray(np.exp(-distance), dtype=np.float64)


# How the depth grows with the distance from the shore, how rough the floor is, and how many times the variance of a
# reading the floor's own unevenness makes of it.
_FLOORS = ((0.5, _matern, 1.0), (1.0, _matern, 1.0), (0.5, _exponential, 1.0), (0.5, _matern, 9.0), (1.0, _matern, 9.0))


def _times(matrix: FloatArray, vector: FloatArray) -> FloatArray:
    """Matrix times vector in numpy's own loop: a threaded library is slower here, and much slower on a busy machine."""
    return np.asarray(np.einsum("ij,j->i", matrix, vector), dtype=np.float64)


def _in_cells(survey: Survey) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Places, depths and error variances of the soundings, averaged in square cells where they are very many."""
    soundings, error2 = survey.soundings, survey.depth_error_m**2
    if len(soundings) <= _MOST:
        return soundings[:, :2], soundings[:, 2], np.full(len(soundings), error2)
    size = np.sqrt(survey.outline.area_m2 / _MOST)
    cell: NDArray[np.int64] = np.floor(soundings[:, :2] / size).astype(np.int64)
    _, which, count = np.unique(cell, axis=0, return_inverse=True, return_counts=True)
    sums = np.stack([np.bincount(which.ravel(), weights=column) for column in soundings.T], axis=1)
    means = sums / count[:, None]
    return means[:, :2], means[:, 2], error2 / count
