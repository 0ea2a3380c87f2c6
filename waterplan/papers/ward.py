"""What stands in the ward: the hospital sheet with every day of the stay, a harmed filter, the handover of a night."""

from datetime import datetime, timedelta
from functools import partial

from waterplan import tables
from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Hazard, Judgement, Why
from waterplan.papers.drawings import Drawings
from waterplan.papers.ordered import heat_steps, kept_at, kit_limit
from waterplan.papers.parts import Values, clocks, in_a_kit, latest, named, to_do, until_salted
from waterplan.papers.way_home import acclimations
from waterplan.plan.record import Day, Plan
from waterplan.stay.record import ActEnd, Water, WaterKind
from waterplan.words import numbers
from waterplan.words.lines import action_line, cautions, part_times
from waterplan.words.speaker import Speaker

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
# What a tank is like once it is set up, in the order in which it is read.
_FACTS = ("volume", "temperature", "oxygen", "ph", "ammonia", "nitrite", "alkalinity", "salt", "chlorine")
_HARMED, _WEEK = "filter-harmed", 7
# What is weighed for a change, in the order of the columns.
_FOR_A_CHANGE = ("litres", "thiosulphate", "salt", "bicarbonate")


def wards(plan: Plan) -> list[Water]:
    """The waters that have a sheet in the ward: the tanks that a fish stays in; all of them where none is planned to."""
    tanks = [one for one in plan.waters if one.kind is WaterKind.HOSPITAL]
    return [one for one in tanks if one.occupants] or tanks


def hospital_page(drawings: Drawings) -> Values:
    """For the nurse, a sheet for each hospital tank: orders, limits, each day of the stay, and the readings of each round."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    return {
        "tubs": [named(one) for one in wards(plan)],
        "wards": [_ward(drawings, one) for one in wards(plan)],
        "empty": [(speaker.word(name), speaker.amount_unit(unit)) for name, unit in _READ],
    }


def _ward(drawings: Drawings, water: Water) -> Values:
    speaker, plan = drawings.speaker, drawings.speaker.plan
    there = latest(water)
    facts = [(speaker.word(name), there[name].figure) for name in _FACTS if name in there]
    changes = [one for one in to_do(plan, water) if one.kind is Kind.CHANGE and one.is_open]
    columns = [name for name in _FOR_A_CHANGE if any(name in one.amounts for one in changes)]
    stops, days = speaker.say("tub.air stops"), [one for one in plan.days if one.water == water.id]
    return {
        "water": water,
        "facts": [*facts, *((speaker.join((stops, words), ", "), path) for words, path in clocks(speaker, water.id))],
        "actions": [one for one in to_do(plan, water) if not _is_later(water, one)],
        "limits": [(one.hazard, _limit(speaker, one)) for one in in_a_kit(speaker, water.id)],
        "columns": [(_column(speaker, name), speaker.amount_unit(_unit(speaker, name, changes))) for name in columns],
        "days": [row for day in days for row in _rows(speaker, day, water, columns)],
        "rounds": [(speaker.clock(day.at, "date"), half) for day in days for half in _halves(speaker, day, water.left)],
        "charts": drawings.of(water.id, planned=True, quantities=_DRAWN),
    }


def _is_later(water: Water, one: Action) -> bool:
    """Whether it is of a day on which no fish is in the water any more."""
    return water.left is not None and one.at is not None and one.at > water.left


def _limit(speaker: Speaker, one: Judgement) -> str:
    """A limit as it is read, with what is ordered: of ammonia the total that is at it at this pH and temperature."""
    total, limit = f"{one.water}/ammonia/limit", kit_limit(speaker, one.limit)
    if one.hazard is Hazard.AMMONIA and one.limit is not None and total in speaker.plan.figures:
        return speaker.say("ward.total ammonia", total=speaker.figure(total), limit=speaker.limit(one.limit))
    ordered, figures = kept_at(speaker.plan, one.water, one.hazard), speaker.plan.figures
    if not ordered:
        return until_salted(speaker, one, limit, partial(kit_limit, speaker))
    above, most, ceiling = {}, one.limit, f"{one.water}/salt/ceiling"
    if most and ceiling in figures and most.value is not None and (figures[ordered].act_on or 0.0) > most.value:
        usual = speaker.printed(most.value, most.unit, most.row, ActEnd.LOW)
        above = {"usual": usual, "ceiling": speaker.figure(ceiling)} if one.hazard is Hazard.SALT else {}
    return speaker.say("ward.ordered", figure=speaker.figure(ordered), limit=limit, **above)


# -- each day -------------------------------------------------------------------------------------------------------


def _halves(speaker: Speaker, day: Day, left: datetime | None) -> list[str]:
    """When a day's readings are taken: early and late, on the first day as the fish goes in, on the last as it leaves."""
    leaves = left is not None and left.date() == day.at.date()
    return [
        speaker.say(f"ward.{half}") for half in ("early" if day.day else "arrival", "leaving" if leaves else "late")
    ]


