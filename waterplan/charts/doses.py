"""A dose to the eye: how much it is, in boxes that can be counted, and its level beside what is told of."""

import math
from typing import cast

import altair as alt
import pandas as pd

from waterplan.charts.style import ALARM, BAND, EMERGENCY, FISH, GREY, INK, WATER, WATER_LINE, finish
from waterplan.first_plan.dose_cards import DoseCard, InjectionCard, Portion
from waterplan.units import Display

_BOXES = 10
_ROW = 92
_BOX = 0.44
_WORDS_X = 0.0
_SYRINGES_ML = (0.3, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 500.0, math.inf)
# What fits on a phone.
_LABEL_PX = 350


def measure_chart(card: DoseCard, display: Display, *, width: int | str = 520) -> alt.LayerChart:
    """Each portion, and the water it goes into, as boxes of one, ten or a hundred: a slip of ten looks like one."""
    rows = [_row_of(portion) for portion in card.portions]
    litres, unit = display.convert(card.litres.best, "L")
    rows.append((f"{litres:,.4g} {unit}: the water, {card.water}", litres, unit, WATER))
    boxes, fills, words = [], [], []
    for number, (text, quantity, name, colour) in enumerate(rows):
        top = -number
        each = 10.0 ** math.floor(math.log10(quantity)) if quantity > 0.0 else 1.0
        filled = quantity / each
        words.append({"x": _WORDS_X, "y": top + 0.56, "words": text, "small": f"each box {_each(each, name)}"})
        for box in range(_BOXES):
            part = min(max(filled - box, 0.0), 1.0)
            place = {"x": box + 0.06, "x2": box + 0.94, "y": top - _BOX / 2, "y2": top + _BOX / 2}
            boxes.append(place)
            if part > 0.0:
                fills.append({**place, "y2": top - _BOX / 2 + _BOX * part, "colour": colour})
    x = alt.X("x:Q", axis=None, scale=alt.Scale(domain=[0, _BOXES], nice=False))
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[-len(rows) + 0.55, 0.7], nice=False))
    filled_boxes = (
        alt.Chart(pd.DataFrame(fills))
        .mark_rect()
        .encode(x=x, x2="x2:Q", y=y, y2="y2:Q", color=alt.Color("colour:N", scale=None, legend=None))
    )
    outlines = (
        alt.Chart(pd.DataFrame(boxes))
        .mark_rect(fill=None, stroke=GREY, strokeWidth=1)
        .encode(x=x, x2="x2:Q", y=y, y2="y2:Q")
    )
    frame = pd.DataFrame(words)
    named = (
        alt.Chart(frame)
        .mark_text(align="left", color=INK, fontSize=14, fontWeight="bold", limit=_LABEL_PX)
        .encode(x=x, y=y, text="words:N")
    )
    small = alt.Chart(frame).mark_text(align="left", color=INK, fontSize=12, dy=16).encode(x=x, y=y, text="small:N")
    return finish(filled_boxes, outlines, named, small, width=width, height=_ROW * len(rows))


def _row_of(portion: Portion) -> tuple[str, float, str, str]:
    colour = FISH if portion.unit == "g" else WATER_LINE
    return f"{portion.counted}: {portion.what}", portion.amount, portion.unit, colour


def _each(size: float, unit: str) -> str:
    if unit == "mL" and size >= 1000.0:
        return f"{size / 1000.0:g} L, a jug"
    if unit == "g" and size >= 1000.0:
        return f"{size / 1000.0:g} kg"
    if unit == "g" and size < 0.1:
        return f"{size * 1000.0:g} mg"
    return f"{size:g} {unit}"


