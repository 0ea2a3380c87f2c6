"""What is done to a water: amounts worked by hand, ends of the volume, parts, refusals, and what others need first."""

from datetime import UTC, datetime

import numpy as np
import pytest

from tests.actions.made import EXACT, act_on, context_of, ground_of, judged, only
from waterplan.actions.air import air
from waterplan.actions.amounts import in_parts
from waterplan.actions.at_once import move, source_off
from waterplan.actions.change import change
from waterplan.actions.heat.temperature import cool, warm
from waterplan.actions.makers import MAKERS, order
from waterplan.actions.proposing import Context
from waterplan.actions.record import Kind
from waterplan.actions.salts.salt import salt
from waterplan.actions.telling import ask, kinds_against, people
from waterplan.actions.treating import chemistry, degas, neutralise
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Side, Verdict
from waterplan.spread import Draws
from waterplan.stay.effects import (
    Aired,
    AirIsOn,
    BroughtTo,
    Changed,
    IceHung,
    Neutralised,
    Oxygenated,
    SaltIn,
    ThermostatRamp,
)
from waterplan.stay.quantities import Q
from waterplan.stay.whole import Stay, lay_out, stay

NH3 = "water_limits/nh3/carp_like/limit"


def effect_of(proposal, kind):
    """The one effect of a kind."""
    found = [one for one in proposal.effects if isinstance(one, kind)]
    assert len(found) == 1
    return found[0]


def after(context, *proposals) -> Stay:
    """The stay once some proposals are done."""
    effects = context.effects.with_(*(one for proposal in proposals for one in proposal.effects))
    return stay(context.ground, effects)


# -- the order and the parts ----------------------------------------------------------------------------------------


def test_every_kind_has_a_maker_and_people_come_first() -> None:
    assert set(MAKERS) == set(order()) == set(Kind)
    first = (
        Kind.PEOPLE,
        Kind.SOURCE_OFF,
        Kind.FIRST_AID,
        Kind.AIR,
        Kind.MOVE_NOTHING,
        Kind.MOVE,
        Kind.NEW_WATER,
        Kind.PACK,
    )
    assert order()[: len(first)] == first
    assert order()[-2:] == (Kind.ASK, Kind.MEASURE)


@pytest.mark.parametrize(
    ("total", "count", "unit", "parts"),
    [
        (100.0, 3, "g", (33.0, 33.0, 34.0)),
        # 26 tenths of a gram over three are 8, 9 and 9; 38 over ten are two of 3 and eight of 4, and no last part of 11.
        (2.6, 3, "g", (0.8, 0.9, 0.9)),
        (3.8, 10, "g", (0.3, 0.3, *[0.4] * 8)),
        (225.0, 2, "L", (112.0, 113.0)),
        (7.0, 1, "g", (7.0,)),
    ],
)
def test_parts_are_readable_and_add_up(total: float, count: int, unit: str, parts: tuple[float, ...]) -> None:
    assert in_parts(total, count, unit=unit) == pytest.approx(parts)
    assert sum(in_parts(total, count, unit=unit)) == pytest.approx(total)


# -- chlorine -------------------------------------------------------------------------------------------------------


def test_a_pond_is_neutralised_now_by_grams_for_all_its_chlorine() -> None:
    """10,000 L x 0.3 mg/L = 3 g of chlorine, x 7 g/g = 21 g; chloramine leaves 0.3 x 0.1975 = 0.059 mg/L N."""
    ground = ground_of()
    context = context_of(ground, judged(ground, "home-pond", Hazard.CHLORINE, limit=0.011, until_h=1.0))
    made = only(neutralise(context), Kind.NEUTRALISE)
    assert made.action.id == "call/neutralise/home-pond"
    assert act_on(context, made.action.amounts["thiosulphate"]) == 21.0
    assert made.action.worked_out_for == {"volume": "high"}
    assert {"chloramine-leaves-ammonia", "thiosulphate-takes-oxygen"} == {one.code for one in made.action.costs}
    water = after(context, made)["home-pond"].start
    assert np.all(water[Q.CHLORINE] == 0.0)
    assert water[Q.AMMONIA][0] == pytest.approx(0.2 + 0.059, abs=0.001)
    # Two hours before the operation, half of the hour that there is.
    assert made.action.by is not None
    assert (made.action.by.hour, made.action.by.minute) == (8, 30)


