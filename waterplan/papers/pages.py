"""What stands on the papers of a plan that are printed: of the record, in the reader's units and words."""

from collections.abc import Container, Iterable, Iterator
from itertools import chain, groupby
from typing import Any

from waterplan import tables
from waterplan.actions.record import Action, Kind, Who
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.papers.drawings import Drawings, air_off
from waterplan.papers.way_home import rechecks
from waterplan.plan.record import Plan
from waterplan.stay.record import Content, Figure, Quantity, Water, WaterKind
from waterplan.stay.waters import HOME
from waterplan.words import numbers
from waterplan.words.lines import action_values, amount_name, judgement_words
from waterplan.words.since import since_lines
from waterplan.words.speaker import Speaker, capital
from waterplan.words.terminal import have_lines, shown_judgements
from waterplan.words.trends import trend_lines

# What the template of a page is given, beside what all are given.
Values = dict[str, Any]
_NOT_TUBS = frozenset({WaterKind.HOME, WaterKind.SOURCE})
_WEIGHED = frozenset({"g", "kg", "mg", "mL", "uL"})
_ASIDE = frozenset({"given", "division", "vial", "bottle", "weigh", "diluent", "make up to", "weight"})
_BESIDE = frozenset({"level", "wanted", "dose", "strength", "contact", "time", "least time", "ceiling", "weight"})
_CARDS = frozenset({Kind.DOSE, Kind.INJECTION, Kind.SALT})
_SHOWN = 4
# The time sheet of a bath, by what it aims at.
_WATCHING = {"sedation": "watching.sedation row", "anaesthesia": "watching.row"}
_CELLS = 4
# What is read at each round, with the unit and the basis that it is written in.
_READ = (
    ("temperature", "°C"),
    ("oxygen", "mg/L"),
    ("total ammonia", "mg/L as N"),
    ("nitrite", "mg/L as NO2"),
    ("ph", ""),
    ("salt", "g/L"),
)
_KIT = frozenset({"oxygen", "ammonia", "nitrite", "chlorine", "ph", "temperature", "salt", "alkalinity"})
_DRAWN = frozenset({"oxygen", "un-ionised ammonia", "temperature", "salt"})


# -- for the owner --------------------------------------------------------------------------------------------------


def owner_page(drawings: Drawings) -> Values:
    """For the owner: what to do, on which days, the numbers of a kit, when to phone; no chances."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    mine = [one for one in plan.actions if one.done is None and _for_owner(one)]
    open_ones = [one for one in mine if not one.refused_because]
    leaves = any(one.id != HOME for one in wards(plan))  # a vat in which it lives it does not leave
    return {
        "undated": [one for one in open_ones if not one.at],
        "dated": sorted((one for one in open_ones if one.at), key=lambda one: str(one.at)),
        "refused": [one for one in mine if one.refused_because and one.substance],
        "limits": list(_kit_limits(speaker)),
        "stitches": [speaker.clock(one.at, "date") for one in rechecks(plan) if one.at],
        "last_day": speaker.clock(plan.days[-1].at, "date") if leaves and plan.days else "",
    }


def _for_owner(one: Action) -> bool:
    return one.who is Who.OWNER and one.kind is not Kind.WAIT


def _kit_limits(speaker: Speaker) -> Iterator[tuple[str, str]]:
    """A limit of the home water for each hazard that an owner's kit shows."""
    for one in _in_a_kit(speaker, {HOME}):
        total = f"{one.water}/ammonia/limit"
        if one.hazard is Hazard.CHLORINE:
            yield speaker.say("hazard.chlorine"), speaker.say("owner.no chlorine")
        elif one.hazard is not Hazard.AMMONIA:
            yield speaker.say(f"hazard.{one.hazard}"), speaker.limit(one.limit)
        elif total in speaker.plan.figures:
            yield speaker.say("hazard.ammonia"), speaker.say("owner.ammonia at most", value=speaker.figure(total))


def _in_a_kit(speaker: Speaker, waters: Container[str]) -> list[Judgement]:
    """The first judgement of each hazard whose limit a kit or a meter of the bench shows; a clock is none."""
    found: dict[Hazard, Judgement] = {}
    for one in speaker.plan.judgements:
        if one.water in waters and one.hazard in _KIT and one.limit and one.limit.unit not in numbers.MINUTES:
            found.setdefault(one.hazard, one)
    return list(found.values())


# -- beside the tubs ------------------------------------------------------------------------------------------------


def tubs(plan: Plan) -> list[Water]:
    """The waters that have a card: each tub, bag and tank."""
    return [one for one in plan.waters if one.kind not in _NOT_TUBS]


def tub_cards(drawings: Drawings) -> Values:
    """A card for each tub, bag and tank: its clock, what to do, what is in it, how it is judged."""
    cards = [_card(drawings, one) for one in tubs(drawings.speaker.plan)]
    return {"size": "A5", "tubs": [_named(card["water"]) for card in cards], "cards": cards}


