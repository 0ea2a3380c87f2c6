"""What stands beside the tubs and by the door: a card for each tub, and what to do if something fails."""

from collections.abc import Iterator
from datetime import datetime
from functools import partial

from waterplan.actions.record import Action, Kind
from waterplan.hazards.limit_rows import strictest
from waterplan.hazards.record import Hazard
from waterplan.papers.at_work import WORKED_IN, soonest
from waterplan.papers.drawings import Drawings, air_off, minutes
from waterplan.papers.ordered import HEAT, kept_at, kit_limit
from waterplan.papers.parts import Values, brief, clocks, contents, in_a_kit, latest, named, to_do, tubs
from waterplan.plan.record import Plan
from waterplan.stay.record import ActEnd, Origin, Quantity, Water, WaterKind
from waterplan.words import numbers
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import shown_judgements

_ON_A_CARD = 2
_ELSEWHERE = frozenset({Kind.NEUTRALISE, Kind.ACCLIMATE, Kind.WAIT})


def tub_cards(drawings: Drawings) -> Values:
    """A card for each tub, bag and tank: its clock, what to do, what is in it, how it is judged."""
    cards = [_card(drawings, one) for one in tubs(drawings.speaker.plan)]
    return {"size": "A5", "tubs": [named(card["water"]) for card in cards], "cards": cards}


def _card(drawings: Drawings, water: Water) -> Values:
    speaker, plan = drawings.speaker, drawings.speaker.plan
    shown = {path for state in plan.moments for path in shown_judgements(plan, state)}
    there = latest(water)
    return {
        "water": water,
        "who": speaker.join(dict.fromkeys(speaker.name(one.fish) for one in water.occupants), ", "),
        "volume": there.get("volume"),
        # A closed bag has no air that could stop.
        "clocks": clocks(speaker, water.id) if water.kind is not WaterKind.BAG else [],
        "actions": [one for one in to_do(plan, water) if one.is_open and _is_set_up(water, one)],
        "refused": [one.id for one in to_do(plan, water) if one.refused_because and _is_set_up(water, one)],
        "wanted": [(what, wanted, _found(speaker, there.get(name))) for name, what, wanted in _wanted(speaker, water)],
        "contents": contents(plan, water),
        "lines": brief(
            speaker, (one for one in plan.judgements if one.water == water.id and one.id in shown), most=_ON_A_CARD
        ),
    }


def _is_set_up(water: Water, one: Action) -> bool:
    """Whether it is done by the time the first fish goes in; neutraliser and the way in by parts stand elsewhere."""
    if one.kind in _ELSEWHERE:
        return False
    goes_in = min((each.start for each in water.occupants if each.start), default=None)
    return one.at is None or goes_in is None or one.at <= goes_in


def _found(speaker: Speaker, quantity: Quantity | None) -> str:
    """What the water is like by the plan, and that nobody measured what it is made from."""
    if quantity is None:
        return ""
    assumed = speaker.say(f"origin.{quantity.origin}") if quantity.origin is Origin.ASSUMED else ""
    return speaker.say("tub.by the plan", figure=speaker.figure(quantity.figure), assumed=assumed)


