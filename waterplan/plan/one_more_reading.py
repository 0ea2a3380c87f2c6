"""What one more ordinary reading would change: a verdict, by its chance in the draws that exist, or an amount."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from waterplan import tables
from waterplan.actions.record import MEASURED, Action
from waterplan.hazards.record import Hazard, Judgement, Measure
from waterplan.hazards.subject import Rests
from waterplan.plan.record import MeasureNext
from waterplan.published import FloatArray, Numbers
from waterplan.spread import COVERAGE
from waterplan.stay.record import Figure, Origin

# A water or fish, a quantity, and with what it is read.
Reading: TypeAlias = tuple[str, str, str]
AT_MOST = 3
_FEWEST, _MOST_GROUPS = 8, 48
# A variance by chance strays by a share of itself, the root of two over the number of groups: so many of those are added.
_SURE = 1.0
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
    the regression is drawn towards the mean by as much as such straying may explain of its variance, so that a reading
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
    by_chance = float(mass @ noise.mean(axis=0)) * (1.0 + _SURE * (2.0 / groups.size.size) ** 0.5)
    told = max(0.0, 1.0 - by_chance / variance) if variance > 0.0 else 0.0
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


def narrowed(actions: Iterable[Action], figures: Mapping[str, Figure]) -> Mapping[Reading, Mapping[str, float]]:
    """The amounts that a reading would change: those with a wide band that hangs on it, each with the share of it.

    Parameters
    ----------
    actions : iterable of Action
        What is still to be done.
    figures : mapping of str to Figure
        The figures of the plan with what their bands hang on.

    Returns
    -------
    mapping of tuple to mapping of str to float
        For each water or fish, quantity and instrument the actions, each with the largest share among its amounts.
    """
    wide, found = _method("amount that is wide"), dict[Reading, dict[str, float]]()
    for action in actions:
        for figure in (figures[path] for path in action.amounts.values() if path in figures):
            if figure.unit not in MEASURED or not figure.best or figure.low is None or figure.high is None:
                continue
            for one in figure.hangs_on if figure.high - figure.low > wide * abs(figure.best) else ():
                water, _, quantity = one.input.rpartition("/")
                kit = tables.find("ordinary_readings", quantity=quantity)
                if kit is not None and one.share >= wide:
                    of_it = found.setdefault((water, quantity, kit["with"]), {})
                    of_it[action.id] = max(one.share, of_it.get(action.id, 0.0))
    return found


def best_readings(
    judgements: Iterable[Judgement], amounts: Mapping[Reading, Mapping[str, float]] | None = None
) -> tuple[MeasureNext, ...]:
    """The readings to take next: those that together move the most verdicts and amounts, three at most.

    Parameters
    ----------
    judgements : iterable of Judgement
        Judgements with the readings that may move each; of those without a chance all must be taken before it is known.
    amounts : mapping, optional
        What each reading would change of amounts, as `narrowed` has it.

    Returns
    -------
    tuple of MeasureNext
        The reading that is expected to move the most, then the one that moves the most of what it leaves, and so on; one
        instrument for a quantity of a water.

    Notes
    -----
    A verdict counts by the gravity of its hazard. Of equals the one goes first that bears on the worst verdict, then the
    one that comes first in the plan.
    """
    moves: dict[Reading, dict[str, float]] = {}
    weights: dict[str, tuple[float, int]] = {}
    for judgement in judgements:
        weights[judgement.id] = (_gravity(judgement.hazard), judgement.verdict.rank)
        for reading, chance in _moves(judgement):
            moves.setdefault(reading, {})[judgement.id] = chance
    for key, shares in (amounts or {}).items():
        moves.setdefault(key, {}).update(shares)
        weights |= dict.fromkeys(shares, (_method("weight of an amount"), 0))
    acted = {path for shares in (amounts or {}).values() for path in shares}
    left, chosen = dict.fromkeys(weights, 1.0), list[MeasureNext]()
    while moves and len(chosen) < AT_MOST:
        gains = {
            key: sum(left[path] * chance * weights[path][0] for path, chance in moved.items())
            for key, moved in moves.items()
        }
        worst = {key: max(weights[path][1] for path in moved) for key, moved in moves.items()}
        best = max(gains, key=lambda key: (round(gains[key], 9), worst[key]))
        if gains[best] <= 0.0:
            break
        chosen.append(_next(best, moves[best], weights, acted))
        left |= {path: left[path] * (1.0 - chance) for path, chance in moves[best].items()}
        moves = {key: moved for key, moved in moves.items() if key[:2] != best[:2]}
    return tuple(chosen)


def _moves(judgement: Judgement) -> Iterator[tuple[Reading, float]]:
    """The readings that may move a judgement, each with its chance.

    Where several are lacking each moves it by its share; of what a sign may come from the first suspect is read first.
    """
    lacking = sum(one.would_change is None for one in judgement.measure)
    for one in judgement.measure:
        chance = 1.0 / lacking if one.would_change is None else one.would_change
        yield (one.water, one.quantity, one.measured_with), chance
    suspects = judgement.inputs if judgement.hazard is Hazard.SIGN else ()
    for place, suspect in enumerate(suspects, 1):
        kit = tables.find("ordinary_readings", quantity=suspect.quantity)
        if kit is not None and suspect.origin is Origin.ASSUMED:
            yield (suspect.water, suspect.quantity, kit["with"]), 1.0 / place


def _next(
    reading: Reading, moved: Mapping[str, float], weights: Mapping[str, tuple[float, int]], acted: Collection[str]
) -> MeasureNext:
    """A reading with what it moves: the gravest verdicts first, then the amounts that hang on it the most."""
    water, quantity, instrument = reading
    some = [path for path, chance in moved.items() if chance > 0.0]
    verdicts = sorted((path for path in some if path not in acted), key=lambda path: [-one for one in weights[path]])
    return MeasureNext(
        water=water,
        quantity=quantity,
        measured_with=instrument,
        changes=tuple(verdicts),
        amounts=tuple(sorted((path for path in some if path in acted), key=lambda path: -moved[path])),
    )


@cache
def _gravity(hazard: Hazard) -> float:
    """How much a verdict of a hazard counts."""
    severities = [row["severity"] for row in tables.rows("hazards", hazard=hazard.value)]
    row = tables.find("plan_methods", method=f"weight of {severities[0]}")
    return _method("weight of another") if row is None else row.value


def _method(name: str) -> float:
    return tables.row("plan_methods", method=name).value