def syringe_chart(card: InjectionCard, *, width: int | str = 520, height: int = 90) -> alt.LayerChart | None:
    """The syringe with what is drawn up in it, to scale: a slip of ten is seen as a full or an empty one."""
    if card.draw_ml is None:
        return None
    size = next(ml for ml in _SYRINGES_ML if ml >= max(card.draw_ml, 100.0 * card.division_ml) * (1.0 - 1e-9))
    x = alt.X(
        "low:Q",
        title=f"mL in a syringe of {size:g} mL that shows {card.division_ml:g} mL",
        scale=alt.Scale(domain=[0, size], nice=False),
        axis=alt.Axis(tickCount=10, grid=False),
    )
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[0, 1.3], nice=False))
    barrel = pd.DataFrame([{"low": 0.0, "high": size, "y": 0.2, "y2": 0.8}])
    drawn = pd.DataFrame([{"low": 0.0, "high": card.draw_ml, "y": 0.2, "y2": 0.8}])
    words = pd.DataFrame([{"low": 0.0, "y": 1.08, "words": f"{card.drawn} of {card.strength}"}])
    return finish(
        alt.Chart(drawn).mark_rect(color=WATER_LINE).encode(x=x, x2="high:Q", y=y, y2="y2:Q"),
        alt.Chart(barrel).mark_rect(fill=None, stroke=INK, strokeWidth=2).encode(x=x, x2="high:Q", y=y, y2="y2:Q"),
        alt.Chart(words)
        .mark_text(align="left", color=INK, fontSize=14, fontWeight="bold", limit=_LABEL_PX)
        .encode(x=x, y=y, text="words:N"),
        width=width,
        height=height,
    )


def level_chart(card: DoseCard, *, width: int | str = 520, height: int = 90) -> alt.LayerChart | None:
    """The level over the error of the volume, above the range that is told of; None where there is no level."""
    if card.level is None or card.wanted is None:
        return None
    unit = card.unit.replace("uL", "µL")
    top = max(card.level.high, card.wanted, card.told.high if card.told else 0.0, card.ceiling or 0.0) * 1.15
    x = alt.X("low:Q", title=f"level in the water [{unit}]", scale=alt.Scale(domain=[0, top], nice=False))
    rows = ["this dose", f"told of ({card.told.status})" if card.told else "told of: nothing"]
    y = alt.Y("row:N", sort=rows, title=None, axis=alt.Axis(labelLimit=200))
    bars = []
    if card.told is not None:
        bars.append({"row": rows[1], "low": card.told.low, "high": card.told.high, "colour": WATER})
    # A band so narrow that it could not be seen is drawn at the width of a line.
    least = top * 0.006
    bars.append(
        {"row": rows[0], "low": card.level.low, "high": max(card.level.high, card.level.low + least), "colour": BAND}
    )
    drawn = (
        alt.Chart(pd.DataFrame(bars))
        .mark_bar(size=26, stroke=INK, strokeWidth=1)
        .encode(x=x, x2="high:Q", y=y, color=alt.Color("colour:N", scale=None, legend=None))
    )
    marks = pd.DataFrame(
        [
            {"row": rows[0], "low": card.level.best, "what": "at the best figure"},
            {"row": rows[0], "low": card.wanted, "what": "wanted"},
        ]
    )
    shape = alt.Shape(
        "what:N",
        scale=alt.Scale(domain=["at the best figure", "wanted"], range=["circle", "diamond"]),
        legend=alt.Legend(title=None, orient="top", labelFontSize=13, labelLimit=260),
    )
    points = alt.Chart(marks).mark_point(size=130, filled=True, color=FISH, stroke=INK).encode(x=x, y=y, shape=shape)
    layers = [drawn, points]
    if card.ceiling is not None:
        ceiling = pd.DataFrame([{"low": card.ceiling, "words": f"not above {card.ceiling:g}"}])
        colour = EMERGENCY if card.level.high > 0.9 * card.ceiling else ALARM
        layers.append(alt.Chart(ceiling).mark_rule(color=colour, strokeDash=[6, 4], strokeWidth=2).encode(x=x))
        layers.append(
            cast(
                alt.Chart,
                alt.Chart(ceiling)
                .mark_text(align="right", dx=-5, color=colour, fontSize=13, fontWeight="bold")
                .encode(x=x, y=alt.value(-2), text="words:N"),
            )
        )
    return finish(*layers, width=width, height=height)
