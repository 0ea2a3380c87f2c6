"""Tracer tests: worked examples, whose error is shared, and what is refused."""

import numpy as np
import pytest

from tests.vessel.vessel_values import printed
from waterplan.errors import CaseError, ImpossibleInput, Refused
from waterplan.spread import Draws, Measured, band
from waterplan.vessel import dilution
from waterplan.vessel.agreement import relative_error
from waterplan.vessel.calibration import BucketTest
from waterplan.vessel.tracer import Sample, Signal, TopUp, TracerTest, tracer_volume

DRAWS = Draws(count=4096)
STATIONS = ("inlet", "outlet", "top", "bottom", "middle")
ADDED = ((0.0, 0.420), (2.0, 0.816), (4.0, 1.212))
BUCKET = BucketTest.of(ADDED, bucket_l=Measured.exact(10.0))


@pytest.mark.parametrize(("function", "first", "others", "row"), printed("vessel_tracer"))
def test_printed_dilution(function: str, first: float, others: dict[str, float], row: dict[str, str]) -> None:
    found = getattr(dilution, function)(first, **others)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def samples(value: float, hours: float = 0.0, stations: tuple[str, ...] = STATIONS) -> tuple[Sample, ...]:
    return tuple(Sample(station=station, value=value, hours=hours) for station in stations)


def a_test(signal: Signal, start: float, end: float, error: float, **given: object) -> TracerTest:
    settings: dict[str, object] = {
        "salt_g": Measured.exact(5000.0),
        "salt_purity": Measured.exact(1.0),
        "before": samples(start),
        "after": samples(end, 24.0),
        "reading_error": error,
    }
    return TracerTest(signal=signal, **(settings | given))  # type: ignore[arg-type]


def test_the_worked_example_by_chloride_and_its_error() -> None:
    # 10 kg at 99.5 %, chloride 30 to 152 mg/L, each ±10 as one standard deviation: 49,470 L, ±12 %; four times the salt, ±3 %.
    single = ("pond",)
    once = a_test(
        Signal.CHLORIDE,
        30.0,
        152.0,
        10.0,
        salt_g=Measured.exact(10000.0),
        salt_purity=Measured.exact(0.995),
        before=samples(30.0, stations=single),
        after=samples(152.0, 24.0, single),
    )
    found = tracer_volume(once, draws=DRAWS, name="pond")
    assert found.litres[0] == pytest.approx(49470.0, rel=2e-3)
    assert relative_error(found.litres) == pytest.approx(0.12, abs=0.01)
    more = a_test(
        Signal.CHLORIDE,
        30.0,
        518.0,
        10.0,
        salt_g=Measured.exact(40000.0),
        before=samples(30.0, stations=single),
        after=samples(518.0, 24.0, single),
    )
    assert relative_error(tracer_volume(more, draws=DRAWS, name="pond").litres) == pytest.approx(0.03, abs=0.003)


def test_the_worked_example_with_a_bucket() -> None:
    # Slope 1.98 (uS/cm)/(mg/L), 5.0 kg, 420 to 616 uS/cm: 50,500 L.
    found = tracer_volume(a_test(Signal.CONDUCTIVITY, 0.420, 0.616, 0.001, bucket=BUCKET), draws=DRAWS, name="pond")
    assert found.litres[0] == pytest.approx(50500.0, rel=2e-3)


def test_the_worked_example_without_a_bucket() -> None:
    # 1 kg of sodium chloride in nearly pure water, a rise of 210 uS/cm: 10.0 m3.
    found = tracer_volume(
        a_test(Signal.CONDUCTIVITY, 0.001, 0.211, 0.0005, salt_g=Measured.exact(1000.0)), draws=DRAWS, name="pond"
    )
    assert found.litres[0] == pytest.approx(10000.0, rel=0.005)


