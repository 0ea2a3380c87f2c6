"""The pages of the terminal: what comes first, on one screen; the whole plan, a line for each thing."""

import textwrap
from collections.abc import Iterable, Iterator, Mapping
from itertools import chain

from waterplan import tables
from waterplan.actions.record import UNMIXED, Action, Kind
from waterplan.hazards.record import Verdict
from waterplan.plan.record import MomentState, Plan, Readiness
from waterplan.stay.record import Moment
from waterplan.units import System
from waterplan.words.lines import action_line, amount_name, cautions, judgement_line, measure_line
from waterplan.words.since import since_lines, since_title
from waterplan.words.speaker import Speaker, capital
from waterplan.words.trends import trend_lines

_COLUMNS, _LINES = 100, 60
_NOW, _MEASURE, _BECAUSE, _REFUSED, _CHANGED = 5, 3, 3, 3, 6
_PAD = "  "
# Of these no caution is left out where there is little room.
_WHOLE = (Kind.PEOPLE, Kind.FIRST_AID, Kind.MOVE_NOTHING)
# What is not used up: the same does for a second task.
_LENT = frozenset({"W", "L/min", "pieces"})


def heading(speaker: Speaker) -> tuple[str, str, str]:
    """The title; who, what and where; and when, as of when."""
    plan, say = speaker.plan, speaker.say
    patients = [one for one in plan.fish if one.patient]
    if patients:
        title = say("page.title", fish=speaker.join((speaker.name(one.id) for one in patients), ", "))
    else:
        title = say("page.title pond", water=speaker.name(plan.waters[0].id, article=True) if plan.waters else "")
    who = [
        text
        for one in patients
        for text in (
            say(
                "page.fish",
                count=one.count,
                name=speaker.name(one.id),
                species=speaker.word(one.species) if one.name else "",
                weight=speaker.figure(one.weight) if one.weight else "",
            ),
            speaker.case(one.done, f"{one.id}/done"),
        )
    ]
    place = speaker.case(plan.title.get("place", ""), "title/place")
    times = {"page.operation at": plan.made.operation_at, "page.as of": plan.made.as_of}
    when = speaker.join(say(key, at=speaker.clock(at, "full")) for key, at in times.items() if at)
    return title, speaker.join([*who, place]), when


def told_of_all(speaker: Speaker) -> list[str]:
    """What is said once for a whole plan: a fish heavier than any figure comes from; that nobody stated how high the place is."""
    heaviest = tables.row("water_limits", quantity="scope_weight")
    most = speaker.printed(heaviest.value, heaviest.unit, heaviest.id)
    heavier = [speaker.say("page.heavier", most=most)] if heaviest.id in speaker.plan.rows else []
    unstated = "defensible_ranges/place/altitude" in speaker.plan.rows
    return [*heavier, *([speaker.say("page.no altitude")] if unstated else [])]


def _top(speaker: Speaker) -> list[str]:
    title, who, when = heading(speaker)
    invented = [speaker.say("page.invented")] if speaker.plan.made.invented else []
    # Of a fish of which only the species is known the title says all.
    told = [text for text in (who, when) if text and not title.endswith(text)]
    return [line for text in (title, *told, *invented) for line in _wrapped(text)]


def _foot(speaker: Speaker) -> list[str]:
    made, place = speaker.plan.made.model_dump(), told_of_all(speaker)
    said = [line for text in (*place, speaker.say("page.defer")) for line in ("", *_wrapped(text))]
    return [*said, speaker.say("page.made with", **made)]


def _moment_line(speaker: Speaker, state: MomentState) -> str:
    """How a moment stands, and because of what; of the recheck, whether the stitches are due."""
    state_line = speaker.say(
        "page.state",
        moment=speaker.say(f"moment.{state.moment}"),
        state=speaker.say(f"readiness.{state.state}"),
        because=_by_water(speaker, state.because, _BECAUSE),
    )
    waits = (speaker.actions[path] for path in state.actions if "due" in speaker.actions[path].words)
    return speaker.join([state_line, *(_stitches(speaker, one) for one in waits if one.at is not None)], ". ")