def test_a_tub_of_tap_water_takes_grams_for_its_high_end_and_the_tap_for_a_hundred_litres() -> None:
    """1,000 L ± 10 % is at most about 1,084 L by its 95th percentile: x 0.5 mg/L x 7 = 3.8 g; 100 L take 0.35: 0.4 g."""
    ground = ground_of(EXACT.replace('"1000 ± 0 L"', '"1000 ± 100 L"'), draws=512)
    calls = [judged(ground, one, Hazard.CHLORINE, limit=0.011) for one in ("mains", "hospital-1")]
    context = context_of(ground, *calls)
    tap, tank = neutralise(context)
    assert act_on(context, tap.action.amounts["thiosulphate"]) == 0.4
    assert act_on(context, tap.action.amounts["litres"]) == 100.0
    assert act_on(context, tank.action.amounts["thiosulphate"]) == pytest.approx(3.8)
    assert context.figures.record(tank.action.amounts["thiosulphate"]).best == pytest.approx(3.5)
    assert [type(one) for one in tank.effects] == [Neutralised]


def test_an_unknown_disinfectant_is_taken_at_its_worst_and_said() -> None:
    """Up to 4 mg/L: 200 L x 4 x 7 / 1000 = 5.6 g, and the ammonia of chloramine is counted."""
    text = EXACT.replace('disinfectant = "chloramine"\n', "").replace('chlorine = "0.5 ± 0 mg/L"\n', "")
    ground = ground_of(text.replace('use = "revival"', 'use = "revival"\nfilled_with = "mains water"'))
    context = context_of(ground, judged(ground, "revival-1", Hazard.CHLORINE, verdict=Verdict.NOT_KNOWN, limit=0.011))
    made = only(neutralise(context), Kind.NEUTRALISE)
    assert act_on(context, made.action.amounts["thiosulphate"]) == pytest.approx(5.6)
    codes = {one.code for one in made.action.cautions}
    assert {"disinfectant-unknown-worst-assumed", "chlorine-not-measured-worst-assumed"} <= codes
    assert [one.code for one in made.action.costs] == ["chloramine-leaves-ammonia"]


def test_a_pond_that_nobody_tested_is_dosed_only_if_tap_water_ran_in() -> None:
    ground = ground_of(EXACT.replace('chlorine = "0.3 ± 0 mg/L"\n', ""))
    context = context_of(ground, judged(ground, "home-pond", Hazard.CHLORINE, verdict=Verdict.NOT_KNOWN, limit=0.011))
    made = only(neutralise(context), Kind.NEUTRALISE)
    assert made.effects == ()
    assert "only-if-tap-water-ran-in" in {one.code for one in made.action.cautions}


def test_a_pond_with_an_antidote_of_the_case_gets_no_second_one() -> None:
    dosed = """
[[doses]]
substance = "thiosulphate pentahydrate"
use = "tap water"
into = "home pond"
bottle = "98 % pure"
scale = "1 g"
"""
    ground = ground_of(EXACT.replace('chlorine = "0.3 ± 0 mg/L"\n', "") + dosed)
    context = context_of(ground, judged(ground, "home-pond", Hazard.CHLORINE, verdict=Verdict.NOT_KNOWN, limit=0.011))
    assert list(neutralise(context)) == []


# -- air ------------------------------------------------------------------------------------------------------------


def test_a_tub_is_aired_before_its_fish_go_in_and_holds_the_level_then() -> None:
    ground = ground_of()
    call = judged(ground, "revival-1", Hazard.OXYGEN, verdict=Verdict.WATCH, limit=6.0, side=Side.AT_LEAST)
    context = context_of(ground, call)
    made = next(one for one in air(context) if not one.action.id.endswith("back-up"))
    assert made.action.id == "prepare/air/revival-1"
    assert {type(one) for one in made.effects} == {AirIsOn, Aired}
    assert made.action.by == ground.clock.at(ground.places["revival-1"].stretches[0].start_h)
    water = after(context, made)["revival-1"]
    lowest = water.course(water.place.stretches[0]).least(Q.OXYGEN)
    assert np.mean(lowest[1:] >= 6.0) >= 0.94
    flow, stones = (act_on(context, made.action.amounts[one]) for one in ("air flow", "stones"))
    assert flow is not None
    assert stones is not None
    assert flow <= 4.0 * stones


