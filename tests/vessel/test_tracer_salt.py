"""How much salt to weigh: worked by hand, and when it is refused."""

import pytest

from waterplan.errors import ImpossibleInput, Refused
from waterplan.spread import Band, Draws, Measured
from waterplan.vessel.tracer import Sample, Signal, TracerTest, tracer_volume
from waterplan.vessel.tracer_salt import Keeps, expected_sd, salt_to_weigh

ROUGH = Band(8000.0, 10000.0, 13000.0)
USUAL = {
    "half_band": 0.05,
    "signal": Signal.SALINITY,
    "reads_now": 0.1,
    "reading_error": 0.002,
    "fixed_error": 0.01,
    "readings_before": 5,
    "readings_after": 5,
    "salt_now_g_per_l": 0.1,
    "ceiling_g_per_l": 1.0,
}


def test_worked_by_hand() -> None:
    # Wanted sd 0.05 / 1.645 = 0.03040; less 0.01 in squares, 0.02871. Error of the rise 0.002 sqrt(2 / 5) = 0.001265 g/L,
    # so a rise of 0.04406 g/L: 572.8 g in 13,000 L, and 0.1 + 572.8 / 8,000 = 0.1716 g/L if there are 8,000 L.
    plan = salt_to_weigh(ROUGH, **USUAL)  # type: ignore[arg-type]
    assert plan.salt_g == pytest.approx(572.8, abs=0.2)
    assert plan.salinity_g_per_l == pytest.approx(0.1716, abs=1e-4)
    assert plan.cautions == ()


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
    low, best, high = tracer_volume(test, draws=Draws(), name="pond").band
    assert (high - low) / 2.0 / best == pytest.approx(0.05, rel=0.05)


def test_conductivity_and_chloride_in_their_own_units() -> None:
    by_salinity = salt_to_weigh(ROUGH, **USUAL)  # type: ignore[arg-type]
    by_chloride = salt_to_weigh(
        ROUGH,
        **(USUAL | {"signal": Signal.CHLORIDE, "reads_now": 60.0, "reading_error": 0.002 * 606.6}),  # type: ignore[arg-type]
    )
    assert by_chloride.salt_g == pytest.approx(by_salinity.salt_g, rel=1e-3)
    # 0.486 mg/L for each uS/cm within 2.8 % (Richardson et al. 2017, abstract).
    by_conductivity = salt_to_weigh(
        ROUGH,
        **(USUAL | {"signal": Signal.CONDUCTIVITY, "reads_now": 0.2, "reading_error": 0.002 / 0.486}),  # type: ignore[arg-type]
    )
    assert by_conductivity.salt_g == pytest.approx(by_salinity.salt_g, rel=0.028)


def test_more_than_the_fish_bear_is_refused_and_what_they_bear_is_told() -> None:
    with pytest.raises(Refused, match=r"above the ceiling of 0\.15 g/L.*400 g may go in"):
        salt_to_weigh(ROUGH, **(USUAL | {"ceiling_g_per_l": 0.15}))  # type: ignore[arg-type]
    with pytest.raises(Refused, match="no salt can be added at all"):
        salt_to_weigh(ROUGH, **(USUAL | {"ceiling_g_per_l": 0.05}))  # type: ignore[arg-type]


def test_a_certainty_that_no_salt_gives_is_refused() -> None:
    with pytest.raises(Refused, match="No amount of salt"):
        salt_to_weigh(ROUGH, **(USUAL | {"half_band": 0.01}))  # type: ignore[arg-type]


def test_what_does_not_agree_with_salt_is_told() -> None:
    plan = salt_to_weigh(ROUGH, keeps=frozenset(Keeps), **USUAL)  # type: ignore[arg-type]
    for word in ("Plants", "Zeolite", "Sturgeon", "treatment"):
        assert any(word in caution for caution in plan.cautions)


def test_root_of_the_sum_of_squares() -> None:
    assert expected_sd(0.1, rise_error_g_per_l=0.003, fixed_error=0.04) == pytest.approx(0.05)


@pytest.mark.parametrize(
    "given", [{"half_band": 0.0}, {"reading_error": 0.0}, {"salt_purity": 0.0}, {"readings_after": 0}]
)
def test_what_cannot_be_is_refused(given: dict[str, float]) -> None:
    with pytest.raises(ImpossibleInput):
        salt_to_weigh(ROUGH, **(USUAL | given))  # type: ignore[arg-type]


def test_a_volume_out_of_order_is_refused() -> None:
    with pytest.raises(ImpossibleInput):
        salt_to_weigh(Band(0.0, 10.0, 20.0), **USUAL)  # type: ignore[arg-type]