def _by_water(speaker: Speaker, paths: Iterable[str], most: int) -> str:
    """The first of some judgements, those of one water together, and of actions; the others are counted."""
    told = list(dict.fromkeys(paths))
    found: dict[str, dict[str, None]] = {}
    for path in told[:most]:
        one = speaker.judgements.get(path)
        hazards = found.setdefault(one.water if one else path, {})
        if one is not None:
            hazards[speaker.hazard(one, when=False)] = None
    lines = [
        speaker.say("line.to measure", water=speaker.word(of), what=speaker.join(hazards, ", "))
        if hazards
        else speaker.word(of)
        for of, hazards in found.items()
    ]
    return speaker.join([*lines, *([speaker.say("measure.more", n=len(told) - most)] if len(told) > most else [])])


def go_lines(speaker: Speaker) -> list[str]:
    """Go or no-go for the operation: the decision, each condition that is open with why, and those that are met."""
    operation, say = speaker.plan.operation, speaker.say
    if operation is None:
        return []
    lines, met = [say(f"operation.{operation.go}")], []
    for one in operation.conditions:
        named = say(f"condition.{one.condition}")
        if one.state is Readiness.READY:
            met.append(named)
            continue
        because = _by_water(speaker, one.because, _BECAUSE)
        lines.append(say("page.condition", condition=named, state=say(f"readiness.{one.state}"), because=because))
    return [*lines, say("page.conditions met", conditions=speaker.join(met, "; "))] if met else lines


def _go_in_brief(speaker: Speaker) -> list[str]:
    """Go or no-go in two lines: the decision, and the conditions that are open with their states."""
    decision, *_ = go_lines(speaker) or [""]
    if not decision or speaker.plan.operation is None:
        return []
    still = [one for one in speaker.plan.operation.conditions if one.state is not Readiness.READY]
    named = (
        speaker.say(
            "page.open condition",
            condition=speaker.say(f"condition.{one.condition}"),
            state=speaker.say(f"readiness.{one.state}"),
        )
        for one in still
    )
    return [decision, speaker.join(named)] if still else [decision]


def _stitches(speaker: Speaker, one: Action) -> str:
    """Whether the stitches are to be examined already, from when, and until when they are out."""
    return speaker.say(f"page.stitches {one.words['due']}", at=speaker.clock(one.at), until=speaker.clock(one.until))


def first_page(plan: Plan, units: System | str = System.METRIC) -> str:
    """What comes first, on one screen of 100 columns and 60 lines at most.

    Parameters
    ----------
    plan : Plan
        The plan.
    units : System or str
        The reader's units, `metric` or `us`.

    Returns
    -------
    str
        The page; what has no room is counted.
    """
    speaker = Speaker(plan, units)
    top, foot = _top(speaker), _foot(speaker)
    room = _LINES - len(top) - len(foot)
    blocks = _blocks(speaker, brief=False)
    if len(blocks) > room:
        blocks = _blocks(speaker, brief=True)
    if len(blocks) > room:
        # No item is cut in two, and no title stands alone.
        ends = [n for n in range(1, room) if blocks[n - 1].startswith(_PAD) and not blocks[n].startswith(2 * _PAD)]
        blocks = [*blocks[: ends[-1]], speaker.say("page.lines more", n=len(blocks) - ends[-1])]
    return page_of(top, blocks, foot)


def _blocks(speaker: Speaker, *, brief: bool) -> list[str]:
    """What stands between head and foot; in brief where all of it has no room: no cautions, refusals by name and way out."""
    say, first = speaker.say, speaker.plan.first_page
    now = [_with_cautions(speaker, one, 0 if brief else 1) for one in first.do_now[:_NOW]]
    if more := first.and_more + max(len(first.do_now) - _NOW, 0):
        now.append(say("page.and more", n=more))
    states = [_moment_line(speaker, one) for one in speaker.plan.moments if not one.is_empty]
    ready, refused = _section(say("page.have ready"), have_lines(speaker)), _refused(speaker, brief=brief)
    return [
        *_section(say("page.states"), states),
        *_section(say("page.operation"), _go_in_brief(speaker)),
        *_section(say("page.do now"), now or [say("page.nothing now")]),
        *_section(since_title(speaker), since_lines(speaker, _CHANGED)),
        *_section(say("page.measure next"), [measure_line(speaker, one) for one in first.measure_next[:_MEASURE]]),
        *([] if brief else ready),
        *_section(say("page.refused"), refused),
        *(ready if brief else []),
    ]


