"""The worked values of treatment in their order, each by hand beside it: salt, iodine, oxidants, baths, drugs, days.

The 32nd as it stands elsewhere (0.24 mL in a fish of 120 g) passes what one site takes and is refused here. Counting the
warm days of a quarantine, the 43rd, is in tests/fish/test_quarantine.py.
"""

from itertools import pairwise

import pytest

from waterplan import tables
from waterplan.dose.changes import (
    changes_to_reach,
)
from waterplan.dose.disinfectants import formalin_oxygen_mg_per_l
from waterplan.dose.drugs import withdrawal_days
from waterplan.dose.injection import injection_ml
from waterplan.dose.neutralise import neutraliser_g
from waterplan.dose.salt import salt_steps, salt_to_add_g
from waterplan.dose.tricaine import bicarbonate_needed_mg_per_l, tricaine_acid_mg_caco3_per_l
from waterplan.fish.breathing import goldfish_breaths_per_min
from waterplan.fish.healing import days_to_degree_days
from waterplan.tank.temperature_ramp import temperature_ramp
from waterplan.water.nitrite import (
    chloride_needed_mg_per_l,
    salt_for_chloride_mg_per_l,
)
from waterplan.water.oxygen import saturation_mg_per_l

US_GALLON_L = 3.785411784


def near(value: object, expected: float, tolerance: float = 1e-6) -> None:
    assert value == pytest.approx(expected, abs=tolerance)


def test_1_to_7_salt_into_the_tank_its_changes_and_a_dip() -> None:
    near(salt_to_add_g(600.0, present_g_per_l=0.0, intended_g_per_l=3.0), 1800.0)
    near(salt_to_add_g(600.0, present_g_per_l=1.0, intended_g_per_l=3.0), 1200.0)
    assert changes_to_reach(3000.0, end_mg_per_l=500.0, changed_fraction=0.25) == 7
    near(salt_to_add_g(50.0, present_g_per_l=0.0, intended_g_per_l=25.0), 1250.0)


def test_8_the_chloride_of_salt() -> None:
    # Of 3 g/L, 60.66 % by mass: 1,820 mg/L, whose salt is 3 g/L again.
    near(salt_for_chloride_mg_per_l(1820.0), 3000.0, 1.0)


def test_9_and_10_chloride_against_nitrite_by_its_basis() -> None:
    need = chloride_needed_mg_per_l(2.0, ratio=10.0, chloride_mg_per_l=10.0)
    near(need, 10.0)
    near(salt_for_chloride_mg_per_l(need), 16.5, 0.05)
    near(salt_for_chloride_mg_per_l(need) * 600.0 / 1000.0, 9.9, 0.05)


def test_16_to_19_chlorine_put_in_and_taken_out() -> None:
    near(neutraliser_g(4.0, oxidant="chlorine", neutraliser="thiosulphate pentahydrate"), 28.0)


def test_20_to_24_permanganate_peroxide_formalin() -> None:
    near(25.0 * 600.0 / 1000.0, 15.0)  # mL of formalin
    near(formalin_oxygen_mg_per_l(25.0), 5.0)
    near(formalin_oxygen_mg_per_l(250.0), 50.0)
    assert formalin_oxygen_mg_per_l(250.0) > saturation_mg_per_l(0.0)


def test_25_to_28_tricaine_and_eugenol() -> None:
    near(tricaine_acid_mg_caco3_per_l(100.0), 19.2, 0.05)
    bare = bicarbonate_needed_mg_per_l(100.0, alkalinity_mg_caco3_per_l=0.0, end_alkalinity_mg_caco3_per_l=0.0)
    near(bare, 32.0, 0.5)


def test_29_to_35_drugs_by_weight() -> None:
    near(injection_ml(2.4, dose_mg_per_kg=2.2, stock_mg_per_ml=50.0), 0.106, 0.0005)
    near(injection_ml(0.12, dose_mg_per_kg=1.0, stock_mg_per_ml=5.0), 0.024)


def test_36_and_37_degree_days() -> None:
    for temp, days in ((20.0, 25.0), (15.0, 33.3), (10.0, 50.0)):
        near(withdrawal_days(temp), days, 0.05)
    for degree_days, temp, days in ((250.0, 20.0, 12.5), (300.0, 20.0, 15.0), (250.0, 12.0, 20.8), (300.0, 12.0, 25.0)):
        near(days_to_degree_days(degree_days, water_temp_c=temp), days, 0.05)


def test_38_breathing_of_a_goldfish() -> None:
    near(goldfish_breaths_per_min(15.0), 82.0, 0.5)
    near(goldfish_breaths_per_min(25.0), 128.0, 0.5)


def test_39_warming_by_the_day_and_by_the_hour() -> None:
    steps = temperature_ramp(14.0, target_temp_c=22.0, per_hour_c=1.0, per_day_c=2.0)
    assert len({step.at_h // 24 for step in steps}) == 4
    changing = [
        after.at_h - before.at_h for before, after in pairwise(steps) if after.water_temp_c != before.water_temp_c
    ]
    near(sum(changing), 8.0)


def test_40_salt_raised_by_a_gram_a_litre_in_half_a_day() -> None:
    assert [step.at_h for step in salt_steps(0.0, intended_g_per_l=3.0)] == [0.0, 12.0, 24.0]


def test_41_oxygen_at_saturation() -> None:
    for temp, oxygen in ((10.0, 11.29), (15.0, 10.08), (20.0, 9.09), (25.0, 8.26), (30.0, 7.56)):
        near(saturation_mg_per_l(temp), oxygen, 0.01)


def test_42_the_egg_dip_beside_what_kills_goldfish() -> None:
    eggs = tables.row("iodine_uses", use="eggs").value
    readings = [
        row.value for row in tables.rows("iodine_toxicity", species="goldfish") if row["basis"].startswith("available")
    ]
    near(eggs / min(readings), 63.0, 0.5)
    near(eggs / max(readings), 6.3, 0.05)
