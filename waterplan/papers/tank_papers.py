"""The sheet of whoever looks after the hospital tank, and the page for when something fails."""

import math
from datetime import datetime, timedelta

from waterplan import tables
from waterplan.charts.clocks import when
from waterplan.findings import Finding, Moment, Verdict, Who
from waterplan.first_plan.tank_ahead import Ahead, clocks
from waterplan.first_plan.tank_course import TankCourse, passed_levels
from waterplan.first_plan.tank_pictures import LOOKED_AT_H, AlarmLevel, TankSheet
from waterplan.first_plan.whole import Plan
from waterplan.papers.sheet import clock, sheet
from waterplan.papers.templating import templates
from waterplan.units import Display, System

_LEDGER_LINES, _EXPECTED_LINES, _AN_OUNCE_LIKE = 7, 4, 100.0
_OF = {
    "oxygen": "Oxygen",
    "nh3": "Un-ionised ammonia",
    "nitrite": "Nitrite",
    "ph": "pH",
    "temperature": "Temperature",
    "salt": "Salt",
}
# What is written down, and for which of the sheet's rounds it is due.
_COLUMNS = {
    "temperature": "°C",
    "oxygen": "mg/L",
    "ammonia": "mg/L",
    "nitrite": "mg/L",
    "pH": "",
    "salt": "g/L",
    "water changed": "L",
    "salt weighed in": "g",
}


def hospital_page(plan: Plan, days: Ahead, display: Display, *, paper: str = "A4") -> str:
    """One page for whoever looks after the tank: each day, tests by when, salt, limits, and a table to fill in."""
    of = plan.pictures.sheet
    hospital = next(part for part in plan.moments if part.moment is Moment.HOSPITAL)
    nurse = [step for step in hospital.steps if step.who is Who.NURSE]
    shown = sheet(plan, display)
    return (
        templates()
        .get_template("hospital.html")
        .render(
            shown=shown,
            patient=plan.case.patient,
            begin=clock(plan.as_of or plan.case.intended.operation_at),
            of=of,
            facts=_facts(plan, of, display) if of else [],
            # The sheet is that of one tank: its name would only push the figures to the end of the line.
            timed=[
                (short_clock(step.at), display.render(step.what).removeprefix(f"{of.tank if of else ''}: "))
                for step in nurse
                if step.at
            ],
            daily=[display.render(step.what) for step in nurse if not step.at],
            ledger=ledger(days.course, display)[:_LEDGER_LINES] if days.course else [],
            more=max(len(days.course.salt) - _LEDGER_LINES, 0) if days.course else 0,
            why_not=days.why_not,
            expected=course_words(days, display)[:_EXPECTED_LINES] if days.course else [],
            limits=_limits(of, display) if of else [],
            columns=[(name, _unit_of(name, display)) for name in _COLUMNS],
            rounds=[(_date(round_.hours, plan), round_.late, round_.due) for round_ in of.rounds] if of else [],
            paper=paper,
        )
    )


def contingency_page(plan: Plan, display: Display, *, paper: str = "A4") -> str:
    """One page for when power, pump or heater fails and when the bag is opened: how long there is, what comes first."""
    found = {finding.key: finding for finding in plan.findings}
    of = plan.pictures.sheet
    tubs = [
        {
            "name": tub.vessel,
            "use": tub.use,
            "look": when(tub.look_min, None, display),
            "alarm": when(tub.alarm_min.low, None, display),
            "emergency": when(tub.emergency_min.low, None, display),
            "levels": f"{tub.alarm_mg_per_l:g} / {display.number(tub.emergency_mg_per_l, 'mg/L')}",
            "back_up": display.render(tub.back_up.partition(";")[0]),
        }
        for tub in sorted(clocks(plan), key=lambda one: one.emergency_min.low)
    ]
    cuts = [
        (finding.title.partition(",")[0], _hours(finding.low, display), display.render(finding.answer))
        for key, finding in found.items()
        if key.startswith("power cut: ") and finding.low is not None
    ]
    return (
        templates()
        .get_template("contingency.html")
        .render(
            shown=sheet(plan, display),
            patient=plan.case.patient,
            begin=clock(plan.as_of or plan.case.intended.operation_at),
            tubs=tubs,
            cuts=cuts,
            heater=_heater(of, found, display),
            bag=_bag(found, display),
            steps={
                trouble: [row["words"] for row in tables.rows("contingency_steps", trouble=trouble)]
                for trouble in _TROUBLES
            },
            paper=paper,
        )
    )


