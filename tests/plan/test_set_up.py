"""The set-up of a tank: its sizes and the fish's room, the tank that would do, and what is otherwise."""

from itertools import pairwise

import pytest

from waterplan.case.reading import read_case
from waterplan.errors import CaseError
from waterplan.plan.quick import quick_tank
from waterplan.plan.set_up import laid, number_of, with_tank
from waterplan.plan.what_if import CHANGES, STOPS, as_ordered, farthest_at, otherwise, planned, stopped, told
from waterplan.stay import course as kept_course
from waterplan.tank import through_time
from waterplan.tank.through_time import _advance_to

SAME = kept_course._SAME_SHARE
FISH = {"patients": [{"species": "koi", "length": "40 ± 0 cm"}], "home_water": {"temperature": "18 ± 0 °C"}}
TANK = {"name": "long tank", "use": "hospital", "shape": "rectangle", "length": "180 ± 0 cm", "width": "80 ± 0 cm",
        "depth": "50 ± 0 cm", "rim": "70 cm", "air": "10 L/min", "outlets": 2, "heater": "300 W"}  # fmt: skip


def case(**tank):
    return {**FISH, "vessels": [{**TANK, **tank}]}


def test_a_tank_is_laid_out_with_its_own_sides_and_the_room_of_this_fish():
    # A fish of 40 cm is to have 4 lengths: 1.60 m. The tank is 1.8 m x 0.8 m x 0.5 m, its wall 0.7 m.
    one = laid(planned({**case(), "intended": {"days": "2 days"}}).plan, "hospital-1")
    assert (one.length_m, one.width_m, one.depth_m, one.rim_m) == pytest.approx((1.8, 0.8, 0.5, 0.7))
    assert one.room_m == pytest.approx(1.6)
    assert one.stated
    assert not one.round
    assert (one.stones, one.lid) == (2, False)


@pytest.mark.longer
def test_where_only_litres_are_known_the_sides_hold_them_and_are_said_to_be_assumed():
    sides = dict.fromkeys(("shape", "length", "width", "depth"))
    tank = {key: value for key, value in TANK.items() if key not in sides} | {"volume": "800 ± 0 L"}
    one = laid(planned({**FISH, "vessels": [tank]}).plan, "hospital-1")
    assert not one.stated
    # 0.4 m deep (the least, and one length); twice as long as wide: 0.8 m3 = 0.4 x 2 w x w, so w is 1 m.
    assert (one.length_m, one.width_m, one.depth_m) == pytest.approx((2.0, 1.0, 0.4), rel=1e-6)


def test_the_tank_that_would_do_has_the_litres_of_the_quick_sum_and_one_that_is_there_stays():
    made = with_tank(FISH, "hospital")
    needed = quick_tank(species_name="koi", length="40 ± 0 cm", temperature="18 ± 0 °C").figures["hospital/size/needed"]
    assert made["vessels"][0]["volume"] == f"{needed.act_on:g} L, marked tub"
    assert read_case(made)
    assert with_tank(case(), "hospital") == case()
    assert "vessels" not in FISH


def test_without_a_weight_or_length_it_is_told():
    with pytest.raises(CaseError) as told:
        with_tank({"patients": [{"species": "koi"}]}, "hospital")
    assert "weight" in [one.where for one in told.value.mistakes]


def test_a_path_names_the_tank_of_its_use():
    vessels = {"vessels": [{"use": "revival"}, {"use": "hospital"}, {"use": "revival"}]}
    assert [number_of(vessels, path) for path in ("revival-1", "hospital-1", "revival-2", "hospital-2", "mains")] == [
        0, 1, 2, None, None,
    ]  # fmt: skip


def test_what_is_otherwise_changes_that_and_leaves_the_case_as_it_is():
    before = case()
    made = otherwise(
        before, "hospital-1", {"litres": "300 L", "air": "4 L/min", "temperature": "20 °C", "weight": "2 kg"}
    )
    tank = made["vessels"][0]
    assert (tank["volume"], tank["air"]) == ("300 L", "4 L/min")
    assert not {"length", "width", "depth", "shape"} & tank.keys()
    assert made["intended"] == {"temperature": "20 °C"}
    assert made["patients"][0]["weight"] == "2 kg"
    assert before == case()
    assert otherwise(before, "hospital-1", {}) == before
    # Each change is a key that a case has.
    assert read_case(otherwise(before, "hospital-1", {"filter": "seeded", "salt": "1 g/L", "feed": "0.2 %/day"}))
    assert CHANGES


def test_less_water_lasts_no_longer_without_power():
    times, short = [], {**case(), "intended": {"days": "2 days"}}
    for litres in ("900 ± 0 L", "450 ± 0 L"):
        made = planned(otherwise(short, "hospital-1", {"litres": litres})).plan
        found = made.figures[told(made, "hospital-1")["oxygen/until-alarm/power off"]]
        times.append(float("inf") if found.act_on is None else found.act_on)
    assert times[1] <= times[0]


