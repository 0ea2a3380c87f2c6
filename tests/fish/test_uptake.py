"""Oxygen that a fish takes."""

import csv
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.fish.species import known_species, species
from waterplan.fish.uptake import (
    UPTAKE_MODELS,
    cyprinid_routine_mg_per_kg_h,
    sturgeon_resting_mg_per_kg_h,
    teleost_resting_mg_per_kg_h,
    trout_fed_mg_per_kg_h,
)

VALUES = Path(__file__).parents[1] / "published_values"
FILES: dict[str, Callable[..., object]] = {
    "fish_routine_uptake": cyprinid_routine_mg_per_kg_h,
    "fish_trout_uptake": trout_fed_mg_per_kg_h,
    "fish_teleost_uptake": teleost_resting_mg_per_kg_h,
}
PRINTED = [
    pytest.param(function, row, id=f"{name} {row['weight_kg']} kg {row['water_temp_c']} °C")
    for name, function in FILES.items()
    for row in csv.DictReader((VALUES / f"{name}.csv").open(encoding="utf-8"))
]
every_model = pytest.mark.parametrize("model", sorted(UPTAKE_MODELS))


@pytest.mark.parametrize(("function", "row"), PRINTED)
def test_worked_uptake(function: Callable[..., object], row: dict[str, str]) -> None:
    uptake = function(float(row["weight_kg"]), water_temp_c=float(row["water_temp_c"]))
    assert uptake == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_the_q10_of_the_routine_rate_is_the_papers() -> None:
    # Yamanaka et al. 2013 give Q10 = 1.75.
    ratio = cyprinid_routine_mg_per_kg_h(0.05, water_temp_c=25.0) / cyprinid_routine_mg_per_kg_h(
        0.05, water_temp_c=15.0
    )
    assert ratio == pytest.approx(1.75, abs=0.005)


def test_the_routine_rate_of_a_kilogram_is_plausible_beside_calorimetry() -> None:
    # Starved goldfish at 20 °C, calorimetry: 700 J/h/kg^0.85 at 13.6 J a mg of oxygen, 51.5 mg/h for a kilogram. A
    # routine rate lies at or a little above a resting one.
    assert 1.0 <= cyprinid_routine_mg_per_kg_h(1.0, water_temp_c=20.0) / 51.5 <= 1.3


def test_resting_fish_from_freezing_to_30_degrees_take_six_times_as_much() -> None:
    # Clarke & Johnston 1999, abstract: about six times; 6.16 worked from the line.
    warm = teleost_resting_mg_per_kg_h(0.05, water_temp_c=30.0)
    assert warm / teleost_resting_mg_per_kg_h(0.05, water_temp_c=0.0) == pytest.approx(6.16, abs=0.05)


def test_the_upper_of_the_two_printed_lines_is_used() -> None:
    # The same paper's weight line, ln Rb = 0.80 ln M - 5.43 (mmol/h, g), gives 64.1 mg/kg/h for 50 g: the lower one.
    weight_line = math.exp(0.80 * math.log(50.0) - 5.43) * 31.998 / 0.05
    assert weight_line == pytest.approx(64.1, abs=0.2)
    assert teleost_resting_mg_per_kg_h(0.05, water_temp_c=15.0) > 1.7 * weight_line


def test_the_one_measured_level_of_a_sturgeon() -> None:
    # Acipenser baerii, 149 mg/kg/h at 24 °C.
    assert sturgeon_resting_mg_per_kg_h(1.0, water_temp_c=24.0) == pytest.approx(149.0)
    assert sturgeon_resting_mg_per_kg_h(0.2, water_temp_c=24.0) == pytest.approx(149.0), "a small one is not let off"
    assert sturgeon_resting_mg_per_kg_h(1.0, water_temp_c=14.0) == pytest.approx(74.5)
    # 32^-0.20 is a half.
    assert sturgeon_resting_mg_per_kg_h(32.0, water_temp_c=24.0) == pytest.approx(74.5)


def test_the_trout_curve_has_no_gap_where_its_constants_change() -> None:
    # Liao's two sets meet at 50 °F within a few per cent of each other.
    cold, warm = (trout_fed_mg_per_kg_h(0.5, water_temp_c=temp) for temp in (10.0, 10.001))
    assert warm == pytest.approx(cold, rel=0.1)


@every_model
@given(weight_kg=st.floats(0.001, 30.0), water_temp_c=st.floats(0.0, 34.0), warmer=st.floats(0.5, 5.0))
def test_warmer_water_and_a_smaller_fish_take_more_for_each_kilogram(
    model: str, weight_kg: float, water_temp_c: float, warmer: float
) -> None:
    function = UPTAKE_MODELS[model]
    here = function(weight_kg, water_temp_c=water_temp_c)
    assert here > 0.0
    assert function(weight_kg, water_temp_c=water_temp_c + warmer) > here
    assert function(weight_kg * 1.5, water_temp_c=water_temp_c) <= here
    assert function(weight_kg * 1.5, water_temp_c=water_temp_c) * 1.5 > here, "but a larger fish takes more in all"


@every_model
@pytest.mark.parametrize(
    ("weight_kg", "water_temp_c"), [(0.0, 20.0), (-1.0, 20.0), (math.nan, 20.0), (1.0, math.inf), (1.0, 150.0)]
)
def test_what_cannot_be_is_refused(model: str, weight_kg: float, water_temp_c: float) -> None:
    with pytest.raises(ImpossibleInput):
        UPTAKE_MODELS[model](weight_kg, water_temp_c=water_temp_c)


@every_model
def test_draws_go_through_in_one_pass(model: str) -> None:
    weights, temps = np.array([0.2, 1.0, 3.0]), np.array([12.0, 18.0, 24.0])
    together = UPTAKE_MODELS[model](weights, water_temp_c=temps)
    one_by_one = [
        UPTAKE_MODELS[model](float(weight), water_temp_c=float(temp))
        for weight, temp in zip(weights, temps, strict=True)
    ]
    assert np.asarray(together) == pytest.approx(one_by_one)


@pytest.mark.parametrize("name", known_species())
def test_every_species_has_an_equation_and_its_spread(name: str) -> None:
    model = species(name).uptake_model
    assert model in UPTAKE_MODELS
    spread = tables.row("oxygen_uptake", model=model)
    # Corrections to the facts: the spread is wider than 40 % on the high side for all but the fed trout.
    assert spread.low < spread.value == 1.0 < spread.high
    assert spread.high >= 1.4
