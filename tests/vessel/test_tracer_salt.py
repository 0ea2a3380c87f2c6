"""How much salt to weigh: worked by hand, and when it is refused."""

import pytest

from waterplan.errors import ImpossibleInput, Refused
from waterplan.spread import Band, Draws, Measured, band
from waterplan.vessel.tracer import Sample, Signal, TracerTest, tracer_volume
from waterplan.vessel.tracer_salt import expected_sd, salt_to_weigh

ROUGH = Band(8000.0, 10000.0, 13000.0)
USUAL = {
    "half_band": 0.05,
    "reading_error": 0.002,
    "fixed_error": 0.01,
    "readings": 5,
    "salt_now_g_per_l": 0.1,
    "ceiling_g_per_l": 1.0,
}


def test_worked_by_hand() -> None:
    # Wanted sd 0.05 / 1.645 = 0.03040; less 0.01 in squares, 0.02871. Error of the rise 0.002 sqrt(2 / 5) = 0.001265 g/L,
    # so a rise of 0.04406 g/L: 572.8 g in 13,000 L, and 0.1 + 572.8 / 8,000 = 0.1716 g/L if there are 8,000 L.
    plan = salt_to_weigh(ROUGH, **USUAL)  # type: ignore[arg-type]
    assert plan.salt_g == pytest.approx(572.8, abs=0.2)
    assert plan.salinity_g_per_l == pytest.approx(0.1716, abs=1e-4)


def test_the_certainty_is_what_the_test_then_has() -> None:
    plan = salt_to_weigh(ROUGH, **USUAL)  # type: ignore[arg-type]
    stations = "abcde"
    test = TracerTest(
        signal=Signal.SALINITY,
        salt_g=Measured.within_factor(plan.salt_g, 0.01),
        salt_purity=Measured.exact(1.0),
        before=tuple(Sample(station=s, value=0.1) for s in stations),
        after=tuple(Sample(station=s, value=0.1 + plan.salt_g / 13000.0, hours=24.0) for s in stations),
        reading_error=0.002,
    )
    low, best, high = band(tracer_volume(test, draws=Draws(count=4096), name="pond").litres)
    assert (high - low) / 2.0 / best == pytest.approx(0.05, rel=0.05)


def test_more_than_the_fish_bear_is_refused_and_what_they_bear_is_told() -> None:
    with pytest.raises(Refused) as caught:
        salt_to_weigh(ROUGH, **(USUAL | {"ceiling_g_per_l": 0.15}))  # type: ignore[arg-type]
    assert caught.value.code == "tracer-above-salt-ceiling"
    # 0.05 g/L more in 8,000 L are 400 g.
    assert caught.value.figures["may go in"] == (pytest.approx(400.0), "g")
    with pytest.raises(Refused) as caught:
        salt_to_weigh(ROUGH, **(USUAL | {"ceiling_g_per_l": 0.05}))  # type: ignore[arg-type]
    assert "may go in" not in caught.value.figures


def test_a_certainty_that_no_salt_gives_is_refused() -> None:
    with pytest.raises(Refused) as caught:
        salt_to_weigh(ROUGH, **(USUAL | {"half_band": 0.01}))  # type: ignore[arg-type]
    assert caught.value.code == "tracer-cannot-be-that-sure"


def test_root_of_the_sum_of_squares() -> None:
    assert expected_sd(0.1, rise_error_g_per_l=0.003, fixed_error=0.04) == pytest.approx(0.05)


def test_a_volume_out_of_order_is_refused() -> None:
    with pytest.raises(ImpossibleInput):
        salt_to_weigh(Band(0.0, 10.0, 20.0), **USUAL)  # type: ignore[arg-type]