def test_above_what_air_can_hold_oxygen_is_given_and_said_in_both_units() -> None:
    """At 2,500 m and 26 °C water holds about 6 mg/L: air cannot hold 7, bottled oxygen can."""
    hot = EXACT.replace('temperature = "18 ± 0 °C"', 'temperature = "26 ± 0 °C"')
    ground = ground_of(hot.replace("[home_pond]", '[place]\naltitude = "2500 ± 0 m"\n[home_pond]'))
    call = judged(ground, "revival-1", Hazard.OXYGEN, limit=7.0, side=Side.AT_LEAST)
    context = context_of(ground, call)
    made = [one for one in air(context) if not one.action.id.endswith("back-up")]
    assert [one.action.id for one in made] == ["prepare/air/revival-1", "prepare/air/revival-1/oxygen"]
    assert [one.code for one in made[0].action.costs] == ["air-cannot-reach"]
    assert made[1].action.needs == ("prepare/air/revival-1",)
    assert act_on(context, made[1].action.amounts["reachable"]) < 7.0
    assert act_on(context, made[1].action.amounts["share"]) > 100.0
    assert effect_of(made[1], Oxygenated).oxygen_mg_per_l == 7.0
    water = after(context, *made)["revival-1"]
    assert np.mean(water.course(water.place.stretches[0]).least(Q.OXYGEN)[1:] >= 7.0 - 1e-6) >= 0.94


def test_the_cylinder_at_hand_is_told_in_minutes() -> None:
    """10 L from 150 bar down to a reserve of 10 are 10 x 140 / 1.01325 litres of gas, at the flow that is set."""
    hot = EXACT.replace('temperature = "18 ± 0 °C"', 'temperature = "26 ± 0 °C"')
    high = hot.replace("[home_pond]", '[place]\naltitude = "2500 ± 0 m"\n[home_pond]')
    bottle = '[oxygen_cylinder]\nvolume = "10 ± 0 L"\npressure = "150 ± 0 bar"\n[intended]'
    for text, has in ((high, False), (high.replace("[intended]", bottle), True)):
        ground = ground_of(text)
        context = context_of(ground, judged(ground, "revival-1", Hazard.OXYGEN, limit=7.0, side=Side.AT_LEAST))
        made = next(one.action for one in air(context) if one.action.id.endswith("oxygen"))
        assert ("cylinder lasts" in made.amounts) is has
        assert ("no-cylinder-named" in {one.code for one in made.cautions}) is not has
    lasts = context.figures.sums[made.amounts["cylinder lasts"]].draws
    flow = act_on(context, made.amounts["oxygen flow"])
    assert lasts == pytest.approx(np.full(lasts.size, 10.0 * 140.0 / 1.01325 / flow), rel=1e-6)


def test_a_pond_gets_all_the_air_there_is_and_is_told_what_it_would_take() -> None:
    ground = ground_of()
    context = context_of(ground, judged(ground, "home-pond", Hazard.OXYGEN, limit=7.9, side=Side.AT_LEAST, until_h=2.0))
    made = next(iter(air(context)))
    assert made.action.id == "call/air/home-pond"
    assert act_on(context, made.action.amounts["air flow"]) <= 120.0
    assert "all-air-on-return-breaking-surface" in {one.code for one in made.action.cautions}


def test_the_back_up_names_the_clock_that_is_worked_out_without_power() -> None:
    ground = ground_of()
    made = [one for one in air(context_of(ground)) if one.action.water == "hospital-1"]
    assert [one.action.id for one in made] == ["prepare/air/hospital-1/back-up"]
    assert made[0].effects == ()
    assert made[0].action.amounts["within"] == "hospital-1/oxygen/until-alarm/power off"


