"""The equations on rivers that someone measured; the copies name the data set and the row."""

import numpy as np
import PyCO2SYS
import pytest

from tests.water.printed import rows
from waterplan.water.ammonia import nh3_mg_n_per_l
from waterplan.water.carbonate import co2_mg_per_l, ph_in_air


def _columns(name):
    table = rows(name)
    names = [key for key in table[0] if key not in {"sample", "source", "locator", "status"}]
    return {key: np.array([float(row[key]) for row in table]) for key in names}


RHONE, MEAUDRET = (_columns(f"water_{river}") for river in ("rhone", "meaudret"))
# an equivalent of alkalinity for each mole of bicarbonate; carbonate is under 1 % below pH 8.4
ALKALINITY = RHONE["hco3_mg_per_l"] / 61.017 * 50.04345


def test_carbon_dioxide_of_the_rhone():
    water = {"alkalinity_mg_caco3_per_l": ALKALINITY, "water_temp_c": RHONE["water_temp_c"]}
    found = co2_mg_per_l(RHONE["ph"], **water)
    theirs = PyCO2SYS.sys(
        ALKALINITY / 50.04345 * 1e3,
        RHONE["ph"],
        1,
        3,
        temperature=RHONE["water_temp_c"],
        salinity=0.0,
        opt_k_carbonic=8,
        opt_pH_scale=3,
    )["CO2"]
    assert found == pytest.approx(theirs * 44.0095e-3, rel=0.025)
    # a running river holds more carbon dioxide than the air would leave it
    assert np.all(ph_in_air(ALKALINITY, water_temp_c=RHONE["water_temp_c"]) > RHONE["ph"])


def test_unionised_ammonia_of_the_meaudret():
    tan = MEAUDRET["ammonium_mg_nh4_per_l"] * 14.007 / 18.039
    found = nh3_mg_n_per_l(tan, ph=MEAUDRET["ph"], water_temp_c=MEAUDRET["water_temp_c"])
    k = PyCO2SYS.equilibria.p1atm.kNH3_TOT_CW95(MEAUDRET["water_temp_c"] + 273.15, 1e-9)
    theirs = tan * k / (k + 10.0 ** -MEAUDRET["ph"])
    # pKa of the two sources within 0.01
    assert found == pytest.approx(theirs, rel=0.025)
    # organic waste below the second station: summer there is the worst of the rows, and far above 0.05 mg/L as N
    assert found.max() == pytest.approx(0.1, abs=0.05)
