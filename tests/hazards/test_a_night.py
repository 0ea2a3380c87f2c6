"""A pond's oxygen before dawn from two readings of the night; the sums by hand in `published_values/water_night.csv`."""

from datetime import UTC, datetime

import pytest

from waterplan.case import read_case, read_log
from waterplan.hazards.record import Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

HEAD = "taken,water,what,reading\n"
CASE = """waterplan_case = 1
[patient]
species = "koi"
weight = "1 kg, scales"
[place]
altitude = "0 ± 0 m"
[home_pond]
volume = "8000 ± 80 L"
[home_water]
taken = 2026-07-20T15:00
temperature = "20 ± 0.1 °C"
oxygen = "13 ± 0.1 mg/L"
"""


def made(*rows: tuple[str, float], looks: str = "") -> Plan:
    said = f'[home_pond]\nlooks = "{looks}"\n' if looks else "[home_pond]\n"
    case = read_case(CASE.replace("[home_pond]\n", said))
    log = HEAD + "".join(f'2026-07-{at}:00,home water,oxygen,"{level} ± 0.05 mg/L"\n' for at, level in rows)
    now = datetime(2026, 7, 21, 0, 30, tzinfo=UTC)
    return plan(case, readings=tuple(read_log(log, case=case)), as_of=now, draws=256, actions=False)


def oxygen(plan: Plan) -> Judgement:
    return next(one for one in plan.judgements if one.id == "home-pond/oxygen")


def test_two_readings_of_one_night_decide_how_far_it_sinks() -> None:
    # 8.0 at 21:00 and 7.0 at 24:00; light at 05:00 is five hours ahead: 7 x (7/8)^(5/3) = 5.6 by the curve,
    # 7 - 5/3 = 5.3 by the line.
    plan = made(("20T21:00", 8.0), ("21T00:00", 7.0))
    figure = plan.figures["home-pond/oxygen/lowest"]
    assert figure.low is not None
    assert 5.1 < figure.low < 5.6
    assert oxygen(plan).verdict is not Verdict.NOT_KNOWN
    assert "two-readings-of-the-night" in {why.code for why in oxygen(plan).why}


def test_a_steep_fall_is_an_alarm_before_anything_is_low() -> None:
    # 9.0 at 21:00 and 6.0 at 24:00: 6 x (6/9)^(5/3) = 3.05 by the curve, 6 - 5 = 1.0 by the line; a koi at rest wants 5 mg/L.
    plan = made(("20T21:00", 9.0), ("21T00:00", 6.0))
    figure = plan.figures["home-pond/oxygen/lowest"]
    assert figure.best is not None
    assert 0.9 < figure.best < 3.1
    assert oxygen(plan).verdict is Verdict.ACT_NOW


def test_an_afternoon_and_an_evening_are_not_two_readings_of_a_night() -> None:
    plan = made(("20T23:00", 8.0))
    assert "two-readings-of-the-night" not in {why.code for why in oxygen(plan).why}
    assert oxygen(plan).verdict is Verdict.NOT_KNOWN


def test_a_bloom_never_starts_a_night() -> None:
    plan = made()
    assert oxygen(plan).verdict is Verdict.NOT_KNOWN
    lowest = plan.figures["home-pond/oxygen/lowest"]
    assert lowest.high is not None
    assert (
        lowest.high <= 9.3
    )  # what water of 20 °C can hold in air (9.09 mg/L; Benson & Krause 1984), a little more under high pressure


def test_clear_or_green_in_one_word_narrows_the_night() -> None:
    """Water of 20 °C holds 9.09 mg/L. By the rows: 0.25 to 1 of it at dawn where nobody said how it looks, 2.3 to 9.1; clear
    0.5 to 1, 4.5 to 9.1; green 0.25 to 0.85, 2.3 to 7.7. The likeliest is lower for green water than for clear."""
    bands = {}
    for looks in ("", "clear", "green"):
        found = made(looks=looks)
        figure = found.figures["home-pond/oxygen/lowest"]
        bands[looks] = (round(figure.low or 0.0, 1), round(figure.high or 0.0, 1), figure.best)
        assert oxygen(found).verdict is Verdict.NOT_KNOWN
        assert ("say-how-it-looks" in {why.code for why in oxygen(found).why}) is (looks == "")
    for looks, ends in {"": (2.3, 9.1), "clear": (4.5, 9.1), "green": (2.3, 7.7)}.items():
        assert bands[looks][:2] == pytest.approx(ends, abs=0.11), looks
    assert bands["green"][2] < bands[""][2] < bands["clear"][2]
