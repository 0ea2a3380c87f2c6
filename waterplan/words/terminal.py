"""The pages of the terminal: what comes first, on one screen; and the whole plan, a line for each thing."""

import textwrap
from collections.abc import Iterable, Iterator

from waterplan.plan.record import MomentState, Plan
from waterplan.stay.record import Moment
from waterplan.units import System
from waterplan.words.catalogue import Catalogue
from waterplan.words.lines import MEASURED, action_line, judgement_line, measure_line
from waterplan.words.speaker import Speaker

_COLUMNS, _LINES = 100, 60
_NOW, _MEASURE, _BECAUSE = 5, 3, 3
_TOLD = ("done", "place")
_AT_HAND = MEASURED | {"W", "pieces"}


def heading(speaker: Speaker) -> tuple[str, str, str]:
    """The title; who, what and where; and when, as of when."""
    plan, say = speaker.plan, speaker.say
    patients = [one for one in plan.fish if one.patient]
    title = (
        say("page.title", fish=speaker.join((speaker.name(one.id) for one in patients), ", "))
        if patients
        else say("page.title pond", water=speaker.name(plan.waters[0].id, article=True) if plan.waters else "")
    )
    who = [
        say(
            "page.fish",
            count=one.count,
            name=speaker.name(one.id),
            species=speaker.word(one.species) if one.name else "",
            weight=speaker.figure(one.weight) if one.weight else "",
        )
        for one in patients
    ]
    made = plan.made
    times = [
        say("page.operation at", at=speaker.clock(made.operation_at, "full")) if made.operation_at else "",
        say("page.as of", at=speaker.clock(made.as_of, "full")) if made.as_of else say("page.no time"),
    ]
    told = [speaker.case(plan.title[name], f"title/{name}") for name in _TOLD if name in plan.title]
    return title, speaker.join([*who, *told]), speaker.join(times)


def _top(speaker: Speaker) -> list[str]:
    invented = [speaker.say("page.invented")] if speaker.plan.made.invented else []
    return [line for text in (*heading(speaker), *invented) for line in _wrapped(text, 0)]


def moment_line(speaker: Speaker, state: MomentState) -> str:
    """How a moment stands, and because of what."""
    titles = list(dict.fromkeys(map(speaker.title, state.because)))
    more = [speaker.say("measure.more", n=len(titles) - _BECAUSE)] if len(titles) > _BECAUSE else []
    return speaker.say(
        "page.state",
        moment=speaker.say(f"moment.{state.moment}"),
        state=speaker.say(f"readiness.{state.state}"),
        because=speaker.join([*titles[:_BECAUSE], *more]),
    )


def first_page(plan: Plan, units: System | str = System.METRIC, catalogue: Catalogue | None = None) -> str:
    """What comes first, on one screen of 100 columns and 60 lines at most.

    Parameters
    ----------
    plan : Plan
        The plan.
    units : System or str
        The reader's units, `metric` or `us`.
    catalogue : Catalogue or None
        The phrase book; None for English.

    Returns
    -------
    str
        The page; what has no room is counted.
    """
    speaker, first = Speaker(plan, units, catalogue), plan.first_page
    say = speaker.say
    now = [_with_cautions(speaker, one, 1) for one in first.do_now[:_NOW]] or [say("page.nothing now")]
    more = first.and_more + max(len(first.do_now) - _NOW, 0)
    blocks = [
        *_section(say("page.states"), [moment_line(speaker, one) for one in plan.moments]),
        *_section(say("page.do now"), [*now, *([say("page.and more", n=more)] if more else [])]),
        *_section(say("page.measure next"), [measure_line(speaker, one) for one in first.measure_next[:_MEASURE]]),
        *_section(say("page.refused"), [action_line(speaker, speaker.actions[one]) for one in first.refused]),
        *_section(say("page.have ready"), have_lines(speaker)),
    ]
    top = _top(speaker)
    end = ["", *_wrapped(say("page.defer"), 0), say("page.made with", **plan.made.model_dump())]
    room = _LINES - len(top) - len(end)
    if len(blocks) > room:
        blocks = [*blocks[: room - 1], say("page.lines more", n=len(blocks) - room + 1)]
    return "\n".join([*top, *blocks, *end]) + "\n"


def have_lines(speaker: Speaker) -> list[str]:
    """What is to be at hand, weighed, poured or counted, a line for each water or fish."""
    found: dict[str, list[str]] = {}
    for path in speaker.plan.first_page.have_ready:
        if path not in speaker.plan.figures or speaker.plan.figures[path].unit not in _AT_HAND:
            continue
        of = path.split("/", maxsplit=1)[0]
        name = speaker.figure_name(path, whose=False)
        found.setdefault(of, []).append(speaker.say("have.amount", name=name, figure=speaker.figure(path)))
    return [
        speaker.say("have.line", of=speaker.name(of), amounts=speaker.join(amounts)) for of, amounts in found.items()
    ]


def full_page(
    plan: Plan,
    moment: Moment | str | None = None,
    units: System | str = System.METRIC,
    catalogue: Catalogue | None = None,
) -> str:
    """All judgements and actions of a plan, moment by moment, a line each; the sources last.

    Parameters
    ----------
    plan : Plan
        The plan.
    moment : Moment, str or None
        One moment alone; None for all.
    units : System or str
        The reader's units, `metric` or `us`.
    catalogue : Catalogue or None
        The phrase book; None for English.

    Returns
    -------
    str
        The page.
    """
    speaker = Speaker(plan, units, catalogue)
    say = speaker.say
    lines = _top(speaker)
    for state in plan.moments:
        if moment is not None and state.moment is not Moment(moment):
            continue
        lines += ["", *_wrapped(moment_line(speaker, state), 0)]
        actions = [_with_cautions(speaker, one, None) for one in state.actions]
        judged = [judgement_line(speaker, speaker.judgements[one]) for one in shown_judgements(plan, state)]
        lines += _section(say("page.what to do"), actions or [say("page.nothing")], gap=False)
        lines += _section(say("page.how judged"), judged or [say("page.nothing")], gap=False)
    lines += _section(say("page.sources"), [source_line(speaker, key) for key in plan.sources])
    return (
        "\n".join([*lines, "", *_wrapped(say("page.defer"), 0), say("page.made with", **plan.made.model_dump())]) + "\n"
    )


def _with_cautions(speaker: Speaker, path: str, most: int | None) -> str:
    """An action with its first cautions behind it; the weightiest comes first."""
    action = speaker.actions[path]
    cautions = [] if action.refused_because or action.done else [*action.cautions, *action.costs][:most]
    return speaker.join([action_line(speaker, action), speaker.reasons(cautions)], " ")


def shown_judgements(plan: Plan, state: MomentState) -> list[str]:
    """The judgements of a moment without those that an action has answered and that were judged again."""
    past = {one.before for one in plan.judgements if one.before}
    return [one for one in state.judgements if one not in past]


def source_line(speaker: Speaker, key: str) -> str:
    """A source: who, when, what it is called."""
    return speaker.say("page.source", **speaker.plan.sources[key].model_dump())


def _section(title: str, items: Iterable[str], *, gap: bool = True) -> list[str]:
    body = [line for item in items for line in _wrapped(item, 2)]
    return [*([""] if gap else []), title, *body] if body else []


def _wrapped(text: str, indent: int) -> Iterator[str]:
    pad = " " * indent
    yield from textwrap.wrap(
        " ".join(text.split()), _COLUMNS, initial_indent=pad, subsequent_indent=pad + "  ", break_on_hyphens=False
    )
