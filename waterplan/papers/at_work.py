"""What is written on while the work goes on: the procedure log, the drug record, the time cards, the card of a bag or box."""

import math
from collections.abc import Iterator
from datetime import datetime, timedelta

from waterplan import tables
from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Hazard
from waterplan.papers.drawings import Drawings, air_off, minutes
from waterplan.papers.parts import Values, in_a_kit, latest, named, tubs
from waterplan.plan.ordering import as_they_stand
from waterplan.plan.record import Plan
from waterplan.stay.record import FishState, Occupant, Water, WaterKind
from waterplan.words.lines import amount_name
from waterplan.words.speaker import Speaker

WORKED_IN = (WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL)
_CARRIED = (WaterKind.BAG, WaterKind.BOX)
_ASLEEP = frozenset({FishState.ANAESTHETISED, FishState.RECOVERING})
# What calls for fresh water while the fish is in it.
_SWAPS = (Hazard.OXYGEN, Hazard.TEMPERATURE_STEP, Hazard.PH, Hazard.PH_CHANGE)
_ON_THE_WAY = ("oxygen/until-emergency", "un-ionised ammonia/until-harm", "carbon dioxide/until-harm")
_GIVEN = frozenset({Kind.DOSE, Kind.INJECTION})
_S_PER_MIN = 60.0
# While it wakes: so many times the wanted time is watched as closely, then a third as often.
_CLOSELY, _SELDOM = 3.0, 3.0


# -- the procedure --------------------------------------------------------------------------------------------------


def worked_in(plan: Plan) -> list[Water]:
    """The tubs of an operation in which a fish sleeps or wakes."""
    slept_in = (one for one in plan.waters if any(each.state in _ASLEEP for each in one.occupants))
    return [one for one in slept_in if one.kind in WORKED_IN and plan.made.operation_at]


def procedure_log(drawings: Drawings) -> Values:
    """A log for each tub: when to swap its water, and a row for each time at which the fish and the water are read."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    return {"logs": [_log(speaker, one) for one in worked_in(plan)]}


def _log(speaker: Speaker, water: Water) -> Values:
    plan = speaker.plan
    rest = (one.amounts["breaths at rest"] for one in plan.actions if "breaths at rest" in one.amounts)
    back = _back_ups(plan, water)
    after = WaterKind.HOSPITAL if water.kind is WaterKind.REVIVAL else WaterKind.REVIVAL
    into = next((one.id for one in plan.waters if one.kind is after and one.occupants), "")
    return {
        "water": water,
        "swap": speaker.say("log.swap.title", into=into and speaker.name(into, article=True)),
        "drugs": [
            speaker.say("log.drug", substance=speaker.word(one.substance), level=speaker.figure(one.amounts["wanted"]))
            for one in given(plan)
            if one.water == water.id and one.substance and "wanted" in one.amounts
        ],
        "swaps": _swaps(speaker, water),
        "clocks": air_off(plan, water.id),
        "breaths": next(rest, ""),
        "back_up": back[0].amounts["air flow"] if back else "",
        "times": [f"{at:%H:%M}" for at in _grid(water)],
    }


def _back_ups(plan: Plan, water: Water) -> list[Action]:
    """The back-up air that is ordered for a water."""
    here = (one for one in plan.actions if one.water == water.id and one.kind is Kind.AIR and one.is_open)
    return [one for one in here if {"within", "air flow"} <= one.amounts.keys()]


def _swaps(speaker: Speaker, water: Water) -> list[str]:
    """When the water is swapped: by what a meter at the table shows, and by the clock for what none shows."""
    found = {one.hazard: one for one in in_a_kit(speaker, water.id, _SWAPS)}
    lines = [
        speaker.say(f"log.swap.{name}", limit=speaker.limit(found[name].limit)) for name in _SWAPS if name in found
    ]
    # No meter at the table shows un-ionised ammonia: the shortest time until it harms, where it is reached at all.
    ends = {
        one.until_harm: speaker.plan.figures[one.until_harm].act_on
        for one in as_they_stand(speaker.plan.judgements)
        if one.water == water.id and one.hazard is Hazard.AMMONIA and one.until_harm
    }
    lasts = {path: end for path, end in ends.items() if end is not None}
    if lasts:
        soonest = min(lasts, key=lambda path: lasts[path])
        lines.append(speaker.say("log.swap.ammonia", time=speaker.figure(soonest) if lasts[soonest] else ""))
    return lines


def _grid(water: Water) -> Iterator[datetime]:
    """Every five minutes while the fish sleeps, and while it wakes for as long again as the rule lets it take; then less often."""
    step = tables.row("anaesthesia_times", when="5").value
    watched = tables.row("anaesthesia_times", when="out", words="balance back")
    for one in water.occupants:
        if one.state in _ASLEEP and one.start and one.until:
            yield from _every(one, step, _CLOSELY * watched.value if one.state is FishState.RECOVERING else None)


def _every(one: Occupant, step: float, close: float | None) -> Iterator[datetime]:
    at, begun = one.start, one.start
    while at is not None and one.until is not None and begun is not None and at <= one.until:
        yield at
        slow = close is not None and (at - begun).total_seconds() / _S_PER_MIN >= close
        at += timedelta(minutes=step * (_SELDOM if slow else 1.0))


# -- what was given -------------------------------------------------------------------------------------------------


def given(plan: Plan) -> list[Action]:
    """The doses and injections for a fish that are ordered and not given yet."""
    fish = {one.id for one in plan.fish}
    ordered = (one for one in plan.actions if one.kind in _GIVEN and one.is_open)
    return [one for one in ordered if one.words.get("fish") in fish or _holds_fish(plan, one)]


def _holds_fish(plan: Plan, one: Action) -> bool:
    return any(water.id == one.water and water.occupants for water in plan.waters)


def drug_record(drawings: Drawings) -> Values:
    """The record of drugs: what is ordered, and room for what was given, when, of which batch, by whom."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    return {
        "given": given(plan),
        "patients": [one for one in plan.fish if one.patient],
        "amounts": {one.id: list(_amounts(speaker, one)) for one in given(plan)},
        "stages": bool(worked_in(plan)),
    }


