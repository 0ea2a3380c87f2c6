"""What readings share of their errors and what they do not, and one equation's scatter for every fish."""

import math

import numpy as np
import pytest

from tests.case.test_values import OXYGEN, TEMPERATURE, read, refusal
from tests.demos import demo_plan
from waterplan import tables
from waterplan.case.reading import read_case
from waterplan.case.values import Reading, parse_reading
from waterplan.errors import CaseError
from waterplan.fish import species
from waterplan.plan.whole import plan
from waterplan.spread import Draws, Measured
from waterplan.stay.fish import FishAtHand
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import Origin
from waterplan.stay.state import Known

DRAWS = Draws(count=4096)


def reading(text: str) -> Reading:
    """A temperature as it is written in a case."""
    found = parse_reading(text, TEMPERATURE)
    assert found is not None
    return found


def test_one_meter_shares_its_calibration_and_not_its_reading_error() -> None:
    """By hand: ± 0.2 °C is a standard deviation of 0.2 / 1.96 = 0.1020; 0.8 of its variance is the calibration, so that

    two readings differ by 0.1020 x sqrt(2 x 0.2) = 0.0645, and not by nothing; each alone keeps its 0.1020.
    """
    inputs, one = Inputs(DRAWS), "°C, digital thermometer"
    first, second = (inputs.of_reading(path, reading(f"{value} {one}")) for path, value in (("a", 17.5), ("b", 18)))
    assert np.std(first[1:]) == pytest.approx(0.1020, rel=0.01)
    assert np.std(second[1:]) == pytest.approx(0.1020, rel=0.01)
    assert np.std(second[1:] - first[1:]) == pytest.approx(0.0645, rel=0.04)
    assert np.corrcoef(first[1:], second[1:])[0, 1] == pytest.approx(0.8, abs=0.02)
    assert "plan_methods/calibration in a meter's error" in inputs.rows


@pytest.mark.parametrize(
    ("first", "second", "covariance"),
    [
        ("oxygen meter", "Oxygen meter", 0.0187),
        ("oxygen meter 2", "oxygen meter 2", 0.0187),
        ("oxygen meter (pond)", "oxygen  meter(Pond)", 0.0187),
        ("oxygen meter", "oxygen meter 2", 0.0),
        ("oxygen meter 1", "oxygen meter 2", 0.0),
        ("oxygen meter (pond)", "oxygen meter (ward)", 0.0),
        ("oxygen meter 2", "oxygen meter (2)", 0.0),
    ],
)
def test_two_meters_of_one_kind_are_told_apart_by_a_number_or_words(first: str, second: str, covariance: float) -> None:
    """By hand: ± 0.3 mg/L is a standard deviation of 0.3 / 1.96 = 0.1531, a variance of 0.0234. One meter shares 0.8 of

    it: 0.0187 is the covariance of its readings, and of their difference the variance is 2 (0.0234 - 0.0187) = 0.0094.
    Two meters share nothing, and the variances add: 0.0469.
    """
    inputs = Inputs(DRAWS)
    a, b = (
        inputs.of_reading(path, read(f"{value} mg/L, {meter}", OXYGEN))
        for path, value, meter in (("a", 7.5, first), ("b", 8.0, second))
    )
    assert np.cov(a[1:], b[1:])[0, 1] == pytest.approx(covariance, abs=0.0009)
    assert np.var(a[1:]) == pytest.approx(0.0234, rel=0.02)
    assert np.var(b[1:] - a[1:]) == pytest.approx(2.0 * (0.0234 - covariance), rel=0.06)


def test_what_tells_two_meters_apart_changes_nothing_else_of_a_reading() -> None:
    plain, named = read("8 mg/L, oxygen meter", OXYGEN), read("8 mg/L, oxygen meter (pond)", OXYGEN)
    assert (named.measured, named.how, named.rows) == (plain.measured, plain.how, plain.rows)
    assert named.text == "8 mg/L, oxygen meter (pond)"
    assert named.meter != plain.meter


@pytest.mark.parametrize(
    "how", ["oxygen meter two", "oxygen meter2", "(pond)", "oxygen meter (pond", "oxygen meter 2 3"]
)
def test_another_form_is_no_meter(how: str) -> None:
    assert "oxygen meter" in refusal(f"8 mg/L, {how}", OXYGEN).would_do