# -- changes --------------------------------------------------------------------------------------------------------


def test_a_pond_over_its_limit_is_changed_by_the_least_share_that_brings_it_under() -> None:
    """1 mg/L from a tap with 0.05: under 0.7 after 40 % (0.6 x 1 + 0.4 x 0.05 = 0.62), not after 30 % (0.715)."""
    text = EXACT.replace('tan = "0.2 ± 0 mg/L as N"', 'tan = "1 ± 0 mg/L as N"').replace("chloramine", "chlorine")
    ground = ground_of(text)
    context = context_of(ground, judged(ground, "home-pond", Hazard.AMMONIA, limit=0.7, row="water_limits/tan/any/cap"))
    made = only(change(context), Kind.CHANGE)
    assert act_on(context, made.action.amounts["litres"]) == 4000.0
    assert (made.action.parts, made.action.part_amounts["litres"]) == (2, (2000.0, 2000.0))
    assert made.action.source == "mains"
    assert effect_of(made, Changed).at_h is None
    # Part by part: 1 -> 0.81 -> 0.658.
    assert after(context, made)["home-pond"].start[Q.AMMONIA][0] == pytest.approx(0.658, abs=0.001)
    # 4,000 L x 0.5 mg/L x 7 = 14 g.
    assert act_on(context, made.action.amounts["thiosulphate"]) == 14.0


def test_new_water_of_a_higher_ph_on_old_ammonia_goes_in_by_small_parts() -> None:
    """Spent water: 10 mg/L N at pH 6.2, alkalinity 5, the tap at 250.

    A quarter of it makes alkalinity 66 (1.3 meq/L) over 0.14 mmol/L of carbon dioxide: pH 6.4 + log(1.3 / 0.14) = 7.4, where
    0.8 % of 7.5 mg/L is 0.06 mg/L un-ionised, three times the limit and ten times what was there.
    """
    text = EXACT.replace('tan = "0.2 ± 0 mg/L as N"', 'tan = "10 ± 0 mg/L as N"').replace("7.6 ± 0", "6.2 ± 0", 1)
    text = text.replace("100 ± 0 mg/L as CaCO3", "5 ± 0 mg/L as CaCO3", 1)
    ground = ground_of(text.replace("100 ± 0 mg/L as CaCO3", "250 ± 0 mg/L as CaCO3"))
    context = context_of(ground, judged(ground, "home-pond", Hazard.AMMONIA, limit=2.0, row="water_limits/tan/any/cap"))
    made = only(change(context), Kind.CHANGE)
    assert "small-parts-ph-rises-on-ammonia" in {one.code for one in made.action.costs}
    assert made.action.parts == 5


def test_a_source_that_is_no_better_is_refused_with_both_numbers() -> None:
    text = EXACT.replace('tan = "0.05 ± 0 mg/L as N"', 'tan = "1.5 ± 0 mg/L as N"')
    ground = ground_of(text)
    context = context_of(ground, judged(ground, "home-pond", Hazard.AMMONIA, limit=0.1, row="water_limits/tan/any/cap"))
    made = only(change(context), Kind.CHANGE)
    assert made.effects == ()
    (why,) = made.action.refused_because
    assert why.code == "source-worse"
    assert act_on(context, why.figures["here"]) == pytest.approx(0.2)
    # 1.5 read, and 0.5 mg/L of chloramine leave 0.099 more.
    assert act_on(context, why.figures["source"]) == pytest.approx(1.6)
    assert made.action.instead


def test_a_source_under_suspicion_is_never_poured() -> None:
    ground = ground_of()
    calls = (
        judged(ground, "home-pond", Hazard.AMMONIA, limit=0.1, row="water_limits/tan/any/cap"),
        judged(ground, "mains", Hazard.SUBSTANCE),
    )
    made = only(change(context_of(ground, *calls)), Kind.CHANGE)
    assert [one.code for one in made.action.refused_because] == ["source-suspected"]


