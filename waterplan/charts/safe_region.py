"""Which tank serves a fish of which weight, with this tank and this fish marked."""

import math
from typing import cast

import altair as alt
import pandas as pd

from waterplan.charts.style import BAND, FISH, INK, finish, rimmed, titled
from waterplan.first_plan.safe_region import SafeRegion
from waterplan.units import Display

# From light to dark, so that they read in grey.
_AREAS = {"serves in 95 % of the draws": "#ffffff", "serves by the best figures only": BAND, "too small": "#8f9ba1"}
_FIRST = 1.0, 2.0, 5.0
# Weights and litres are kept in one unit each, whatever their size.
_WEIGHT_LIKE, _LITRES_LIKE = 2.0, 100.0


def region_chart(
    region: SafeRegion, display: Display, *, width: int | str = "container", height: int = 330
) -> alt.LayerChart | None:
    """Litres against weight: too small, enough by the best figures only, enough in 95 % of the draws.

    None where no tank of any size serves: the water itself is at or past its limit.
    """
    points = [
        (weight, best, safe)
        for weight, best, safe in zip(region.weights_kg, region.best_l, region.safe_l, strict=True)
        if math.isfinite(best)
    ]
    if len(points) < 2:
        return None
    kg, litre = display.unit("kg", like=_WEIGHT_LIKE), display.unit("L", like=_LITRES_LIKE)

    def weight_of(value: float) -> float:
        return display.convert(value, "kg", like=_WEIGHT_LIKE)[0]

    def litres_of(value: float) -> float:
        return display.convert(value, "L", like=_LITRES_LIKE)[0]

    here = [region.here_l] if region.here_l else []
    most = max([best for _, best, _ in points] + [safe for _, _, safe in points if math.isfinite(safe)] + here)
    bottom, top = min([best for _, best, _ in points] + here) / 2.0, most * 2.0
    rows = pd.DataFrame(
        [
            {
                "weight": weight_of(weight),
                "bottom": litres_of(bottom),
                "best": litres_of(best),
                "safe": litres_of(safe if math.isfinite(safe) else top),
                "top": litres_of(top),
            }
            for weight, best, safe in points
        ]
    )
    across = [float(rows["weight"].min()), float(rows["weight"].max())]
    up = [litres_of(bottom), litres_of(top)]
    x = alt.X(
        "weight:Q",
        title=f"weight of the fish [{kg}]",
        scale=alt.Scale(type="log", domain=across, nice=False),
        axis=alt.Axis(values=_marks(*across), format=",~g", labelOverlap="greedy"),
    )

    def y(field: str) -> alt.Y:
        return alt.Y(
            f"{field}:Q",
            title=f"water in the tank [{litre}]",
            scale=alt.Scale(type="log", domain=up, nice=False),
            axis=alt.Axis(values=_marks(*up), format=",~g"),
        )

    base = alt.Chart(rows)
    layers = [
        _areas(rows, x, y("from")),
        base.mark_line(color=INK, strokeWidth=2.5).encode(x=x, y=y("best")),
        base.mark_line(color=INK, strokeWidth=2.5, strokeDash=[7, 4]).encode(x=x, y=y("safe")),
    ]
    layers += _here(region, display, (across, up), x, y("level"))
    title = titled(
        "Water against weight, at " + display.number(region.temp_c, "°C"),
        *_rules(region, display),
        *_not_counted(region),
    )
    return finish(*layers, width=width, height=height).properties(title=title)


def _areas(rows: pd.DataFrame, x: alt.X, y: alt.Y) -> alt.Chart:
    """The three areas, from the top down, and what each means in a key over the picture."""
    ends = (("safe", "top"), ("best", "safe"), ("bottom", "best"))
    areas = pd.concat(
        pd.DataFrame({"weight": rows["weight"], "from": rows[low], "to": rows[high], "area": words})
        for words, (low, high) in zip(_AREAS, ends, strict=True)
    )
    key = alt.Legend(
        title=None,
        orient="top",
        direction="vertical",
        symbolType="square",
        symbolSize=160,
        symbolStrokeColor=INK,
        symbolStrokeWidth=1,
        symbolOpacity=1,
        labelFontSize=13,
        labelLimit=300,
    )
    colour = alt.Color("area:N", scale=alt.Scale(domain=list(_AREAS), range=list(_AREAS.values())), legend=key)
    return cast(alt.Chart, alt.Chart(areas).mark_area().encode(x=x, y=y, y2="to:Q", color=colour))


def _here(
    region: SafeRegion, display: Display, ends: tuple[list[float], list[float]], x: alt.X, y: alt.Y
) -> list[alt.Chart]:
    """This fish as an upright line, and this tank on it."""
    (left, right), (bottom, _) = ends
    weight = display.convert(region.here_kg, "kg", like=_WEIGHT_LIKE)[0]
    fish = pd.DataFrame(
        [{"weight": weight, "level": bottom, "words": f"this fish, {display.number(region.here_kg, 'kg')}"}]
    )
    line = alt.Chart(fish).mark_rule(color=INK, strokeWidth=1.5, strokeDash=[2, 3]).encode(x=x)
    layers = [line]
    tanks = [{"weight": weight, "level": bottom * 1.15, "words": fish["words"][0]}]
    if region.here_l:
        litres = display.convert(region.here_l, "L", like=_LITRES_LIKE)[0]
        tank = pd.DataFrame([{"weight": weight, "level": litres}])
        point = alt.Chart(tank).mark_point(shape="diamond", size=200, filled=True, color=FISH, stroke=INK, opacity=1)
        layers.append(point.encode(x=x, y=y))
        tanks.append({"weight": weight, "level": litres, "words": f"this tank, {display.number(region.here_l, 'L')}"})
    over = math.log(weight / left) > 0.5 * math.log(right / left)
    layers += rimmed(pd.DataFrame(tanks), x, y, align="right" if over else "left", dx=-11 if over else 11)
    return layers


def _rules(region: SafeRegion, display: Display) -> list[str]:
    """Which demand rules, from which weight on."""
    turns = [(region.weights_kg[0], region.ruled_by[0])]
    for weight, demand in zip(region.weights_kg, region.ruled_by, strict=True):
        if demand != turns[-1][1]:
            turns.append((weight, demand))
    first, *later = [(demand, display.number(weight, "kg")) for weight, demand in turns]
    said = f"{first[0]} rules"
    return [said + "".join(f"; from {weight} on {demand}" for demand, weight in later)]


def _not_counted(region: SafeRegion) -> list[str]:
    return [f"not counted: {', '.join(region.not_counted)}"] if region.not_counted else []


def _marks(low: float, high: float) -> list[float]:
    """1, 2 and 5 times the powers of ten between two values; tenths of a narrow range beside them."""
    exponents = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    return [step * 10.0**exponent for exponent in exponents for step in _FIRST if low <= step * 10.0**exponent <= high]
