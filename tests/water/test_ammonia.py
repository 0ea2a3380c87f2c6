import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.water.printed import check, params
from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.water.ammonia import (
    SaltEffect,
    pka,
    unionised_fraction,
)

phs, temps, salts = st.floats(5, 10.5), st.floats(0, 40), st.floats(0, 40)


@pytest.mark.parametrize(
    "row", [row for row in params("water_ammonia") if "criterion" not in row.values[0]["function"]]
)
def test_printed_values(row):
    check(row)


@pytest.mark.parametrize("temp", [5.0, 15.0, 25.0, 35.0])
def test_fresh_water_is_within_a_hundredth_of_pyco2sys(temp):
    # Clegg & Whitfield 1995 at salinity 0, as PyCO2SYS holds it
    theirs = PyCO2SYS.equilibria.p1atm.kNH3_TOT_CW95(temp + 273.15, 1e-9)
    assert pka(temp) == pytest.approx(-np.log10(theirs), abs=0.01)


@pytest.mark.parametrize("salinity", [5.0, 20.0, 35.0])
def test_yao_and_millero_is_that_of_pyco2sys(salinity):
    theirs = PyCO2SYS.equilibria.p1atm.kNH3_SWS_YM95(293.15, salinity)
    found = pka(20.0, salinity_g_per_kg=salinity, salt_effect=SaltEffect.YAO_MILLERO)
    assert found == pytest.approx(-np.log10(theirs), abs=1e-9)


@given(phs, temps, salts)
def test_the_share_lies_between_0_and_1_and_rises_with_ph_and_warmth(ph, temp, salinity):
    def share(ph, temp):
        return unionised_fraction(ph, water_temp_c=temp, salinity_g_per_kg=salinity)

    assert 0.0 < share(ph, temp) < 1.0
    assert share(ph + 0.1, temp) > share(ph, temp)
    assert share(ph, temp + 1.0) > share(ph, temp)


def test_weak_salt_leaves_the_share_and_strong_salt_lowers_it_by_a_tenth_or_two():
    fresh = unionised_fraction(8.0, water_temp_c=20.0)
    shares = unionised_fraction(8.0, water_temp_c=20.0, salinity_g_per_kg=np.array([0.0, 5.0, 10.0, 10.1, 35.0]))
    assert shares[:3] == pytest.approx(fresh, rel=1e-12)
    assert 0.9 * fresh < shares[3] < fresh
    assert 0.8 * fresh < shares[4] < 0.9 * fresh


@pytest.mark.parametrize("effect", SaltEffect)
def test_every_form_stands_in_the_table_and_agrees_in_fresh_water(effect):
    row = tables.row("water_methods", quantity="ammonia salt effect", method=effect)
    assert row.is_default is (effect is SaltEffect.BY_SALINITY)
    # Hampson's fresh-water pKa is 9.245 at 298 K, and Emerson's 9.2464 at 298.15 K: 0.0063 apart
    assert pka(25.0, salt_effect=effect) == pytest.approx(9.2464, abs=0.007)


@pytest.mark.parametrize("ph", [-0.1, 14.1, float("nan"), float("inf")])
def test_a_ph_that_cannot_be_is_refused(ph):
    with pytest.raises(ImpossibleInput, match="ph = "):
        unionised_fraction(ph, water_temp_c=20.0)
