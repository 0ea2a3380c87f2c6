"""What one more reading would change: closed forms, a nested simulation, and the choice among readings."""

import itertools
import math
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from waterplan import tables
from waterplan.actions.record import Action, Kind, Who
from waterplan.hazards.record import Hazard, Judgement, Measure, Verdict
from waterplan.hazards.subject import Rests
from waterplan.plan.one_more_reading import (
    AT_MOST,
    best_readings,
    error_of,
    narrowed,
    readings_that_move,
    would_change,
)
from waterplan.plan.quick_call import quick_call
from waterplan.spread import COVERAGE, Draws, Measured
from waterplan.stay.record import ActEnd, Figure, HangsOn, Moment, Origin
from waterplan.stay.state import Known
from waterplan.words.terminal import first_page as terminal_page

DRAWS = Draws(count=4096)
STANDARD = Measured.plus_minus(0.0, COVERAGE)


def rests_on(quantity, draws):
    return Rests(water="hospital-1", quantity=quantity, known=Known(draws=draws, origin=Origin.MEASURED))


def closed_form(limit, sd, thresholds):
    """A standard normal quantity, kept above `limit`, read with a normal error.

    After a reading y the quantity is normal with mean y/(1 + sd2) and variance sd2/(1 + sd2), and y itself is normal
    with variance 1 + sd2: the chance is at a threshold where y is at one place.
    """
    chance = norm.sf(limit)
    ends = [0.0, *sorted(thresholds), 1.0]
    within = next(pair for pair in itertools.pairwise(ends) if pair[0] <= chance < pair[1])
    z = (norm.ppf(within) * sd / math.sqrt(1.0 + sd**2) + limit) * math.sqrt(1.0 + sd**2)
    return 1.0 - (norm.cdf(z[1]) - norm.cdf(z[0]))


@pytest.mark.parametrize("limit", [-2.2, -1.3, -0.4, 0.8])
@pytest.mark.parametrize("sd", [0.1, 0.5, 1.0, 3.0])
@pytest.mark.parametrize("thresholds", [(0.95,), (0.5, 0.95)])
def test_a_normal_quantity_read_with_a_normal_error(limit, sd, thresholds):
    x = DRAWS.of("x", STANDARD)
    found = would_change(x > limit, x, reading_sd=sd, thresholds=thresholds)
    assert found == pytest.approx(closed_form(limit, sd, thresholds), abs=0.02)


@pytest.mark.parametrize(("count", "tolerance"), [(128, 0.08), (512, 0.03)])
def test_few_draws_say_nearly_the_same(count, tolerance):
    x = Draws(count=count).of("x", STANDARD)
    found = would_change(x > -1.0, x, reading_sd=1.0, thresholds=(0.5, 0.95))
    assert found == pytest.approx(closed_form(-1.0, 1.0, (0.5, 0.95)), abs=tolerance)


def test_an_error_in_proportion_is_an_error_of_the_logarithm():
    litres = DRAWS.of("litres", Measured.within_factor(100.0, 0.3))
    sd = math.sqrt(math.log1p(0.3**2))
    limit = 100.0 * math.exp(-1.2 * sd)
    found = would_change(litres > limit, np.log(litres), reading_sd=0.5 * sd, thresholds=(0.95,))
    assert found == pytest.approx(closed_form(-1.2, 0.5, (0.95,)), abs=0.02)


def test_a_quantity_that_decides_together_with_another_against_a_nested_simulation():
    """Un-ionised ammonia by pH and TAN; pH is read once more. The simulation draws anew around each reading."""
    rng = np.random.default_rng(11)
    tan, ph, sd, limit = 0.5, 7.9, 0.1, 0.05

    def passes(ph, tan):
        return tan / (1.0 + 10.0 ** (9.4 - ph)) < limit

    thresholds = (0.5, 0.95)
    true_ph = rng.normal(ph, 0.25, 4000)
    read = true_ph + rng.normal(0.0, sd, true_ph.size)
    weight = 0.25**2 / (0.25**2 + sd**2)
    after_ph = rng.normal((ph + weight * (read - ph))[:, None], math.sqrt(weight) * sd, (read.size, 2000))
    after = passes(after_ph, tan * rng.lognormal(0.0, 0.2, after_ph.shape)).mean(axis=1)
    before = passes(rng.normal(ph, 0.25, 400_000), tan * rng.lognormal(0.0, 0.2, 400_000)).mean()
    theirs = np.mean(np.digitize(after, thresholds) != np.digitize(before, thresholds))
    x = DRAWS.of("ph", Measured.plus_minus(ph, 0.25 * COVERAGE))
    y = DRAWS.of("tan", Measured.within_factor(tan, math.sqrt(math.expm1(0.2**2))))
    found = would_change(passes(x, y), x, reading_sd=sd, thresholds=thresholds)
    assert found == pytest.approx(theirs, abs=0.025)