def have_lines(speaker: Speaker) -> list[str]:
    """What is to be at hand, weighed, poured or counted: a line for each thing, with how much of it goes where."""
    wanted = dict.fromkeys(speaker.plan.first_page.have_ready)
    owners = [(one, name, path) for one in speaker.plan.actions if one.is_open for name, path in one.amounts.items()]
    owned = {path for _, _, path in owners}
    found: dict[str, dict[str, list[str]]] = {}
    for path in wanted:
        if path not in owned:
            found.setdefault(speaker.word("litres"), {}).setdefault(
                speaker.name(path.split("/", maxsplit=1)[0]), []
            ).append(path)
    for action, name, path in owners:
        if path in wanted:
            found.setdefault(_fetched(speaker, action, name), {}).setdefault(
                _goes_into(speaker, action, path), []
            ).append(path)
    return [
        speaker.say("have.line", name=capital(what), amounts=speaker.join(dict.fromkeys(_amounts(speaker, paths))))
        for what, paths in found.items()
    ]


def _amounts(speaker: Speaker, found: Mapping[str, Iterable[str]]) -> Iterator[str]:
    """How much goes where; of what is plugged in, the strongest that is wanted there does for the others."""
    for of, paths in found.items():
        figures = {path: speaker.plan.figures[path] for path in dict.fromkeys(paths)}
        lent = {path: one.act_on for path, one in figures.items() if one.unit in _LENT and one.act_on is not None}
        kept = [path for path in figures if path not in lent]
        for path in [*kept, *([max(lent, key=lambda one: lent[one])] if lent else [])]:
            yield speaker.say("have.amount", of=of, figure=speaker.figure(path))


def _fetched(speaker: Speaker, action: Action, name: str) -> str:
    """What an amount is an amount of."""
    if action.kind is Kind.AIR and "within" in action.amounts:
        return speaker.word("back-up")
    if name in UNMIXED and action.substance:
        return speaker.word(action.substance)
    return speaker.word(action.words[name]) if name in action.words else amount_name(speaker, action, name)


def _goes_into(speaker: Speaker, action: Action, path: str) -> str:
    """What an amount is for: a water or a fish, each change of it, or each batch of it."""
    of = speaker.name(path.split("/", maxsplit=1)[0])
    if action.kind is Kind.MEASURE:
        return speaker.say("have.to measure", water=of)
    if action.kind is Kind.CHANGE:
        return speaker.say("have.each change" if action.every_h else "have.change", water=of)
    if "per" in action.words and "litres" in action.amounts:
        key = "have.batch that ran in" if "ran in" in action.words else "have.batch"
        return speaker.say(key, water=of, litres=speaker.figure(action.amounts["litres"]))
    return of


def full_page(plan: Plan, moment: Moment | str | None = None, units: System | str = System.METRIC) -> str:
    """All judgements and actions of a plan, moment by moment, a line each; the sources last.

    Parameters
    ----------
    plan : Plan
        The plan.
    moment : Moment, str or None
        One moment alone; None for all.
    units : System or str
        The reader's units, `metric` or `us`.

    Returns
    -------
    str
        The page.
    """
    speaker = Speaker(plan, units)
    nothing, lines, said = speaker.say("page.nothing"), _top(speaker), set[str]()
    lines += _section(speaker.say("page.operation"), go_lines(speaker)) if moment is None else []
    lines += _section(since_title(speaker), since_lines(speaker))
    for state in plan.moments:
        if state.is_empty if moment is None else state.moment is not Moment(moment):
            continue
        lines += ["", *_wrapped(_moment_line(speaker, state))]
        actions = [_with_cautions(speaker, one, None) for one in state.actions]
        judged = [judgement_line(speaker, speaker.judgements[one], said) for one in shown_judgements(plan, state)]
        lines += _section(speaker.say("page.what to do"), actions or [nothing], gap=False)
        lines += _section(speaker.say("page.how judged"), judged or [nothing], gap=False)
    if moment is None or Moment(moment) is Moment.RECHECK:
        lines += _section(speaker.say("trend.title"), trend_lines(speaker))
    lines += _section(speaker.say("page.notes"), _notes(speaker))
    lines += _section(speaker.say("page.sources"), sources(speaker))
    return page_of(lines, _foot(speaker))


