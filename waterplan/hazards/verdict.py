"""The table of verdicts: from how grave a hazard is, and how likely and how soon, to what is said; nothing else decides."""

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from waterplan import tables
from waterplan.hazards.record import Hazard, Verdict
from waterplan.published import FloatArray
from waterplan.spread import LOW_PERCENT
from waterplan.stay.figures import Parts
from waterplan.stay.record import WaterKind

Yes = NDArray[np.bool_]


class HazardRow(NamedTuple):
    """What the table `hazards` says of a hazard in a kind of water."""

    applies: bool
    severity: str
    deciding: frozenset[str]


@cache
def hazard_row(hazard: Hazard, kind: WaterKind) -> HazardRow:
    """Whether a hazard can be in a kind of water, how grave it is, and which quantities decide it."""
    row = tables.row("hazards", hazard=hazard.value, water=kind.value)
    deciding = frozenset(part.strip() for part in row["deciding"].split(";") if part.strip())
    return HazardRow(applies=row["applies"] == "yes", severity=row["severity"], deciding=deciding)


def verdict_of(
    severity: str, *, passed: Yes, harmed: Yes, hours: FloatArray, assumed: bool, unseen: bool = False
) -> tuple[Verdict, bool]:
    """The verdict of draws, and whether it stands whatever a quantity is that decides and was not measured.

    Parameters
    ----------
    severity : str
        How grave the hazard is.
    passed, harmed : array of bool
        In which draws the limit is kept, and in which harm begins; shape (draws + 1,).
    hours : array
        Hours until harm in each draw [h].
    assumed : bool
        Whether something that decides was only assumed.
    unseen : bool
        Whether the reading is below what its kit can show.

    Returns
    -------
    Verdict
        Where something was assumed, `not known`, unless each draw taken alone comes to the same verdict; and the
        table's own where nearly all of them say `act now`.
    bool
        Whether it stands whatever the assumed quantity is.
    """
    drawn = slice(1, None) if passed.size > 1 else slice(None)
    kept, harm, until = passed[drawn], harmed[drawn], hours[drawn]
    soon = float(np.percentile(until, LOW_PERCENT, method="nearest"))
    together = verdict(severity, kept=float(kept.mean()), avoided=1.0 - float(harm.mean()), hours=soon)
    if not assumed and not unseen:
        return together, False
    alone = _ranks(severity, kept.astype(float), 1.0 - harm.astype(float), until)
    if (alone == alone[0]).all() and kept.all() == kept.any():
        return list(Verdict)[int(alone[0])], assumed
    if not assumed:
        return verdict("unseen", kept=float(kept.mean())), False
    urgent = float((alone >= Verdict.ACT_NOW.rank).mean())
    open_verdict = verdict("assumed", kept=1.0 - urgent)
    if open_verdict is Verdict.ACT_NOW:
        open_verdict = max(together, open_verdict, key=lambda one: one.rank)
    return open_verdict, False


def worst_verdict(
    severity: str, parts: Parts, *, passed: Yes, harmed: Yes, hours: FloatArray, **told: bool
) -> tuple[Verdict, bool]:
    """As `verdict_of`, of each part of the draws by itself: the worst of them."""
    each = (verdict_of(severity, passed=passed[i], harmed=harmed[i], hours=hours[i], **told) for i in parts)
    return max(each, key=lambda one: (one[0].rank, not one[1]))


def verdict(severity: str, *, kept: float, avoided: float = 1.0, hours: float = np.inf) -> Verdict:
    """What the table says: the worst of the rows of a severity that hold.

    Parameters
    ----------
    severity : str
        How grave the hazard is, as the table `hazards` has it: `kills`, `harms`, `wears`; or the severity of a rule.
    kept : float
        Chance that the limit is kept.
    avoided : float
        Chance that harm is avoided.
    hours : float
        Hours until harm begins, by the low end of its band; infinite where it never does [h].

    Returns
    -------
    Verdict
        The verdict.

    Notes
    -----
    A row holds where every chance or time that it names is below its own: a smaller chance or a shorter time can only
    add rows, and no verdict is softer for it.

    Examples
    --------
    >>> verdict("kills", kept=0.99, avoided=0.9, hours=5.0).value
    'act now'
    """
    return list(Verdict)[int(_ranks(severity, np.array(kept), np.array(avoided), np.array(hours)))]


def _ranks(severity: str, *found: FloatArray) -> NDArray[np.int_]:
    """The rank of the worst row that holds, for chances of keeping the limit and of avoiding harm, and for hours."""
    below, ranks = _rules(severity)
    holds = np.isinf(below) | (np.stack(np.broadcast_arrays(*found), axis=-1)[..., None, :] < below)
    return np.asarray(np.where(holds.all(axis=-1), ranks, 0).max(axis=-1))


@cache
def _rules(severity: str) -> tuple[FloatArray, NDArray[np.int_]]:
    """What must be below what for each row of a severity, infinite where it does not matter; and the ranks of the rows."""
    rows = tables.rows("verdicts", severity=severity)
    columns = ("kept_below", "avoided_below", "hours_below")
    below = np.array([[float(row[column] or "inf") for column in columns] for row in rows])
    return below, np.array([Verdict(row["verdict"]).rank for row in rows])


def chances_that_decide(severity: str) -> tuple[float, ...]:
    """The chances of keeping a limit at which the table says something else, for one severity."""
    below, _ = _rules(severity)
    return tuple(one for one in np.unique(below[:, 0]).tolist() if 0.0 < one < 1.0)
