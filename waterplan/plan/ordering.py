"""In which order things stand: what others need first, then by verdict, then by the time until harm, unknown last."""

import math
from collections.abc import Collection, Container, Iterable, Mapping, Sequence
from datetime import datetime, timedelta

from waterplan.actions.makers import order
from waterplan.actions.record import MEASURED, UNMIXED, Action, Kind
from waterplan.hazards.record import Judgement, Verdict
from waterplan.plan.one_more_reading import best_readings, narrowed
from waterplan.plan.record import FirstPage, MomentState, Readiness
from waterplan.stay.clock import HOURS
from waterplan.stay.record import Figure, Moment

_MOST_ACTIONS = 5
_PUT_IN = frozenset({Kind.NEUTRALISE, Kind.SALT, Kind.CHEMISTRY, Kind.DOSE, Kind.INJECTION})
_AN_HOUR_H = 1.0
_SOON = timedelta(days=1)
_PEOPLE_FIRST = (Kind.PEOPLE, Kind.SOURCE_OFF)
# Others between them: food that is not given helps slowly, and what is asked comes with what is done.
_AMONG_EQUALS = {Kind.AIR: 0, Kind.MOVE_NOTHING: 0, Kind.FIRST_AID: 1, Kind.STOP_FEEDING: 3, Kind.ASK: 4}
_LAST = len(_PEOPLE_FIRST) + 1
# What is fetched, by its unit; and amounts of an instruction that nobody fetches.
_FETCHED = MEASURED | {"W", "pieces"}
_NOT_FETCHED = frozenset(
    {"needed", "reachable", "wanted", "heater at most", "volume", "make up to", "ceiling", "there"}
    | {"given", "weight", "sites", "division"}
)
# What is drawn from a mixture is made on the day of what is taken for it.
_OF_A_MIXTURE = frozenset({"draw", "mixture"})
_FINE = (Verdict.WITHIN_LIMIT, Verdict.WATCH)


def hours_until_harm(judgement: Judgement, figures: Mapping[str, Figure]) -> float:
    """Hours until harm at the worst, infinite where it is not known or never comes."""
    figure = figures.get(judgement.until_harm or "")
    return math.inf if figure is None or figure.act_on is None else figure.act_on * HOURS.get(figure.unit, 1.0)


def judgements_in_order(judgements: Iterable[Judgement], figures: Mapping[str, Figure]) -> list[Judgement]:
    """The worst verdict first, then the soonest harm, then the path."""
    return sorted(judgements, key=lambda one: (-one.verdict.rank, hours_until_harm(one, figures), one.id))


def actions_in_order(
    actions: Sequence[Action], judgements: Mapping[str, Judgement], figures: Mapping[str, Figure]
) -> list[Action]:
    """Actions to be done, each after those that it needs; open ones before done ones, refused ones last."""

    place = {kind: number for number, kind in enumerate(order())}
    pressing = _pressing(actions, judgements, figures)

    def urgency(action: Action) -> tuple[int, int, int, float, int, float, int, str]:
        by = action.by or action.at
        rank, harm = pressing[action.id]
        return (
            2 if action.refused_because else 1 if action.done else 0,
            _before_all(action) if rank or action.kind is Kind.PEOPLE else _LAST,
            rank,
            harm,
            _AMONG_EQUALS.get(action.kind, 2),
            by.timestamp() if by else math.inf,
            place[action.kind],
            action.id,
        )

    return _after_their_needs(sorted(actions, key=urgency))


def _after_their_needs(actions: Iterable[Action]) -> list[Action]:
    """The same order, but that each stands after those that it needs."""
    waiting, placed = list(actions), []
    while waiting:
        left = {one.id for one in waiting}
        ready = next((one for one in waiting if left.isdisjoint(one.needs)), waiting[0])
        waiting.remove(ready)
        placed.append(ready)
    return placed


def _before_all(action: Action) -> int:
    """People before all, then the source, then hands on a fish out of its water; whatever else is as pressing follows."""
    if action.kind in _PEOPLE_FIRST:
        return _PEOPLE_FIRST.index(action.kind)
    return _LAST - 1 if action.words.get("fish first") == "yes" else _LAST


def _air_first(actions: Sequence[Action]) -> list[Action]:
    """The same order, but that air stands before what is put into a water and is due no sooner."""
    placed: list[Action] = []
    for one in actions:
        doses = (at for at, dose in enumerate(placed) if dose.kind in _PUT_IN and _due(dose) >= _due(one))
        placed.insert(next(doses, len(placed)) if one.kind is Kind.AIR else len(placed), one)
    return placed


def _due(action: Action) -> float:
    by = action.by or action.at
    return by.timestamp() if by else -math.inf


def _pressing(
    actions: Sequence[Action], judgements: Mapping[str, Judgement], figures: Mapping[str, Figure]
) -> dict[str, tuple[int, float]]:
    """How pressing each action is, the worst verdict that it answers and the hours until harm; or what needs it is."""
    found = {}
    for one in actions:
        answered = (judgements[path] for path in one.answers if path in judgements)
        ranks = ((-judged.verdict.rank, hours_until_harm(judged, figures)) for judged in answered)
        found[one.id] = min(ranks, default=(0, math.inf))
    open_ones = [one for one in actions if one.is_open]
    for _ in open_ones:  # as many passes as the longest chain of needs
        for one in open_ones:
            for need in one.needs:
                if need in found:
                    found[need] = min(found[need], found[one.id])
    return found


