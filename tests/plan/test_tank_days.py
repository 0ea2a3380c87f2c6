"""The hospital tank through time, the outages and the way, against sums by hand."""

import math

import numpy as np
import pytest

from tests.plan.by_hand import exact, figures, routine_uptake_mg_per_kg_h, shown
from waterplan.errors import Refused
from waterplan.findings import Finding, Verdict
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.model import Case
from waterplan.first_plan.outages import outages
from waterplan.first_plan.salting import salt_wanted_g_per_l
from waterplan.first_plan.tank_course import SHOWN, passed_levels, tank_course
from waterplan.first_plan.tank_days import tank_days
from waterplan.first_plan.tank_events import WhatIf
from waterplan.first_plan.tank_setup import filter_of
from waterplan.first_plan.travel import travel
from waterplan.first_plan.whole import plan
from waterplan.spread import Draws

# Air, heat, a filter and a stay, added to the case by hand.
EQUIPPED = (
    ('filter = "unseeded"', 'filter = "unseeded"\nair = "10 ± 0 L/min"\nheater = "300 ± 0 W"\nlid = "yes"'),
    ('iodine_stock = "10 % PVP-I"', 'iodine_stock = "10 % PVP-I"\ndays = "3 days"\nroom = "18 ± 0 °C"\nroom_swing = "0 ± 0 °C"'),
)  # fmt: skip


def found(case: Case, moment: object, key: str, *, draws: int = 64) -> Finding:
    desk = Desk(case=case, draws=Draws(count=draws))
    moment(desk)  # type: ignore[operator]
    return next(finding for finding in desk.findings if finding.key == key)


def with_more(more: str, *changes: tuple[str, str]) -> Case:
    return exact(("[intended]\n", f"{more}\n[intended]\n"), *changes)


def test_a_cylinder_lasts_its_gas_over_its_reserve() -> None:
    """2 L at 120 bar, 10 bar left in it: 220 L at 1.013 bar a litre, at 1.5 L/min."""
    case = with_more('[oxygen_cylinder]\nvolume = "2 ± 0 L"\npressure = "120 ± 0 bar"\nflow = "1.5 ± 0 L/min"')
    cylinder = found(case, travel, "cylinder")
    assert cylinder.value == pytest.approx(2 * 110 / 1.01325 / 1.5, rel=2e-3)


def test_air_needed_is_demand_over_what_a_litre_a_minute_brings() -> None:
    """SOTE 2 %/m at the table's best, alpha 0.95, beta 0.98, stone at nine tenths of 0.5 m; 7 mg/L held at 21 °C."""
    demand = 2.5 * routine_uptake_mg_per_kg_h(1000.0, 21.0)
    saturated = 8.915 * math.exp(-0.5 * (0.017674 - 10.754 / 294.15 + 2140.7 / 294.15**2))  # 21 °C, 0.5 g/L
    per_l_per_min = 60 * 278.7 * 0.02 * 0.45 * 0.95 / 9.092 * 1.024 * (0.98 * saturated - 7.0)
    air = found(exact(*EQUIPPED), tank_days, "air needed")
    assert air.value == pytest.approx(demand / per_l_per_min, rel=3e-3)
    assert air.low is not None
    assert air.high is not None
    assert air.low < air.value < air.high


def test_a_stuck_heater_warms_by_no_more_than_a_degree_an_hour() -> None:
    """640 L take 1.163 Wh for each litre and degree; looked at after an hour, the rise rules and not the ceiling."""
    hour = ('room = "18 ± 0 °C"', 'room = "18 ± 0 °C"\nunattended = "1 h"')
    most = found(exact(*EQUIPPED, hour), tank_days, "heater most")
    least = found(exact(*EQUIPPED, hour), tank_days, "heater least")
    assert most.value is not None
    assert least.value is not None
    warming = 639 * 0.9982 * 4.182 / 3.6
    # Beside what warms the water, what is lost to the room: by the least-losing draws less than the best figure.
    assert warming < most.value < warming + least.value
    assert "warms by no more than 1 °C/h" in shown(most)
    unwatched = found(exact(*EQUIPPED), tank_days, "heater most")
    assert unwatched.value is not None
    assert unwatched.value < most.value


def test_a_heater_over_the_most_is_to_be_acted_on() -> None:
    strong = found(exact(*EQUIPPED, ('"300 ± 0 W"', '"3000 ± 0 W"')), tank_days, "heater most")
    assert strong.verdict is Verdict.ACT
    assert "could cook the fish" in strong.answer


def test_a_tank_without_power_lasts_its_oxygen_over_the_settled_uptake() -> None:
    """A room at the tank's own temperature: 95 % of saturation at 18 °C down to 5 mg/L, one kilogram at rest."""
    even = (
        ('"21 ± 0 °C"', '"18 ± 0 °C"'),
        ('length = "1.6 ± 0 m"\nwidth = "0.8 ± 0 m"\ndepth = "0.5 ± 0 m"', 'volume = "40 ± 0 L"'),
    )
    cut = found(exact(*EQUIPPED, *even), outages, "power cut: tank")
    salted = 9.466 * math.exp(-0.5 * (0.017674 - 10.754 / 291.15 + 2140.7 / 291.15**2))  # 18 °C, 0.5 g/L
    uptake = routine_uptake_mg_per_kg_h(1000.0, 18.0)
    hours = 39.0 * (0.95 * salted - 3.0) / uptake
    assert cut.value == pytest.approx(hours, rel=0.1)  # the still surface gives a little back
    assert cut.value >= hours * 0.99
    assert "emergency level, 3 mg/L" in shown(cut)


