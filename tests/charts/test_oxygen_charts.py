"""Oxygen against temperature, and oxygen after the air stops."""

import math

import gsw
import numpy as np
import pytest

from tests.charts.reading import layers, of_mark, words
from tests.plans import DEMOS, METRIC, US, demo_plan
from waterplan.charts import style
from waterplan.charts.oxygen import decline_chart, saturation_chart
from waterplan.first_plan.pictures import Decline, SaturationCurve

DECLINES = [(name, decline.vessel) for name in DEMOS for decline in demo_plan(name).pictures.declines]


def decline_of(name, vessel):
    return next(one for one in demo_plan(name).pictures.declines if one.vessel == vessel)


def band_of(chart):
    (area,) = of_mark(chart, "area")
    return area["rows"]


def test_every_vessel_with_water_to_count_on_has_its_curve():
    assert {vessel for _, vessel in DECLINES} >= {"white basin", "reservoir", "blue tub", "hospital tank", "bucket"}


@pytest.mark.parametrize(("name", "vessel"), DECLINES)
def test_the_band_holds_the_best_line_and_only_falls(name, vessel):
    rows = band_of(decline_chart(decline_of(name, vessel), METRIC))
    low, best, high = (np.array([row[key] for row in rows]) for key in ("low", "best", "high"))
    assert (low <= best + 1e-9).all()
    assert (best <= high + 1e-9).all()
    assert (low >= 0.0).all()
    for line in (low, best, high):
        assert (np.diff(line) <= 1e-9).all()


@pytest.mark.parametrize(("name", "vessel"), DECLINES)
def test_the_best_line_is_straight_and_meets_each_level_at_the_time_told(name, vessel):
    decline, plan = decline_of(name, vessel), demo_plan(name)
    minutes, best = np.array(decline.minutes), np.array(decline.best)
    above = best > 0.0
    # V dC/dt = -demand, with nothing coming in: a straight line, until there is no more.
    slope = np.polyfit(minutes[above], best[above], 1)[0]
    assert np.allclose(np.diff(best[above]), slope * np.diff(minutes[above]), atol=1e-9)
    for level, key in ((decline.alarm_mg_per_l, "alarm"), (decline.emergency_mg_per_l, "emergency")):
        told = plan.finding(f"{key}: {vessel}").value
        if 0.0 < told < minutes[-1]:
            assert np.interp(told, minutes, best) == pytest.approx(level, abs=1e-6)


@pytest.mark.parametrize(("name", "vessel"), DECLINES)
def test_the_rule_to_look_again_stands_at_the_plans_own_time(name, vessel):
    decline = decline_of(name, vessel)
    chart = decline_chart(decline, METRIC)
    (rule,) = of_mark(chart, "rule", color=style.INK)
    unit = chart.to_dict()["layer"][0]["encoding"]["x"]["title"]
    at_min = rule["rows"][0]["time"] * (60.0 if unit.endswith("[h]") else 1.0)
    told = demo_plan(name).finding(f"check-by: {vessel}").value
    assert at_min == pytest.approx(told, rel=1e-9)
    # Half of the unfavourable end, rounded down to a whole minute.
    assert told == math.floor(demo_plan(name).finding(f"alarm: {vessel}").low / 2)


@pytest.mark.parametrize(("name", "vessel"), DECLINES)
def test_both_levels_are_ruled_and_named_and_the_words_stand_inside(name, vessel):
    decline = decline_of(name, vessel)
    chart = decline_chart(decline, METRIC)
    levels = {layer["rows"][0]["oxygen"] for layer in of_mark(chart, "rule") if "oxygen" in layer["rows"][0]}
    assert levels == {decline.alarm_mg_per_l, decline.emergency_mg_per_l}
    assert decline.alarm_mg_per_l > decline.emergency_mg_per_l
    assert {f"alarm {decline.alarm_mg_per_l:g} mg/L", f"emergency {decline.emergency_mg_per_l:g} mg/L"} <= set(
        words(chart)
    )
    look = next(row for layer in of_mark(chart, "text") for row in layer["rows"] if row["words"] == "look again")
    low, high = layers(chart)[0]["encoding"]["y"]["scale"]["domain"]
    assert low == 0
    # Above the alarm's rule and its word, below the edge.
    assert decline.alarm_mg_per_l * 1.1 < look["at"] < high


def test_long_times_are_told_in_hours():
    short = Decline(
        vessel="tub",
        minutes=(0.0, 60.0, 120.0),
        low=(8.0, 6.0, 4.0),
        best=(8.0, 7.0, 6.0),
        high=(8.0, 7.5, 7.0),
        alarm_mg_per_l=5.0,
        emergency_mg_per_l=3.0,
        check_by_min=40.0,
    )
    long = Decline(
        vessel="tub",
        minutes=(0.0, 300.0, 600.0),
        low=short.low,
        best=short.best,
        high=short.high,
        alarm_mg_per_l=5.0,
        emergency_mg_per_l=3.0,
        check_by_min=90.0,
    )
    for decline, unit, last, look in ((short, "[min]", 120.0, 40.0), (long, "[h]", 10.0, 1.5)):
        chart = decline_chart(decline, METRIC)
        assert layers(chart)[0]["encoding"]["x"]["title"].endswith(unit)
        assert band_of(chart)[-1]["time"] == pytest.approx(last)
        assert of_mark(chart, "rule", color=style.INK)[0]["rows"][0]["time"] == pytest.approx(look)


