"""Oxygen against temperature, and oxygen falling after the air stops."""

from typing import Literal

import altair as alt
import pandas as pd

from waterplan import tables
from waterplan.charts.style import ALARM, BAND, EMERGENCY, FISH, INK, WATER_LINE, finish
from waterplan.first_plan.pictures import Decline, SaturationCurve
from waterplan.units import Display


def _title(term: str, unit: str) -> str:
    words = tables.glossary()[term].words
    return f"{words} [{unit}]" if unit else words


def saturation_chart(curve: SaturationCurve, display: Display, *, width: int | str = "container") -> alt.LayerChart:
    """Oxygen at saturation against temperature, with this water and what was measured in it marked."""
    unit = display.unit("°C")
    temps = [display.convert(temp, "°C")[0] for temp in curve.temps_c]
    frame = pd.DataFrame({"temperature": temps, "oxygen": curve.saturation_mg_per_l})
    here = display.convert(curve.here_c, "°C")[0]
    x = alt.X("temperature:Q", title=_title("water_temp_c", unit), scale=alt.Scale(nice=False))
    y = alt.Y("oxygen:Q", title=_title("do_mg_per_l", "mg/L"), scale=alt.Scale(domain=[0, 15]))
    line = alt.Chart(frame).mark_line(color=WATER_LINE, strokeWidth=3).encode(x=x, y=y)
    points = [{"temperature": here, "oxygen": curve.here_mg_per_l, "what": "this water, fully aerated"}]
    if curve.measured_mg_per_l is not None:
        points.append({"temperature": here, "oxygen": curve.measured_mg_per_l, "what": "as measured"})
    marked = pd.DataFrame(points)
    shape = alt.Shape(
        "what:N",
        scale=alt.Scale(domain=["this water, fully aerated", "as measured"], range=["circle", "diamond"]),
        legend=alt.Legend(title=None, orient="top", labelFontSize=13, labelLimit=260),
    )
    dots = alt.Chart(marked).mark_point(size=140, filled=True, color=FISH, stroke=INK).encode(x=x, y=y, shape=shape)
    return finish(line, *_levels([("alarm", curve.alarm_mg_per_l, ALARM)], temps[0], align="left"), dots, width=width)


def decline_chart(
    decline: Decline, display: Display, *, width: int | str = "container", height: int = 260
) -> alt.LayerChart:
    """Oxygen in a vessel after its air stops: band, best line, both levels and the check-by time."""
    del display  # minutes and mg/L are the same in both systems
    hours = decline.minutes[-1] > 180.0
    scale, unit = (1 / 60.0, "h") if hours else (1.0, "min")
    frame = pd.DataFrame(
        {
            "time": [minute * scale for minute in decline.minutes],
            "low": decline.low,
            "best": decline.best,
            "high": decline.high,
        }
    )
    x = alt.X("time:Q", title=f"time since the air stopped [{unit}]", scale=alt.Scale(nice=False))
    top = max(max(decline.high) * 1.1, decline.alarm_mg_per_l * 1.25)
    domain = alt.Scale(domain=[0, top], nice=False)
    spread = (
        alt.Chart(frame)
        .mark_area(color=BAND, opacity=0.7)
        .encode(x=x, y=alt.Y("low:Q", title=_title("do_mg_per_l", "mg/L"), scale=domain), y2="high:Q")
    )
    best = alt.Chart(frame).mark_line(color=INK, strokeWidth=2.5).encode(x=x, y=alt.Y("best:Q", scale=domain))
    levels = _levels(
        [("alarm", decline.alarm_mg_per_l, ALARM), ("emergency", decline.emergency_mg_per_l, EMERGENCY)],
        decline.minutes[-1] * scale,
    )
    look = pd.DataFrame({"time": [decline.check_by_min * scale], "words": ["look again"], "at": [top * 0.96]})
    rule = alt.Chart(look).mark_rule(color=INK, strokeWidth=2.5, strokeDash=[3, 3]).encode(x="time:Q")
    word = (
        alt.Chart(look)
        .mark_text(align="left", dx=5, color=INK, fontSize=13, fontWeight="bold")
        .encode(x="time:Q", y=alt.Y("at:Q", scale=domain), text="words:N")
    )
    return finish(spread, best, *levels, rule, word, width=width, height=height)


def _levels(
    levels: list[tuple[str, float, str]], at: float, *, align: Literal["left", "right"] = "right"
) -> list[alt.Chart]:
    """A dashed line and its word for each oxygen level."""
    found: list[alt.Chart] = []
    for name, value, colour in levels:
        frame = pd.DataFrame({"oxygen": [value], "x": [at], "words": [f"{name} {value:g} mg/L"]})
        found.append(alt.Chart(frame).mark_rule(color=colour, strokeDash=[6, 4], strokeWidth=2).encode(y="oxygen:Q"))
        found.append(
            alt.Chart(frame)
            .mark_text(
                align=align, dx=6 if align == "left" else -6, dy=-9, color=colour, fontSize=13, fontWeight="bold"
            )
            .encode(x="x:Q", y="oxygen:Q", text="words:N")
        )
    return found
