"""The drawings of the tank and the tubs for the record of the case, by the moment to which they belong."""

from waterplan.charts.clocks import clock_chart
from waterplan.charts.safe_region import region_chart
from waterplan.charts.svg import svg
from waterplan.charts.through_time import course_chart, states_of
from waterplan.findings import Moment
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.tank_ahead import Ahead, clocks
from waterplan.first_plan.whole import Plan
from waterplan.units import Display

_MOMENTS = {Use.INDUCTION: Moment.PROCEDURE, Use.IRRIGATION: Moment.PROCEDURE, Use.REVIVAL: Moment.REVIVAL}
_WIDE, _NARROW = 440, 270


def clock_drawings(plan: Plan, display: Display) -> dict[Moment, list[str]]:
    """The clock of each tub."""
    found: dict[Moment, list[str]] = {moment: [] for moment in Moment}
    for clock in clocks(plan):
        moment = _MOMENTS.get(clock.use, Moment.HOSPITAL)
        found[moment].append(svg(clock_chart(clock, display, width=_NARROW + 40)))
    return found


def course_drawings(days: Ahead, display: Display) -> list[str]:
    """Every state of the tank: the first with the lines of its events, the others small beside one another."""
    if days.course is None:
        return []
    first, *others = states_of(days.course)
    wide = course_chart(days.course, first, display, width=_WIDE)
    small = (course_chart(days.course, state, display, width=_NARROW, height=120, lanes=False) for state in others)
    return [svg(wide), *(svg(chart) for chart in small)]


def region_drawing(plan: Plan, display: Display) -> str:
    """The tank against the fish, where there is such a picture."""
    region = plan.pictures.region
    chart = region_chart(region, display, width=420, height=260) if region is not None else None
    return svg(chart) if chart is not None else ""