def test_a_reading_under_one_path_is_one_reading() -> None:
    inputs = Inputs(DRAWS)
    assert inputs.of_reading("a", reading("18 °C, logger")) is inputs.of_reading("a", reading("18 °C, logger"))


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("17.5 °C, digital thermometer", "18 °C, logger"),
        ("17.5 ± 0.2 °C", "18 ± 0.2 °C"),
        ("17.5 ± 0.2 °C", "18 °C, digital thermometer"),
    ],
)
def test_what_is_not_known_to_be_one_meter_shares_nothing(first: str, second: str) -> None:
    """By hand: without anything in common the variances of the two add."""
    inputs = Inputs(DRAWS)
    a, b = (inputs.of_reading(path, reading(text)) for path, text in (("a", first), ("b", second)))
    assert np.corrcoef(a[1:], b[1:])[0, 1] == pytest.approx(0.0, abs=0.05)
    assert np.std(b[1:] - a[1:]) == pytest.approx(math.hypot(np.std(a[1:]), np.std(b[1:])), rel=0.05)


def test_what_is_shared_leaves_one_draw_in_each_stratum() -> None:
    found = DRAWS.sharing("a", "meter", 0.8)
    assert sorted((found * DRAWS.count).astype(int)) == list(range(DRAWS.count))
    assert np.corrcoef(found, DRAWS.probabilities("meter"))[0, 1] == pytest.approx(math.sqrt(0.8), abs=0.03)


def goldfish(path: str, weight_kg: float) -> FishAtHand:
    """A goldfish of a weight that is known exactly."""
    known = Known(draws=DRAWS.of(f"{path}/weight", Measured.exact(weight_kg)), origin=Origin.MEASURED)
    return FishAtHand(
        id=path,
        name="",
        species=species.species("goldfish"),
        count=1,
        patient=True,
        weight_kg=known,
        length_cm=known,
        fasted=True,
    )


def test_one_equations_scatter_is_one_column_for_every_fish() -> None:
    """Two fish of one weight take the same in every draw, whatever the equation's scatter about them is."""
    inputs = Inputs(DRAWS)
    temp = np.full(inputs.size, 18.0)
    one, other = (goldfish(path, 0.3).breathing(inputs, temp).uptake_mg_per_kg_h for path in ("fish-1", "fish-2"))
    assert np.array_equal(one, other)
    assert np.std(one[1:]) > 0.1 * one[0]


def test_a_heated_surface_evaporates_as_a_quiet_one_or_one_that_is_moved() -> None:
    """By hand: one draw in twenty lies below quiet water by the laws of plates (0.46), one in twenty above quiet

    water's 0.74 moved by the most in print: 0.74 x 1.7 = 1.26, and half above the geometric middle: (0.46 x 1.26)^0.5 = 0.76.
    """
    row = tables.row("heat_rates", part="open surface", quantity="evaporation factor")
    found = Inputs(DRAWS).of_row("evaporation", row)
    assert found[0] == 0.76
    for level, share in ((0.46, 0.05), (0.76, 0.5), (1.26, 0.95)):
        assert np.mean(found[1:] < level) == pytest.approx(share, abs=0.01)


@pytest.mark.parametrize("name", ["heron_goldfish", "hooked_tench"])
def test_a_limit_with_a_spread_in_its_row_carries_it(name: str) -> None:
    """The plan's record has the low and the high end of each limit's row beside it, as the table has them."""
    made = demo_plan(name)
    limits = {one.limit.row for one in made.judgements if one.limit is not None}
    assert limits
    with_a_spread = 0
    for row in limits & made.rows.keys():
        table = tables.by_id(row)
        assert table is not None
        low, high = made.rows[row].low, made.rows[row].high
        assert (low is None) == math.isnan(table.low)
        assert (high is None) == math.isnan(table.high)
        if low is not None and high is not None:
            assert (low, high) == (table.low, table.high)
            with_a_spread += 1
    assert limits <= made.rows.keys()
    assert with_a_spread >= 3


@pytest.mark.parametrize("oxygen", ["60 mg/L", "500 % saturation"])
def test_more_oxygen_than_pure_oxygen_gives_is_asked_again_in_words(oxygen: str) -> None:
    """9.09 mg/L in balance with air at 20 °C (Benson and Krause), 20.95 % of it oxygen: 43.4 mg/L from pure oxygen."""
    text = f"""
waterplan_case = 1
[patient]
species = "koi"
weight = "1 kg"
[home_water]
temperature = "20 ± 0 °C"
oxygen = "{oxygen}"
"""
    with pytest.raises(CaseError, match=rf"home_water\.oxygen: read {oxygen}; 43 mg/L") as told:
        plan(read_case(text), draws=16)
    assert "do_mg_per_l" not in str(told.value)
