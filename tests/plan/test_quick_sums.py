"""Sums without a case, by hand, and what must hold of them whatever the figures are."""

from math import log

import pytest

from waterplan import tables
from waterplan.errors import CaseError
from waterplan.plan.quick import quick_oxygen
from waterplan.plan.sums.tub import quick_air, quick_bag, quick_heater, quick_power_cut
from waterplan.plan.sums.water import SITUATIONS, quick_ammonia, quick_gas, quick_mix, quick_step, quick_stitches
from waterplan.words.short import short_answer, shown_figures

KOI = {"species_name": "koi", "weight": "1 ± 0 kg", "temperature": "20 ± 0 °C"}


def best(plan, path):
    return plan.figures[path].best


def act_on(plan, path):
    return plan.figures[path].act_on


def test_toxic_ammonia_by_hand():
    """1 mg/L as N at pH 8 and 24 °C.

    pKa 0.09018 + 2729.92/297.15 = 9.2772; share 1/(1 + 10^1.2772) = 0.0502, so 0.0502 mg/L as N. The limit of carp-like
    fish, 0.02 mg/L as NH3, is 0.02 x 14.007/17.031 = 0.01645 as N: 3.05 times; it is reached at 0.01645/0.0502 = 0.328.
    """
    made = quick_ammonia(tan="1 ± 0 mg/L as N", ph="8 ± 0", temperature="24 ± 0 °C", species_name="koi")
    assert best(made, "un-ionised ammonia") == pytest.approx(0.0502, abs=1e-4)
    assert best(made, "un-ionised ammonia/limit") == pytest.approx(0.01645, abs=1e-5)
    assert best(made, "un-ionised ammonia/times") == pytest.approx(3.05, abs=0.01)
    assert best(made, "total ammonia/limit") == pytest.approx(0.328, abs=1e-3)
    assert act_on(made, "total ammonia/limit") == 0.32


def test_at_a_low_ph_the_total_has_a_cap_of_its_own():
    made = quick_ammonia(tan="1 ± 0 mg/L as N", ph="6.2 ± 0", temperature="10 ± 0 °C", species_name="koi")
    assert (
        best(made, "total ammonia/limit") == tables.row("water_limits", quantity="tan", group="any", level="cap").value
    )


def test_two_waters_are_mixed_by_hand():
    """200 L at 18 °C of 12 and 45 °C: (18 - 45)/(12 - 45) = 0.818 of the first, 163.6 L, poured 164 L, and 36 L.

    They come to 45 - 0.82 x 33 = 17.94 °C; of 0.2 and 0 g/L of salt to 0.82 x 0.2 = 0.164 g/L.
    """
    made = quick_mix(
        litres="200 ± 0 L",
        temperature="18 °C",
        first_temperature="12 ± 0 °C",
        second_temperature="45 ± 0 °C",
        first_salinity="0.2 ± 0 g/L",
        second_salinity="0 ± 0 g/L",
    )
    assert (act_on(made, "litres/first"), act_on(made, "litres/second")) == (164.0, 36.0)
    assert best(made, "temperature/mixed") == pytest.approx(17.94)
    assert best(made, "salt/mixed") == pytest.approx(0.164)


def test_two_waters_are_mixed_to_a_level_of_salt():
    """3 g/L of 10 and 0: 0.3 of the first."""
    made = quick_mix(litres="200 ± 0 L", salinity="3 g/L", first_salinity="10 ± 0 g/L", second_salinity="0 ± 0 g/L")
    assert (act_on(made, "litres/first"), act_on(made, "litres/second")) == (60.0, 140.0)
    assert "temperature/mixed" not in made.figures


@pytest.mark.parametrize("wish", ["44 °C", "11 °C"])
def test_a_mixture_that_the_two_do_not_come_to_is_refused(wish):
    with pytest.raises(CaseError, match="no mixture of the two"):
        quick_mix(litres="200 L", temperature=wish, first_temperature="12 °C", second_temperature="40 °C")
    with pytest.raises(CaseError, match="no mixture of the two"):
        quick_mix(litres="200 L", temperature="12 °C", first_temperature="12 °C", second_temperature="12 °C")


def test_warmed_water_holds_too_much_gas_and_unwarmed_water_does_not():
    """Oxygen at saturation is 11.84 mg/L at 8 °C and 9.09 at 20 °C (Benson & Krause): 1.30 times; nitrogen moves less."""
    warmed = quick_gas(temperature="8 ± 0 °C", warmed_to="20 ± 0 °C", depth="45 ± 0 cm")
    assert 120.0 < best(warmed, "gas pressure/warmed") < 130.3
    still = quick_gas(temperature="8 ± 0 °C", warmed_to="8 ± 0 °C", depth="45 ± 0 cm")
    assert best(still, "gas pressure/warmed") == pytest.approx(100.0)
    deeper = quick_gas(temperature="8 ± 0 °C", warmed_to="20 ± 0 °C", depth="90 ± 0 cm")
    assert best(deeper, "gas pressure/limit") > best(warmed, "gas pressure/limit")


