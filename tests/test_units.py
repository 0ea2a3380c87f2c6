"""What people write and read against what the core takes.

Exact factors: international yard and pound agreement (1959): foot 0.3048 m, pound 0.45359237 kg; NIST SP 811 (2008),
appendix B.8: US gallon 231 cubic inches, imperial gallon 4.54609 L, conventional millimetre of mercury 133.3224 Pa,
conventional inch of mercury 3386.389 Pa. Molar masses: IUPAC standard atomic weights.
"""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.units import Family, UnknownUnit, in_us_units, labels, to_core, what_to_write

US_GALLON_L = 231 * 2.54**3 / 1000
N, NH3, NH4, NO2, NO3 = 14.007, 17.031, 18.039, 46.005, 62.004

# One unit of a label in the core's unit of its family, and how well the reference itself is printed.
ONE: dict[Family, dict[str, float]] = {
    Family.TEMPERATURE_STEP: {"°C": 1.0, "°F": 5 / 9},
    Family.LENGTH: {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254, "ft": 0.3048},
    Family.FISH_LENGTH: {"mm": 0.1, "cm": 1.0, "m": 100.0, "in": 2.54, "ft": 30.48},
    Family.ALTITUDE: {"m": 1.0, "ft": 0.3048},
    Family.MASS: {"g": 0.001, "kg": 1.0, "lb": 0.45359237, "oz": 0.45359237 / 16},
    Family.VOLUME: {"mL": 0.001, "L": 1.0, "m3": 1000.0, "m³": 1000.0, "US gal": US_GALLON_L, "imp gal": 4.54609},
    Family.PRESSURE: {"kPa": 1.0, "hPa": 0.1, "mbar": 0.1, "mmHg": 0.1333224, "inHg": 3.386389},
    Family.PH: {"": 1.0},
    Family.CONCENTRATION: {"mg/L": 1.0, "µg/L": 0.001, "ug/L": 0.001},
    Family.SALT: {"g/L": 1.0, "mg/L": 0.001},
    Family.AMMONIA: {"mg/L as N": 1.0, "mg/L as NH3": N / NH3, "mg/L as NH4": N / NH4},
    Family.NITRITE: {"mg/L as NO2": 1.0, "mg/L as N": NO2 / N},
    Family.NITRATE: {"mg/L as NO3": 1.0, "mg/L as N": NO3 / N},
    # A German degree of carbonate hardness is 10 mg/L CaO (56.077 g/mol), CaCO3 100.087 g/mol; an equivalent is half a
    # mole of CaCO3.
    Family.ALKALINITY: {
        "mg/L as CaCO3": 1.0,
        "°dKH": 10 * 100.087 / 56.077,
        "dKH": 10 * 100.087 / 56.077,
        "meq/L": 100.087 / 2,
    },
    Family.SHARE: {"%": 1.0},
    Family.FEED: {"%/day": 1.0},
    Family.AIR_FLOW: {"L/min": 1.0, "L/h": 1 / 60, "US gal/h": US_GALLON_L / 60},
    Family.POWER: {"W": 1.0, "kW": 1000.0},
    Family.DURATION: {"min": 1.0, "h": 60.0, "day": 1440.0, "days": 1440.0, "weeks": 10080.0},
    Family.IODINE_STOCK: {"% PVP-I": 1.0},
    # A pound-force (0.45359237 kg x 9.80665 m/s2) on a square inch.
    Family.GAS_PRESSURE: {"bar": 1.0, "MPa": 10.0, "psi": 0.45359237 * 9.80665 / 0.0254**2 / 1e5},
    Family.DOSE_LEVEL: {"mg/L": 1.0, "g/L": 1000.0, "µg/L": 0.001, "ug/L": 0.001},
    Family.FORMALIN_LEVEL: {"uL/L": 1.0, "µL/L": 1.0, "mL/L": 1000.0},
    Family.SPIRIT: {"% v/v": 1.0},
    Family.BODY_DOSE: {"mg/kg": 1.0, "µg/kg": 0.001, "ug/kg": 0.001},
    # A gram in 100 mL is 10 mg in each.
    Family.STOCK: {"mg/mL": 1.0, "g/L": 1.0, "µg/mL": 0.001, "ug/mL": 0.001, "% w/v": 10.0},
    Family.SCALE: {"g": 1.0, "mg": 0.001, "kg": 1000.0},
    Family.SYRINGE: {"mL": 1.0, "µL": 0.001, "uL": 0.001},
    Family.SATURATION: {"% saturation": 1.0, "% sat": 1.0, "%": 1.0},
    Family.TOTAL_GAS: {"%": 1.0, "% total gas": 1.0},
    # A millimetre of mercury is 133.322 Pa.
    Family.GAS_EXCESS: {
        "mmHg": 1.0,
        "kPa": 1000 / 133.322387415,
        "hPa": 100 / 133.322387415,
        "mbar": 100 / 133.322387415,
    },
    Family.CONDUCTIVITY: {"mS/cm at 25 °C": 1.0, "µS/cm at 25 °C": 1e-3, "uS/cm at 25 °C": 1e-3},
    Family.AREA: {"m2": 1.0, "m²": 1.0, "cm2": 1e-4, "ft2": 0.3048**2, "ft²": 0.3048**2},
}
# The mercury columns are printed to seven digits; the hardness degree is carried to five.
CLOSE = {"mmHg": 1e-6, "inHg": 1e-6, "°dKH": 5e-5, "dKH": 5e-5, "meq/L": 1e-4}
EVERY = [(family, label, factor) for family, known in ONE.items() for label, factor in known.items()]


