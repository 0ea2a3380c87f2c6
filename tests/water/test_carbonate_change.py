import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.errors import ImpossibleInput
from waterplan.water.carbonate_change import after_change, tricaine_acid_mmol_per_l


@pytest.mark.parametrize(("alkalinity", "expected"), [(200.0, 9.9), (50.0, 9.6)])
def test_bicarbonate_into_water_of_high_ph(alkalinity, expected):
    # SRAC, Managing high pH in freshwater ponds: 100 mg/L into water of pH 10, closed; printed to 0.1
    water = after_change(10.0, alkalinity_mg_caco3_per_l=alkalinity, water_temp_c=25.0, bicarbonate_mg_per_l=100.0)
    assert water.closed_ph == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize(("acid", "bicarbonate"), [(0.383, 0.0), (0.383, 100.0), (0.8, 50.0), (0.0, 84.0)])
def test_closed_water_is_that_of_pyco2sys(acid, bicarbonate):
    before = {"temperature": 20.0, "salinity": 0.0, "opt_k_carbonic": 8, "opt_pH_scale": 3}
    alkalinity = 100.0 / 50.04345 * 1e3
    carbon = PyCO2SYS.sys(alkalinity, 7.6, 1, 3, **before)["dic"] + bicarbonate / 84.007 * 1e3
    alkalinity_after = alkalinity + bicarbonate / 84.007 * 1e3 - acid * 1e3
    theirs = PyCO2SYS.sys(alkalinity_after, carbon, 1, 2, **before)
    found = after_change(
        7.6,
        alkalinity_mg_caco3_per_l=100.0,
        water_temp_c=20.0,
        acid_mmol_per_l=acid,
        bicarbonate_mg_per_l=bicarbonate,
    )
    # the two sets of constants differ by 0.01 in pK1
    assert found.closed_ph == pytest.approx(theirs["pH"], abs=0.02)
    assert found.closed_co2_mg_per_l == pytest.approx(theirs["CO2"] * 44.0095e-3, rel=0.03)
    assert found.alkalinity_mg_caco3_per_l == pytest.approx(alkalinity_after * 50.04345e-3, rel=1e-6)


def test_buffered_tricaine_sets_carbon_dioxide_free_and_airs_to_a_high_ph():
    # Stoichiometry: 44.0095 mg of CO2 for each 261.29 mg of tricaine, 16.84 for 100; the rest worked by hand:
    # begins near pH 7.13 with about 22 mg/L and drifts towards 8.6
    acid = tricaine_acid_mmol_per_l(100.0)
    assert acid * 44.0095 == pytest.approx(16.8, abs=0.05)
    water = after_change(
        7.6, alkalinity_mg_caco3_per_l=100.0, water_temp_c=20.0, acid_mmol_per_l=acid, bicarbonate_mg_per_l=100.0
    )
    assert water.closed_ph == pytest.approx(7.13, abs=0.01)
    assert water.closed_co2_mg_per_l == pytest.approx(22.0, abs=0.5)
    assert water.aired_ph == pytest.approx(8.6, abs=0.05)


def test_acid_beyond_the_alkalinity_leaves_acid_water_and_no_error():
    water = after_change(7.4, alkalinity_mg_caco3_per_l=10.0, water_temp_c=25.0, acid_mmol_per_l=0.4)
    # 0.4 mmol/L of acid into 0.2 meq/L of alkalinity leaves 0.2 mmol/L: pH -log10(0.0002)
    assert water.alkalinity_mg_caco3_per_l < 0.0
    assert water.closed_ph == pytest.approx(3.70, abs=0.01)


@given(st.floats(6, 9), st.floats(20, 300), st.floats(0, 1), st.floats(0, 300))
def test_acid_lowers_and_bicarbonate_never_lowers_alkalinity(ph, alkalinity, acid, bicarbonate):
    def change(**added):
        return after_change(ph, alkalinity_mg_caco3_per_l=alkalinity, water_temp_c=18.0, **added)

    plain = change()
    assert plain.closed_ph == pytest.approx(ph, abs=1e-9)
    assert change(acid_mmol_per_l=acid).closed_ph <= ph + 1e-9
    assert change(bicarbonate_mg_per_l=bicarbonate).aired_ph >= plain.aired_ph - 1e-9


def test_arrays_go_through_as_floats_do():
    temps = np.array([5.0, 15.0, 25.0])
    together = after_change(7.5, alkalinity_mg_caco3_per_l=80.0, water_temp_c=temps, acid_mmol_per_l=0.3)
    for index, temp in enumerate(temps):
        alone = after_change(7.5, alkalinity_mg_caco3_per_l=80.0, water_temp_c=float(temp), acid_mmol_per_l=0.3)
        assert together.closed_ph[index] == pytest.approx(alone.closed_ph, rel=1e-12)
        assert together.aired_ph[index] == pytest.approx(alone.aired_ph, rel=1e-12)


def test_a_ph_too_high_for_the_alkalinity_is_impossible():
    with pytest.raises(ImpossibleInput, match="hydroxide"):
        after_change(11.0, alkalinity_mg_caco3_per_l=10.0, water_temp_c=20.0)
