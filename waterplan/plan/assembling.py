"""From the outcome to the record: waters with their states, judgements before and after, actions, moments, sources."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.actions.makers import may_worsen
from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Judgement, Verdict, Why
from waterplan.hazards.subject import Judged
from waterplan.plan.accepting import AFTER, Outcome, differs
from waterplan.plan.record import RowUsed, Source
from waterplan.published import EQUATIONS
from waterplan.stay import record
from waterplan.stay.figures import Figures
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, Figure
from waterplan.stay.state import Known, State
from waterplan.stay.waters import Presence

# These change nothing in a water.
_IDLE = (Kind.ASK, Kind.MEASURE, Kind.WAIT, Kind.PEOPLE)
_AS_FOUND, _START = "as found", "start"


def fish_records(ground: Ground) -> tuple[record.Fish, ...]:
    """Every fish with the figures of its weight and length."""
    found = []
    for fish in ground.fish.values():
        weight = ground.figures.put(f"{fish.id}/weight", fish.weight_kg.draws, unit="kg")
        length = ground.figures.put(f"{fish.id}/length", fish.length_cm.draws, unit="cm")
        found.append(
            record.Fish(
                id=fish.id,
                name=fish.name,
                species=fish.species.name,
                patient=fish.patient,
                count=fish.count,
                weight=weight,
                length=length,
            )
        )
    return tuple(found)


def water_records(ground: Ground, outcome: Outcome) -> tuple[record.Water, ...]:
    """Every water as it was found and as its fish go into it, and what a refused dose would have made of it."""
    waters = outcome.stay_after.waters.values()
    present = [
        (water.place.id, one)
        for water in waters
        for stretch in water.place.stretches
        for one in stretch.present
        if one.fish in ground.fish
    ]
    return tuple(_water(ground, water, one_after_the_other(present)[water.place.id]) for water in waters)


def one_after_the_other(present: Iterable[tuple[str, Presence]]) -> dict[str, list[Presence]]:
    """Who is where when, each fish in one water at a time: it leaves a water as it enters the next.

    Of two waters that a fish could enter at one time (two revival tubs), the first that the case names has it.
    """
    by_fish: dict[str, list[tuple[str, Presence]]] = {}
    for water, one in present:
        by_fish.setdefault(one.fish, []).append((water, one))
    found: dict[str, list[Presence]] = defaultdict(list)
    for stays in by_fish.values():
        stays.sort(key=lambda stay: stay[1].start_h)
        starts = [one.start_h for _, one in stays]
        for number, (water, one) in enumerate(stays):
            if number and starts[number - 1] == one.start_h:
                continue
            later = min((start for start in starts[number:] if start > one.start_h), default=one.until_h)
            found[water].append(replace(one, until_h=min(one.until_h, later)))
    return found


def _water(ground: Ground, water: WaterStay, present: Sequence[Presence]) -> record.Water:
    place = water.place
    first = min((one.start_h for one in place.stretches), default=None)
    states = [
        _state(ground, place.id, water.as_found, _AS_FOUND, at=ground.clock.at(min(ground.clock.now_h, first or 0.0)))
    ]
    if len(water.states) > 1:
        states.append(_state(ground, place.id, water.start, _START, at=ground.clock.at(first)))
    for number, (path, state) in enumerate(ground.hypothetical, 1):
        if path == place.id:
            states.append(_state(ground, path, state, f"if {number}", at=ground.clock.at(first), hypothetical=True))
    return record.Water(
        id=place.id,
        name=place.name,
        kind=place.kind,
        occupants=tuple(
            record.Occupant(
                fish=one.fish,
                state=one.state,
                start=ground.clock.at(one.start_h),
                until=ground.clock.at(one.until_h),
            )
            for one in present
        ),
        pours_into=place.pours_into,
        states=tuple(states),
    )


def _state(
    ground: Ground, water: str, state: State, which: str, *, at: datetime | None, hypothetical: bool = False
) -> record.State:
    quantities = {
        quantity.value: _quantity(ground.figures, f"{water}/{quantity}/{which}", quantity, known)
        for quantity, known in state.known.items()
        if quantity is not Q.NITROGEN
    }
    contents = tuple(
        record.Content(
            substance=name,
            level=ground.figures.put(f"{water}/{name}/{which}", known.draws, unit="mg/L"),
            came_from=known.came_from or "case",
        )
        for name, known in state.contents.items()
    )
    return record.State(
        at=at,
        after=tuple(dict.fromkeys(state.after)),
        hypothetical=hypothetical or state.hypothetical,
        quantities=quantities,
        contents=contents,
    )


def _quantity(figures: Figures, path: str, quantity: Q, known: Known) -> record.Quantity:
    return record.Quantity(
        figure=figures.put(path, known.draws, unit=UNITS[quantity], act_end=ActEnd.BEST, rows=known.rows),
        origin=known.origin,
        measured_with=known.measured_with,
        taken=known.taken,
        came_from=known.came_from,
        why=known.why,
        text=known.text,
    )


def with_answers(outcome: Outcome) -> tuple[Action, ...]:
    """The actions, each with what it answers: what it was sized for, and dangers that went by it and by no other."""
    actions = [one.action for one in outcome.proposals]
    answered = {path for one in actions if one.kind not in _IDLE and not one.refused_because for path in one.answers}
    more: dict[str, list[str]] = {}
    for path, judged in outcome.before.items():
        after = outcome.after.get(path, judged)
        if judged.record.verdict is not Verdict.ACT_NOW or path in answered or after.record.verdict is Verdict.ACT_NOW:
            continue
        for water in _upstream(outcome, judged.record.water):
            for proposal in outcome.proposals:
                if any(effect.water == water for effect in proposal.effects):
                    more.setdefault(proposal.action.id, []).append(path)

    def known(path: str) -> str:
        return path if path in outcome.before else f"{path}{AFTER}"

    return tuple(
        one.model_copy(update={"answers": (*map(known, one.answers), *more.get(one.id, ()))}) for one in actions
    )


def _upstream(outcome: Outcome, water: str) -> Iterator[str]:
    """A water and those that it is filled from."""
    here: WaterStay | None = outcome.stay_after[water]
    while here is not None:
        yield here.place.id
        here = here.source


def judgement_records(outcome: Outcome, actions: tuple[Action, ...]) -> tuple[Judgement, ...]:
    """Every judgement before any action, and behind it what has become of it where actions changed it."""
    accepted = [one for one in actions if not one.refused_because]
    found: list[Judgement] = []
    for path, judged in outcome.before.items():
        answered = tuple(one.id for one in accepted if path in one.answers)
        found.append(judged.record.model_copy(update={"answered_by": answered}))
    for path, judged in outcome.after.items():
        earlier = outcome.before.get(path)
        if differs(judged, earlier):
            found.append(_after(judged, earlier, accepted))
    return tuple(found)


def _after(judged: Judged, earlier: Judged | None, accepted: list[Action]) -> Judgement:
    """How it stands afterwards; the verdict counts on what answers it, or, where it got better by others, on those."""
    path = judged.record.id
    mine = [one for one in accepted if path in one.answers or f"{path}{AFTER}" in one.answers]
    answered = tuple(one.id for one in mine)
    done = tuple(one.id for one in mine if one.done is None and one.kind not in _IDLE)
    better = earlier is None or judged.record.verdict.rank < earlier.record.verdict.rank
    if better and not done:
        here = (one for one in accepted if one.water == judged.record.water and one.done is None)
        done = tuple(one.id for one in here if one.kind not in _IDLE)
    record = judged.record
    return record.model_copy(
        update={
            "id": path + AFTER,
            "given_done": done,
            "answered_by": answered,
            "before": path if earlier else None,
            "figure": record.figure and record.figure + AFTER,
            "until_harm": record.until_harm and record.until_harm + AFTER,
        }
    )


def action_records(outcome: Outcome, actions: tuple[Action, ...], now: datetime | None) -> tuple[Action, ...]:
    """Every action with what it leads to: the judgements after it in its water."""
    changed = {path: one for path, one in outcome.after.items() if differs(one, outcome.before.get(path))}
    made = []
    for proposal, action in zip(outcome.proposals, actions, strict=True):
        leads_to = action.leads_to
        if proposal.effects:
            touched = {effect.water for effect in proposal.effects}
            leads_to = tuple(
                f"{path}{AFTER}"
                for path, one in changed.items()
                if one.record.water in touched
                and (path in action.answers or one.record.hazard.value in may_worsen(action.kind))
            )
        costs = (*action.costs, *_lesser_costs(outcome, leads_to))
        there = {name: path for name, path in action.amounts.items() if path in outcome.stay_after.ground.figures.sums}
        made.append(
            action.model_copy(update={"leads_to": leads_to, "costs": costs, "amounts": there, **_not_past(action, now)})
        )
    return tuple(made)


def _not_past(action: Action, now: datetime | None) -> dict[str, datetime]:
    """Times of what is still to be done are not before the time of the plan."""
    if now is None or action.done is not None:
        return {}
    return {name: now for name in ("at", "by") if (time := getattr(action, name)) is not None and time < now}


def _lesser_costs(outcome: Outcome, leads_to: Iterable[str]) -> Iterator[Why]:
    """What stands less well once all that is accepted is done, and may be borne."""
    for path in leads_to:
        before, after = (found.get(path.removesuffix(AFTER)) for found in (outcome.before, outcome.after))
        if before is not None and after is not None and after.record.verdict.rank > before.record.verdict.rank:
            yield Why(
                code="less-well-with-all-that-is-planned",
                words={"judgement": path, "before": before.record.verdict.value, "verdict": after.record.verdict.value},
            )


def rows_and_sources(
    figures: Mapping[str, Figure], judgements: Iterable[Judgement], more: Iterable[str]
) -> dict[str, Any]:
    """Every table row that a figure, a limit or a verdict rests on, and the sources behind those and the equations."""
    ids = dict.fromkeys(row for figure in figures.values() for row in figure.rows)
    ids |= dict.fromkeys(one.limit.row for one in judgements if one.limit is not None and one.limit.row)
    ids |= dict.fromkeys((*more, *(row.id for row in tables.table("verdicts"))))
    rows = {path: row for path in ids if (row := tables.by_id(path)) is not None}
    keys = dict.fromkeys(row.source for row in rows.values())
    keys |= dict.fromkeys(EQUATIONS[name].source for figure in figures.values() for name in figure.equations)
    found = {key: tables.sources()[key] for key in keys if key in tables.sources()}
    return {
        "rows": {path: _row(row) for path, row in rows.items()},
        "sources": {
            key: Source(**{name: one.get(name, "") for name in Source.model_fields}) for key, one in found.items()
        },
    }


def _row(row: tables.Row) -> RowUsed:
    figures = {name: getattr(row, name) for name in ("value", "low", "high")}
    texts = {name: getattr(row, name) for name in ("table", "unit", "printed", "source", "locator", "status", "reason")}
    finite: dict[str, Any] = {name: float(value) if np.isfinite(value) else None for name, value in figures.items()}
    return RowUsed(words=row.label, **finite, **texts)
