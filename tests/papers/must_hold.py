"""What each paper must hold, checked on every invented case; `python -m tests.papers.must_hold` writes the table anew.

A thing to hold is a pattern in the visible text. Each pattern was written from the list of papers that a practice hands
out (who reads it, what for), not from what the templates print.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tests.demos import DEMOS, demo_papers
from tests.visible_text import text_of

_PAGE = Path(__file__).parents[2] / "DEVELOPERS.md"
_BEGIN, _END = "<!-- papers: begin (made by a test) -->", "<!-- papers: end -->"
_AMOUNT = r"[\d.,]+ (?:g|kg|mL|L|oz|lb|US gal|US gal/min|L/min)"
_LIMIT = r"(?:at least|at most) [\d.,]+"
_TIME = r"(?:[\d.,]+ (?:min|h)|never|at once)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper, its reader, and each thing that it must hold with the pattern that shows it."""

    name: str
    reader: str
    holds: Sequence[tuple[str, str]]


PAPERS = (
    Paper(
        name="volume.html",
        reader="vet, file",
        holds=(
            ("low, best, high", r"low[\s\S]*best estimate[\s\S]*high"),
            ("each way with its band", r"\n[A-Z][^\n]* \[(?:L|US gal)\]: [\d.,]+ \([\d.,]+ to [\d.,]+\)"),
            ("readings", r"Readings:"),
            ("what to use it for", r"Use this volume for"),
            ("signature", r"Signed by"),
        ),
    ),
    Paper(
        name="van.html",
        reader="whoever drives",
        holds=(("litres and grams", _AMOUNT), ("meters and kits", r"Meters and kits"), ("boxes to tick", "☐")),
    ),
    Paper(
        name="tub-cards.html",
        reader="nurse, at each tub",
        holds=(
            ("litres", rf"Water: {_AMOUNT}"),
            ("temperature wanted", r"☐ temperature\n.*\d"),
            ("salt wanted", r"☐ salt\n"),
            ("oxygen wanted", r"☐ oxygen\n" + _LIMIT),
            ("what pH matches", r"do not adjust|☐ pH"),
            ("neutraliser, and its reading to write in", r"☐ Neutraliser[\s\S]*Chlorine, read after it"),
        ),
    ),
    Paper(
        name="procedure-log.html",
        reader="nurse, at the table",
        holds=(
            ("time grid", r"\n\d\d:\d\d\n\d\d:\d\d"),
            (
                "gill beats, temperature, oxygen, pH, reaction",
                r"Gill beats[\s\S]*Water[\s\S]*Oxygen[\s\S]*pH[\s\S]*touch",
            ),
            ("when to swap", r"Swap the water[\s\S]*" + _LIMIT),
            ("how deep is too deep", r"Half its own count or fewer[\s\S]*drug-free water over the gills"),
        ),
    ),
    Paper(
        name="time-cards.html",
        reader="nurse, at each tub",
        holds=(
            ("minutes to the alarm and to danger", rf"Time to look.*\n{_TIME}[\s\S]*Danger after\n{_TIME}"),
            ("room for clock times", r"Air stopped at: ___"),
            ("steps", r"Write the time down"),
        ),
    ),
    Paper(
        name="hospital.html",
        reader="nurse, in the ward",
        holds=(
            ("total ammonia at its limit", r"total ammonia at most [\d.]+ mg/L as N, at this pH"),
            ("temperature and salt as ordered", r"temperature\n(?:ordered: |[\d.]+ °C to)"),
            ("initials", r"initials"),
            ("the day it goes in and the day it leaves", r"on arrival[\s\S]*on leaving"),
            ("basis in the heads", r"total ammonia\n?.*mg/L as N[\s\S]*nitrite\n?.*mg/L as NO₂"),
            ("every day", r"Day by day"),
            ("food", r"Food"),
        ),
    ),
    Paper(
        name="transport.html",
        reader="on the bag or box",
        holds=(
            ("contents, weight", r"What is inside[\s\S]*\d+ (?:g|kg)[\s\S]*Water: [\d.]+"),
            ("loaded at, open by", r"Loaded at: ___[\s\S]*by: ___"),
            ("bag: do not aerate; box: air on", r"DO NOT AERATE|KEEP THE AIR PUMP RUNNING"),
        ),
    ),
    Paper(
        name="owner.html",
        reader="owner",
        holds=(
            ("numbers of a kit", r"Ammonia, the total that the kit shows\n(?:at most [\d.]+ mg/L|no colour)"),
            ("what to do", r"What to do"),
            ("when to phone", r"Phone now"),
            ("food", r"Food: from ___|Give no food in|Feed [\d.]+ g"),
            ("a test each day, with room for it", r"Test at the same hour each day[\s\S]*day 5"),
            ("no tap water, no remedies, no net", r"tap water that was not treated[\s\S]*medicine[\s\S]*net"),
        ),
    ),
    Paper(
        name="filter-note.html",
        reader="nurse, owner",
        holds=(("when it counts again", r"two tests running"), ("twice a day", r"twice a day")),
    ),
    Paper(
        name="acclimation.html",
        reader="nurse, owner",
        holds=(
            ("clock times, or why not", r"\d\d:\d\d|Refused|\d+ min"),
            ("share, temperature, pH, salt after each part", r"Replaced[\s\S]*Temperature[\s\S]*pH[\s\S]*Salt|Refused"),
        ),
    ),
    Paper(
        name="recheck.html",
        reader="vet",
        holds=(
            ("the day", r"from \w{3} \d+ \w{3}"),
            ("earliest and latest, with dates", r"earliest[^\n]*\n\w{3} \d+ \w{3}[\s\S]*latest[^\n]*\n\w{3} \d+ \w{3}"),
            ("what to bring", r"To bring\n"),
            ("what was found, signed", r"Found on the day[\s\S]*Signed by"),
        ),
    ),
    Paper(
        name="plan.html",
        reader="file, referral",
        holds=(
            ("case as written", r"The case as it was written"),
            ("what was read, and when", r"The waters[\s\S]*(?:measured|assumed): "),
            ("limits used", r"Limits and values from tables"),
            ("sources", r"Sources"),
            ("versions", r"waterplan \d[\s\S]*tables [0-9a-f]+"),
            ("signatures and amendments", r"Signed by[\s\S]*Changes to this plan"),
        ),
    ),
    Paper(
        name="contingency.html",
        reader="by the door",
        holds=(
            (
                "power, heat, jump, chlorine, pump",
                r"air stops[\s\S]*power fails[\s\S]*heat wave[\s\S]*tap water[\s\S]*jumped",
            ),
            ("blank numbers", r"Out of hours, vet: ___"),
        ),
    ),
    Paper(
        name="triage.html",
        reader="whoever answers the telephone",
        holds=(
            ("who calls", r"Who is calling"),
            ("signs", r"☐ gasping|☑ gasping"),
            ("what never to do, what to do now", r"Tell them never to[\s\S]*Tell them to do now"),
            ("readings", r"oxygen[\s\S]*nitrite"),
        ),
    ),
    Paper(
        name="drug-record.html",
        reader="vet, nurse",
        holds=(
            ("amount ordered", _AMOUNT),
            ("of which strength", r"\((?:powder|[\d.,]+ (?:mg/mL|%)[^)]*)\)|at [\d.,]+ mg/mL"),
            ("batch, given, by", r"batch[\s\S]*Given[\s\S]*By"),
            ("the course of the anaesthetic", r"Drug in at ___[\s\S]*upright ___"),
            ("signature", r"Signed by"),
        ),
    ),
    Paper(
        name="index.html",
        reader="whoever prints",
        holds=(
            ("every paper", r"The papers of this plan"),
            ("the set of each moment", r"Which papers for which moment"),
        ),
    ),
    Paper(
        name="handover.html",
        reader="whoever has the night",
        holds=(
            ("due tonight", r"Due tonight"),
            ("limits", _LIMIT),
            ("room for rounds", r"Rounds"),
            ("numbers", r"Out of hours, vet: ___"),
        ),
    ),
)