def _wanted(speaker: Speaker, water: Water) -> Iterator[tuple[str, str, str]]:
    """What the water is to be before a fish comes into it, a quantity each: what to bring it to, and what is only matched."""
    plan, say = speaker.plan, speaker.say
    limits = {one.hazard: kit_limit(speaker, one.limit) for one in in_a_kit(speaker, water.id)}
    home = next((one for one in plan.waters if one.kind is WaterKind.HOME), None)
    before = _comes_from(plan, water) or home
    matched = partial(_matched, speaker, water)
    heated = [one for one in plan.actions if one.water == water.id and one.is_open and one.kind in HEAT]
    # What begins when the fish is in leads on from what it was put into.
    first = [one for one in heated if one.at is None and "temperature" in one.amounts]
    brought = say("tub.bring to", figure=speaker.figure(first[0].amounts["temperature"])) if first else ""
    same_warmth = matched("temperature", Hazard.TEMPERATURE_STEP, "tub.match", before)
    temperature = brought or same_warmth or matched("temperature", None, "tub.as in", before)
    salt = matched("salt", Hazard.SALT_STEP, "tub.match", before) or matched("salt", None, "tub.as in", before)
    for name, hazard, same in (("temperature", Hazard.TEMPERATURE, temperature), ("salt", Hazard.SALT, salt)):
        kept = kept_at(plan, water.id, hazard)
        yield name, speaker.word(name), say("tub.then", figure=speaker.figure(kept), same=same) if kept else same
    yield "oxygen", speaker.word("oxygen"), limits.get(Hazard.OXYGEN, "")
    of_home = (home or before) if water.kind is WaterKind.REVIVAL else before
    yield "ph", speaker.word("ph"), matched("ph", Hazard.PH_CHANGE, "tub.match ph", of_home)
    sources = {one.id for one in plan.waters if one.kind is WaterKind.SOURCE and water.id in one.pours_into}
    treated = [one for one in plan.actions if one.kind is Kind.NEUTRALISE and one.is_open]
    # A tub is treated itself or filled with treated water, and never both.
    own = [one for one in treated if one.water == water.id] or [one for one in treated if one.water in sources]
    added = (action_line(speaker, one, when=False) for one in own)
    yield "", say("tub.neutraliser"), speaker.join(added, "<br>") or say("tub.no chlorine")
    yield "chlorine", say("tub.chlorine read"), say("paper.none")


def _matched(
    speaker: Speaker, water: Water, quantity: str, hazard: Hazard | None, key: str, other: Water | None
) -> str:
    """A quantity as it is in the water that the fish comes from, within the step of a hazard; or as its way in leaves it."""
    plan = speaker.plan
    ways = [one for one in plan.actions if one.kind is Kind.ACCLIMATE and one.water == water.id and one.is_open]
    last = next((one.steps[-1].figures for one in ways if one.steps), {})
    if quantity in last:
        return speaker.say("tub.by the clock", figure=speaker.figure(last[quantity]))
    limit = strictest(one.limit for one in plan.judgements if one.water == water.id and one.hazard == hazard)
    there = latest(other) if other else {}
    if other is None or quantity not in there or (hazard and (limit is None or limit.value is None)):
        return ""
    step = speaker.printed(limit.value, limit.unit, limit.row, ActEnd.LOW) if limit and limit.value is not None else ""
    name = speaker.name(other.id, article=True)
    pond = f"{water.id}/salt/pond" if quantity == "salt" and other.kind is WaterKind.HOME else ""
    salted = pond if pond in plan.figures else ""
    figure = speaker.figure(salted or there[quantity].figure)
    return speaker.say(key, figure=figure, water=name, step=step, salted=salted)


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
    bags = {one.id for one in plan.waters if one.kind is WaterKind.BAG}  # nothing stops in a closed bag
    rows = [
        (water, clock.get("until-alarm", ""), clock.get("until-emergency", ""))
        for water, clock in off
        if clock and water not in bags
    ]
    paths = {kind: {one.id for one in plan.waters if one.kind is kind} for kind in WaterKind}
    clocks_of = [path for path, one in figures.items() if one.unit in numbers.MINUTES]
    times = [path for path in clocks_of if f"{path}/after" not in figures]  # how it stands with what the plan orders

    def of(water: str) -> str:
        return water.split("/", maxsplit=1)[0]

    long_stays = paths[WaterKind.HOME] | paths[WaterKind.HOSPITAL]
    heaters = [path for path in times if "heater" in path]
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
        "warm": [one for path in sorted(long_stays) for one in in_a_kit(drawings.speaker, path, {Hazard.TEMPERATURE})],
        "neutralise": neutralise,
        "open_by": [path for water in plan.waters if water.id in bags and (path := soonest(plan, water))],
        "asleep": any(one.kind in WORKED_IN for one in plan.waters),
    }