def test_a_reading_that_tells_nothing_changes_nothing():
    kept = DRAWS.of("decides", STANDARD) > -1.5  # 0.93, near the threshold of 0.95
    idle = [DRAWS.of(f"idle {number}", STANDARD) for number in range(20)]
    for sd in (0.05, 0.3, 1.0):
        found = [would_change(kept, x, reading_sd=sd, thresholds=(0.5, 0.95)) for x in idle]
        assert max(found) < 0.05, "below what a judgement names"
        assert np.mean(found) < 0.005


def test_where_the_draws_agree_no_reading_moves_them():
    x = DRAWS.of("x", STANDARD)
    for limit in (-10.0, 10.0):
        assert would_change(x > limit, x, reading_sd=0.1, thresholds=(0.95,)) == 0.0


def test_what_a_kit_cannot_see_is_one_reading():
    x = DRAWS.of("chlorine", Measured.between(0.0, 0.1))
    # 0.1 of 0.1 lies under the limit; the kit sees from 0.05 on, and almost without an error. A reading of nothing
    # leaves a fifth, under the threshold of 0.3; one above it leaves nothing, under it too.
    assert would_change(x < 0.01, x, reading_sd=1e-4, thresholds=(0.3,), cannot_see=0.05) == pytest.approx(
        0.0, abs=0.01
    )
    assert would_change(x < 0.01, x, reading_sd=1e-4, thresholds=(0.15,), cannot_see=0.05) == pytest.approx(
        0.5, abs=0.02
    )
    assert would_change(x < 0.01, x, reading_sd=1e-4, thresholds=(0.3,)) == pytest.approx(0.1, abs=0.02)
    nothing_seen = would_change(x < 0.01, x, reading_sd=1e-4, thresholds=(0.3,), cannot_see=0.2)
    assert nothing_seen == pytest.approx(0.0, abs=1e-9)


def test_a_limit_on_both_sides():
    x = DRAWS.of("temperature", STANDARD)
    # Kept between -1 and 1 by 0.68; read almost exactly, all of it is known: 0 or 1.
    assert would_change(np.abs(x) < 1.0, x, reading_sd=0.02, thresholds=(0.5, 0.95)) == pytest.approx(1.0, abs=0.03)
    assert would_change(np.abs(x) < 1.0, x, reading_sd=0.02, thresholds=(0.5,)) == pytest.approx(
        2.0 * norm.cdf(-1.0), abs=0.02
    )


@given(st.floats(-1.5, 1.5), st.floats(0.05, 2.0), st.integers(0, 30))
def test_a_chance_whatever_the_unit_and_twice_the_same(limit, sd, seed):
    x = Draws(count=128, seed=seed).of("x", STANDARD)
    found = would_change(x > limit, x, reading_sd=sd, thresholds=(0.5, 0.95))
    assert 0.0 <= found <= 1.0
    assert found == would_change(x > limit, x, reading_sd=sd, thresholds=(0.95, 0.5))
    again = would_change(x > limit, 1000.0 * x + 5.0, reading_sd=np.full(129, 1000.0 * sd), thresholds=(0.5, 0.95))
    assert again == pytest.approx(found, abs=1e-6)


def test_the_best_value_is_left_out():
    x = DRAWS.of("x", STANDARD)
    far = np.concatenate([[1e6], x[1:]])
    assert would_change(x > -1.0, far, reading_sd=0.5, thresholds=(0.95,)) == would_change(
        x > -1.0, x, reading_sd=0.5, thresholds=(0.95,)
    )


def test_a_quantity_known_without_error_is_not_moved():
    kept = DRAWS.of("x", STANDARD) > -1.0
    assert would_change(kept, np.full(DRAWS.count + 1, 7.0), reading_sd=0.2, thresholds=(0.5, 0.95)) < 1e-9