def test_a_tank_is_changed_every_day_within_half_of_it_to_the_end_of_the_stay() -> None:
    ground = ground_of()
    context = context_of(ground, judged(ground, "hospital-1", Hazard.AMMONIA, limit=0.016, row=NH3))
    made = only(change(context), Kind.CHANGE)
    litres = act_on(context, made.action.amounts["litres"])
    assert litres is not None
    assert 0.0 < litres <= 500.0
    assert made.action.every_h == 24.0
    assert max(made.action.part_amounts["litres"]) <= 250.0 + 1e-9
    changed = effect_of(made, Changed)
    assert changed.until_h == ground.places["hospital-1"].stretches[0].until_h
    # A second look at the same tank is not searched again.
    assert len(ground.searched) == 1
    only(change(context), Kind.CHANGE)
    assert len(ground.searched) == 1


def test_a_source_that_nobody_read_is_to_be_read_and_is_not_called_worse() -> None:
    """Tap water of unknown ammonia may hold 0 to 1 mg/L and more: that is no figure to hold against the pond's own."""
    unread = EXACT.replace('tan = "0.05 ± 0 mg/L as N"\n', "")
    unread = unread.replace("[home_water]\n", "[home_water]\nph_taken = 2026-05-13T16:00:00\n")
    ground = ground_of(unread)
    call = judged(ground, "home-pond", Hazard.AMMONIA, limit=1e-5, row=NH3)
    refused = only(change(context_of(ground, call)), Kind.CHANGE).action
    codes = {why.code for why in refused.refused_because}
    assert codes == {"source-not-read"}
    assert not [why for why in refused.refused_because if why.figures]
    assert {why.code for one in refused.instead for why in one.because} >= {"read-the-source-first"}


# -- temperature ----------------------------------------------------------------------------------------------------


def test_tubs_are_matched_in_the_order_in_which_the_fish_goes_through_them() -> None:
    text = EXACT.replace('name = "grey tub"', 'name = "grey tub"\ntemperature = "15 ± 0 °C"')
    text = text.replace('name = "long tank"', 'name = "long tank"\ntemperature = "21 ± 0 °C"')
    ground = ground_of(text)
    calls = [judged(ground, one, Hazard.TEMPERATURE_STEP, limit=2.0) for one in ("revival-1", "hospital-1")]
    context = context_of(ground, *calls)
    warmed, cooled = only(warm(context), Kind.WARM), only(cool(context), Kind.COOL)
    assert (warmed.action.water, cooled.action.water) == ("revival-1", "hospital-1")
    assert effect_of(warmed, BroughtTo).temp_c[0] == pytest.approx(18.0)
    assert effect_of(cooled, BroughtTo).temp_c[0] == pytest.approx(18.0)


def empty_tub(temp: int, more: str = "") -> Context:
    """The grey tub of 200 L, to be brought to the pond's 18 °C before a fish is in it."""
    tub = f'name = "grey tub"\ntemperature = "{temp} ± 0 °C"{more}'
    ground = ground_of(EXACT.replace('name = "grey tub"', tub))
    return context_of(ground, judged(ground, "revival-1", Hazard.TEMPERATURE_STEP, limit=2.0))


def test_an_empty_tub_is_warmed_by_its_heater_or_by_one_that_is_large_enough() -> None:
    """By hand: 200 L by 3 °C take 200 x 0.9982 x 4.182 x 3 = 2,505 kJ, / 3,600 = 0.696 kWh.

    A heater of 300 W gives that in 696 / 300 = 2.32 h: two and a half on a clock. With none at hand there are the two
    hours before the operation: 696 / 2 = 348 W, 350 as heaters are sold.
    """
    for more, heater, hours in (('\nheater = "300 ± 0 W"', None, 2.5), ("", 350.0, 2.0)):
        context = empty_tub(15, more)
        made = only(warm(context), Kind.WARM).action
        assert act_on(context, made.amounts["energy"]) == pytest.approx(0.7)
        assert act_on(context, made.amounts["hours"]) == hours
        assert (act_on(context, made.amounts["heater"]) if heater else made.amounts.get("heater")) == heater


