"""A plan in the reader's units and words: what every template is filled from."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from waterplan import tables
from waterplan.findings import Caution, Finding, Moment, Step, Verdict, Who
from waterplan.first_plan.whole import Plan
from waterplan.published import Status
from waterplan.units import Display

# A sign beside each verdict, so that neither colour nor position alone carries it.
SIGNS = {
    Verdict.PASS: "✓",
    Verdict.WATCH: "!",
    Verdict.ACT: "✗",
    Verdict.REFUSED: "⊘",
    Verdict.QUESTION: "?",
    Verdict.NOT_MEASURED: "○",
    Verdict.FIGURE: "·",
}
TITLES = {
    Moment.CALL: "Call",
    Moment.PREPARE: "Prepare",
    Moment.PROCEDURE: "Procedure",
    Moment.REVIVAL: "Revival",
    Moment.HOSPITAL: "Hospital",
    Moment.HOME: "Home",
    Moment.RECHECK: "Recheck",
}
DEFER = (
    "waterplan computes; it does not prescribe. The veterinarian in charge decides, and answers for drug, dose and use "
    "outside a label. Local law on medicines, residues, disposal of water and notifiable disease comes first. For "
    "ornamental fish, not for people or animals to eat."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A finding as it is shown."""

    key: str
    title: str
    verdict: Verdict
    sign: str
    answer: str
    band: str
    limit: str
    chance: str
    method: str
    status: Status
    sources: str
    cautions: tuple[Caution, ...]
    standing: bool

    @property
    def footing(self) -> str:
        """Band, limit and chance in one line."""
        pieces = [f"band {self.band}" if self.band else "", f"limit: {self.limit}" if self.limit else ""]
        pieces.append(f"chance of keeping it {self.chance}" if self.chance else "")
        return "; ".join(piece for piece in pieces if piece)

    @property
    def needs_someone(self) -> bool:
        """Whether the plan's reader must see it first."""
        return not self.standing and self.verdict in {Verdict.ACT, Verdict.REFUSED, Verdict.QUESTION}


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A step as it is shown."""

    who: Who
    what: str
    when: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A moment as it is shown; its cautions are told once, however many findings carry them."""

    moment: Moment
    title: str
    lines: tuple[Line, ...]
    tasks: tuple[Task, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A source as it is listed."""

    number: int
    key: str
    words: str
    used: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A whole plan as it is shown."""

    title: str
    subtitle: str
    parts: tuple[Part, ...]
    sources: tuple[Source, ...]
    made_with: str
    defer: str = DEFER

    @property
    def first(self) -> tuple[Line, ...]:
        """What to see before all else: to act on, refused, or not answerable."""
        return tuple(line for part in self.parts for line in part.lines if line.needs_someone)

    @property
    def watched(self) -> tuple[Line, ...]:
        """What is near its limit."""
        return tuple(line for part in self.parts for line in part.lines if line.verdict is Verdict.WATCH)

    def part(self, moment: Moment) -> Part:
        """One moment."""
        return next(part for part in self.parts if part.moment is moment)


def sheet(plan: Plan, display: Display) -> Sheet:
    """A plan in the reader's units."""
    numbers = {key: number for number, key in enumerate(plan.sources(), 1)}
    patient = plan.case.patient
    name = patient.name or patient.species
    pieces = [patient.species, patient.done, plan.case.place.name]
    at = plan.as_of or plan.case.intended.operation_at
    return Sheet(
        title=f"Water plan for {name}",
        subtitle="; ".join(piece for piece in (*pieces, clock(at)) if piece),
        parts=tuple(
            Part(
                moment=part.moment,
                title=TITLES[part.moment],
                lines=tuple(line(finding, display, numbers) for finding in part.findings),
                tasks=tuple(task(step, display) for step in part.steps),
                cautions=_once(
                    display, (*part.cautions, *(caution for found in part.findings for caution in found.cautions))
                ),
            )
            for part in plan.moments
        ),
        sources=_sources(plan, numbers),
        made_with=f"waterplan {plan.version}; tables {plan.tables_digest}; {plan.draws} draws, seed {plan.seed}.",
    )


def line(finding: Finding, display: Display, numbers: dict[str, int] | None = None) -> Line:
    """A finding in the reader's units; with source numbers where a list of sources follows, else with their keys."""
    keys = dict.fromkeys(citation.source for citation in finding.citations)
    cited = [str(numbers[key]) for key in keys] if numbers else [source_words(key) for key in keys]
    shown_band = ""
    if finding.low is not None and finding.high is not None and finding.low != finding.high:
        shown_band = display.band(finding.low, finding.high, finding.unit, like=finding.value)
    return Line(
        key=finding.key,
        title=finding.title,
        verdict=finding.verdict,
        sign=SIGNS[finding.verdict],
        answer=display.render(finding.answer),
        band=shown_band,
        limit=display.render(finding.limit_words),
        chance=_chance(finding.chance),
        method=finding.method,
        status=finding.status,
        sources=(", " if numbers else "; ").join(cited),
        cautions=_once(display, finding.cautions),
        standing=finding.standing,
    )


def task(step: Step, display: Display) -> Task:
    """A step in the reader's units, with its clock time in words."""
    return Task(who=step.who, what=display.render(step.what), when=clock(step.at))


def clock(at: datetime | None) -> str:
    """A date and time as people write them."""
    return f"{at:%a %d %b %Y, %H:%M}" if at else ""


def source_words(key: str) -> str:
    """A source as a line: who, year, title, where."""
    record = tables.sources()[key]
    year = f" ({record['year']})" if record["year"] else ""
    return ". ".join(piece for piece in (f"{record['who']}{year}", record["title"], record["where"]) if piece)


def _chance(chance: float | None) -> str:
    if chance is None:
        return ""
    # The draws cannot tell 99.9 % from certainty.
    return ">99 %" if chance > 0.99 else "<1 %" if chance < 0.01 else f"{chance:.0%}".replace("%", " %")


def _once(display: Display, cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    shown: dict[str, Caution] = {}
    for caution in cautions:
        text = display.render(caution.text)
        shown[text] = Caution(text=text, serious=caution.serious or (text in shown and shown[text].serious))
    return tuple(sorted(shown.values(), key=lambda caution: not caution.serious))


def _sources(plan: Plan, numbers: dict[str, int]) -> tuple[Source, ...]:
    found = []
    for key, number in numbers.items():
        citations: dict[Any, None] = {}
        for finding in plan.findings:
            citations |= {citation: None for citation in finding.citations if citation.source == key}
        used = dict.fromkeys(f"{c.used_for} ({c.status}{', ' + c.locator if c.locator else ''})" for c in citations)
        found.append(Source(number=number, key=key, words=source_words(key), used="; ".join(used)))
    return tuple(found)
