"""The table of verdicts: from how grave a hazard is, and how likely and how soon, to what is said; nothing else decides."""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from waterplan import tables
from waterplan.hazards.record import Hazard, Verdict
from waterplan.published import FloatArray
from waterplan.spread import LOW_PERCENT
from waterplan.stay.record import WaterKind

Yes = NDArray[np.bool_]
ASSUMED, UNSEEN = "assumed", "unseen"


@dataclass(frozen=True, slots=True, kw_only=True)
class HazardRow:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    kept_below: float
    avoided_below: float
    hours_below: float
    rank: int


@cache
def _rules(severity: str) -> tuple[_Rule, ...]:
    def below(row: tables.Row, column: str) -> float:
        return float(row[column] or "inf")

    return tuple(
        _Rule(
            kept_below=below(row, "kept_below"),
            avoided_below=below(row, "avoided_below"),
            hours_below=below(row, "hours_below"),
            rank=Verdict(row["verdict"]).rank,
        )
        for row in tables.rows("verdicts", severity=severity)
    )


def _ranks(severity: str, kept: FloatArray, avoided: FloatArray, hours: FloatArray) -> NDArray[np.int_]:
    worst = np.zeros(kept.shape, dtype=int)
    for rule in _rules(severity):
        holds = (
            (np.isinf(rule.kept_below) | (kept < rule.kept_below))
            & (np.isinf(rule.avoided_below) | (avoided < rule.avoided_below))
            & (np.isinf(rule.hours_below) | (hours < rule.hours_below))
        )
        worst = np.where(holds, np.maximum(worst, rule.rank), worst)
    return worst


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
    kept, harm, until = (one[1:] if one.size > 1 else one for one in (passed, harmed, hours))
    alone = _ranks(severity, kept.astype(float), 1.0 - harm.astype(float), until)
    soon = float(np.percentile(until, LOW_PERCENT, method="nearest"))
    together = verdict(severity, kept=float(kept.mean()), avoided=1.0 - float(harm.mean()), hours=soon)
    if not assumed and not unseen:
        return together, False
    if (alone == alone[0]).all():
        return list(Verdict)[int(alone[0])], assumed
    if not assumed:
        return verdict(UNSEEN, kept=float(kept.mean())), False
    urgent = float((alone >= Verdict.ACT_NOW.rank).mean())
    open_verdict = verdict(ASSUMED, kept=1.0 - urgent)
    stands = together if open_verdict is Verdict.ACT_NOW else open_verdict
    return max(stands, open_verdict, key=lambda one: one.rank), False