@cache
def made(name: str) -> dict[str, str]:
    """The visible text of each page of an invented case."""
    found = demo_papers(name)
    return {page: text_of(text) for page, text in found.items() if page.endswith(".html")}


def lacking(paper: Paper, name: str) -> list[str] | None:
    """What a paper of a case does not hold; None where that case has no such paper."""
    text = made(name).get(paper.name)
    return None if text is None else [what for what, shown in paper.holds if not re.search(shown, text)]


def table() -> str:
    """The papers, what each holds, and in which invented cases it does."""
    lines = ["| paper | for | must hold | held in |", "| --- | --- | --- | --- |"]
    for paper in PAPERS:
        held = ", ".join(f"`{name}`" for name in DEMOS if lacking(paper, name) == [])
        what = "; ".join(what for what, _ in paper.holds)
        lines.append(
            f"| `{paper.name}` | {paper.reader} | {what} | {held or 'no demo: see tests/papers/test_must_hold.py'} |"
        )
    return "\n".join(lines)


def told() -> str:
    """What the page says now."""
    return _PAGE.read_text(encoding="utf-8").partition(_BEGIN)[2].partition(_END)[0].strip()


if __name__ == "__main__":
    before, _, rest = _PAGE.read_text(encoding="utf-8").partition(_BEGIN)
    _PAGE.write_text(f"{before}{_BEGIN}\n\n{table()}\n\n{_END}{rest.partition(_END)[2]}", encoding="utf-8")