def test_what_takes_more_than_the_heaters_at_hand_takes_longer() -> None:
    """By hand: 200 L by 14 °C take 200 x 0.9982 x 4.182 x 14 / 3,600 = 3.247 kWh, of which 1,000 W give it in 3.25 h."""
    context = empty_tub(4)
    made = only(warm(context), Kind.WARM).action
    assert act_on(context, made.amounts["heater"]) == 1000.0
    assert act_on(context, made.amounts["hours"]) == 3.25


def test_an_empty_tub_is_cooled_by_sealed_ice() -> None:
    """By hand: 200 L by 4 °C are 200 x 0.9982 x 4.182 x 4 = 3,340 kJ; a kilogram of ice takes 333.6 to melt and 4.175 x 18

    = 75.1 to come to 18 °C: 3,340 / 408.7 = 8.17 kg, 8.2 by the tenth of a kilogram. It melts within the four hours of its row.
    """
    context = empty_tub(22)
    made = only(cool(context), Kind.COOL).action
    assert act_on(context, made.amounts["ice"]) == pytest.approx(8.2)
    assert act_on(context, made.amounts["hours"]) == 4.0
    assert "ice-sealed-in-bottles" in [one.code for one in made.cautions]


def test_a_tank_is_warmed_by_a_degree_an_hour_and_two_a_day() -> None:
    """18 to 21 °C: 19 and 20 on the first day, 21 on the second."""
    ground = ground_of(EXACT + 'temperature = "21 ± 0 °C"\nroom = "17 ± 0 °C"\nroom_swing = "2 ± 0 °C"\n')
    context = context_of(ground)
    made = only(warm(context), Kind.WARM)
    ramp = effect_of(made, ThermostatRamp)
    start = ground.places["hospital-1"].stretches[0].start_h
    assert [(round(at - start, 6), temp) for at, temp in ramp.rungs] == [(0.0, 19.0), (1.0, 20.0), (24.0, 21.0)]
    assert ramp.heater_w is not None
    assert ramp.heater_w >= act_on(context, made.action.amounts["heater"])


def test_ice_is_for_the_low_end_and_no_faster_than_a_degree_an_hour() -> None:
    """2 °C of 1,000 L: 1000 x 4.186 x 2 / (333.6 + 4.186 x 28) = 18.57 kg, rounded down to 18 whole ones, in two
    parts an hour apart.
    """
    text = EXACT.replace('name = "long tank"', 'name = "long tank"\ntemperature = "30 ± 0 °C"')
    ground = lay_out(read_case(text), draws=Draws(count=64), as_of=datetime(2026, 5, 14, 18, tzinfo=UTC))
    call = judged(ground, "hospital-1", Hazard.TEMPERATURE, limit=10.0, upper=28.0, side=Side.BETWEEN)
    context = context_of(ground, call)
    made = only(cool(context), Kind.COOL)
    assert act_on(context, made.action.amounts["ice"]) == pytest.approx(18.0)
    assert sum(made.action.part_amounts["ice"]) == pytest.approx(18.0)
    assert made.action.parts == 2
    assert [kilograms for _, kilograms in effect_of(made, IceHung).parts] == list(made.action.part_amounts["ice"])


def test_a_tank_that_is_hotter_than_the_pond_is_matched_and_not_iced_for_itself() -> None:
    """The fish comes out of 18 °C: the tank of 21 °C is brought to 18, not to the 20 that it is given."""
    text = EXACT.replace('name = "long tank"', 'name = "long tank"\ntemperature = "21 ± 0 °C"')
    ground = ground_of(text)
    calls = (
        judged(ground, "hospital-1", Hazard.TEMPERATURE, limit=10.0, upper=20.0, side=Side.BETWEEN),
        judged(ground, "hospital-1", Hazard.TEMPERATURE_STEP, limit=2.0),
    )
    context = context_of(ground, *calls)
    made = only(cool(context), Kind.COOL)
    assert effect_of(made, BroughtTo).temp_c[0] == pytest.approx(18.0)
    assert not list(warm(context))


BAG = '[[transports]]\nby = "bag with oxygen"\nvolume = "30 ± 0 L"\nhours = "60 min"\ntemperature = "24 ± 0 °C"\n'


