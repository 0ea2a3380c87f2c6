"""What stands beside the tubs and by the door: a card for each tub, and what to do if something fails."""

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