def test_a_larger_tub_looks_no_worse_with_the_same_orders_carried_out():
    """Oxygen that is ordered for the tub in hand goes into the larger one too, which would get none by itself."""
    tub = {"name": "tub", "use": "hospital", "volume": "364 L, guess", "temperature": "16 °C"}
    given = {
        "waterplan_case": 1,
        "patients": [{"species": "koi", "weight": "2.3 kg, scales"}],
        "home_water": {"temperature": "16 °C"},
        "vessels": [{**tub, "oxygen": "8.5 mg/L, oxygen meter"}],
        "intended": {"operation_at": "2026-05-16T10:00", "days": "2 days"},
    }
    now, larger = planned(given), planned(otherwise(given, "hospital-1", {"litres": "1000 L, marked tub"}))

    def acted(one, name):
        found = one.plan.figures[told(one.plan, "hospital-1")[name]].act_on
        return float("inf") if found is None else found

    same = as_ordered(larger, "hospital-1", now)
    assert acted(larger, "oxygen/lowest") < acted(now, "oxygen/lowest") <= acted(same, "oxygen/lowest")
    clock = "oxygen/until-alarm/power off"
    assert acted(same, clock) >= acted(now, clock)


def without(of, stops, *, after_h, for_h):
    """A case with something of its hospital tank that stops."""
    return stopped(planned(of), "hospital-1", stops, after_h=after_h, for_h=for_h)


@pytest.mark.longer
def test_what_stops_begins_and_ends_by_the_clock_and_the_oxygen_is_lowest_when_the_air_returns():
    """In at 10:00. No air from 12:00 to 16:00: every hour without it takes oxygen, so 16:00 is the lowest of that day."""
    timed = {**case(), "intended": {"operation_at": "2026-05-14T10:00"}}
    clock, hours = farthest_at(without(timed, "pump", after_h=2.0, for_h=4.0), "hospital-1", "oxygen")
    assert f"{clock:%d %H:%M}" == "14 16:00"
    assert hours == 6.0


@pytest.mark.longer
def test_what_stops_once_the_stay_is_over_leaves_the_plan_as_it_is():
    one = planned(case())  # without a clock
    before, after = one.plan, stopped(one, "hospital-1", "power", after_h=5000.0, for_h=4.0)
    assert after.series == before.series
    for path in told(before, "hospital-1").values():
        assert (
            after.figures[path].model_copy(update={"hangs_on": before.figures[path].hangs_on}) == before.figures[path]
        )
    lost = stopped(one, "hospital-1", "power", after_h=0.0, for_h=24.0)
    assert lost.series != before.series


@pytest.mark.longer
def test_a_heater_that_fails_leaves_the_tank_colder_and_one_that_is_mended_is_no_longer_cut():
    timed = {**case(), "intended": {"operation_at": "2026-05-14T10:00", "room": "8 ± 0 °C"}}
    ends = [
        without(timed, "heat", after_h=0.0, for_h=hours).figures["hospital-1/temperature/farthest/after"]
        for hours in (1.0, 24.0)
    ]
    assert ends[1].best < ends[0].best


@pytest.mark.longer
def test_once_a_tank_runs_as_planned_again_it_is_followed_no_further_and_says_the_same(monkeypatch):
    """Against the whole stay followed to its end: the courses lie as near as two of them count as one."""
    timed = {**case(), "intended": {"operation_at": "2026-05-14T10:00", "days": "10 days", "room": "14 ± 1 °C"}}
    one, steps, found = planned(timed), [], {}
    monkeypatch.setattr(through_time, "_advance_to", lambda *to: steps.append(to) or _advance_to(*to))
    for share in (SAME, -1.0):
        monkeypatch.setattr(kept_course, "_SAME_SHARE", share)
        for stops in STOPS:
            made = stopped(one, "hospital-1", stops, after_h=1.0, for_h=4.0)
            found[stops, share] = made, len(steps)
            steps.clear()
    for stops in STOPS:
        (short, few_steps), (whole, all_steps) = found[stops, SAME], found[stops, -1.0]
        assert few_steps < 0.5 * all_steps
        assert short.series.keys() == whole.series.keys()
        for path, course in short.series.items():
            assert course.hours == whole.series[path].hours
            most = max(whole.series[path].high)
            for end in ("low", "best", "high"):
                assert getattr(course, end) == pytest.approx(getattr(whole.series[path], end), abs=2 * SAME * most)
        for path in told(short, "hospital-1").values():
            one_way, other_way = (
                {key: end for key, end in found.model_dump().items() if key in ("low", "best", "high") and end}
                for found in (short.figures[path], whole.figures[path])
            )
            assert one_way == pytest.approx(other_way, rel=5e-3)


@pytest.mark.longer
def test_while_nobody_changes_the_water_ammonia_only_rises_and_afterwards_falls_again():
    """An unseeded tank takes no ammonia up: what the fish gives off stays until some water is let out."""
    timed = {**case(), "intended": {"operation_at": "2026-05-14T10:00", "days": "8 days"}}
    timed["vessels"][0]["volume"] = "300 ± 0 L"
    courses = {}
    plans = {"planned": planned(timed).plan, "missed": without(timed, "change", after_h=24.0, for_h=72.0)}
    for name, made in plans.items():
        course = made.series["hospital-1/ammonia/stay"]
        courses[name] = [
            (hour, mid) for hour, mid in zip(course.hours, course.best, strict=True) if 24.0 <= hour <= 144.0
        ]

    def falls(name, first, last):
        inside = [mid for hour, mid in courses[name] if first <= hour < last]
        return sum(after < before for before, after in pairwise(inside))

    assert falls("planned", 24.0, 96.0)
    assert not falls("missed", 24.0, 96.0)
    assert falls("missed", 96.0, 144.0)
    assert max(mid for _, mid in courses["missed"]) > max(mid for _, mid in courses["planned"])
