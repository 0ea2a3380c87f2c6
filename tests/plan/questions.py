"""The 25 questions that a practitioner must have answered, each held against the record of an invented case.

`python -m tests.plan.questions` writes the tables of `DEVELOPERS.md` anew.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path

from tests.demos import demo_plan
from waterplan import tables
from waterplan.hazards.record import Judgement
from waterplan.plan.record import Plan
from waterplan.stay.record import Origin
from waterplan.words.speaker import Speaker

CASES = ("heron_goldfish", "hooked_tench")
_PAGE = Path(__file__).parents[2] / "DEVELOPERS.md"
_BEGIN, _END = "<!-- questions: begin (made by a test) -->", "<!-- questions: end -->"


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A question, the figures that answer it, and the judgements that hold them against a limit, as patterns of paths."""

    number: int
    asked: str
    figures: Sequence[str]
    judged: Sequence[str] = ()

    @property
    def limited(self) -> bool:
        """Whether there is anything to hold it against: not where the answer is who read what."""
        return self.number != len(QUESTIONS)


def _q(number: int, asked: str, figures: str, judged: str = "") -> Question:
    return Question(
        number=number, asked=asked, figures=figures.split("; "), judged=judged.split("; ") if judged else ()
    )


QUESTIONS = (
    _q(1, "how much water, and by which method", "home-pond/volume; hospital-1/volume", "home-pond/volume/call"),
    _q(2, "is it the water, before anybody arrives", "home-pond/oxygen/lowest/call", "home-pond/*/call"),
    _q(
        3,
        "minutes to the alarm and to the emergency level in the tub",
        "induction-1/oxygen/until-alarm/power off; induction-1/oxygen/until-emergency/power off",
        "induction-1/oxygen/power off",
    ),
    _q(
        4,
        "chlorine, and neutraliser for how many litres",
        "*/neutralise/thiosulphate; */neutralise/litres",
        "*/chlorine",
    ),
    _q(
        5,
        "step and ramp into the next water",
        "revival-1/temperature/step; hospital-1/warm/per-hour",
        "*/temperature step",
    ),
    _q(
        6,
        "air, and what carbon dioxide does",
        "revival-1/air/flow; revival-1/air/back-up-flow; revival-1/carbon dioxide/highest; hospital-1/air/flow",
        "revival-1/oxygen; revival-1/carbon dioxide",
    ),
    _q(
        7,
        "ammonia of the hospital tank, and the change",
        "hospital-1/un-ionised ammonia/highest; hospital-1/change/litres",
        "hospital-1/ammonia",
    ),
    _q(
        8,
        "litres of matched water for every tub",
        "induction-1/volume; irrigation-1/volume; revival-1/volume; van/reserve",
        "induction-1/temperature step",
    ),
    _q(
        9,
        "is the filter alive, and what if not",
        "*/filter/*; hospital-1/change/needed",
        "hospital-1/ammonia/total; hospital-1/nitrite",
    ),
    _q(
        10,
        "how long without power, and the back-up",
        "hospital-1/oxygen/until-alarm/power off; revival-1/oxygen/until-alarm/power off; hospital-1/air/back-up-flow",
        "revival-1/oxygen/power off",
    ),
    _q(
        11,
        "nitrite against chloride",
        "home-pond/nitrite/before an anaesthetic/call; hospital-1/nitrite/highest",
        "home-pond/nitrite/call/before an anaesthetic; hospital-1/nitrite",
    ),
    _q(
        12,
        "does alkalinity carry an acid agent",
        "induction-1/tricaine/alkalinity taken; induction-1/tricaine/ph closed",
        "induction-1/alkalinity; induction-1/ph",
    ),
    _q(
        13,
        "weight of the patient, kilograms in the pond",
        "patient-1/weight; home-pond/stocking/all/call",
        "home-pond/stocking/call",
    ),
    _q(14, "what tank for this fish", "hospital-1/stocking/all; hospital-1/volume", "hospital-1/stocking"),
    _q(
        15,
        "watts, how fast, and a thermostat that sticks",
        "hospital-1/warm/heater; hospital-1/warm/heater-most",
        "hospital-1/temperature",
    ),
    _q(16, "how much feed, from when", "hospital-1/ammonia/highest; hospital-1/feed/*", "hospital-1/ammonia/total"),
    _q(
        17,
        "when irrigation water is replaced",
        "irrigation-1/oxygen/until-alarm/power off; irrigation-1/temperature/step",
        "irrigation-1/oxygen",
    ),
    _q(
        18,
        "bag or box: litres and hours",
        "b*-1/volume; b*-1/oxygen/lowest; b*-1/ammonia/highest",
        "b*-1/oxygen; b*-1/ammonia",
    ),
    _q(
        19,
        "salt there now, and to the level ordered",
        "hospital-1/salt/there; hospital-1/salt/grams",
        "hospital-1/salt",
    ),
    _q(
        20,
        "can the kit be believed",
        "home-pond/ammonia/highest/call; home-pond/salt/highest/call",
        "home-pond/contradiction/call",
    ),
    _q(
        21,
        "is the home pond fit to go back to",
        "home-pond/oxygen/lowest/home; home-pond/ammonia/highest/home",
        "home-pond/*/home",
    ),
    _q(
        22,
        "how to acclimate",
        "home-pond/temperature/step/home; hospital-1/cool/home-hours; home-pond/acclimation/hours; home-pond/acclimation/1/share",
        "home-pond/temperature step/home*",
    ),
    _q(
        23,
        "when the sutures come out",
        "hospital-1/recheck/inspect; hospital-1/recheck/earliest; hospital-1/recheck/latest",
    ),
    _q(
        24,
        "the trend since",
        "hospital-1/temperature/read/first; hospital-1/temperature/read/last; hospital-1/ammonia/read/*st",
        "hospital-1/ammonia",
    ),
    _q(25, "which number came from where", "home-pond/temperature/as found; patient-1/weight"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the record of a case says to a question, in cells of a table."""

    question: Question
    figures: Sequence[str]
    limits: Sequence[str]
    basis: Sequence[str]


def answers(plan: Plan) -> list[Answer]:
    """Every question answered from one record."""
    speaker = Speaker(plan)
    return [_answer(plan, speaker, question) for question in QUESTIONS]


def _answer(plan: Plan, speaker: Speaker, question: Question) -> Answer:
    paths = list(_matching(question.figures, plan.figures))
    judged = [speaker.judgements[path] for path in _matching(question.judged, speaker.judgements)]
    rows = dict.fromkeys(row for path in paths for row in plan.figures[path].rows)
    limits = [_limit(speaker, one) for one in _worst_first(judged)] or list(map(_row, rows))
    basis = [*_inputs(judged), *_equations(plan, judged, paths), *([] if limits and not judged else map(_row, rows))]
    return Answer(
        question=question,
        figures=list(dict.fromkeys(f"{_short(path)} {speaker.with_band(path)}" for path in paths))[:4],
        limits=list(dict.fromkeys(filter(None, limits)))[:3],
        basis=(list(dict.fromkeys(filter(None, basis))) or _as_written(plan, paths))[:3],
    )


def _matching(patterns: Sequence[str], among: dict[str, object] | object) -> Iterator[str]:
    for pattern in patterns:
        found = [path for path in among if fnmatchcase(path, pattern)]  # type: ignore[attr-defined]
        yield from (path for path in found if not path.endswith("/after"))


def _worst_first(judged: Sequence[Judgement]) -> list[Judgement]:
    return sorted(judged, key=lambda one: -one.verdict.rank)


def _limit(speaker: Speaker, one: Judgement) -> str:
    limit = speaker.limit(one.limit)
    status = f", {one.limit.status}" if one.limit is not None and limit else ""
    return f"{one.verdict}: {_short(one.id)} {limit}{status}".strip() if limit else f"{one.verdict}: {_short(one.id)}"


def _short(path: str) -> str:
    water, _, rest = path.partition("/")
    return f"{water.removesuffix('-1')} {rest.replace('/', ' ')}"


def _row(row: str) -> str:
    found = tables.by_id(row)
    return "" if found is None else f"row {row} ({found.status})"


def _inputs(judged: Sequence[Judgement]) -> Iterator[str]:
    given = [one for judgement in judged for one in judgement.inputs if one.decides]
    for origin in Origin:
        names = sorted({one.quantity for one in given if one.origin is origin})
        if names:
            yield f"{origin}: {', '.join(names)}"


def _equations(plan: Plan, judged: Sequence[Judgement], paths: Sequence[str]) -> Iterator[str]:
    used = dict.fromkeys(f"{one.name} ({one.source})" for judgement in judged for one in judgement.equations)
    yield from used
    yield from (name for path in paths for name in plan.figures[path].equations)


def _as_written(plan: Plan, paths: Sequence[str]) -> list[str]:
    """How a quantity was found, where nothing was worked out: its instrument and its time."""
    found = []
    for water in plan.waters:
        for state in water.states:
            for one in state.quantities.values():
                if one.figure in paths and one.text:
                    found.append(f"as read: {one.text}")
    return found + [f"as written: {one.text}" for one in plan.written if one.key == "weight"]


def of_case(name: str) -> list[Answer]:
    """Each answer before the operation, and of the plan with the readings where only that has one."""
    before, after = answers(demo_plan(name)), answers(demo_plan(name, readings=True))
    return [one if one.figures else later for one, later in zip(before, after, strict=True)]


# -- the page -----------------------------------------------------------------------------------------------------


def page(name: str) -> str:
    """The table of one case."""
    lines = [
        f"`{name}`, before its operation; what only its readings tell, with them:",
        "",
        "| | question | figures (band) | against | based on |",
        "| --- | --- | --- | --- | --- |",
    ]
    for one in of_case(name):
        cells = ("; ".join(cell).replace("|", "/") for cell in (one.figures, one.limits, one.basis))
        lines.append(f"| {one.question.number} | {one.question.asked} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def told() -> str:
    """What the page says now."""
    return _PAGE.read_text(encoding="utf-8").partition(_BEGIN)[2].partition(_END)[0].strip()


def whole() -> str:
    """Both tables."""
    return "\n\n".join(map(page, CASES))


def numbers_of(text: str) -> list[float]:
    """The numbers of a text, in their order."""
    return [float(one.replace(",", "")) for one in re.findall(r"\d[\d,]*(?:\.\d+)?", text)]


def words_of(text: str) -> str:
    """The text without its numbers."""
    return re.sub(r"\d[\d,]*(?:\.\d+)?", "#", text)


if __name__ == "__main__":
    before, _, rest = _PAGE.read_text(encoding="utf-8").partition(_BEGIN)
    _PAGE.write_text(f"{before}{_BEGIN}\n\n{whole()}\n\n{_END}{rest.partition(_END)[2]}", encoding="utf-8")
