"""From a sum to a finding: the sum is watched, and what it passed through becomes its sources and cautions."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.findings import Caution, Finding, Moment, Verdict, amount
from waterplan.published import EQUATIONS, Leak, Numbers, Trail, watch
from waterplan.spread import band, chance

SURE_ENOUGH = 0.95
_SMALL_SHARE = 0.01


class Side(StrEnum):
    """On which side of its limit a value should be."""

    AT_LEAST = "at least"
    AT_MOST = "at most"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A limit and what passing it means.

    With a `worst`, a value between the two is to be watched, and acted on only beyond `worst`; without one, a value
    past the limit is to be acted on.
    """

    value: Numbers
    side: Side
    words: str = ""
    worst: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a sum hands back before it is dressed as a finding."""

    text: str
    unit: str = ""
    values: Numbers | None = None
    limit: Limit | None = None
    verdict: Verdict | None = None
    method: str = ""
    cautions: tuple[Caution, ...] = ()
    standing: bool = False


def answer(moment: Moment, key: str, title: str, make: Callable[[], Answer]) -> Finding:
    """Runs a sum under watch and makes its finding; what it refuses or lacks becomes the finding's verdict."""
    with watch() as trail:
        try:
            made = make()
        except Unanswerable as lacking:
            made = Answer(text=f"Give {lacking.give}.", verdict=Verdict.QUESTION)
        except Refused as refusal:
            made = Answer(text=_sentence(str(refusal)), verdict=Verdict.REFUSED, standing=refusal.standing)
        except ImpossibleInput as impossible:
            made = Answer(text=_sentence(str(impossible)), verdict=Verdict.REFUSED)
    finding = Finding(
        key=key,
        moment=moment,
        title=title,
        answer=made.text,
        unit=made.unit,
        verdict=made.verdict or Verdict.FIGURE,
        method=made.method,
        status=trail.status,
        citations=tuple(trail.citations),
        cautions=(*made.cautions, *_cautions(trail)),
        standing=made.standing,
    )
    return finding if made.values is None else _with_numbers(finding, made, made.values)


def _with_numbers(finding: Finding, made: Answer, values: Numbers) -> Finding:
    low, best, high = band(values)
    finding = replace(finding, value=best, low=low, high=high)
    if made.limit is None:
        return finding
    limit = made.limit
    array, bounds = np.asarray(values), np.asarray(limit.value)
    passed = array >= bounds if limit.side is Side.AT_LEAST else array <= bounds
    sure = chance(passed)
    best_passes = bool(passed if passed.ndim == 0 else passed[0])
    waits = limit.worst is not None and (best >= limit.worst if limit.side is Side.AT_LEAST else best <= limit.worst)
    missed = Verdict.WATCH if waits else Verdict.ACT
    judged = missed if not best_passes else Verdict.PASS if sure >= SURE_ENOUGH else Verdict.WATCH
    verdict = made.verdict or judged
    bound = band(limit.value).best
    words = limit.words or f"{limit.side} {amount(bound, unit=made.unit)}"
    return replace(finding, limit=bound, limit_words=words, chance=sure, verdict=verdict)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _cautions(trail: Trail) -> tuple[Caution, ...]:
    leaks = [Caution(text=_leak_words(leak)) for leak in trail.leaks if leak.share > _SMALL_SHARE]
    return (*leaks, *(Caution(text=remark) for remark in trail.remarks))


def _leak_words(leak: Leak) -> str:
    term = tables.glossary()[leak.argument]
    summary = EQUATIONS[leak.equation].summary.rstrip(".")
    seen = amount(leak.low, unit=term.unit) if leak.low == leak.high else amount(leak.low, leak.high, unit=term.unit)
    fitted = amount(leak.fitted.low, leak.fitted.high, unit=term.unit)
    return (
        f"Outside the fitted range: {term.words} {seen}, where “{summary[0].lower()}{summary[1:]}” is vouched for "
        f"at {fitted}."
    )