def _column(speaker: Speaker, name: str) -> str:
    return speaker.say("ward.litres") if name == "litres" else speaker.word(name)


def _unit(speaker: Speaker, name: str, changes: list[Action]) -> str:
    paths = (one.amounts[name] for one in changes if name in one.amounts)
    return speaker.plan.figures[next(paths)].unit


def _rows(speaker: Speaker, day: Day, water: Water, columns: list[str]) -> list[Values]:
    """A day: a row for each part of its changes, and what else is due with the first."""
    mine = [one for one in to_do(speaker.plan, water) if one.is_open and not _is_later(water, one)]
    actions = [one for one in mine if any(_times(one, day))]
    rows = [row for one in actions if one.kind is Kind.CHANGE for row in _parts(speaker, day, one, columns)]
    rows = rows or [{"at": "", "cells": [""] * len(columns)}]
    fed = [one for one in actions if one.kind is Kind.FEED]
    others = [_other(speaker, day, one) for one in actions if one.kind not in (Kind.CHANGE, Kind.FEED)]
    left = water.left
    leaves = left is not None and left.date() == day.at.date()
    stays = any(one.refused_because for one in acclimations(speaker.plan))
    end = speaker.say("ward.stays" if stays else "ward.leaves", at=f"{left:%H:%M}") if left and leaves else ""
    none = "" if not day.day and not fed else speaker.say(_no_food(speaker.plan, water))
    first = {
        "day": day.day,
        "date": speaker.clock(day.at, "date"),
        "span": len(rows),
        "feed": speaker.join(_meal(speaker, day, one) for one in fed) or none,
        "others": speaker.join((*others, end)),
    }
    return [{**row, **(first if number == 0 else {})} for number, row in enumerate(rows)]


def _parts(speaker: Speaker, day: Day, one: Action, columns: list[str]) -> list[Values]:
    """Each part of a change: its hour, its litres, and the grams that go into them."""
    times = part_times(one) or [one.at or day.at]
    return [
        {"at": f"{at:%H:%M}", "cells": [_part(speaker, one, name, number) for name in columns]}
        for number, at in enumerate(times)
    ]


def _part(speaker: Speaker, one: Action, name: str, number: int) -> str:
    """The number of one part, in the unit of its column; what is too small to be parted goes in with the first."""
    path = one.amounts.get(name, "")
    whole = speaker.plan.figures.get(path)
    if whole is None or whole.act_on is None:
        return ""
    parts = one.part_amounts.get(name, (whole.act_on,))
    if number >= len(parts):
        return ""
    unit = speaker.amount_unit(whole.unit)
    value, label = numbers.read_in(parts[number], whole.unit, speaker.system, end=whole.act_end)
    text = numbers.plain(value)
    return text if speaker.unit(label) == unit else f"{text} {speaker.unit(label)}"


def _times(one: Action, day: Day) -> list[datetime]:
    """The times of an action on a day, of those that come again and again and of those that go in steps."""
    return [at for _, at in _numbered(one, day.at)]


def _numbered(one: Action, last: datetime) -> list[tuple[int, datetime]]:
    """The times of an action on the day of `last`, each with its number among all of them."""
    end = last.replace(hour=23, minute=59, second=59)
    steps = [at for at, _ in heat_steps(one)] or _rounds(one, end)
    return [(number, at) for number, at in enumerate(steps) if at.date() == last.date()]


def _rounds(one: Action, end: datetime) -> list[datetime]:
    """When an action is due, once or again and again up to an end; none where nobody knows when it begins."""
    if one.at is None or not one.every_h:
        return [one.at] if one.at else []
    step, last = timedelta(hours=one.every_h), min(one.until or end, end)
    return [one.at + number * step for number in range(int(max(last - one.at, timedelta()) / step) + 1)]


def _meal(speaker: Speaker, day: Day, one: Action) -> str:
    hours = speaker.join((f"{at:%H:%M}" for at in _times(one, day)), ", ")
    meal = one.amounts.get("meal", one.amounts.get("feed", ""))
    return speaker.say("ward.meal", at=hours, figure=speaker.figure(meal))


def _no_food(plan: Plan, water: Water) -> str:
    """Whether no food is ordered, or nobody said."""
    stopped = any(one.kind is Kind.STOP_FEEDING and one.water == water.id and one.is_open for one in plan.actions)
    none = any(one.key == "feed" and one.text.startswith("0 ") for one in plan.written)
    return "ward.no food" if stopped or none else "ward.ask food"


