"""What one more ordinary reading would change: the chance that it moves a verdict, from the draws that exist."""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from waterplan import tables
from waterplan.hazards.record import Judgement, Measure
from waterplan.hazards.subject import Rests
from waterplan.plan.record import MeasureNext
from waterplan.published import FloatArray, Numbers
from waterplan.spread import COVERAGE

AT_MOST = 3
_FEWEST, _MOST_GROUPS = 8, 48
# Where the chance is worked out around each group of draws, in standard deviations.
_NODES = np.linspace(-3.5, 3.5, 7)


def would_change(
    passed: NDArray[np.bool_],
    quantity: FloatArray,
    *,
    reading_sd: Numbers,
    thresholds: Sequence[float],
    cannot_see: float | None = None,
) -> float:
    """The chance that one more reading of a quantity moves the chance of keeping a limit across a threshold.

    Parameters
    ----------
    passed : array
        Whether the limit is kept in each draw (bool), shape (draws + 1,); element 0, the best values, is left out.
    quantity : array
        What would be read, in each of the same draws, finite, in any unit.
    reading_sd : float or array
        One standard deviation of the reading's normal error in that unit, for all draws or for each.
    thresholds : sequence of float
        The chances of keeping the limit at which the verdict is another one, between 0 and 1.
    cannot_see : float, optional
        What the kit shows as nothing: readings below it tell only that.

    Returns
    -------
    float
        A chance between 0 and 1; 0 from fewer than eight draws, which tell nothing.

    Notes
    -----
    Each draw may be the truth, and the reading strays from it by its error. After a reading the draws count by how
    likely it was under each, and so does the chance of keeping the limit: a regression of the verdict on the reading
    over the draws that exist (Strong, Oakley, Brennan & Breeze 2015, who ask for a gain where this asks for a change).
    The draws are put in order and taken in groups, as many as the root of their number and 48 at most; between the
    points at which the regression is worked out it is a straight line. As the chance in a small group strays by itself,
    the regression is drawn towards the mean by as much as such straying explains of its variance, so that a reading
    that tells nothing changes nothing.

    The reading's error counts as its own: a meter that was used before brings its old calibration along and tells
    less. For an error that is a proportion give the logarithms of the quantity and the error's own.

    Checked against the closed form of a normal quantity and a normal reading.

    Examples
    --------
    >>> temps = np.linspace(10.0, 20.0, 4097)
    >>> round(would_change(temps > 10.3, temps, reading_sd=0.1, thresholds=[0.95]), 2)
    0.05
    """
    kept, read, error = (
        np.broadcast_to(one, np.shape(passed))[1:].astype(np.float64) for one in (passed, quantity, reading_sd)
    )
    chance = float(kept.mean()) if kept.size >= _FEWEST else 0.0
    if chance in {0.0, 1.0} or np.ptp(read) == 0.0:
        return 0.0  # too few draws to tell, or they agree, or the quantity is known: no weighing says otherwise
    edges = np.concatenate([[-np.inf], np.sort(np.asarray(thresholds, dtype=np.float64)), [np.inf]])
    above = int(np.searchsorted(edges, chance, side="right"))
    mass, ends = _after_reading(_Groups(kept, read, error), cannot_see)
    low, high = ends.min(axis=0), ends.max(axis=0)
    inside = np.minimum(high, edges[above]) - np.maximum(low, edges[above - 1])
    width = high - low
    level = width < 1e-12
    share = np.where(level, inside >= -1e-12, np.clip(inside, 0.0, None) / np.where(level, 1.0, width))
    return float(np.clip(1.0 - (mass * share).sum(), 0.0, 1.0))


class _Groups:
    """Draws in order, in groups: the share of all, mean, how far a reading of it strays, and how many keep the limit."""

    __slots__ = ("kept", "mean", "part", "sd", "size")

    def __init__(self, kept: FloatArray, read: FloatArray, error: FloatArray) -> None:
        order = np.argsort(read)
        groups = min(int(read.size**0.5), _MOST_GROUPS)
        starts = np.arange(groups) * read.size // groups
        self.size = np.diff(starts, append=read.size)
        self.part = self.size / read.size
        self.mean, self.kept, variance = (
            np.add.reduceat(column[order], starts) / self.size for column in (read, kept, error * error)
        )
        apart = read[order] - np.repeat(self.mean, self.size)
        spread = variance + np.add.reduceat(apart * apart, starts) / self.size
        self.sd = np.sqrt(np.maximum(spread, 1e-12 * spread.max()))