def test_every_level_of_the_course_has_a_band_and_the_salt_adds_up() -> None:
    made = tank_course(exact(*EQUIPPED), draws=64)
    assert tuple(one.state for one in made.states) == SHOWN
    for one in made.states:
        assert all(low <= high for low, high in zip(one.low, one.high, strict=True)), one.state
        assert min(one.low) >= 0.0, one.state
    holds = made.salt[0].holds_g
    assert holds == pytest.approx(639 * 0.5)
    for line in made.salt[1:]:
        holds += line.in_g - line.out_g
        assert line.holds_g == pytest.approx(holds, abs=1e-6)
    assert made.state("salinity_g_per_l").best[-1] == pytest.approx(2.0, rel=5e-3)  # what evaporates concentrates it


def test_progress_is_told_to_the_end() -> None:
    told: list[float] = []
    tank_course(exact(*EQUIPPED), draws=16, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)


def test_air_that_stops_in_a_small_tank_is_a_serious_caution_and_never_a_negative_level() -> None:
    small = ('length = "1.6 ± 0 m"\nwidth = "0.8 ± 0 m"\ndepth = "0.5 ± 0 m"', 'volume = "20 ± 0 L"')
    made = tank_course(exact(*EQUIPPED, small), draws=64, what_if=WhatIf.AIR_STOPS)
    assert any(caution.serious and "could not have the oxygen" in caution.text for caution in made.cautions)
    assert min(made.state("do_mg_per_l").low) >= 0.0
    assert any(words.startswith("Dissolved oxygen under") for words in passed_levels(made))


def test_an_event_that_cannot_be_is_refused_by_its_name_and_time() -> None:
    case = exact(*EQUIPPED)
    text = '[[events]]\nat = 2026-05-15T09:00:00\nwhat = "water change"\nvolume = "900 L, marked tub"'
    with pytest.raises(Refused, match="water change at 2026-05-15 09:00"):
        tank_course(with_more(text, *EQUIPPED), draws=16)
    assert figures(shown(found(case, tank_days, "heater least")))[0] > 0.0


def test_a_change_of_more_water_than_there_is_is_refused_with_its_time() -> None:
    # The tank by hand holds what its size gives; 9,000 L are more than any hospital tank of these cases.
    case = with_more(
        '[[events]]\nat = "2026-05-15T10:00"\nwhat = "water change"\nvolume = "9000 L, meter fill"', *EQUIPPED
    )
    refused = found(case, tank_days, "changes over")
    assert refused.verdict is Verdict.REFUSED
    assert "9000 L, meter fill at Fri 15 May 2026, 10:00" in shown(refused)
    with pytest.raises(StopIteration):
        found(exact(*EQUIPPED), tank_days, "changes over")


def test_a_maturing_filter_grows_through_the_stay_and_the_plan_does_not_count_on_it() -> None:
    # 42 days to full at 21 °C (filter_rates), doubling every 3: after 36 days a quarter of it works, after 42 all of it.
    def with_filter(said: str) -> Case:
        return exact(*EQUIPPED, ('filter = "unseeded"\nair', f"{said}\nair"))

    desk = Desk(case=with_filter('filter = "maturing"\nfilter_ran = "36 ± 0 days"'), draws=Draws(count=16))
    grown = filter_of(desk, desk.hospital_tank())
    assert grown is not None
    share, nitrite = (float(np.ravel(one)[0]) for one in grown.grown(0.0))
    assert share == pytest.approx(0.25)
    assert nitrite == pytest.approx(2.0 ** (-16.0 / 3.0))  # nitrite follows ten days later
    at_the_end = [
        tank_course(with_filter(said), draws=16).state("tan_mg_n_per_l").best[-1]
        for said in ('filter = "unseeded"', 'filter = "maturing"\nfilter_ran = "36 ± 0 days"', 'filter = "seeded"')
    ]
    assert at_the_end[0] > at_the_end[1] > at_the_end[2]
    sizes = [plan(with_filter(f'filter = "{one}"'), draws=16).finding("tank").value for one in ("unseeded", "maturing")]
    assert sizes[0] == pytest.approx(sizes[1])


def test_a_dose_of_salt_is_the_salt_of_the_tank_and_two_that_ask_are_none() -> None:
    # The tank by hand holds 640 L; 1 g/L by a dose, or by the intention, and nothing where both ask.
    dose = '[[doses]]\nsubstance = "salt"\nuse = "prolonged"\ninto = "tank"\nstrength = "1 g/L"'
    wanted = {
        "dose": with_more(dose, *EQUIPPED, ('salt = "2 ± 0 g/L"\n', "")),
        "intended": exact(*EQUIPPED),
        "both": with_more(dose, *EQUIPPED),
    }
    found = {name: salt_wanted_g_per_l(Desk(case=case, draws=Draws(count=16))) for name, case in wanted.items()}
    assert found == {"dose": 1.0, "intended": 2.0, "both": None}


def test_after_the_stay_the_days_to_the_stitches_are_those_of_the_pond() -> None:
    # 10 days at 21 °C are 210 degree-days; the other 240 of 450 take 12 days at the pond's 20 °C: day 22.
    case = exact(EQUIPPED[0], (EQUIPPED[1][0], EQUIPPED[1][1].replace("3 days", "10 ± 0 days")))
    found = plan(case, draws=16).finding("removal")
    assert found.value == pytest.approx(22.0)
    assert any("home pond has now" in caution.text for caution in found.cautions)