def _other(speaker: Speaker, day: Day, one: Action) -> str:
    """What else is due on a day: at each of its hours how much of it, and to what temperature."""
    to = dict(heat_steps(one))
    parts = (
        speaker.join(
            (
                f"{at:%H:%M}",
                _amount(speaker, one, number),
                speaker.say("ward.to", figure=speaker.figure(to[at])) if at in to else "",
            ),
            " ",
        )
        for number, at in _numbered(one, day.at)
    )
    return speaker.say("ward.other", what=speaker.title(one.id), when=speaker.join(parts, ", "))


# -- a filter that was harmed ---------------------------------------------------------------------------------------


def harmed(plan: Plan) -> list[Action]:
    """What is given that harms a living filter, and the wait for one that was harmed."""
    return [one for one in plan.actions if not one.refused_because and (_harm(one) or _waits(one))]


def _harm(one: Action) -> Why | None:
    return next((why for why in one.costs if why.code == _HARMED), None)


def _waits(one: Action) -> bool:
    return one.kind is Kind.WAIT and "effect" in one.words and one.is_open


def _told(speaker: Speaker, one: Action) -> str:
    """What the harm is, or how long it is waited for and why."""
    why = _harm(one)
    return speaker.why(why) if why else speaker.join((action_line(speaker, one), *cautions(speaker, one)), " ")


def filter_note(drawings: Drawings) -> Values:
    """What to do while a filter cannot be relied on, and room for two tests a day."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    halves = [speaker.say(f"ward.{half}") for half in ("early", "late")]
    dates = dict.fromkeys(speaker.clock(day.at, "date") for day in sorted(plan.days, key=lambda day: day.at))
    days = list(dates)[:_WEEK] or [""] * _WEEK
    return {
        "harmed": [(one, _told(speaker, one)) for one in harmed(plan)],
        "rows": [speaker.join((day, half), " ") for day in days for half in halves],
    }


# -- the night ------------------------------------------------------------------------------------------------------


def handover_page(drawings: Drawings) -> Values:
    """For whoever takes the night: what is due until the morning, when to phone, and how the fish was."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    night = _night(plan)
    return {
        "tubs": [named(one) for one in wards(plan)],
        "tonight": speaker.say("handover.tonight", start=speaker.clock(night[0]), until=speaker.clock(night[1]))
        if night
        else "",
        "wards": [
            {
                "water": one,
                "who": speaker.join(dict.fromkeys(speaker.name(each.fish) for each in one.occupants), ", "),
                "clocks": clocks(speaker, one.id),
                "due": [line for each in to_do(plan, one) if each.is_open for line in _tonight(speaker, each, night)],
                "running": [each for each in to_do(plan, one) if each.is_open and each.kind is Kind.AIR],
                "limits": [(each.hazard, _limit(speaker, each)) for each in in_a_kit(speaker, one.id)],
            }
            for one in wards(plan)
        ],
    }


def _night(plan: Plan) -> tuple[datetime, datetime] | None:
    """The first night of the stay that is still to come."""
    stays = [one.start for water in wards(plan) for one in water.occupants if one.start]
    now = max([*stays[:1], *([plan.made.as_of] if plan.made.as_of else [])], default=None)
    if now is None:
        return None
    begins = now.replace(hour=int(_hour("night begins")), minute=0, second=0, microsecond=0)
    ends = (begins + timedelta(days=1)).replace(hour=int(_hour("night ends")))
    return max(begins, now), ends


def _hour(what: str) -> float:
    return tables.row("timetable", what=what).value


def _tonight(speaker: Speaker, one: Action, night: tuple[datetime, datetime] | None) -> list[str]:
    """An action at each of its times in the night, with what goes into that part."""
    if night is None or one.kind is Kind.WAIT:
        return []
    return [
        speaker.join(
            (speaker.clock(at), speaker.join((speaker.title(one.id), _amount(speaker, one, number)), ", ")), ": "
        )
        for number, at in enumerate(_rounds(one, night[1]))
        if night[0] <= at <= night[1]
    ]


def _amount(speaker: Speaker, one: Action, number: int) -> str:
    """How much of an action is one of its parts; "" where it has none."""
    amounts = (
        speaker.carries(speaker.amount(parts[number], speaker.plan.figures[one.amounts[name]].unit), "action", one.id)
        for name, parts in one.part_amounts.items()
        if not one.part_every_h and len(parts) > 1 and number < len(parts) and parts[number]
    )
    return speaker.join(amounts, ", ")
