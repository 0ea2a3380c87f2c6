"""The acid of tricaine, its bicarbonate, and the water of the bath."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.tricaine import (
    TricaineWater,
    bicarbonate_needed_mg_per_l,
    buffer_ratio,
    tricaine_acid_mg_caco3_per_l,
    tricaine_water,
)
from waterplan.errors import ImpossibleInput, Refused

# IUPAC standard atomic weights 2021, abridged.
H, C, N, O, NA, S, CA = 1.0080, 12.011, 14.007, 15.999, 22.990, 32.06, 40.078  # noqa: E741
TRICAINE = 10 * C + 15 * H + N + 5 * O + S
BICARBONATE = NA + H + C + 3 * O
EQUIVALENT = (CA + C + 3 * O) / 2
CO2 = C + 2 * O


def bath(alkalinity: float, tricaine: float, bicarbonate: float, *, ph: float = 7.6, tan: float = 0.0) -> TricaineWater:
    return tricaine_water(
        ph,
        alkalinity_mg_caco3_per_l=alkalinity,
        water_temp_c=20.0,
        tricaine_mg_per_l=tricaine,
        bicarbonate_mg_per_l=bicarbonate,
        tan_mg_n_per_l=tan,
    )


def test_molar_masses() -> None:
    # The label of tricaine prints 261.3.
    assert pytest.approx(261.3, abs=0.05) == TRICAINE
    assert tricaine_acid_mg_caco3_per_l(TRICAINE) == pytest.approx(EQUIVALENT, rel=1e-4)
    # One bicarbonate for each acid: 0.32 g a gram.
    assert buffer_ratio("just the acid").value == pytest.approx(BICARBONATE / TRICAINE, rel=1e-3)


@settings(max_examples=50)
@given(st.floats(0.0, 500.0), st.floats(0.0, 400.0), st.floats(0.0, 400.0))
def test_the_bicarbonate_balances(tricaine: float, before: float, wanted: float) -> None:
    needed = bicarbonate_needed_mg_per_l(
        tricaine, alkalinity_mg_caco3_per_l=before, end_alkalinity_mg_caco3_per_l=wanted
    )
    left = before - tricaine / TRICAINE * EQUIVALENT + needed / BICARBONATE * EQUIVALENT
    assert needed >= 0.0
    assert left == pytest.approx(wanted, abs=0.02) or (needed == 0.0 and left >= wanted - 0.02)


@pytest.mark.parametrize(
    ("ph", "alkalinity", "tricaine", "bicarbonate"),
    [(7.6, 100.0, 100.0, 100.0), (7.6, 100.0, 100.0, 0.0), (7.0, 40.0, 150.0, 150.0), (8.2, 200.0, 60.0, 120.0)],
)
def test_ph_and_co2_against_pyco2sys(ph: float, alkalinity: float, tricaine: float, bicarbonate: float) -> None:
    # PyCO2SYS in fresh water (constants of Millero 1979); the constants of Plummer & Busenberg differ by 0.01 in pK.
    pyco2sys = pytest.importorskip("PyCO2SYS")
    fresh = {
        "salinity": 0.0,
        "temperature": 20.0,
        "opt_k_carbonic": 8,
        "opt_pH_scale": 4,
        "total_borate": 0.0,
        "total_sulfate": 0.0,
        "total_fluoride": 0.0,
    }
    umol = alkalinity / EQUIVALENT * 1e3
    before = pyco2sys.sys(par1=umol, par2=ph, par1_type=1, par2_type=3, **fresh)
    added = bicarbonate / BICARBONATE * 1e3
    left = umol + added - tricaine / TRICAINE * 1e3
    closed = pyco2sys.sys(par1=left, par2=before["dic"] + added, par1_type=1, par2_type=2, **fresh)
    aired = pyco2sys.sys(par1=left, par2=420.0, par1_type=1, par2_type=4, **fresh)
    water = bath(alkalinity, tricaine, bicarbonate, ph=ph)
    assert water.alkalinity_mg_caco3_per_l == pytest.approx(left * EQUIVALENT / 1e3, abs=0.05)
    assert water.closed_ph == pytest.approx(closed["pH"], abs=0.02)
    assert water.closed_co2_mg_per_l == pytest.approx(closed["aqueous_CO2"] * CO2 / 1e3, rel=0.03)
    assert water.aired_ph == pytest.approx(aired["pH"], abs=0.03)


def test_the_bath_begins_acid_and_drifts_up() -> None:
    # PyCO2SYS (as above): alkalinity 100, pH 7.6, 1 to 1: 7.13 with 22.1 mg/L of CO2, and 8.60 in air of 420 ppm.
    water = bath(100.0, 100.0, 100.0)
    assert water.closed_ph == pytest.approx(7.13, abs=0.02)
    assert water.closed_co2_mg_per_l == pytest.approx(22.0, abs=0.6)
    assert water.aired_ph == pytest.approx(8.6, abs=0.05)
    # The acid frees 44.01 / 261.3 of its mass as CO2: 16.8 mg/L for 100.
    assert pytest.approx(16.8, abs=0.05) == 100.0 * CO2 / TRICAINE
    free = water.closed_co2_mg_per_l - bath(100.0, 0.0, 0.0).closed_co2_mg_per_l
    assert free == pytest.approx(16.8, abs=0.5)


def test_ammonia_is_worse_when_it_has_aired() -> None:
    water = bath(100.0, 100.0, 100.0, tan=1.0)
    # Emerson et al. 1975 at 20 °C: pKa 9.40, so 0.53 % at pH 7.13 and 13.7 % at pH 8.6.
    assert water.closed_nh3_mg_n_per_l == pytest.approx(0.0053, abs=0.0004)
    assert water.aired_nh3_mg_n_per_l == pytest.approx(0.137, abs=0.012)


def test_water_that_cannot_carry_the_acid_is_refused() -> None:
    with pytest.raises(Refused, match="buffer the bath"):
        bath(15.0, 100.0, 0.0)
    assert bath(15.0, 100.0, 32.2).alkalinity_mg_caco3_per_l == pytest.approx(15.0, abs=0.1)


def test_draws() -> None:
    water = tricaine_water(
        np.array([7.4, 7.6, 7.8]),
        alkalinity_mg_caco3_per_l=100.0,
        water_temp_c=20.0,
        tricaine_mg_per_l=100.0,
        bicarbonate_mg_per_l=100.0,
    )
    closed = np.asarray(water.closed_ph)
    assert closed.shape == (3,)
    assert (np.diff(closed) > 0.0).all()


def test_negative_tricaine_is_impossible() -> None:
    with pytest.raises(ImpossibleInput):
        tricaine_acid_mg_caco3_per_l(-1.0)