def test_every_label_of_every_family_is_checked_here() -> None:
    assert {family: set(family.units) for family in Family if family is not Family.TEMPERATURE} == {
        family: set(known) for family, known in ONE.items()
    }


@pytest.mark.parametrize(("family", "label", "factor"), EVERY, ids=str)
def test_a_label_against_its_exact_definition(family: Family, label: str, factor: float) -> None:
    for value in (0.0, 1.0, -273.15, 0.007, 987654.3):
        assert to_core(value, label, family) == pytest.approx(value * factor, rel=CLOSE.get(label, 1e-9), abs=1e-9)


@pytest.mark.parametrize(
    ("value", "label", "expected"),
    [
        (0.0, "°C", 0.0),
        (32.0, "°F", 0.0),
        (212.0, "°F", 100.0),
        (-40.0, "F", -40.0),
        (68.0, "°F", 20.0),
        (17.5, "C", 17.5),
    ],
)
def test_temperatures_have_their_own_zero(value: float, label: str, expected: float) -> None:
    assert to_core(value, label, Family.TEMPERATURE) == pytest.approx(expected, abs=1e-9)


def test_the_plus_minus_of_a_temperature_has_no_zero_of_its_own() -> None:
    assert to_core(1.8, "°F", Family.TEMPERATURE, difference=True) == pytest.approx(1.0)
    assert to_core(1.0, "°C", Family.TEMPERATURE, difference=True) == pytest.approx(1.0)