def moments(
    judgements: Sequence[Judgement], actions: Sequence[Action], now: datetime | None
) -> tuple[MomentState, ...]:
    """Each moment with its state, what makes it so, and all that belongs to it in order; what is past is over, and no more."""
    found = []
    # A bag of which no way of packing will do is as much as refused itself.
    no_bag = {path for one in actions if one.kind is Kind.PACK and one.refused_because for path in one.answers}
    for moment in Moment:
        own = [one for one in judgements if one.moment is moment]
        over = bool(own) and all(one.is_over(now) for one in own)
        state, because = (Readiness.OVER, []) if over else state_of(own, no_bag)
        found.append(
            MomentState(
                moment=moment,
                state=state,
                because=tuple(because),
                judgements=tuple(one.id for one in own),
                actions=tuple(one.id for one in actions if one.moment is moment),
            )
        )
    return tuple(found)


def as_they_stand(judgements: Iterable[Judgement]) -> Collection[Judgement]:
    """How each thing stands once what is accepted is done: the judgement after it where there is one."""
    final: dict[str, Judgement] = {}
    for one in judgements:
        path = one.before or one.id
        if one.before is not None or path not in final:
            final[path] = one
    return final.values()


def state_of(own: Sequence[Judgement], refused: Container[str] = ()) -> tuple[Readiness, list[str]]:
    """How a moment stands, and the judgements that make it so: what is bad before what is open before what is to be done."""
    final = as_they_stand(own)
    reasons = {
        Readiness.NOT_READY: [
            one.id for one in final if one.verdict.rank >= Verdict.ACT_NOW.rank or (one.before or one.id) in refused
        ],
        Readiness.NOT_KNOWN: [one.id for one in final if one.verdict is Verdict.NOT_KNOWN],
        Readiness.READY_IF_DONE: [one.id for one in own if one.before is None and one.verdict not in _FINE],
    }
    return next(((state, because) for state, because in reasons.items() if because), (Readiness.READY, []))


def first_page(
    judgements: Sequence[Judgement],
    actions: Sequence[Action],
    figures: Mapping[str, Figure],
    *,
    as_of: datetime | None = None,
    filled: Iterable[str] = (),
) -> FirstPage:
    """What comes first: five actions at most, or as many as are due within the hour for an `act now`.

    The most pressing are chosen, with what makes the place safe for people among them. Air stands before what is put into
    a water and is due no sooner. What begins a day after the first of them or later is not done now: it is counted.
    `filled` are litres to have ready.
    """
    by_path = {one.id: one for one in judgements}
    open_ones = [one for one in actions if one.is_open and one.kind is not Kind.WAIT]
    times = [when for one in open_ones if (when := one.at or one.by)]
    start = as_of or min(times, default=None)
    soon = [one for one in open_ones if start is None or (one.at or one.by or start) <= start + _SOON]
    today = [one for one in soon if start is None or (one.at or one.by or start) < start + _SOON]
    urgent = [one for one in open_ones if _is_due(one, by_path, figures)]
    others = [one for one in today if one not in urgent and one.kind is not Kind.PEOPLE]
    chosen = [*urgent, *others[: max(0, _MOST_ACTIONS - len(urgent))]]
    for people in [one for one in today if one.kind is Kind.PEOPLE and one not in urgent]:
        if len(chosen) >= _MOST_ACTIONS and not _answers_act_now(chosen[-1], by_path):
            chosen.pop()
        chosen.append(people)
    do_now = [one.id for one in _after_their_needs(_air_first([one for one in open_ones if one in chosen]))]
    fetched = (path for one in soon for name, path in one.amounts.items() if _is_fetched(one, name, figures.get(path)))
    return FirstPage(
        do_now=tuple(do_now),
        and_more=len(open_ones) - len(do_now),
        measure_next=best_readings(as_they_stand(judgements), narrowed(open_ones, figures)),
        have_ready=tuple(dict.fromkeys([*filled, *fetched])),
        refused=tuple(one.id for one in actions if one.refused_because and one.done is None),
    )


def _is_fetched(action: Action, name: str, figure: Figure | None) -> bool:
    """Whether an amount is weighed, poured, counted or plugged in; the litres of a change are made up, others are there."""
    there = name in _NOT_FETCHED or (name == "litres" and action.kind is not Kind.CHANGE)
    mixed = name in _OF_A_MIXTURE and not UNMIXED.isdisjoint(action.amounts)
    return figure is not None and figure.unit in _FETCHED and not there and not mixed


def _is_due(action: Action, judgements: Mapping[str, Judgement], figures: Mapping[str, Figure]) -> bool:
    """Whether it answers an `act now` whose harm is no more than an hour away."""
    return any(hours_until_harm(one, figures) <= _AN_HOUR_H for one in _answers_act_now(action, judgements))


def _answers_act_now(action: Action, judgements: Mapping[str, Judgement]) -> list[Judgement]:
    answered = (judgements[one] for one in action.answers if one in judgements)
    return [one for one in answered if one.verdict is Verdict.ACT_NOW]