def test_a_meter_that_reads_high_throughout_is_cancelled_by_its_bucket() -> None:
    high = BucketTest.of([(added, 1.07 * read) for added, read in ADDED], bucket_l=BUCKET.bucket_l)
    true = tracer_volume(a_test(Signal.CONDUCTIVITY, 0.42, 0.616, 0.001, bucket=BUCKET), draws=DRAWS, name="pond")
    read = tracer_volume(
        a_test(Signal.CONDUCTIVITY, 1.07 * 0.42, 1.07 * 0.616, 0.001, bucket=high), draws=DRAWS, name="pond"
    )
    assert read.litres[0] == pytest.approx(true.litres[0])


def test_the_meters_own_error_is_taken_once_for_all_its_readings() -> None:
    """A span error of s moves the rise by s, not by s times the readings over the rise, and more readings do not help."""
    for before, after in ((0.4, 0.45), (0.1, 0.6)):
        found = tracer_volume(a_test(Signal.CONDUCTIVITY, before, after, 1e-6), draws=DRAWS, name="pond")
        # The meter is good to ± 2 %, what salt conducts to ± 2.8 %.
        assert relative_error(found.litres) == pytest.approx(np.hypot(0.02, 0.028) / 1.96, rel=0.05)


def test_more_stations_make_single_readings_surer() -> None:
    one = a_test(
        Signal.SALINITY, 0.1, 0.3, 0.01, before=samples(0.1, stations=("a",)), after=samples(0.3, 24.0, ("a",))
    )
    five = a_test(Signal.SALINITY, 0.1, 0.3, 0.01)
    ratio = relative_error(tracer_volume(one, draws=DRAWS, name="pond").litres) / relative_error(
        tracer_volume(five, draws=DRAWS, name="pond").litres
    )
    assert ratio == pytest.approx(5.0**0.5, rel=0.15)


def test_a_top_up_is_counted_by_the_balance_of_salt() -> None:
    # 20,000 L at 0.10 g/L, 2,000 L of tap at 0.05 g/L and 4,400 g of salt make 22,000 L at (2,000 + 100 + 4,400) / 22,000.
    after = (20000.0 * 0.10 + 2000.0 * 0.05 + 4400.0) / 22000.0
    test = a_test(
        Signal.SALINITY,
        0.10,
        after,
        1e-6,
        salt_g=Measured.exact(4400.0),
        top_up=TopUp(added_l=Measured.exact(2000.0), value=0.05),
    )
    found = tracer_volume(test, draws=DRAWS, name="pond")
    assert found.litres[0] == pytest.approx(22000.0, rel=1e-6)


def test_poor_mixing_widens_the_band() -> None:
    mixed = a_test(Signal.SALINITY, 0.1, 0.3, 0.0005)
    values = (0.294, 0.306, 0.300, 0.303, 0.297)
    poor = a_test(
        Signal.SALINITY,
        0.1,
        0.3,
        0.0005,
        after=tuple(Sample(station=s, value=v, hours=24.0) for s, v in zip(STATIONS, values, strict=True)),
    )
    found = tracer_volume(poor, draws=DRAWS, name="pond")
    assert relative_error(found.litres) > 2.0 * relative_error(tracer_volume(mixed, draws=DRAWS, name="pond").litres)
    # Scatter of the mean: 0.00474 / sqrt(5) of 0.2 is 1.06 %, widened by t with four degrees of freedom (1.29 for the 90 %).
    low, best, high = band(found.litres)
    half = (high - low) / 2.0 / best
    assert half == pytest.approx(2.132 * 0.0106, rel=0.10)


def test_stations_that_are_not_of_one_water_are_refused() -> None:
    after = tuple(
        Sample(station=s, value=v, hours=2.0) for s, v in zip(STATIONS, (0.2, 0.4, 0.3, 0.3, 0.3), strict=True)
    )
    with pytest.raises(Refused, match="not mixed") as caught:
        tracer_volume(a_test(Signal.SALINITY, 0.1, 0.3, 0.001, after=after), draws=DRAWS, name="pond")
    assert caught.value.code == "stations-differ"


