"""When to look at a tub whose air has stopped, as a bar of time with the clock beside it."""

from datetime import timedelta
from itertools import pairwise

import altair as alt
import pandas as pd

from waterplan.charts.style import BAND, EMERGENCY, INK, finish, titled
from waterplan.first_plan.tank_ahead import Clock
from waterplan.units import Display

# From light to dark, so that they read in grey: nothing to do yet, look, alarm, emergency.
_EARLY, _LOOK, _ALARM, _EMERGENCY = "#ffffff", BAND, "#b0702f", EMERGENCY
_ROWS, _BAR, _HOURS_FROM_MIN = (-1.1, -2.1, -3.1), 0.42, 180.0
_LEAST_PART, _ROOM = 0.04, 1.25
_NAME = 44


def clock_chart(clock: Clock, display: Display, *, width: int | str = "container", height: int = 130) -> alt.LayerChart:
    """The time after the air stops: look again, alarm, emergency, each at its early end, by minutes and by the clock.

    Parameters
    ----------
    clock : Clock
        The tub's times.
    display : Display
        The reader's units.
    width, height : int or str
        Size of the drawing [pixels].
    """
    early = (clock.look_min, clock.alarm_min.low, clock.emergency_min.low)
    end = max(_ROOM * clock.emergency_min.low, _ROOM * clock.alarm_min.low, 5.0)
    scale, unit = (1.0 / 60.0, "h") if end > _HOURS_FROM_MIN else (1.0, "min")
    edges = [0.0, *(min(max(value, 0.0), end) for value in early), end]
    parts = pd.DataFrame(
        [
            {"from": begin * scale, "to": to * scale, "top": _BAR, "low": -_BAR, "colour": colour}
            for begin, to, colour in zip(edges[:-1], edges[1:], (_EARLY, _LOOK, _ALARM, _EMERGENCY), strict=True)
            if to > begin
        ]
    )
    x = alt.X(
        "from:Q",
        title=f"time since the air stopped [{unit}]",
        scale=alt.Scale(domain=[0.0, end * scale], nice=False),
        axis=alt.Axis(grid=False, tickCount=6, domainColor=INK, tickColor=INK, offset=0),
    )
    y = alt.Y("low:Q", axis=None, scale=alt.Scale(domain=[_ROWS[-1] - 0.6, 1.1], nice=False))
    bar = (
        alt.Chart(parts)
        .mark_rect(stroke=INK, strokeWidth=1)
        .encode(x=x, x2="to:Q", y=y, y2="top:Q", color=alt.Color("colour:N", scale=None, legend=None))
    )
    layers = [bar, *_numbers(edges, scale, x, y)]
    for number, (minutes, words, row) in enumerate(zip(early, _words(clock, display), _ROWS, strict=True)):
        layers += _line(number, f"{words}: {when(minutes, clock, display)}", row, x, y)
    at = f"if the air stops at {clock.begin:%H:%M on %a} {clock.begin.day} {clock.begin:%b}" if clock.begin else ""
    return finish(*layers, width=width, height=height).properties(
        title=titled(_short(clock.vessel), f"{clock.use}; the fish handled; early ends", at)
    )


def _short(name: str) -> str:
    return name if len(name) <= _NAME else f"{name[: _NAME - 1]}…"


def _words(clock: Clock, display: Display) -> tuple[str, str, str]:
    alarm, emergency = (display.number(one, "mg/L") for one in (clock.alarm_mg_per_l, clock.emergency_mg_per_l))
    return "look again", f"alarm {alarm}", f"emergency {emergency}"


def when(minutes: float, clock: Clock | None, display: Display) -> str:
    """A time rounded down, with the clock beside it where a start is known; "at once" where there is none left."""
    if minutes < 1.0:
        return "at once"
    whole = float(int(minutes))
    said = display.number(whole, "min")
    if clock is None or clock.begin is None:
        return said
    at = clock.begin + timedelta(minutes=whole)
    return f"{said} = {at:%H:%M}" if at.date() == clock.begin.date() else f"{said} = {at:%a %H:%M}"


def _numbers(edges: list[float], scale: float, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """The number of each part over the edge where it begins, where it has room."""
    rows = pd.DataFrame(
        [
            {"from": begin * scale, "low": _BAR, "words": str(number)}
            for number, (begin, to) in enumerate(pairwise(edges[1:]), 1)
            if to - begin > _LEAST_PART * edges[-1]
        ],
        columns=["from", "low", "words"],
    )
    text = alt.Chart(rows).mark_text(align="left", dy=-9, color=INK, fontSize=13, fontWeight="bold")
    return [text.encode(x=x, y=y, text="words:N")]


def _line(number: int, words: str, row: float, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """A line under the bar: the colour of a part, its number, and when it begins."""
    colour = (_LOOK, _ALARM, _EMERGENCY)[number]
    rows = pd.DataFrame([{"from": 0.0, "low": row, "words": f"{number + 1}  {words}"}])
    swatch = alt.Chart(rows).mark_square(size=170, color=colour, opacity=1, stroke=INK, strokeWidth=1, xOffset=7)
    text = alt.Chart(rows).mark_text(align="left", dx=20, fontSize=13, fontWeight="bold", color=INK)
    return [swatch.encode(x=x, y=y), text.encode(x=x, y=y, text="words:N")]
