"""What stands beside the tubs and by the door: a card for each tub, and what to do if something fails."""

from collections.abc import Iterator
from datetime import datetime

from waterplan.actions.record import Kind
from waterplan.hazards.record import Hazard
from waterplan.papers.drawings import Drawings, air_off, minutes
from waterplan.papers.parts import Values, brief, clocks, contents, in_a_kit, latest, named, to_do, tubs
from waterplan.plan.record import Plan
from waterplan.stay.record import ActEnd, Water, WaterKind
from waterplan.words import numbers
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import shown_judgements

_HEAT = frozenset({Kind.WARM, Kind.COOL})


def tub_cards(drawings: Drawings) -> Values:
    """A card for each tub, bag and tank: its clock, what to do, what is in it, how it is judged."""
    cards = [_card(drawings, one) for one in tubs(drawings.speaker.plan)]
    return {"size": "A5", "tubs": [named(card["water"]) for card in cards], "cards": cards}


def _card(drawings: Drawings, water: Water) -> Values:
    speaker, plan = drawings.speaker, drawings.speaker.plan
    quantities = latest(water)
    shown = {path for state in plan.moments for path in shown_judgements(plan, state)}
    falling = drawings.of(water.id, planned=False)
    return {
        "water": water,
        "who": speaker.join(dict.fromkeys(speaker.name(one.fish) for one in water.occupants), ", "),
        "volume": quantities.pop("volume", None),
        "clocks": clocks(speaker, water.id),
        "actions": to_do(plan, water),
        "wanted": list(_wanted(speaker, water)),
        "quantities": quantities,
        "contents": contents(plan, water),
        "lines": brief(speaker, (one for one in plan.judgements if one.water == water.id and one.id in shown)),
        "chart": falling[0] if falling else drawings.clocks.get(water.id, ""),
    }


def _wanted(speaker: Speaker, water: Water) -> Iterator[tuple[str, str]]:
    """What the water is to be before a fish comes into it: what to bring it to, and what is only matched."""
    plan, say = speaker.plan, speaker.say
    mine = [one for one in plan.actions if one.water == water.id and one.is_open]
    limits = {one.hazard: one.limit for one in plan.judgements if one.water == water.id and one.limit}
    oxygen = [one for one in in_a_kit(speaker, {water.id}) if one.hazard is Hazard.OXYGEN]
    before = _comes_from(plan, water)
    home = next((one for one in plan.waters if one.kind is WaterKind.HOME), before)
    there = latest(before) if before else {}
    name = speaker.name(before.id, article=True) if before else ""

    def matched(quantity: str, hazard: Hazard, key: str, other: Water | None = before) -> str:
        limit, there = limits.get(hazard), latest(other) if other else {}
        if quantity not in there or limit is None or limit.value is None:
            return ""
        step = speaker.printed(limit.value, limit.unit, limit.row, ActEnd.LOW)
        name = speaker.name(other.id, article=True) if other else ""
        return say(key, figure=speaker.figure(there[quantity].figure), water=name, step=step)

    held = [one.amounts["temperature"] for one in mine if one.kind in _HEAT and "temperature" in one.amounts]
    kept = say("tub.bring to", figure=speaker.figure(held[0])) if held else ""
    level = [one.amounts["level"] for one in mine if one.kind is Kind.SALT and "level" in one.amounts]
    same = say("tub.as in", figure=speaker.figure(there["salt"].figure), water=name) if "salt" in there else ""
    salted = say("tub.then", figure=speaker.figure(level[0]), same=same) if level else ""
    yield speaker.word("temperature"), kept or matched("temperature", Hazard.TEMPERATURE_STEP, "tub.match")
    yield speaker.word("oxygen"), speaker.limit(oxygen[0].limit) if oxygen else ""
    yield speaker.word("salt"), salted or same
    of_home = home if water.kind is WaterKind.REVIVAL else before
    yield speaker.word("ph"), matched("ph", Hazard.PH_CHANGE, "tub.match ph", of_home)
    poured = {water.id, *(one.id for one in plan.waters if water.id in one.pours_into)}
    treated = [one for one in plan.actions if one.kind is Kind.NEUTRALISE and one.is_open and one.water in poured]
    yield say("tub.neutraliser"), speaker.join(action_line(speaker, one) for one in treated) or say("tub.no chlorine")


def _comes_from(plan: Plan, water: Water) -> Water | None:
    """The water that the first fish of a tub comes out of."""
    starts = [one for one in water.occupants if one.start]
    if not starts:
        return None
    first = min(starts, key=lambda one: one.start or datetime.max)
    left = [
        (one.until, other)
        for other in plan.waters
        if other is not water
        for one in other.occupants
        if one.fish == first.fish and one.until and first.start and one.until <= first.start
    ]
    return max(left, key=lambda one: one[0])[1] if left else None


def contingency_page(drawings: Drawings) -> Values:
    """What to do if something fails, and how long there is, in the worst case; of what this plan has, and no more."""
    plan, figures = drawings.speaker.plan, drawings.speaker.plan.figures
    off = [(one.id, air_off(plan, one.id)) for one in plan.waters]
    rows = [(water, clock.get("until-alarm", ""), clock.get("until-emergency", "")) for water, clock in off if clock]
    paths = {kind: {one.id for one in plan.waters if one.kind is kind} for kind in WaterKind}
    clocks_of = [path for path, one in figures.items() if one.unit in numbers.MINUTES]
    times = [path for path in clocks_of if f"{path}/after" not in figures]  # how it stands with what the plan orders

    def of(water: str) -> str:
        return water.split("/", maxsplit=1)[0]

    long_stays = paths[WaterKind.HOME] | paths[WaterKind.HOSPITAL]
    heaters = [path for path in times if "heater" in path]
    warm = [
        one for one in plan.judgements if one.hazard is Hazard.TEMPERATURE and one.water in long_stays and one.limit
    ]
    troubles = {
        "power fails": [],
        "heater sticks on": heaters,
        "bag is opened": [],
        "box pump stops": [
            clock["until-emergency"]
            for water, clock in off
            if water in paths[WaterKind.BOX] and "until-emergency" in clock
        ],
        "heat wave": [],
        "chlorine": [],
        "jump": [],
    }
    absent = {"bag is opened": not paths[WaterKind.BAG], "box pump stops": not paths[WaterKind.BOX]}
    absent["heater sticks on"] = not heaters and not any("heater" in one.amounts for one in plan.actions)
    poured = paths[WaterKind.HOME] | paths[WaterKind.SOURCE]
    neutralise = [one for one in plan.actions if one.kind is Kind.NEUTRALISE and one.is_open and one.water in poured]
    return {
        "tubs_at": sorted(rows, key=lambda row: minutes(plan, row[2] or row[1])),
        "troubles": {trouble: paths for trouble, paths in troubles.items() if not absent.get(trouble)},
        "warm": list({one.water: one for one in warm}.values()),
        "neutralise": neutralise,
    }
