"""A full sheet of doses for a case: every substance in every vessel, with the spread of the volume."""

import numpy as np
from pytest_benchmark.fixture import BenchmarkFixture

from waterplan import tables
from waterplan.dose.banded import DoseVolume, Purpose, banded_dose
from waterplan.dose.conflicts import conflict_things, conflicts
from waterplan.dose.dilution import level_mg_per_l
from waterplan.dose.iodine import iodine_stock_ml
from waterplan.dose.neutralise import thiosulphate_pentahydrate_g
from waterplan.dose.rounding import Safe, round_safely
from waterplan.dose.salt import salt_to_add_g
from waterplan.spread import Band, Draws, Measured, band

VESSELS = {
    "induction tub": 40.0,
    "reservoir": 20.0,
    "revival tub": 150.0,
    "hospital tank": 600.0,
    "home pond": 12_000.0,
}
TO_MG_PER_L = {"mg/L": 1.0, "g/L": 1000.0, "uL/L": 1.08}


def levels() -> list[float]:
    """Every level that the tables offer for a bath, in mg/L."""
    rows = [*tables.table("anaesthetics"), *tables.table("bath_limits"), *tables.table("disinfectants")]
    return [row.high * TO_MG_PER_L[row.unit] for row in rows if row.unit in TO_MG_PER_L and row.high == row.high]


def sheet(draws: Draws) -> list[Band]:
    found = []
    for vessel, litres in VESSELS.items():
        volume_l = draws.of(vessel, Measured.within_factor(litres, 0.1))
        low, best, high = band(volume_l)
        volume = DoseVolume(low_l=low, best_l=best, high_l=high, guessed=False)
        for wanted in levels():
            dose = banded_dose(volume, wanted_mg_per_l=wanted, purpose=Purpose.HARMS_IN_EXCESS)
            weighed = round_safely(dose.amount_g, division=0.1, safe=Safe.DOWN)
            found.append(band(level_mg_per_l(volume_l, amount_g=weighed.amount)))
        for row in tables.table("salt_uses"):
            if row.high == row.high:
                found.append(band(salt_to_add_g(volume_l, present_g_per_l=0.0, intended_g_per_l=row.high)))
        for row in tables.table("iodine_uses"):
            stock_ml = iodine_stock_ml(volume_l, iodine_mg_available_per_l=row.value, pvp_iodine_percent=10.0)
            found.append(band(stock_ml))
        found.append(band(thiosulphate_pentahydrate_g(volume_l, chlorine_mg_per_l=np.full_like(volume_l, 4.0))))
    conflicts(dict.fromkeys(conflict_things()))
    return found


def test_a_full_dose_sheet_takes_under_a_tenth_of_a_second(benchmark: BenchmarkFixture) -> None:
    found = benchmark(sheet, Draws())
    assert len(found) > 150
    assert all(entry.low <= entry.high for entry in found)
    assert benchmark.stats.stats.median < 0.1
