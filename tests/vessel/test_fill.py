"""Filling and letting out, against hand arithmetic and against simulated hoses."""

import numpy as np
import pytest

from tests.vessel.vessel_values import printed
from waterplan.errors import CaseError, ImpossibleInput
from waterplan.spread import Draws, Measured, band
from waterplan.vessel import corrections, fill
from waterplan.vessel.agreement import relative_error
from waterplan.vessel.fill import draw_down, metered_fill, timed_fill

DRAWS = Draws(count=4096)


@pytest.mark.parametrize(("function", "first", "others", "row"), printed("vessel_fill_and_corrections"))
def test_printed_value(function: str, first: float, others: dict[str, float], row: dict[str, str]) -> None:
    room = fill if hasattr(fill, function) else corrections
    found = getattr(room, function)(first, **others)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def hose(*seconds: float, minutes: float = 120.0, draws: Draws = DRAWS, name: str = "tub") -> np.ndarray:
    return timed_fill(seconds, bucket_l=10.0, fill_min=Measured.exact(minutes), draws=draws, name=name).litres


def test_repeats_are_surer_than_one() -> None:
    assert hose(40.0)[0] == pytest.approx(1800.0)
    assert 0.06 < relative_error(hose(40.0)) < 0.08
    # 3 to 5 % is the trade's figure for repeats.
    assert 0.02 < relative_error(hose(40.0, 40.5, 39.5)) < 0.05


def test_the_band_covers_a_simulated_hose() -> None:
    rng = np.random.default_rng(2)
    draws, held = Draws(count=200), 0
    for trial in range(300):
        mark = np.exp(rng.normal(0.0, 0.02))
        seconds = 40.0 * mark * np.exp(rng.normal(0.0, 0.03, 3))
        low, _, high = band(hose(*seconds, draws=draws, name=f"tub {trial}"))
        held += low <= 1800.0 <= high
    assert 0.85 <= held / 300 <= 0.95


def test_a_meter_and_a_draw_down() -> None:
    metered = metered_fill(1200.0, meter_after_l=6200.0, draws=DRAWS, name="pond")
    assert metered.litres[0] == 5000.0
    assert relative_error(metered.litres) == pytest.approx(0.02 / 1.96, rel=0.03)
    found = draw_down(
        Measured.exact(400.0),
        level_fall_m=Measured.plus_minus(0.02, 0.002),
        mean_depth_m=Measured.exact(1.1),
        draws=DRAWS,
        name="pond",
    )
    assert found.litres[0] == pytest.approx(22000.0)
    assert relative_error(found.litres) == pytest.approx(0.05, rel=0.1)


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (hose, "rows"),
        (lambda: hose(40.0, 0.0), "row 2"),
        (lambda: metered_fill(6200.0, meter_after_l=1200.0, draws=DRAWS, name="tub"), "reading after"),
    ],
)
def test_a_wrong_reading_is_refused_with_its_row(call: object, where: str) -> None:
    with pytest.raises(CaseError) as caught:
        call()  # type: ignore[operator]
    assert caught.value.mistakes[0].where == where


def test_a_level_that_did_not_fall_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="level_fall_m"):
        fill.area_from_level_m2(200.0, level_fall_m=0.0)
    with pytest.raises(ImpossibleInput, match="fill_min"):
        hose(40.0, minutes=0.0)