def _amounts(speaker: Speaker, one: Action) -> Iterator[tuple[str, str]]:
    for name in ("mass", "stock", "mixture", "draw", "dose", "wanted", "bicarbonate", "time"):
        if name in one.amounts:
            label = speaker.word(one.words["label"]) if name in ("mass", "stock") and "label" in one.words else ""
            yield speaker.say("drugs.of it", what=amount_name(speaker, one, name), label=label), one.amounts[name]


# -- beside each tub, and on the way --------------------------------------------------------------------------------


def timed(plan: Plan) -> list[Water]:
    """The tubs whose oxygen runs short once their air stops; a closed bag has a card of its own."""
    open_ones = (one for one in tubs(plan) if one.kind is not WaterKind.BAG)
    return [one for one in open_ones if any(minutes(plan, path) < math.inf for path in air_off(plan, one.id).values())]


def time_cards(drawings: Drawings) -> Values:
    """A card for each tub: by when it must be looked at once its air has stopped, and what to do."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    cards = [
        {
            "water": one,
            "who": speaker.join(dict.fromkeys(speaker.name(each.fish) for each in one.occupants), ", "),
            "clocks": air_off(plan, one.id),
            "back_up": _back_ups(plan, one),
            "chart": drawings.clock(one.id),
            "asleep": one.kind in WORKED_IN,
        }
        for one in timed(plan)
    ]
    return {"size": "A5", "tubs": [named(one) for one in timed(plan)], "cards": cards}


def carried(plan: Plan) -> list[Water]:
    """The bags and boxes of a journey."""
    return [one for one in plan.waters if one.kind in _CARRIED]


def transport_card(drawings: Drawings) -> Values:
    """The card stuck on a bag or a box: what is in it, when it was loaded, by when it is opened, what never to do."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    cards = []
    for one in carried(plan):
        aboard = list(dict.fromkeys(each.fish for each in one.occupants)) or [
            each.id for each in plan.fish if each.patient
        ]
        loads = [each.start for each in one.occupants if each.start]
        arrives = [each.until for each in one.occupants if each.until]
        mine = [each for each in plan.actions if each.water == one.id and each.done is None]
        refused = [each for each in mine if each.kind is Kind.ACCLIMATE and each.refused_because]
        cards.append(
            {
                "water": one,
                "fish": [speaker.fish[path] for path in aboard],
                "quantities": latest(one),
                "loaded": speaker.clock(min(loads)) if loads and not refused else "",
                "arrives": speaker.clock(max(arrives)) if arrives and not refused else "",
                "open_by": soonest(plan, one),
                "air_off": air_off(plan, one.id).get("until-emergency", "") if one.kind is WaterKind.BOX else "",
                "pack": refused or [each for each in mine if each.kind is Kind.PACK],
                "steps": "fails.bag is opened" if one.kind is WaterKind.BAG else "fails.box pump stops",
            }
        )
    return {"size": "A5", "tubs": [named(one) for one in carried(plan)], "cards": cards}


def soonest(plan: Plan, water: Water) -> str:
    """The shortest of the clocks of what a fish on its way breathes, with all that is ordered; "" where none runs out."""
    paths = [path for path in (f"{water.id}/{clock}" for clock in _ON_THE_WAY) if path in plan.figures]
    paths = [after if (after := f"{path}/after") in plan.figures else path for path in paths]
    running = {path: lasts for path in paths if (lasts := minutes(plan, path)) < math.inf}
    return min(running, key=lambda path: running[path], default="")