def page_of(*parts: Iterable[str]) -> str:
    """Lines as a page."""
    return "\n".join(chain.from_iterable(parts)) + "\n"


def _with_cautions(speaker: Speaker, path: str, most: int | None) -> str:
    """An action with its first cautions behind it; the weightiest comes first."""
    action = speaker.actions[path]
    told = cautions(speaker, action, None if action.kind in _WHOLE else most) if action.is_open else []
    return speaker.join([action_line(speaker, action), *told], " ")


def _refused(speaker: Speaker, *, brief: bool) -> list[str]:
    """The first refusals; one that something acute hangs on, or that somebody has in mind, is never counted only."""

    def acute(one: Action) -> bool:
        return one.kind is Kind.MEANT or any(what.verdict is Verdict.ACT_NOW for what in speaker.answered(one))

    refused = sorted((speaker.actions[path] for path in speaker.plan.first_page.refused), key=acute, reverse=True)
    shown = max(sum(map(acute, refused)), _REFUSED)
    lines = (_refusal_in_brief(speaker, one) if brief else action_line(speaker, one) for one in refused[:shown])
    more = [speaker.say("page.more refused", n=len(refused) - shown)] if len(refused) > shown else []
    return [*dict.fromkeys(lines), *more]


def _refusal_in_brief(speaker: Speaker, one: Action) -> str:
    """What is refused, and the ways out by their names; what to measure, and another way of the same kind, by its reason."""
    ways = [way for way in one.instead if way.kind in (one.kind, Kind.MEASURE) and way.because]
    own = speaker.reasons(why for way in ways for why in way.because)
    others = [other for other in speaker.plan.actions if other.done is None and other.water == one.water]
    kinds = [way.kind for way in one.instead if way not in ways] or [Kind.ASK] * (not own)
    instead = speaker.join((speaker.say(f"kind.{kind}") for kind in dict.fromkeys(kinds)), ", ")
    # Where the same is ordered or refused there for another reason, a refusal by its name alone would contradict that.
    alike = [other for other in others if (other.substance or other.kind) == (one.substance or one.kind)]
    because = speaker.reasons(one.refused_because) if len(alike) > 1 else ""
    told = {"sign": speaker.say("sign.refused"), "what": capital(speaker.title(one.id)), "because": because}
    return speaker.say("line.refused in brief", **told, instead=capital(instead), own=own)


def shown_judgements(plan: Plan, state: MomentState) -> list[str]:
    """The judgements of a moment without those that an action has answered and that were judged again."""
    past = {one.before for one in plan.judgements if one.before}
    return [one for one in state.judgements if one not in past]


def sources(speaker: Speaker) -> list[str]:
    """Each source of the plan: who, when, what it is called."""
    return [speaker.say("page.source", **source.model_dump()) for source in speaker.plan.sources.values()]


def _notes(speaker: Speaker) -> list[str]:
    """Each note of the case in one line."""
    found: dict[int, list[str]] = {}
    for one in speaker.plan.written:
        if one.section == "notes":
            place = f"written/{one.section}/{one.ordinal}/{one.key}"
            found.setdefault(one.ordinal, []).append(speaker.case(one.text, place))
    return [speaker.join(texts) for texts in found.values()]


def _section(title: str, items: Iterable[str], *, gap: bool = True) -> list[str]:
    body = [line for item in items for line in _wrapped(item, _PAD)]
    return [*([""] if gap else []), title, *body] if body else []


def _wrapped(text: str, pad: str = "") -> list[str]:
    return textwrap.wrap(
        " ".join(text.split()), _COLUMNS, initial_indent=pad, subsequent_indent=pad + _PAD, break_on_hyphens=False
    )
