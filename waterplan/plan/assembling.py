"""From the outcome to the record: waters with their states, judgements before and after, actions, moments, sources."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import zip_longest
from typing import Any

import numpy as np

from waterplan.actions.makers import may_worsen
from waterplan.actions.needs import POWER_OFF
from waterplan.actions.record import Action, Instead, Kind
from waterplan.actions.telling import kinds_against
from waterplan.hazards.record import Judgement, Measure, Verdict, Why
from waterplan.hazards.subject import Judged
from waterplan.hazards.substance import unit_of
from waterplan.hazards.verdict import chances_that_decide, hazard_row
from waterplan.plan.accepting import AFTER, Outcome, behind
from waterplan.plan.one_more_reading import readings_that_move
from waterplan.stay import record
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, Origin, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.waters import Presence

# These change nothing in a water.
_AIRING = (Kind.AIR, Kind.DEGAS)
_IDLE = (Kind.ASK, Kind.MEASURE, Kind.WAIT, Kind.PEOPLE)
_DAY_H = 24.0
# What a quantity keeps of how it is known.
_KEPT = ("origin", "measured_with", "taken", "came_from", "why", "text")


def fish_records(ground: Ground) -> tuple[record.Fish, ...]:
    """Every fish with the figures of its weight and length."""
    put, done = ground.figures.put, {one.path: one.done for one in ground.case.patients}
    return tuple(
        record.Fish(
            id=fish.id,
            name=fish.name,
            species=fish.species.name,
            patient=fish.patient,
            count=fish.count,
            weight=put(f"{fish.id}/weight", fish.weight_kg.draws, unit="kg") if fish.weight_kg.is_known else None,
            length=put(f"{fish.id}/length", fish.length_cm.draws, unit="cm") if fish.length_cm.is_known else None,
            done=done.get(fish.id, ""),
        )
        for fish in ground.fish.values()
    )


def water_records(ground: Ground, outcome: Outcome) -> tuple[record.Water, ...]:
    """Every water as it was found and as its fish go into it, and what a refused dose would have made of it."""
    waters = outcome.stay_after.waters.values()
    stretches = [(water.place.id, stretch) for water in waters for stretch in water.place.stretches]
    present = [(water, one) for water, stretch in stretches for one in stretch.present if one.fish in ground.fish]
    in_turn = _one_after_the_other(present)
    return tuple(_water(ground, water, in_turn[water.place.id]) for water in waters)


def _one_after_the_other(present: Iterable[tuple[str, Presence]]) -> dict[str, list[Presence]]:
    """Who is where when, each fish in one water at a time: it leaves a water as it enters the next.

    Of two waters that a fish could enter at one time (two revival tubs), the first that the case names has it.
    """
    by_fish: dict[str, dict[float, tuple[str, Presence]]] = defaultdict(dict)
    for water, one in present:
        by_fish[one.fish].setdefault(one.start_h, (water, one))
    found: dict[str, list[Presence]] = defaultdict(list)
    for stays in by_fish.values():
        starts = sorted(stays)
        for start, later in zip_longest(starts, starts[1:], fillvalue=np.inf):
            water, one = stays[start]
            found[water].append(replace(one, until_h=min(one.until_h, later)))
    return found


def _water(ground: Ground, water: WaterStay, present: Sequence[Presence]) -> record.Water:
    place, clock = water.place, ground.clock
    first = min((one.start_h for one in place.stretches), default=None)
    states = [_state(ground, place.id, water.as_found, "as found", at_h=min(clock.now_h, first or 0.0))]
    if len(water.states) > 1:
        states.append(_state(ground, place.id, water.start, "start", at_h=first))
    for number, (path, state) in enumerate(ground.hypothetical, 1):
        if path == place.id:
            states.append(_state(ground, path, state, f"if {number}", at_h=first))
    return record.Water(
        id=place.id,
        name=place.name,
        kind=place.kind,
        of=str(ground.case.mains_water.kind or "") if place.kind is WaterKind.SOURCE else "",
        occupants=tuple(
            record.Occupant(fish=one.fish, state=one.state, start=clock.at(one.start_h), until=clock.at(one.until_h))
            for one in present
        ),
        pours_into=place.pours_into,
        states=tuple(states),
    )


def _state(ground: Ground, water: str, state: State, which: str, *, at_h: float | None) -> record.State:
    def put(name: str, known: Known, unit: str, rows: Iterable[str] = (), end: ActEnd = ActEnd.BEST) -> str:
        return ground.figures.put(f"{water}/{name}/{which}", known.draws, unit=unit, rows=rows, act_end=end)

    return record.State(
        at=ground.clock.at(at_h),
        after=tuple(dict.fromkeys(state.after)),
        hypothetical=state.hypothetical,
        quantities={
            quantity.value: record.Quantity(
                figure=put(quantity, known, UNITS[quantity], known.rows),
                **{name: getattr(known, name) for name in _KEPT},
            )
            for quantity, known in state.known.items()
            if quantity is not Q.NITROGEN
        },
        contents=tuple(
            record.Content(
                substance=name,
                level=put(name, known, unit_of(name), end=ActEnd.HIGH),
                came_from=known.came_from or "case",
            )
            for name, known in state.contents.items()
        ),
    )


def action_records(outcome: Outcome, now: datetime | None) -> tuple[Action, ...]:
    """Every action with what it answers, and what it leads to: the judgements after it in its water."""
    more = _answered_besides(outcome)
    figures = outcome.stay_after.ground.figures
    refused, shut = {one.action.id for one in outcome.proposals if one.action.refused_because}, _shut(outcome)
    made = []
    for action, effects in ((one.action, one.effects) for one in outcome.proposals):
        own = (path if path in outcome.before else f"{path}{AFTER}" for path in action.answers)
        answers, leads_to = (*own, *more[action.id]), action.leads_to
        if effects:
            touched = {effect.water for effect in effects}
            leads_to = tuple(
                f"{path}{AFTER}"
                for path, one in outcome.changed.items()
                if one.record.water in touched
                and (path in answers or one.record.hazard.value in may_worsen(action.kind))
            )
        update = {
            "needs": tuple(need for need in action.needs if need not in refused),
            "answers": answers,
            "leads_to": leads_to,
            "costs": (*action.costs, *_lesser_costs(outcome, leads_to)),
            "instead": tuple(way for way in action.instead if _is_way_out(action, way, shut)),
            "amounts": {
                # The clock of a box is that without air.
                name: path if (name == "within" and POWER_OFF not in path) or after not in figures.sums else after
                for name, path, after in ((name, path, f"{path}{AFTER}") for name, path in action.amounts.items())
                if path in figures.sums
            },
        }
        made.append(action.model_copy(update={**update, **_not_past(action, now)}))
    return tuple(made)


def _shut(outcome: Outcome) -> Mapping[tuple[str | None, Kind], frozenset[str]]:
    """The kinds that are refused in a water and not open there too, and why; nothing is moved out of one that nothing may leave."""
    actions = [one.action for one in outcome.proposals]
    is_open = {(one.water, one.kind) for one in actions if one.is_open}
    stopped = {(one.water, Kind.MOVE): frozenset[str]() for one in actions if one.kind is Kind.MOVE_NOTHING}
    refused = {
        (one.water, one.kind): frozenset(why.code for why in one.refused_because)
        for one in actions
        if one.refused_because and one.done is None
    }
    return {key: codes for key, codes in refused.items() if key not in is_open} | stopped


def _is_way_out(action: Action, way: Instead, shut: Mapping[tuple[str | None, Kind], frozenset[str]]) -> bool:
    """Whether a way out of a refusal is one: not where it is refused there itself; what is asked tells all that was tried.

    A tub of the pond's own water may be made where no other is stated.
    """
    if not action.refused_because or way.kind is action.kind or (action.water, way.kind) not in shut:
        return True
    return way.own_tub and shut[action.water, way.kind] == {"no-other-water-named"}


def _answered_besides(outcome: Outcome) -> Mapping[str, list[str]]:
    """The dangers that went by an action in a water that they rest on, or that it is filled from, and were answered by none."""
    acting = [one.action for one in outcome.proposals if one.action.kind not in _IDLE]
    answered = {path for one in acting if not one.refused_because for path in one.answers}
    found: dict[str, list[str]] = defaultdict(list)
    for path, judged in outcome.before.items():
        after = outcome.after.get(path, judged)
        if judged.record.verdict is not Verdict.ACT_NOW or path in answered or after.record.verdict is Verdict.ACT_NOW:
            continue
        waters = behind(judged, outcome.stay_after)
        acted = [one.action for one in outcome.proposals if any(effect.water in waters for effect in one.effects)]
        likely = [one for one in acted if one.kind in kinds_against(judged.record.hazard)]
        for action in likely or acted:
            found[action.id].append(path)
    return found


def _not_past(action: Action, now: datetime | None) -> dict[str, datetime]:
    """Times of what is still to be done are not before the time of the plan; a recheck keeps the day it was due on, and what
    comes every day its hour.
    """
    if now is None or action.done is not None or action.kind is Kind.WAIT:
        return {}
    names = ("by",) if action.every_h == _DAY_H else ("at", "by")
    return {name: now for name in names if (time := getattr(action, name)) is not None and time < now}


def _lesser_costs(outcome: Outcome, leads_to: Iterable[str]) -> Iterator[Why]:
    """What stands less well once all that is accepted is done, and may be borne."""
    for path in leads_to:
        before, after = (found.get(path.removesuffix(AFTER)) for found in (outcome.before, outcome.after))
        if before is not None and after is not None and after.record.verdict.rank > before.record.verdict.rank:
            words = {"judgement": path, "before": before.record.verdict.value, "verdict": after.record.verdict.value}
            yield Why(code="less-well-with-all-that-is-planned", words=words)


def judgement_records(outcome: Outcome, actions: Iterable[Action]) -> list[Judgement]:
    """Every judgement before any action, and behind it what has become of it where actions changed it."""
    accepted = [one for one in actions if not one.refused_because]
    kinds = {path: water.place.kind for path, water in outcome.stay_after.waters.items()}
    now = outcome.stay_after.ground.clock.at(outcome.stay_after.ground.clock.now_h)
    found: list[tuple[Judged, dict[str, Any]]] = [
        (one, {"answered_by": tuple(action.id for action in accepted if path in action.answers)})
        for path, one in outcome.before.items()
    ]
    found += [(one, _after(one, outcome.before.get(path), accepted)) for path, one in outcome.changed.items()]
    return [
        judged.record.model_copy(update={"measure": _measure(judged, kinds[judged.record.water], now), **more})
        for judged, more in found
    ]


def _measure(judged: Judged, kind: WaterKind, now: datetime | None) -> tuple[Measure, ...]:
    """What must be measured; of a verdict that is known, what one more ordinary reading would change; of what is over, nothing."""
    if judged.passed is None or judged.record.is_over(now) or judged.record.verdict is Verdict.NOT_KNOWN:
        return judged.record.measure
    thresholds = chances_that_decide(hazard_row(judged.record.hazard, kind).severity)
    return readings_that_move(judged.passed, judged.rests, thresholds=thresholds)


def _after(judged: Judged, earlier: Judged | None, accepted: Sequence[Action]) -> dict[str, Any]:
    """How it stands afterwards; the verdict counts on what answers it, or, where it got better by others, on those.

    A pH that was read and is worked out anew after air counts on that air, whatever else answers.
    """
    record = judged.record
    mine = [one.id for one in accepted if not {record.id, record.id + AFTER}.isdisjoint(one.answers)]
    doing = [one for one in accepted if one.done is None and one.kind not in _IDLE]
    done = [one.id for one in doing if one.id in mine]
    better = earlier is None or record.verdict.rank < earlier.record.verdict.rank
    if better and not done:
        done = [one.id for one in doing if one.water == record.water]
    if earlier is not None and _reads(earlier, Q.PH) and not _reads(judged, Q.PH):
        airing = (one.id for one in doing if one.kind in _AIRING and record.id + AFTER in one.leads_to)
        done = list(dict.fromkeys((*done, *airing)))
    return {
        "id": record.id + AFTER,
        "given_done": tuple(done),
        "answered_by": tuple(mine),
        "before": record.id if earlier else None,
        "figure": record.figure and record.figure + AFTER,
        "until_harm": record.until_harm and record.until_harm + AFTER,
    }


def _reads(judged: Judged, quantity: Q) -> bool:
    """Whether a judgement rests on a quantity of its own water as it was read."""
    own = (one for one in judged.rests if one.water == judged.record.water and one.quantity == quantity)
    return any(one.known.origin is Origin.MEASURED for one in own)
