"""What stands in the ward: the hospital sheet."""

from itertools import groupby

from waterplan.papers.drawings import Drawings
from waterplan.papers.parts import Values, clocks, in_a_kit, latest, named, to_do
from waterplan.plan.record import Plan
from waterplan.stay.record import Water, WaterKind

# What is read at each round, with the unit and the basis that it is written in.
_READ = (
    ("temperature", "°C"),
    ("oxygen", "mg/L"),
    ("total ammonia", "mg/L as N"),
    ("nitrite", "mg/L as NO2"),
    ("ph", ""),
    ("salt", "g/L"),
)
_DRAWN = frozenset({"oxygen", "un-ionised ammonia", "temperature", "salt"})


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
        "tubs": [named(one) for one in wards(plan)],
        "wards": [_ward(drawings, one) for one in wards(plan)],
        "empty": [(speaker.word(name), speaker.amount_unit(unit)) for name, unit in _READ],
        "rounds": [(speaker.clock(day.at, "date"), half) for day in plan.days for half in halves],
        "days": due,
    }


def _ward(drawings: Drawings, water: Water) -> Values:
    speaker, plan = drawings.speaker, drawings.speaker.plan
    facts = [(speaker.word(name), one.figure) for name, one in latest(water).items()]
    limits = [(one.hazard, speaker.limit(one.limit)) for one in in_a_kit(speaker, {water.id})]
    return {
        "water": water,
        "facts": [*facts, *clocks(speaker, water.id)],
        "actions": to_do(plan, water),
        "limits": limits,
        "charts": drawings.of(water.id, planned=True, quantities=_DRAWN),
    }