_TROUBLES = ("air stops", "power cut", "heater sticks on", "bag opened")


def ledger(course: TankCourse, display: Display) -> list[tuple[str, str, str, str, str, str]]:
    """The lines of the salt ledger: when, what, in, out, what the tank holds, its level."""
    return [
        (
            _when(line.at_h, course),
            line.what,
            _grams(line.in_g, display),
            _grams(line.out_g, display),
            _grams(line.holds_g, display),
            display.number(line.level_g_per_l, "g/L"),
        )
        for line in course.salt
    ]


def events_of(course: TankCourse) -> list[tuple[str, str]]:
    """What happened, in order: when, what."""
    return [(_when(at, course), words) for at, words in course.happened]


def course_words(days: Ahead, display: Display) -> list[str]:
    """What the course comes to in words: its cautions and the levels that it passes; or why there is none."""
    if days.course is None:
        return [f"No course of the tank: {days.why_not}"]
    said = [caution.text for caution in days.course.cautions]
    said += passed_levels(days.course) or ["No level is passed, at the unfavourable end either."]
    return [display.render(text) for text in said]


def short_clock(at: datetime) -> str:
    """A day and time without the year, for a page that lies beside the tank."""
    return f"{at:%a} {at.day} {at:%b, %H:%M}"


def _grams(value: float, display: Display) -> str:
    """A weight to the gram, for a ledger that is added up by hand; a US reader's all in ounces."""
    if value < 0.5:
        return ""
    shown, unit = display.convert(value, "g", like=_AN_OUNCE_LIKE)
    return f"{shown:,.0f} {unit}" if display.system is System.METRIC else f"{shown:,.1f} {unit}"


def _when(at_h: float, course: TankCourse) -> str:
    if course.begin is None:
        return f"{at_h:.3g} h"
    at = course.begin + timedelta(hours=at_h)
    return f"{at.day} {at:%b %H:%M}"


# -- the hospital sheet ---------------------------------------------------------------------------------------------


def _facts(plan: Plan, of: TankSheet, display: Display) -> list[tuple[str, str]]:
    """What holds for every day, in a few words each."""
    facts = [("Water in the tank", display.number(of.holds_l, "L") if of.holds_l else "not known")]
    if of.intended_temp_c is not None:
        facts.append(("Temperature to hold", display.number(of.intended_temp_c, "°C")))
    if of.change_l is None:
        facts.append(("Change of water", "not answerable: see the plan"))
    else:
        hour = f"at {of.change_hour:02.0f}:00"
        words = f"{display.number(of.change_l, 'L')} each day {hour}"
        facts.append(
            ("Change of water", words if of.change_holds else f"{words}, in two parts, until the vet has a way")
        )
    if treated := _new_water(plan, display):
        facts.append(("Against chlorine", treated))
    if of.salt_per_change_g > 0.0:
        facts.append(("Salt in its new water", f"{_grams(of.salt_per_change_g, display)}, dissolved first"))
    facts.append(("Salt in the tank", _salt(plan, of, display)))
    facts.append(("Food", _food(of, display)))
    facts.append(("Nobody looks for", f"{display.number(of.unattended_h, 'h')} at the most"))
    look = next((one for one in clocks(plan) if one.vessel == of.tank), None)
    if look is not None:
        facts.append(("Air stops: look within", when(look.look_min, None, display)))
    return facts