@pytest.mark.parametrize("count", [1, 2, 7])
def test_few_draws_tell_nothing(count):
    x = Draws(count=count).of("x", STANDARD)
    assert would_change(x > 0.0, x, reading_sd=0.5, thresholds=(0.5,)) == 0.0


def test_a_level_of_nought_has_an_error_of_nought_and_is_not_moved():
    kept = DRAWS.of("x", STANDARD) > -1.0
    nothing = rests_on("nitrate", np.zeros(DRAWS.count + 1))
    assert readings_that_move(kept, [nothing], thresholds=(0.5, 0.95)) == ()


# -- which reading ------------------------------------------------------------------------------------------------


def test_an_ordinary_reading_has_the_error_of_its_row():
    x = DRAWS.of("oxygen", Measured.plus_minus(6.0, 1.0))
    kit = tables.row("ordinary_readings", quantity="oxygen")
    assert kit["with"] == "oxygen meter"
    found = error_of(kit, x)
    row = tables.row("instruments", instrument="oxygen meter", quantity="oxygen", part="absolute")
    assert found["reading_sd"] == pytest.approx(np.full(x.shape, row.value / COVERAGE))
    assert found["cannot_see"] is None
    much = error_of(tables.row("ordinary_readings", quantity="ammonia"), np.array([0.1, 4.0]))
    assert much["reading_sd"] == pytest.approx([0.25 / COVERAGE, 0.2 * 4.0 / COVERAGE])
    assert much["cannot_see"] == 0.125


def test_what_no_instrument_reads_is_not_asked_for():
    x = DRAWS.of("x", STANDARD)
    assert readings_that_move(x > -1.0, [rests_on("smell", x)], thresholds=(0.5, 0.95)) == ()


def test_every_ordinary_reading_has_an_error():
    for row in tables.table("ordinary_readings"):
        assert np.min(error_of(row, np.full(9, 5.0))["reading_sd"]) > 0.0, row


def test_a_judgement_keeps_the_readings_that_move_it_with_the_likeliest_first():
    x, y, idle = (DRAWS.of(name, STANDARD) for name in ("x", "y", "idle"))
    kept = 2.0 * x + y > -2.0
    given = {"ph": x, "temperature": y, "oxygen": idle}
    found = readings_that_move(kept, [rests_on(*one) for one in reversed(given.items())], thresholds=(0.5, 0.95))
    assert [one.quantity for one in found] == ["ph", "temperature"]
    assert {one.water for one in found} == {"hospital-1"}
    assert found[0].would_change > found[1].would_change > 0.05


def judgement(path, verdict, *moves):
    return Judgement(
        id=path,
        hazard=Hazard(path.split("/")[1]),
        moment=Moment.HOSPITAL,
        water=path.partition("/")[0],
        verdict=verdict,
        measure=tuple(
            Measure(water=water, quantity=quantity, measured_with=instrument, would_change=chance)
            for water, quantity, instrument, chance in moves
        ),
    )


def test_the_best_readings_move_the_most_verdicts_together():
    """What kills counts 1 and what harms 0.5: the tap's pH 0.4 x 1 + 0.4 x 0.5 = 0.6, oxygen 0.5, ammonia 0.5 x 1; after the
    pH, of which 0.6 of the ammonia's judgement is left, 0.3."""
    tap = ("mains", "ph", "pH meter")
    found = best_readings(
        [
            judgement("hospital-1/ammonia", Verdict.WATCH, (*tap, 0.4), ("hospital-1", "ammonia", "drop kit", 0.5)),
            judgement("hospital-1/ph change", Verdict.WATCH, (*tap, 0.4)),
            judgement("hospital-1/oxygen", Verdict.ACT_NOW, ("hospital-1", "oxygen", "oxygen meter", 0.5)),
        ]
    )
    assert [(one.water, one.quantity) for one in found] == [
        ("mains", "ph"),
        ("hospital-1", "oxygen"),
        ("hospital-1", "ammonia"),
    ]
    assert found[0].changes == ("hospital-1/ammonia", "hospital-1/ph change")


def test_what_is_not_known_comes_first_and_one_instrument_serves():
    found = best_readings(
        [
            judgement("home-pond/nitrite", Verdict.WATCH, ("home-pond", "nitrite", "drop kit", 1.0)),
            judgement(
                "mains/chlorine",
                Verdict.NOT_KNOWN,
                ("mains", "chlorine", "drop kit", None),
                ("mains", "chlorine", "photometer", 0.9),
            ),
            judgement("hospital-1/salt", Verdict.WITHIN_LIMIT),
        ]
    )
    assert [(one.water, one.measured_with) for one in found] == [("mains", "drop kit"), ("home-pond", "drop kit")]