def _after_reading(groups: _Groups, cannot_see: float | None) -> tuple[FloatArray, FloatArray]:
    """How likely a reading is nothing, or lies between two points, and the chance of keeping the limit at both ends."""
    points = np.sort((groups.mean[:, None] + groups.sd[:, None] * _NODES).ravel())
    if cannot_see is not None:
        points = np.concatenate([[cannot_see], points[points > cannot_see], [max(cannot_see, points[-1])]])
    away = (points[:, None] - groups.mean) / groups.sd
    below = ndtr(away)
    # All that is shown as nothing is one reading, the first; a kit that sees everything never shows it.
    weights = np.concatenate([groups.part * below[:1], groups.part * np.exp(-0.5 * away * away) / groups.sd])
    so_far = _over(below, groups.part)
    mass = np.diff(so_far, prepend=so_far[0] if cannot_see is None else 0.0)
    in_all = weights.sum(axis=1)
    # Far from every group all weights are nought: the reading is as good as never taken.
    weights /= np.where(in_all > 0.0, in_all, 1.0)[:, None]
    mean = float(groups.part @ groups.kept)
    chances = np.where(in_all > 0.0, _over(weights, groups.kept), mean)
    strays = _over(weights * weights, groups.kept * (1.0 - groups.kept) / np.maximum(groups.size - 1, 1))
    both, noise = (np.stack([one[:-1], np.delete(one, 1)]) for one in (chances, strays))
    mass /= mass.sum()
    variance = float(mass @ np.square(both - mean).mean(axis=0))
    told = max(0.0, 1.0 - float(mass @ noise.mean(axis=0)) / variance) if variance > 0.0 else 0.0
    return mass, mean + told * (both - mean)


def _over(weights: FloatArray, values: FloatArray) -> FloatArray:
    """The sums over the groups, in numpy's own loop: a library with threads waits for them on a busy machine."""
    return np.asarray(np.einsum("ij,j->i", weights, values), dtype=np.float64)


def readings_that_move(
    passed: NDArray[np.bool_], rests: Iterable[Rests], *, thresholds: Sequence[float]
) -> tuple[Measure, ...]:
    """The readings that most likely move a verdict, as a judgement keeps them: the likeliest first, three at most.

    Parameters
    ----------
    passed : array
        Whether the limit is kept in each draw (bool), shape (draws + 1,).
    rests : iterable of Rests
        What the verdict rests on; what no ordinary instrument reads is left out.
    thresholds : sequence of float
        The chances of keeping the limit at which the verdict is another one.

    Returns
    -------
    tuple of Measure
        Each by what a practice has at hand.
    """
    least = tables.row("plan_methods", method="change named").value
    worth: list[tuple[float, Measure]] = []
    for one in rests:
        kit = tables.find("ordinary_readings", quantity=one.quantity)
        if kit is not None:
            chance = would_change(passed, one.known.draws, thresholds=thresholds, **error_of(kit, one.known.draws))
            moved = round(chance, 2)
            read = Measure(water=one.water, quantity=one.quantity, measured_with=kit["with"], would_change=moved)
            worth += [(moved, read)] if moved >= least else []
    return tuple(read for _, read in sorted(worth, key=lambda one: -one[0])[:AT_MOST])


def error_of(kit: tables.Row, draws: FloatArray) -> dict[str, Any]:
    """The error of an ordinary reading: one standard deviation (`reading_sd`), and what the kit `cannot_see`.

    Parameters
    ----------
    kit : tables.Row
        A row of `ordinary_readings`.
    draws : array
        What the quantity could be, shape (draws + 1,), in the unit of the core.

    Returns
    -------
    dict of str to array or float
        As `would_change` takes them.

    Notes
    -----
    The error of a row is the half-width of a 95 % interval. A kit that has a first step shows nothing where it sees
    less than half of it, as when a case is read.
    """
    rows = tables.rows("instruments", instrument=kit["with"], quantity=kit["reads"])
    parts = {row["part"]: row.value for row in rows}
    half = np.maximum(parts.get("absolute", 0.0), parts.get("relative", 0.0) * np.abs(draws))
    smallest = parts.get("smallest")
    return {"reading_sd": half / COVERAGE, "cannot_see": None if smallest is None else smallest / 2.0}


def best_readings(judgements: Iterable[Judgement]) -> tuple[MeasureNext, ...]:
    """The readings to take next: those that together move the most verdicts, three at most.

    Parameters
    ----------
    judgements : iterable of Judgement
        Judgements with the readings that may move each; one without a chance must be taken before anything is known.

    Returns
    -------
    tuple of MeasureNext
        The reading that is expected to move the most verdicts, then the one that moves the most of what it leaves, and
        so on; one instrument for a quantity of a water.

    Notes
    -----
    Of equals the one goes first that bears on the worst verdict, then the one that comes first in the plan.
    """
    left: dict[str, float] = {}
    moves: dict[tuple[str, str, str], dict[str, float]] = {}
    worst: dict[tuple[str, str, str], int] = {}
    for judgement in judgements:
        left[judgement.id] = 1.0
        for one in judgement.measure:
            key = (one.water, one.quantity, one.measured_with)
            moves.setdefault(key, {})[judgement.id] = 1.0 if one.would_change is None else one.would_change
            worst[key] = max(worst.get(key, 0), judgement.verdict.rank)
    chosen: list[MeasureNext] = []
    while moves and len(chosen) < AT_MOST:
        gains = {key: sum(left[path] * chance for path, chance in moved.items()) for key, moved in moves.items()}
        best = max(gains, key=lambda key: (round(gains[key], 9), worst[key]))
        if gains[best] <= 0.0:
            break
        water, quantity, instrument = best
        changes = tuple(path for path, chance in moves[best].items() if chance > 0.0)
        chosen.append(MeasureNext(water=water, quantity=quantity, measured_with=instrument, changes=changes))
        left |= {path: left[path] * (1.0 - chance) for path, chance in moves[best].items()}
        moves = {key: moved for key, moved in moves.items() if key[:2] != (water, quantity)}
    return tuple(chosen)
