"""What a plan has to show of the days in the tank: its course, made when it is asked for, and when to look at each tub."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.findings import Finding
from waterplan.first_plan.first_case.model import Case
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.tank_course import TankCourse, tank_course
from waterplan.first_plan.tank_events import WhatIf
from waterplan.first_plan.whole import Plan
from waterplan.spread import Band


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """The course of the stay, or why there is none."""

    course: TankCourse | None = None
    why_not: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """A tub whose air stops: minutes until somebody looks, until each level, and the time from which they count."""

    vessel: str
    use: Use
    look_min: float
    alarm_min: Band
    emergency_min: Band
    alarm_mg_per_l: float
    emergency_mg_per_l: float
    begin: datetime | None
    back_up: str


def ahead(
    plan: Plan,
    *,
    case: Case | None = None,
    what_if: WhatIf = WhatIf.NOTHING,
    draws: int | None = None,
    progress: Callable[[float], None] | None = None,
) -> Ahead:
    """The course of the hospital tank of a plan, with the plan's own draws so that both weigh the same salt.

    `case` stands in for the plan's own, where something is tried without touching that.
    """
    try:
        made = tank_course(
            case or plan.case,
            readings=plan.pictures.readings,
            as_of=plan.as_of,
            draws=plan.draws if draws is None else draws,
            seed=plan.seed,
            what_if=what_if,
            progress=progress,
        )
    except Unanswerable as lacking:
        return Ahead(why_not=f"Give {lacking.give}.")
    except (Refused, ImpossibleInput) as reason:
        text = str(reason)
        return Ahead(why_not=f"{text[:1].upper()}{text[1:]}.".replace("..", "."))
    return Ahead(course=made)


def clocks(plan: Plan) -> tuple[Clock, ...]:
    """When to look at each tub if its air stops, as the findings have it; a tub that cannot be answered is left out."""
    found = {finding.key: finding for finding in plan.findings}
    levels = {decline.vessel: decline for decline in plan.pictures.declines}
    made = []
    for vessel in plan.case.vessels:
        look, level = found.get(f"check-by: {vessel.name}"), levels.get(vessel.name)
        alarm, emergency = _band(found.get(f"alarm: {vessel.name}")), _band(found.get(f"emergency: {vessel.name}"))
        if look is None or look.value is None or alarm is None or emergency is None or level is None:
            continue
        back_up = found.get(f"back-up: {vessel.name}")
        made.append(
            Clock(
                vessel=vessel.name,
                use=vessel.use,
                look_min=look.value,
                alarm_min=alarm,
                emergency_min=emergency,
                alarm_mg_per_l=level.alarm_mg_per_l,
                emergency_mg_per_l=level.emergency_mg_per_l,
                begin=plan.as_of or plan.case.intended.operation_at,
                back_up=back_up.answer if back_up is not None else "",
            )
        )
    return tuple(made)


def _band(finding: Finding | None) -> Band | None:
    if finding is None or finding.value is None or finding.low is None or finding.high is None:
        return None
    return Band(low=finding.low, best=finding.value, high=finding.high)