def _named(water: Water) -> str:
    return water.name or str(water.kind)


def _card(drawings: Drawings, water: Water) -> Values:
    speaker, plan = drawings.speaker, drawings.speaker.plan
    quantities = _latest(water)
    shown = {path for state in plan.moments for path in shown_judgements(plan, state)}
    falling = drawings.of(water.id, planned=False)
    return {
        "water": water,
        "who": speaker.join(dict.fromkeys(speaker.name(one.fish) for one in water.occupants), ", "),
        "volume": quantities.pop("volume", None),
        "clocks": _clocks(speaker, water.id),
        "actions": _to_do(plan, water),
        "quantities": quantities,
        "contents": _contents(plan, water),
        "lines": _brief(speaker, (one for one in plan.judgements if one.water == water.id and one.id in shown)),
        "chart": falling[0] if falling else drawings.clocks.get(water.id, ""),
    }


def _to_do(plan: Plan, water: Water) -> list[Action]:
    return [one for one in plan.actions if one.water == water.id and one.done is None]


def _latest(water: Water) -> dict[str, Quantity]:
    """The last value of each quantity of a water."""
    return {name: one for state in water.states if not state.hypothetical for name, one in state.quantities.items()}


def _contents(plan: Plan, water: Water) -> list[tuple[Content, bool]]:
    """What is in a water at the last, and what a refused dose would make of it, each substance and level once."""
    there = [state for state in water.states if not state.hypothetical][-1:]
    found: dict[tuple[str, float | None], tuple[Content, bool]] = {}
    for state in (*there, *(one for one in water.states if one.hypothetical)):
        for one in state.contents:
            level = plan.figures[one.level].act_on if one.level else None
            found.setdefault((one.substance, level), (one, state.hypothetical))
    return list(found.values())


def _clocks(speaker: Speaker, water: str) -> list[tuple[str, str]]:
    """The clock of a water from when its air stops: which stage, and its figure."""
    return [(speaker.say(f"which.{stage}"), path) for stage, path in air_off(speaker.plan, water).items()]


def _brief(speaker: Speaker, judgements: Iterable[Judgement]) -> list[str]:
    """The worst that is not within its limit, a line each; the rest is counted."""
    judged = sorted(judgements, key=lambda one: -one.verdict.rank)
    away = [one for one in judged if one.verdict is not Verdict.WITHIN_LIMIT]
    lines = []
    for one in away[:_SHOWN]:
        words = judgement_words(speaker, one)
        lines.append(speaker.say("card.line", **words | {"why": "" if words["figure"] else words["why"]}))
    counts = {"more": len(away) - len(lines), "others": len(judged) - len(away)}
    return lines + [speaker.say(f"card.{key}", n=n) for key, n in counts.items() if n > 0]


def contingency_page(drawings: Drawings) -> Values:
    """What to do if something fails, and how long there is, in the worst case."""
    plan, figures = drawings.speaker.plan, drawings.speaker.plan.figures
    clocks = [(one.id, air_off(plan, one.id)) for one in plan.waters if one.kind is not WaterKind.HOME]
    rows = [(water, clock.get("until-alarm"), clock.get("until-emergency")) for water, clock in clocks if clock]
    bags = {one.id for one in plan.waters if one.kind in {WaterKind.BAG, WaterKind.BOX}}
    long_stays = {one.id for one in plan.waters if one.kind in {WaterKind.HOME, WaterKind.HOSPITAL}}
    times = [path for path, one in figures.items() if one.unit in numbers.MINUTES]
    return {
        "tubs_at": sorted(rows, key=lambda row: _soon(figures, row[2] or row[1])),
        "times": {
            "power fails": [path for path in times if "power" in path and path.split("/")[0] in long_stays],
            "heater sticks on": [path for path in times if "heater" in path],
            "bag is opened": [path for path in times if path.split("/")[0] in bags and "until-emergency" in path],
        },
    }


def _soon(figures: dict[str, Figure], path: str | None) -> float:
    figure = figures[path] if path else None
    return float("inf") if figure is None or figure.act_on is None else figure.act_on * numbers.MINUTES[figure.unit]


# -- in the ward ----------------------------------------------------------------------------------------------------


def wards(plan: Plan) -> list[Water]:
    """The waters that have a sheet in the ward."""
    return [one for one in plan.waters if one.kind is WaterKind.HOSPITAL]