def test_a_step_of_six_degrees_by_hand():
    """2 °C a day, 1 °C an hour: 2 h on each of three days, the last from hour 48 to hour 50."""
    made = quick_step(temperature="12 ± 0 °C", other="18 ± 0 °C")
    assert best(made, "temperature step") == pytest.approx(6.0)
    assert best(made, "temperature step/hours") == pytest.approx(50.0)
    back = quick_step(temperature="18 ± 0 °C", other="12 ± 0 °C")
    assert best(back, "temperature step/hours") == pytest.approx(50.0)


def test_a_step_is_held_against_the_row_of_how_the_fish_is():
    up = [quick_step(temperature="12 °C", other="18 °C", situation=one) for one in SITUATIONS]
    assert [act_on(one, "temperature step/limit") for one in up] == [2.0, 5.0, 1.0]
    down = quick_step(temperature="18 °C", other="12 °C", situation="healthy")
    assert act_on(down, "temperature step/limit") == 3.0


def test_stitches_by_hand():
    """At 20 °C: 300/20 = 15 days to look, 280/20 = 14 and 630/20 = 31.5 days, which are 32: 29 May and 15 June."""
    made = quick_stitches(day="2026-05-14", temperature="20 ± 0 °C")
    assert [act_on(made, f"recheck/{one}") for one in ("inspect", "earliest", "latest")] == [15.0, 14.0, 32.0]
    (action,) = made.actions
    assert (action.at.date().isoformat(), action.until.date().isoformat()) == ("2026-05-29", "2026-06-15")
    assert "healing-slow-in-the-cold" not in {one.code for one in action.cautions}
    cold = quick_stitches(day="2026-05-14", temperature="8 ± 0 °C")
    assert "healing-slow-in-the-cold" in {one.code for one in cold.actions[0].cautions}


def test_a_power_cut_by_hand():
    """A koi of 1 kg at 20 °C takes 67.4 x 1000^-0.193 x e^1.124 = 54.7 mg/h, times the scatter's and the handling's best value.

    200 L with the fish are 199 L of water. A still tub 0.4 m deep has 0.5 m2 of surface, which bring 0.2 x 0.5 x 1000 / 24 =
    4.17 L/h to the 9.09 mg/L of saturation: it runs towards 9.09 - 54.7 x both / 4.17, and from 8 to 5 mg/L it lasts
    199 / 4.17 x ln((8 - that) / (5 - that)) hours.
    """
    scatter = tables.row("oxygen_uptake", model="cyprinid_routine").value
    handled = tables.row("stress_factors", state="handled").value
    made = quick_power_cut(litres="200 ± 0 L", oxygen="8 ± 0 mg/L", **KOI)
    assert tables.row("aeration_rates", device="still surface of a tub").value == 0.2
    ends = 9.09 - 67.4 * 1000.0**-0.193 * 2.71828**1.124 * scatter * handled / 4.17
    by_hand = 60.0 * 199.0 / 4.17 * log((8.0 - ends) / (5.0 - ends))
    assert best(made, "oxygen/until-alarm/power off") == pytest.approx(by_hand, rel=0.025)
    assert act_on(made, "oxygen/until-alarm/power off") <= made.figures["oxygen/until-alarm/power off"].best


def cut(**more):
    return quick_power_cut(**({"litres": "200 ± 0 L", "oxygen": "8 ± 0 mg/L"} | KOI | more))


@pytest.mark.longer
@pytest.mark.parametrize(
    "worse",
    [
        {"litres": "150 ± 0 L"},
        {"weight": "1.5 ± 0 kg"},
        {"count": "2"},
        {"temperature": "24 ± 0 °C"},
        {"oxygen": "7 ± 0 mg/L"},
        {"species_name": "unknown"},
    ],
)
def test_what_is_worse_leaves_less_time_in_a_power_cut(worse):
    for level in ("alarm", "emergency"):
        path = f"oxygen/until-{level}/power off"
        assert best(cut(**worse), path) < best(cut(), path)
    emergency, alarm = (best(cut(), f"oxygen/until-{one}/power off") for one in ("emergency", "alarm"))
    assert alarm < emergency


def test_more_fish_want_more_air_and_too_warm_water_is_out_of_its_reach():
    one, two = (quick_air(litres="300 ± 0 L", count=count, **KOI) for count in ("1", "2"))
    assert act_on(two, "air/needed") > act_on(one, "air/needed")
    hot = quick_air(litres="300 ± 0 L", **KOI | {"temperature": "35 ± 0 °C"})
    # Water at 35 °C holds 6.9 mg/L: less than is to be held.
    assert "air/needed" not in hot.figures
    assert act_on(hot, "oxygen/reachable") < act_on(hot, "oxygen/target")


def test_a_colder_room_wants_more_watts_and_what_the_fish_does_not_bear_is_refused():
    cool, cold = (
        quick_heater(litres="200 ± 0 L", temperature="20 °C", room=room, species_name="koi")
        for room in ("14 ± 0 °C", "8 ± 0 °C")
    )
    assert act_on(cold, "heater") > act_on(cool, "heater")
    with pytest.raises(CaseError, match="for this fish"):
        quick_heater(litres="200 L", temperature="40 °C", species_name="rainbow trout")