@pytest.mark.parametrize("late", [0.28, 0.33])
def test_where_the_rise_drifts_the_last_readings_are_used(late: float) -> None:
    test = a_test(Signal.SALINITY, 0.1, 0.3, 0.0005, after=(*samples(0.30, 4.0), *samples(late, 28.0)))
    found = tracer_volume(test, draws=DRAWS, name="pond")
    assert found.litres[0] == pytest.approx(5000.0 / (late - 0.1))


def test_two_times_that_agree_are_both_used() -> None:
    test = a_test(Signal.SALINITY, 0.1, 0.3, 0.0005, after=(*samples(0.300, 4.0), *samples(0.302, 28.0)))
    assert tracer_volume(test, draws=DRAWS, name="pond").litres[0] == pytest.approx(5000.0 / 0.201)


def test_a_rise_that_may_be_chance_is_refused() -> None:
    with pytest.raises(Refused) as caught:
        tracer_volume(a_test(Signal.SALINITY, 0.1, 0.105, 0.005), draws=DRAWS, name="pond")
    assert caught.value.code == "rise-too-small"
    assert caught.value.figures["times"][0] == pytest.approx(0.005 / (0.005 * (2.0 / 5.0) ** 0.5), rel=0.05)


def test_conductivity_that_falls_after_salt_is_refused_with_its_row() -> None:
    after = (*samples(0.6, 24.0)[:2], Sample(station="top", value=0.41, hours=24.0))
    with pytest.raises(CaseError) as caught:
        a_test(Signal.CONDUCTIVITY, 0.42, 0.6, 0.001, after=after)
    (mistake,) = caught.value.mistakes
    assert mistake.where == "after, row 3 (top)"
    assert "0.41 after 0.42" in mistake.read


@pytest.mark.parametrize(
    ("given", "error"),
    [
        ({"salt_g": Measured.exact(0.0)}, ImpossibleInput),
        ({"salt_purity": Measured.exact(1.2)}, ImpossibleInput),
        ({"reading_error": 0.0}, ImpossibleInput),
        ({"bucket": BUCKET}, ImpossibleInput),
        ({"before": ()}, CaseError),
        ({"after": (Sample(station="inlet", value=-0.1),)}, CaseError),
    ],
)
def test_what_cannot_be_is_refused(given: dict[str, object], error: type[Exception]) -> None:
    with pytest.raises(error):
        a_test(Signal.SALINITY, 0.1, 0.3, 0.001, **given)


def test_the_band_covers_a_simulated_pond() -> None:
    rng = np.random.default_rng(5)
    draws, held, trials = Draws(count=200), 0, 200
    for trial in range(trials):
        true, bucket_true = 30000.0, 10.0
        span = 1.0 + rng.normal(0.0, 0.03)
        rise = 5000.0 / true * np.exp(rng.normal(0.0, 0.01, 5))
        added = np.array([0.0, 1.0, 2.0, 3.0])
        bucket = BucketTest.of(
            np.column_stack([added, span * (0.42 + 2.0 * added / bucket_true + rng.normal(0.0, 0.002, 4))]),
            bucket_l=Measured.plus_minus(bucket_true * (1.0 + rng.normal(0.0, 0.01)), 0.2),
        )
        test = a_test(
            Signal.CONDUCTIVITY,
            0.42,
            0.6,
            0.002,
            salt_g=Measured.plus_minus(5000.0, 20.0),
            bucket=bucket,
            before=tuple(
                Sample(station=s, value=span * (0.42 + e))
                for s, e in zip(STATIONS, rng.normal(0, 0.002, 5), strict=True)
            ),
            after=tuple(
                Sample(station=s, value=span * (0.42 + 2.0 * r + e), hours=24.0)
                for s, r, e in zip(STATIONS, rise, rng.normal(0, 0.002, 5), strict=True)
            ),
        )
        low, _, high = band(tracer_volume(test, draws=draws, name=f"pond {trial}").litres)
        held += low <= true <= high
    assert 0.85 <= held / trials <= 0.95