def hospital_page(drawings: Drawings) -> Values:
    """For the nurse, a sheet for each hospital tank: orders, limits, and the readings of each round."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    # The days on which something else is due than the day before.
    due = [next(days) for _, days in groupby(plan.days, key=lambda day: day.actions)]
    halves = [speaker.say(f"ward.{half}") for half in ("early", "late")]
    return {
        "tubs": [_named(one) for one in wards(plan)],
        "wards": [_ward(drawings, one) for one in wards(plan)],
        "empty": [(speaker.word(name), speaker.amount_unit(unit)) for name, unit in _READ],
        "rounds": [(speaker.clock(day.at, "date"), half) for day in plan.days for half in halves],
        "days": due,
    }


def _ward(drawings: Drawings, water: Water) -> Values:
    speaker, plan = drawings.speaker, drawings.speaker.plan
    facts = [(speaker.word(name), one.figure) for name, one in _latest(water).items()]
    limits = [(one.hazard, speaker.limit(one.limit)) for one in _in_a_kit(speaker, {water.id})]
    return {
        "water": water,
        "facts": [*facts, *_clocks(speaker, water.id)],
        "actions": _to_do(plan, water),
        "limits": limits,
        "charts": drawings.of(water.id, planned=True, quantities=_DRAWN),
    }


# -- for the doses --------------------------------------------------------------------------------------------------


def doses(plan: Plan) -> list[Action]:
    """What has a card: each dose, injection and thing weighed into a water that was not given yet."""
    return [one for one in plan.actions if one.kind in _CARDS and one.done is None]


def dose_cards(drawings: Drawings) -> Values:
    """A card for each dose; refused ones say so and have nothing to weigh."""
    speaker = drawings.speaker
    cards = [_dose_card(speaker, one) for one in doses(speaker.plan)]
    begun: set[str] = set()
    for card in cards:  # one sheet of each kind
        card["watching"] = "" if card["watching"] in begun else card["watching"]
        begun.add(card["watching"])
    names = [speaker.waters[card["action"].water].name if card["action"].water else "" for card in cards]
    return {"size": "A5", "tubs": names, "cards": cards}


def _dose_card(speaker: Speaker, one: Action) -> Values:
    weighed, others = [], []
    for name, path in one.amounts.items():
        if path in speaker.plan.figures and speaker.plan.figures[path].unit in _WEIGHED and name not in _ASIDE:
            weighed.append((amount_name(speaker, one, name), path))
        elif name in _BESIDE:
            others.append((speaker.word(name), path))
    kind = speaker.waters[one.water].kind if one.water else None
    step = "dose.step injection" if one.kind is Kind.INJECTION else "dose.step"
    steps = [text for text in speaker.listed(step, **action_values(speaker, one)) if text]
    if one.kind is Kind.DOSE and kind in {WaterKind.INDUCTION, WaterKind.DIP}:
        steps.append(speaker.say("dose.step before the fish"))
    if "time" in one.amounts or "least time" in one.amounts:
        steps.append(capital(speaker.say("dose.step out", **action_values(speaker, one))))
    watched = one.kind is Kind.DOSE and not one.refused_because
    sheet = one.words.get("sheet", "anaesthesia" if kind is WaterKind.INDUCTION else "")
    return {
        "action": one,
        "weighed": weighed,
        "others": others,
        "steps": steps,
        "lines": _brief(speaker, (speaker.judgements[path] for path in one.leads_to if path in speaker.judgements)),
        "watching": _WATCHING.get(sheet, "") if watched else "",
        "stages": _stages(speaker, one),
    }


def _stages(speaker: Speaker, one: Action) -> list[list[str]]:
    """The stages that a bath may go through, a row of cells each, and last the one that is too deep."""
    cells = speaker.listed("watching.stage")
    rows = [cells[at : at + _CELLS] for at in range(0, len(cells), _CELLS)]
    if "not past" not in one.words:
        return rows
    deepest = int(tables.row("anaesthesia_stages", stage=one.words["not past"])["order"])
    return rows[: deepest + 2]


# -- for the file ---------------------------------------------------------------------------------------------------


def volume_page(drawings: Drawings) -> Values:
    """The certificate of each volume that was found: every way, and what to use it for."""
    speaker = drawings.speaker
    return {"tubs": [speaker.waters[one.water].name for one in speaker.plan.volumes]}


def plan_page(drawings: Drawings) -> Values:
    """The record: every judgement with its inputs and limit, every action, figure, reading, drawing and source."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    shown = {state.moment: shown_judgements(plan, state) for state in plan.moments}
    return {
        "do_now": [speaker.actions[path] for path in plan.first_page.do_now],
        "have_ready": have_lines(speaker),
        "changed": since_lines(speaker),
        "trends": trend_lines(speaker),
        "figures": _figures_shown(plan, set(chain.from_iterable(shown.values()))),
        "latest": {one.id: _latest(one) for one in plan.waters},
        "judged": {moment: [speaker.judgements[path] for path in paths] for moment, paths in shown.items()},
    }


def _figures_shown(plan: Plan, shown: Container[str]) -> list[str]:
    """The figures that are acted on or judged, in the order of the record."""
    used = {path for one in plan.actions for path in one.amounts.values()}
    used |= {path for one in plan.judgements for path in (one.figure, one.until_harm) if path}
    used -= {one.figure for one in plan.judgements if one.id not in shown and one.figure}
    return [path for path in plan.figures if path in used]