# -- what is refused ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("unit", "family", "advice"),
    [
        ("gal", Family.VOLUME, "say which gallon: 'US gal' (3.785 L) or 'imp gal' (4.546 L)"),
        ("gallons", Family.VOLUME, "say which gallon"),
        ("", Family.VOLUME, "write the unit: 'mL', 'L'"),
        ("ppm", Family.CONCENTRATION, "write mg/L"),
        ("ppt", Family.SALT, "write g/L"),
        ("%", Family.SALT, "0.3 % is 3 g/L"),
        ("%", Family.CONCENTRATION, "needs the temperature and the air pressure"),
        ("mg/L", Family.AMMONIA, "'mg/L as N', 'mg/L as NH3', 'mg/L as NH4', 'mg/L, basis unknown'"),
        ("mg/L", Family.NITRITE, "'mg/L as NO2', 'mg/L as N', 'mg/L, basis unknown'"),
        ("ppm", Family.NITRITE, "write the basis"),
        ("NO2", Family.NITRITE, "write the basis"),
        ("mg/L", Family.NITRATE, "'mg/L as NO3', 'mg/L as N'"),
        ("dH", Family.ALKALINITY, "total hardness in one place"),
        ("degC", Family.TEMPERATURE, "use one of '°C'"),
        ("K", Family.TEMPERATURE, "use one of '°C'"),
        ("furlong", Family.LENGTH, "use one of 'mm'"),
        ("l", Family.VOLUME, "use one of 'mL', 'L'"),
        ("mg/L", Family.PH, "write a plain number, with no unit"),
        ("% iodine", Family.IODINE_STOCK, "use one of '% PVP-I'"),
    ],
)
def test_an_ambiguous_or_unknown_unit_is_refused_with_advice(unit: str, family: Family, advice: str) -> None:
    with pytest.raises(UnknownUnit) as error:
        to_core(1.0, unit, family)
    assert advice in str(error.value)
    assert str(error.value) == what_to_write(unit, family)


@settings(max_examples=30)
@given(st.text(max_size=12), st.sampled_from(list(Family)))
def test_only_what_is_listed_is_taken(unit: str, family: Family) -> None:
    if unit in family.units:
        assert math.isfinite(to_core(1.0, unit, family))
    else:
        with pytest.raises(UnknownUnit):
            to_core(1.0, unit, family)


def test_pints_own_readings_never_get_through() -> None:
    # ppt is pico-pint to pint, dH a deci-henry, and ppm a number.
    for unit in ("ppt", "dH", "ppm", "delta_degC", "pint", "US_liquid_gallon"):
        for family in Family:
            with pytest.raises(UnknownUnit):
                to_core(1.0, unit, family)


def test_an_unknown_basis_is_offered_where_it_may_be_said() -> None:
    for family in Family:
        assert ("mg/L, basis unknown" in labels(family)) == (family in {Family.AMMONIA, Family.NITRITE})


# -- what is shown ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "shown", "us"),
    [
        (17.5, "°C", 63.5, "°F"),
        (0.0, "°C", 32.0, "°F"),
        (2.0, "°C step", 3.6, "°F step"),
        (378.5411784, "L", 100.0, "US gal"),
        (31.0, "cm", 31.0 / 2.54, "in"),
        (1.4, "m", 1.4 / 0.3048, "ft"),
        (0.62, "kg", 0.62 / 0.45359237, "lb"),
        (0.2, "kg", 0.2 / 0.45359237 * 16, "oz"),
        (50.0, "g", 50.0, "g"),
        (200.0, "g", 200.0 / 453.59237 * 16, "oz"),
        (1617.0, "g", 1617.0 / 453.59237, "lb"),
        # 2.5 kg/m3 is 2.5 x 2.20462 lb in 264.172 US gal.
        (2.5, "kg/m3", 2.5 * 2.2046226 / 2.64172052, "lb/100 US gal"),
        (101.325, "kPa", 29.92126, "inHg"),
        (8.26, "mg/L", 8.26, "mg/L"),
        (7.9, "", 7.9, ""),
        (5.92, "min", 5.92, "min"),
    ],
)
def test_a_us_reader_sees_the_units_of_the_trade(value: float, unit: str, shown: float, us: str) -> None:
    found, label = in_us_units(value, unit, like=abs(value))
    assert (found, label) == (pytest.approx(shown, rel=1e-6), us)


def test_two_numbers_share_one_unit() -> None:
    assert [in_us_units(value, "kg", like=1.62)[1] for value in (0.25, 1.62)] == ["lb", "lb"]