def _salt(plan: Plan, of: TankSheet, display: Display) -> str:
    if of.intended_salt_g_per_l:
        return f"{display.number(of.intended_salt_g_per_l, 'g/L')} wanted"
    if plan.case.intended.salt is None and not any(dose.substance == "salt" for dose in plan.case.doses):
        return "none"
    return (
        "none until the plan's question of salt is settled" if _is_open(plan) else "none: what was intended is refused"
    )


def _is_open(plan: Plan) -> bool:
    """Whether the salt of the tank is asked for twice, or without a strength."""
    return any(
        dose.substance == "salt" and (dose.strength is None or plan.case.intended.salt is not None)
        for dose in plan.case.doses
    )


def _new_water(plan: Plan, display: Display) -> str:
    """What takes the chlorine out of the tap's water, as the plan has it."""
    try:
        answer = display.render(plan.finding("dechlorinate").answer)
    except KeyError:
        return ""
    return answer.partition(",")[0].replace("sodium thiosulphate crystals (pentahydrate)", "thiosulphate crystals")


def _food(of: TankSheet, display: Display) -> str:
    if not of.meals or of.meal_g is None:
        return "none"
    meals = "one meal" if of.meals == 1 else f"{of.meals} meals"
    return f"none until told; then {meals} a day of {display.number(of.meal_g, 'g')}, what is left taken out"


def _limits(of: TankSheet, display: Display) -> list[tuple[str, str, str, str]]:
    """Of each quantity: when to act, when to phone at once, and what to do."""
    rows = []
    for state, title in _OF.items():
        act, now = (
            " or ".join(_level(one, display) for one in of.levels if (one.state, one.name) == (state, name))
            for name in ("alarm", "emergency")
        )
        rows.append((title, act, now, tables.row("alarm_steps", what=state)["words"]))
    return rows


def _level(one: AlarmLevel, display: Display) -> str:
    shown = display.number(one.value, one.unit)
    if one.unit.endswith("step"):
        return f"changed by over {shown} in a day"
    return f"{'under' if one.floor else 'over'} {shown}"


def _unit_of(column: str, display: Display) -> str:
    return display.unit(_COLUMNS[column], like=100.0)


def _date(hours: float, plan: Plan) -> str:
    begin = plan.as_of or plan.case.intended.operation_at
    if begin is None:
        return f"day {int(hours // 24.0) + 1}"
    at = begin + timedelta(hours=hours)
    return f"{at:%a} {at.day} {at:%b}"


# -- the contingency page -------------------------------------------------------------------------------------------


def _hours(value: float | None, display: Display) -> str:
    if value is None or not math.isfinite(value) or value >= LOOKED_AT_H / 2.0:
        return f"over {display.number(LOOKED_AT_H / 2.0, 'h')}"
    return when(60.0 * value, None, display)


def _heater(of: TankSheet | None, found: dict[str, Finding], display: Display) -> dict[str, str] | None:
    if of is None or of.stuck is None:
        return None
    low = of.stuck.hours.low
    ceiling = display.number(of.stuck.ceiling_temp_c, "°C")
    return {
        "figure": when(60.0 * low, None, display) if math.isfinite(low) else f"over {display.number(LOOKED_AT_H, 'h')}",
        "words": f"from {display.number(of.stuck.from_temp_c, '°C')} to {ceiling} with {display.number(of.stuck.heater_w, 'W')} "
        f"stuck on in the {of.tank}, at the unfavourable end",
        "answer": display.render(found["heater most"].answer) if "heater most" in found else "",
    }


def _bag(found: dict[str, Finding], display: Display) -> dict[str, str] | None:
    hours, opened = found.get("transport hours"), found.get("transport opened")
    if hours is None:
        return None
    known = hours.value is not None and hours.verdict is not Verdict.QUESTION
    return {
        "figure": when(60.0 * (hours.value or 0.0), None, display) if known else "not known",
        "words": "from closing to opening, at the most",
        "answer": display.render(opened.answer) if opened is not None else display.render(hours.answer),
    }