def test_three_readings_at_most_and_none_that_move_nothing():
    many = [
        judgement(f"bag-{n}/oxygen", Verdict.WATCH, (f"bag-{n}", "oxygen", "oxygen meter", 0.3)) for n in range(1, 9)
    ]
    assert [one.water for one in best_readings(many)] == ["bag-1", "bag-2", "bag-3"]
    assert len(best_readings(many)) == AT_MOST
    assert best_readings([judgement("bag-1/oxygen", Verdict.WATCH, ("bag-1", "oxygen", "oxygen meter", 0.0))]) == ()
    assert best_readings([]) == ()


def test_of_several_readings_that_are_lacking_each_counts_its_share():
    """Ammonia lacks three readings: a third each; oxygen lacks one, which alone decides it."""
    three = (("home-pond", one, "kit", None) for one in ("ammonia", "ph", "temperature"))
    found = best_readings(
        [
            judgement("home-pond/ammonia", Verdict.NOT_KNOWN, *three),
            judgement("home-pond/oxygen", Verdict.NOT_KNOWN, ("home-pond", "oxygen", "oxygen meter", None)),
        ]
    )
    assert found[0].quantity == "oxygen"


def test_what_kills_is_read_before_what_harms():
    """One verdict each: chlorine kills (1), carbon dioxide harms (0.5), alkalinity wears or harms (0.5 at most)."""
    found = best_readings(
        judgement(f"home-pond/{hazard}", Verdict.NOT_KNOWN, ("home-pond", hazard, "drop kit", None))
        for hazard in ("alkalinity", "carbon dioxide", "chlorine")
    )
    assert found[0].quantity == "chlorine"


def test_an_amount_counts_beside_verdicts_and_only_where_its_band_is_wide():
    """A dose from 50 to 150 mg by the weight alone: wider than a quarter of 100. From 95 to 105: not. In % it is no amount."""

    def figure(low, high, unit="mg"):
        hangs = (HangsOn(input="patient-1/weight", share=0.9), HangsOn(input="patient-1/length", share=0.1))
        return Figure(best=100.0, low=low, high=high, unit=unit, act_on=100.0, act_end=ActEnd.BEST, hangs_on=hangs)

    def action(name):
        of = {"moment": Moment.PROCEDURE, "water": None, "who": Who.VET, "kind": Kind.INJECTION}
        return Action(id=f"procedure/injection/{name}", amounts={"given": name}, **of)

    figures = {"wide": figure(50.0, 150.0), "narrow": figure(95.0, 105.0), "share": figure(50.0, 150.0, "%")}
    found = narrowed(map(action, figures), figures)
    assert found == {("patient-1", "weight", "scales"): {"procedure/injection/wide": 0.9}}
    (one,) = best_readings([], found)
    assert (one.water, one.quantity, one.amounts, one.changes) == (
        "patient-1",
        "weight",
        ("procedure/injection/wide",),
        (),
    )


@pytest.mark.parametrize(
    ("sign", "first"),
    [("gasping at the surface", "oxygen"), ("hose left running", "chlorine"), ("very hot", "oxygen")],
)
def test_a_bare_call_reads_first_what_the_sign_may_come_from(sign, first):
    found = quick_call({"species": "koi"}, [sign], as_of=datetime(2026, 7, 17, 6, tzinfo=UTC), draws=64)
    assert found.first_page.measure_next[0].quantity == first


def test_brown_gills_ask_for_nitrite_among_the_first():
    found = quick_call({"species": "koi"}, ["brown gills"], as_of=datetime(2026, 7, 17, 6, tzinfo=UTC), draws=64)
    assert "nitrite" in [one.quantity for one in found.first_page.measure_next[:2]]


def test_a_reading_says_what_it_decides_and_how_grave_that_is():
    found = quick_call(
        {"species": "koi"}, ["gasping at the surface"], as_of=datetime(2026, 7, 17, 6, tzinfo=UTC), draws=64
    )
    told = " ".join(terminal_page(found).split())
    assert "Oxygen in the home pond, by oxygen meter. It decides oxygen" in told
    assert "too little oxygen kills within minutes to hours" in told
    assert "may change" not in told