# --- saturation --------------------------------------------------------------------------------------------------------


def iso_2533_kpa(altitude_m):
    """The standard atmosphere of the troposphere: 101.325 kPa, 288.15 K, 6.5 K/km, 9.80665 m/s2, 287.05287 J/(kg K)."""
    return 101.325 * (1 - 0.0065 * altitude_m / 288.15) ** (9.80665 / (287.05287 * 0.0065))


def gsw_saturation_mg_per_l(temp_c, salinity, pressure_kpa):
    """Garcia & Gordon's oxygen by gsw, moved to a pressure as Benson & Krause do (vapour by the Magnus formula)."""
    per_kg = gsw.O2sol_SP_pt(salinity, temp_c) * 31.9988e-3
    at_one_atmosphere = per_kg * gsw.density.sigma0(salinity, temp_c) / 1000 + per_kg
    vapour = 0.61094 * np.exp(17.625 * temp_c / (temp_c + 243.04))
    return at_one_atmosphere * (pressure_kpa - vapour) / (101.325 - vapour)


@pytest.mark.parametrize(
    ("name", "temp_c", "salinity", "altitude_m"),
    [
        ("heron_goldfish", 17.5, 0.3, 640.0),
        ("hooked_tench", 12.5, 0.2, 6.0),
        ("orfe_in_a_heatwave", 27.5, 0.0, 1380.0),
        # 62.5 °F and 2950 ft: 5/9 (F - 32) and 0.3048 m.
        ("sturgeon_fin", (62.5 - 32) * 5 / 9, 0.1, 2950 * 0.3048),
    ],
)
def test_this_water_is_marked_where_it_is(name, temp_c, salinity, altitude_m):
    curve = demo_plan(name).pictures.saturation
    (dots,) = of_mark(saturation_chart(curve, METRIC), "point")
    here, measured = dots["rows"]
    assert (here["what"], measured["what"]) == ("this water, fully aerated", "as measured")
    assert here["temperature"] == measured["temperature"] == pytest.approx(temp_c)
    expected = gsw_saturation_mg_per_l(temp_c, salinity, iso_2533_kpa(altitude_m))
    # The two formulas for oxygen agree within 0.3 %; so does the vapour term here.
    assert here["oxygen"] == pytest.approx(expected, rel=0.004)
    assert measured["oxygen"] == demo_plan(name).case.home_water.readings["oxygen"].measured.best
    (line,) = of_mark(saturation_chart(curve, METRIC), "line")
    temps, oxygen = zip(*[(row["temperature"], row["oxygen"]) for row in line["rows"]], strict=True)
    assert np.interp(temp_c, temps, oxygen) == pytest.approx(here["oxygen"], abs=0.003)


def test_a_water_without_a_reading_has_one_mark():
    curve = SaturationCurve(
        temps_c=(0.0, 20.0),
        saturation_mg_per_l=(14.6, 9.1),
        here_c=10.0,
        here_mg_per_l=11.3,
        measured_mg_per_l=None,
        alarm_mg_per_l=5.0,
    )
    (dots,) = of_mark(saturation_chart(curve, METRIC), "point")
    assert [row["what"] for row in dots["rows"]] == ["this water, fully aerated"]


def test_us_readers_see_degrees_fahrenheit():
    curve = demo_plan("heron_goldfish").pictures.saturation
    chart = saturation_chart(curve, US)
    encoding = layers(chart)[0]["encoding"]
    assert encoding["x"]["title"] == "water temperature [°F]"
    assert encoding["y"]["title"] == "dissolved oxygen [mg/L]"
    (dots,) = of_mark(chart, "point")
    assert dots["rows"][0]["temperature"] == pytest.approx(17.5 * 9 / 5 + 32)
    (line,) = of_mark(chart, "line")
    assert [line["rows"][0]["temperature"], line["rows"][-1]["temperature"]] == pytest.approx([32.0, 95.0])


# --- what all charts share -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("chart", [saturation_chart, decline_chart], ids=["saturation", "decline"])
def test_no_chart_loads_anything(chart):
    plan = demo_plan("heron_goldfish")
    of = plan.pictures.saturation if chart is saturation_chart else plan.pictures.declines[0]
    made = chart(of, METRIC).to_dict()
    assert all("url" not in layer["data"] for layer in made["layer"])
    assert all(isinstance(rows, list) for rows in made["datasets"].values())