def test_a_bag_lasts_as_long_as_what_fails_first_and_less_with_more_fish():
    one, two = (quick_bag(litres="30 ± 0 L", oxygen="60 ± 0 L", count=count, **KOI) for count in ("1", "2"))
    assert act_on(two, "hours") < act_on(one, "hours")
    for made in (one, two):
        ends = [made.figures[path] for path in ("carbon dioxide/until-limit", "oxygen/until-alarm")]
        assert act_on(made, "hours") <= min(end.act_on for end in ends if end.act_on is not None)
    # 2 kg in 30 L are 66.7 kg in a cubic metre, over the 50 that a patient may travel in.
    assert best(two, "stocking") == pytest.approx(66.7, abs=0.1)
    assert act_on(two, "stocking") > act_on(two, "stocking/limit")


@pytest.mark.parametrize("sum_of", [quick_power_cut, quick_air, quick_bag])
def test_all_that_is_lacking_is_told_together(sum_of):
    more = {"oxygen": ""} if sum_of is quick_bag else {}
    with pytest.raises(CaseError) as wrong:
        sum_of(litres="", weight="heavy", temperature="", count="no", **more)
    assert {one.where for one in wrong.value.mistakes} == {"litres", "weight", "temperature", "count"}


def test_a_fish_larger_than_its_tub_is_refused():
    with pytest.raises(CaseError, match="less than the fish"):
        quick_power_cut(litres="2 L", weight="2 kg", temperature="18 °C")


WARM = {"temperature": "20 °C", "species_name": "koi"}
TUBS = [f"{litres} L{how}" for litres in (50, 400) for how in (", marked tub", ", guess")]


@pytest.mark.parametrize("room", ["-5 °C", "12 °C", "68 °F", "24 °C"])
@pytest.mark.parametrize("litres", TUBS)
def test_a_heater_that_holds_the_tub_and_could_cook_the_fish_is_refused(litres, room):
    """Two figures of which the least is above the most are no answer: they stand in a refusal, with its ways out."""
    made = quick_heater(litres=litres, room=room, **WARM)
    most = made.figures.get("heater at most")
    refused = [one for one in made.actions if one.refused_because]
    assert bool(refused) is (act_on(made, "heater") > (most.act_on if most else 0.0))
    told = short_answer(made)
    if refused:
        assert told.startswith("⊘ Refused")
        assert "with the tub covered or in a warmer room" in told
        assert ("each with its own thermostat" in told) is (most is not None)


def test_the_room_may_be_colder_than_a_water_can_be():
    cold, mild = (quick_heater(litres="200 L", room=room, **WARM) for room in ("-5 ± 0 °C", "5 ± 0 °C"))
    assert act_on(cold, "heater") > act_on(mild, "heater")
    with pytest.raises(CaseError, match="air temperature must be"):
        quick_heater(litres="200 L", room="-90 °C", **WARM)


def test_a_bag_with_too_many_fish_says_so_first_and_how_much_water_they_want():
    """2.3 kg at 50 kg in a cubic metre want 46 L; 12 L hold 191.7, more than the 108 at which no bag is packed."""
    fish = {"weight": "2.3 ± 0 kg", "temperature": "18 °C", "oxygen": "40 L"}
    made = quick_bag(litres="12 ± 0 L", **fish)
    assert short_answer(made).splitlines()[0].startswith("✗ act now: stocking")
    (why,) = made.judgements[0].why
    assert act_on(made, why.figures["litres"]) == 46.0
    verdicts = [quick_bag(litres=f"{litres} ± 0 L", **fish).judgements[0].verdict for litres in (21, 22, 45, 46)]
    assert verdicts == ["act now", "watch", "watch", "within limit"]


@pytest.mark.parametrize(
    ("sum_of", "bad", "good"),
    [
        (
            quick_ammonia,
            {"tan": "2 mg/L as N", "ph": "8.5", "temperature": "20 °C"},
            {"ph": "6.5", "tan": "0.1 mg/L as N"},
        ),
        (quick_step, {"temperature": "8 °C", "other": "20 °C"}, {"other": "8 ± 0 °C", "temperature": "8 ± 0 °C"}),
        (quick_gas, {"temperature": "8 °C", "warmed_to": "22 °C"}, {"warmed_to": "8 °C", "temperature": "8 °C"}),
        (quick_oxygen, {"temperature": "34 °C", "altitude": "2500 m"}, {"temperature": "12 °C", "altitude": "0 m"}),
        (quick_bag, {"litres": "5 L", "oxygen": "40 L", **KOI}, {"litres": "200 L"}),
    ],
)
def test_a_sum_with_a_limit_begins_with_its_verdict(sum_of, bad, good):
    worse, better = sum_of(**bad), sum_of(**bad | good)
    assert [one.verdict for one in (*worse.judgements, *better.judgements)] == ["act now", "within limit"]
    assert short_answer(worse).startswith("✗")
    assert short_answer(better).startswith("✓")
    # Its limit is in the verdict, and not a second time in a line or a box of its own.
    assert not any(path.endswith("/limit") for path in shown_figures(worse)[1:] if "total" not in path)
