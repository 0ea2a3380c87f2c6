"""The pages of the terminal: what comes first, on one screen; and the whole plan, a line for each thing."""

import textwrap
from collections.abc import Iterable, Iterator

from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Verdict
from waterplan.plan.record import MomentState, Plan
from waterplan.stay.record import Moment
from waterplan.units import System
from waterplan.words.catalogue import Catalogue
from waterplan.words.lines import MEASURED, action_line, cautions, judgement_line, measure_line
from waterplan.words.speaker import Speaker

_COLUMNS, _LINES = 100, 60
_NOW, _MEASURE, _BECAUSE, _REFUSED = 5, 3, 3, 3
_TOLD = ("done", "place")
_AT_HAND = MEASURED | {"W", "pieces"}
# Amounts of an instruction that nobody weighs, pours or counts.
_NOT_AT_HAND = frozenset(
    {"needed", "reachable", "wanted", "heater at most", "volume", "make up to", "ceiling", "there"}
)
_OF_THE_SUBSTANCE = frozenset({"mass", "stock", "draw", "amount", "grams"})


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
        say("page.as of", at=speaker.clock(made.as_of, "full")) if made.as_of else "",
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
        *_section(say("page.refused"), _refused(speaker)),
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
    wanted = set(speaker.plan.first_page.have_ready)
    for action in speaker.plan.actions:
        for name, path in action.amounts.items():
            if path not in wanted or path not in speaker.plan.figures or not _at_hand(speaker, action, name, path):
                continue
            substance = speaker.word(action.substance) if action.substance else ""
            what = substance if substance and name in _OF_THE_SUBSTANCE else speaker.word(name)
            said = speaker.say("have.amount", name=what, figure=speaker.figure(path))
            found.setdefault(path.split("/", maxsplit=1)[0], []).append(said)
    return [
        speaker.say("have.line", of=speaker.name(of), amounts=speaker.join(dict.fromkeys(amounts)))
        for of, amounts in found.items()
    ]


def _at_hand(speaker: Speaker, action: Action, name: str, path: str) -> bool:
    """Whether an amount is weighed, poured or counted beforehand."""
    if action.done or action.refused_because or name in _NOT_AT_HAND or speaker.plan.figures[path].unit not in _AT_HAND:
        return False
    return name != "litres" or action.kind is Kind.CHANGE


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
    told = [] if action.refused_because or action.done else cautions(speaker, action, most)
    return speaker.join([action_line(speaker, action), *told], " ")


def _refused(speaker: Speaker) -> list[str]:
    """The first refusals; one that something acute hangs on is never counted only."""
    refused = [speaker.actions[path] for path in speaker.plan.first_page.refused]
    acute = [one for one in refused if _acute(speaker, one)]
    shown = [*acute, *(one for one in refused if one not in acute)][: max(len(acute), _REFUSED)]
    more = len(refused) - len(shown)
    return [
        *(action_line(speaker, one) for one in shown),
        *([speaker.say("page.more refused", n=more)] if more else []),
    ]


def _acute(speaker: Speaker, one: Action) -> bool:
    answered = filter(None, map(speaker.judgements.get, one.answers))
    return any(judgement.verdict is Verdict.ACT_NOW for judgement in answered)


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
