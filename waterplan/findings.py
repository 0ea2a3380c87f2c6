"""What a plan is made of: findings, cautions, steps."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from waterplan.published import Citation, Status


def amount(*values: float, unit: str) -> str:
    """Marks one value, or the two ends of a band, so that a reader sees it in the units they chose."""
    return f"⟦{'|'.join(repr(float(value)) for value in values)}|{unit}⟧"


class Moment(StrEnum):
    """The practitioner's own order of work."""

    CALL = "call"
    PREPARE = "prepare"
    PROCEDURE = "procedure"
    REVIVAL = "revival"
    HOSPITAL = "hospital"
    HOME = "home"
    RECHECK = "recheck"


class Verdict(StrEnum):
    """What a finding says of its limit; the words are shown, so that colour is never the only sign."""

    PASS = "within limit"
    WATCH = "watch"
    ACT = "act now"
    REFUSED = "refused"
    QUESTION = "not answerable"
    NOT_MEASURED = "not measured"
    FIGURE = "for information"


class Who(StrEnum):
    """Who does a step."""

    VET = "vet"
    NURSE = "nurse"
    OWNER = "owner"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A warning that must reach whoever acts on the number."""

    text: str
    serious: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One answer with its error, its limit, and where it comes from.

    `value`, `low` and `high` (5th and 95th percentiles) are in `unit`; they are None where there is no number, and
    infinite where something never happens. `chance` is the share of the draws that are on the right side of the limit.
    `standing` marks what holds for every fish.
    """

    key: str
    moment: Moment
    title: str
    answer: str
    unit: str = ""
    value: float | None = None
    low: float | None = None
    high: float | None = None
    limit: float | None = None
    limit_words: str = ""
    verdict: Verdict = Verdict.FIGURE
    chance: float | None = None
    method: str = ""
    status: Status = Status.DERIVED
    citations: tuple[Citation, ...] = ()
    cautions: tuple[Caution, ...] = ()
    standing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Something to be done, by whom, and when if there is a clock time."""

    moment: Moment
    who: Who
    what: str
    at: datetime | None = None