def test_a_bag_is_matched_to_the_tank_as_it_will_be_and_not_as_it_was_found() -> None:
    """Found at 18 and kept at 21 °C; back to the pond's 18 before the fish leaves: the bag of 24 is brought to 18.

    Where the pond is at 21 as well, the tank stays there, and so does the bag.
    """
    tank = 'temperature = "21 ± 0 °C"\ndays = "7 days"\nroom = "17 ± 0 °C"\nroom_swing = "0 ± 0 °C"\n'
    warm_pond = EXACT.replace('[home_water]\ntemperature = "18', '[home_water]\ntemperature = "21')
    for text, target in ((EXACT, 18.0), (warm_pond, 21.0)):
        ground = ground_of(text + tank + BAG)
        calls = [judged(ground, one, Hazard.TEMPERATURE_STEP, limit=3.0) for one in ("bag-1", "hospital-1")]
        (made,) = [one for one in cool(context_of(ground, *calls)) if one.action.water == "bag-1"]
        assert effect_of(made, BroughtTo).temp_c[0] == pytest.approx(target)


def test_a_stay_that_is_too_short_for_the_way_there_and_back_is_spent_at_the_temperature_of_the_pond() -> None:
    """18 to 24 °C is six degrees, two a day: three days there and three back, and the stay is four days."""
    kept = 'temperature = "24 ± 0 °C"\ndays = "4 days"\n'
    made = [one.action for one in warm(context_of(ground_of(EXACT + kept))) if one.action.water == "hospital-1"]
    assert [why.code for one in made for why in one.refused_because] == ["stay-too-short-for-both-ways"]
    assert not list(cool(context_of(ground_of(EXACT + kept))))


# -- gas, salt, alkalinity ------------------------------------------------------------------------------------------


def test_gas_is_aired_out_until_the_excess_is_down_to_the_limits() -> None:
    ground = ground_of()
    context = context_of(ground, judged(ground, "mains", Hazard.GAS_PRESSURE, verdict=Verdict.NOT_KNOWN, limit=103.0))
    made = only(degas(context), Kind.DEGAS)
    hours = act_on(context, made.action.amounts["hours"])
    assert hours is not None
    assert 0.0 < hours <= 24.0
    gas = after(context, made)["mains"].start[Q.GAS_PRESSURE]
    assert np.all(gas <= 101.0)


def test_salt_is_for_the_low_end_less_what_is_there_in_steps_that_add_up() -> None:
    """1,000 L x (2 - 0.2) g/L = 1,800 g, two steps of 900 g twelve hours apart."""
    ground = ground_of(EXACT + 'salt = "2 g/L"\n')
    context = context_of(ground)
    made = only(salt(context), Kind.SALT)
    assert act_on(context, made.action.amounts["salt"]) == 1800.0
    assert made.action.part_amounts["salt"] == (900.0, 900.0)
    assert made.action.worked_out_for == {"volume": "low", "salt": "high"}
    start = ground.places["hospital-1"].stretches[0].start_h
    assert [at for at, _ in effect_of(made, SaltIn).parts] == [start, start + 12.0]


@pytest.mark.parametrize("where", ["", 'where = "long tank"\n'])
def test_salt_into_a_water_that_may_hold_zeolite_is_refused(where: str) -> None:
    zeolite = f'[[already]]\nwhat = "zeolite"\n{where}'
    ground = ground_of(EXACT + 'salt = "2 g/L"\n' + zeolite)
    made = only(salt(context_of(ground)), Kind.SALT)
    assert "zeolite-gives-its-ammonia-back" in [one.code for one in made.action.refused_because]


def test_salt_that_would_pass_the_ceiling_of_the_fish_is_refused() -> None:
    ground = ground_of((EXACT + 'salt = "2 g/L"\n').replace('"koi"', '"sturgeon"'))
    made = only(salt(context_of(ground)), Kind.SALT)
    assert [one.code for one in made.action.refused_because] == ["salt-above-ceiling"]
    assert made.effects == ()


