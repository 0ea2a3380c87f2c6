"""What stands beside the tubs and by the door: a card for each tub, and what to do if something fails."""

from waterplan.actions.record import Kind
from waterplan.hazards.record import Hazard
from waterplan.papers.drawings import Drawings, air_off
from waterplan.papers.parts import Values, brief, clocks, contents, latest, named, to_do, tubs
from waterplan.stay.record import Figure, Water, WaterKind
from waterplan.words import numbers
from waterplan.words.terminal import shown_judgements


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
        "quantities": quantities,
        "contents": contents(plan, water),
        "lines": brief(speaker, (one for one in plan.judgements if one.water == water.id and one.id in shown)),
        "chart": falling[0] if falling else drawings.clocks.get(water.id, ""),
    }


def contingency_page(drawings: Drawings) -> Values:
    """What to do if something fails, and how long there is, in the worst case; of what this plan has, and no more."""
    plan, figures = drawings.speaker.plan, drawings.speaker.plan.figures
    off = [(one.id, air_off(plan, one.id)) for one in plan.waters if one.kind is not WaterKind.HOME]
    rows = [(water, clock.get("until-alarm"), clock.get("until-emergency")) for water, clock in off if clock]
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
        "power fails": [path for path in times if "power" in path and of(path) in long_stays],
        "heater sticks on": heaters,
        "bag is opened": [path for path in times if of(path) in paths[WaterKind.BAG] and "until-emergency" in path],
        "box pump stops": [path for path in times if of(path) in paths[WaterKind.BOX] and "until-emergency" in path],
        "heat wave": [],
        "chlorine": [],
        "jump": [],
    }
    absent = {"bag is opened": not paths[WaterKind.BAG], "box pump stops": not paths[WaterKind.BOX]}
    absent["heater sticks on"] = not heaters and not any("heater" in one.amounts for one in plan.actions)
    poured = paths[WaterKind.HOME] | paths[WaterKind.SOURCE]
    neutralise = [one for one in plan.actions if one.kind is Kind.NEUTRALISE and one.is_open and one.water in poured]
    return {
        "tubs_at": sorted(rows, key=lambda row: _soon(figures, row[2] or row[1])),
        "troubles": {trouble: paths for trouble, paths in troubles.items() if not absent.get(trouble)},
        "warm": list({one.water: one for one in warm}.values()),
        "neutralise": neutralise,
    }


def _soon(figures: dict[str, Figure], path: str | None) -> float:
    figure = figures[path] if path else None
    return float("inf") if figure is None or figure.act_on is None else figure.act_on * numbers.MINUTES[figure.unit]
