import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.water.printed import check, params
from waterplan.errors import ImpossibleInput
from waterplan.water.ammonia import (
    pka,
    unionised_fraction,
)

phs, temps = st.floats(5, 10.5), st.floats(0, 40)


@pytest.mark.parametrize("row", params("water_ammonia"))
def test_printed_values(row):
    check(row)


@pytest.mark.parametrize("temp", [5.0, 15.0, 25.0, 35.0])
def test_fresh_water_is_within_a_hundredth_of_pyco2sys(temp):
    # Clegg & Whitfield 1995 at salinity 0, as PyCO2SYS holds it
    theirs = PyCO2SYS.equilibria.p1atm.kNH3_TOT_CW95(temp + 273.15, 1e-9)
    assert pka(temp) == pytest.approx(-np.log10(theirs), abs=0.01)


@given(phs, temps)
def test_the_share_lies_between_0_and_1_and_rises_with_ph_and_warmth(ph, temp):
    def share(ph, temp):
        return unionised_fraction(ph, water_temp_c=temp)

    assert 0.0 < share(ph, temp) < 1.0
    assert share(ph + 0.1, temp) > share(ph, temp)
    assert share(ph, temp + 1.0) > share(ph, temp)


@pytest.mark.parametrize("ph", [-0.1, 14.1, float("nan"), float("inf")])
def test_a_ph_that_cannot_be_is_refused(ph):
    with pytest.raises(ImpossibleInput, match="ph = "):
        unionised_fraction(ph, water_temp_c=20.0)