def test_nitrite_gets_chloride_in_the_ratio_and_never_past_the_ceiling() -> None:
    """2 mg/L asks for 20 of chloride; a kit read 121: nothing. 40 mg/L ask for 400: 279 more, 0.46 g/L, 4.6 kg."""
    text = EXACT.replace(
        'nitrite = "0.05 ± 0 mg/L as NO2"', 'nitrite = "{} ± 0 mg/L as NO2"\nchloride = "121.3 ± 0 mg/L"', 1
    )
    ground = ground_of(text.format(2))
    assert not list(salt(context_of(ground, judged(ground, "home-pond", Hazard.NITRITE, limit=1.6))))
    ground = ground_of(text.format(40))
    context = context_of(ground, judged(ground, "home-pond", Hazard.NITRITE, limit=1.6))
    made = only(salt(context), Kind.SALT)
    assert act_on(context, made.action.amounts["salt"]) == pytest.approx(4595.0, abs=10.0)
    assert made.action.worked_out_for["volume"] == "high"
    assert sum(made.action.part_amounts["salt"]) == act_on(context, made.action.amounts["salt"])
    ground = ground_of(text.format(40).replace('"koi"', '"sturgeon"').replace('salinity = "0.2', 'salinity = "0.9', 1))
    over = list(salt(context_of(ground, judged(ground, "home-pond", Hazard.NITRITE, limit=1.6))))
    assert not [one for one in over if one.effects]


def test_short_alkalinity_gets_bicarbonate_and_no_ph_is_adjusted() -> None:
    """From 20 to 60 mg/L in 10,000 L: 40 x 1.679 x 10 = 671.5 g, rounded up to 675 g."""
    text = EXACT.replace('alkalinity = "100 ± 0 mg/L as CaCO3"', 'alkalinity = "20 ± 0 mg/L as CaCO3"', 1)
    ground = ground_of(text.replace('tan = "0.2 ±', 'tan = "0.01 ±', 1))
    context = context_of(
        ground, judged(ground, "home-pond", Hazard.ALKALINITY, limit=60.0, side=Side.AT_LEAST, verdict=Verdict.WATCH)
    )
    made = only(chemistry(context), Kind.CHEMISTRY)
    assert act_on(context, made.action.amounts["bicarbonate"]) == 675.0
    assert after(context, made)["home-pond"].start[Q.ALKALINITY][0] == pytest.approx(60.2, abs=0.1)
    assert "do-not-adjust-ph" in {one.code for one in made.action.cautions}


# -- people, hoses, moving, asking ------------------------------------------------------------------------------------


def test_only_what_the_case_shows_is_said_of_people() -> None:
    assert list(people(context_of(ground_of()))) == []
    ground = ground_of(EXACT + '[[already]]\nwhat = "formalin"\nwhere = "home pond"\n')
    (made,) = people(context_of(ground))
    assert [one.code for one in made.action.cautions] == ["people-formalin"]


def test_the_hose_goes_off_where_chlorine_harms() -> None:
    ground = ground_of()
    (made,) = source_off(context_of(ground, judged(ground, "home-pond", Hazard.CHLORINE, limit=0.011)))
    assert made.action.id == "call/source off/home-pond"


def test_a_fish_is_moved_only_to_a_water_that_is_fit() -> None:
    ground = ground_of()
    harm = judged(ground, "home-pond", Hazard.SUBSTANCE, until_h=0.2)
    made = only(move(context_of(ground, harm)), Kind.MOVE)
    assert made.action.words["into"] in {"revival-1", "hospital-1"}
    unfit = [
        judged(ground, one, Hazard.CHLORINE, verdict=Verdict.NOT_KNOWN, limit=0.011)
        for one in ("revival-1", "hospital-1")
    ]
    made = only(move(context_of(ground, harm, *unfit)), Kind.MOVE)
    assert {one.code for one in made.action.refused_because} == {"tub-not-fit"}


def test_who_is_asked_is_told_of_every_kind_why_it_does_not_answer() -> None:
    ground = ground_of()
    call = judged(ground, "home-pond", Hazard.AMMONIA, limit=0.1)
    (made,) = ask(context_of(ground, call))
    assert {one.kind for one in made.action.instead} == set(kinds_against(Hazard.AMMONIA))
    assert all(one.because for one in made.action.instead)
