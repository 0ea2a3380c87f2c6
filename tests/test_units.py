"""What people write and read against what the core takes.

Exact factors: international yard and pound agreement (1959): foot 0.3048 m, pound 0.45359237 kg; NIST SP 811 (2008),
appendix B.8: US gallon 231 cubic inches, imperial gallon 4.54609 L, conventional millimetre of mercury 133.3224 Pa,
conventional inch of mercury 3386.389 Pa. Molar masses: IUPAC standard atomic weights.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.units import FAMILIES, Display, Family, System, UnknownUnit, labels, to_core, what_to_write

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
    assert {family: set(known) for family, (_, known) in FAMILIES.items() if family is not Family.TEMPERATURE} == {
        family: set(known) for family, known in ONE.items()
    }


@pytest.mark.parametrize(("family", "label", "factor"), EVERY, ids=str)
@given(value=st.floats(-1e6, 1e6))
def test_a_label_against_its_exact_definition(family: Family, label: str, factor: float, value: float) -> None:
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
        ("mg/L", Family.PH, "use one of 'no unit'"),
        ("% iodine", Family.IODINE_STOCK, "use one of '% PVP-I'"),
    ],
)
def test_an_ambiguous_or_unknown_unit_is_refused_with_advice(unit: str, family: Family, advice: str) -> None:
    with pytest.raises(UnknownUnit) as error:
        to_core(1.0, unit, family)
    assert advice in str(error.value)
    assert str(error.value) == what_to_write(unit, family)


@given(st.text(max_size=12), st.sampled_from(list(Family)))
def test_only_what_is_listed_is_taken(unit: str, family: Family) -> None:
    if unit in FAMILIES[family][1]:
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

METRIC, US = Display(), Display(system=System.US)


@pytest.mark.parametrize(
    ("value", "unit", "metric", "us"),
    [
        (17.5, "°C", "17.5 °C", "63.5 °F"),
        (0.0, "°C", "0 °C", "32 °F"),
        (2.0, "°C step", "2 °C", "3.6 °F"),
        (1.0, "°C/h", "1 °C/h", "1.8 °F/h"),
        (378.5411784, "L", "379 L", "100 US gal"),
        (96.0, "L/day", "96 L/day", "25.4 US gal/day"),
        (31.0, "cm", "31 cm", "12.2 in"),
        (0.48, "m", "48 cm", "1.57 ft"),
        (1.4, "m", "1.4 m", "4.59 ft"),
        (0.62, "kg", "620 g", "1.37 lb"),
        (0.2, "kg", "200 g", "7.05 oz"),
        (2.68, "kg", "2.68 kg", "5.91 lb"),
        (50.0, "g", "50 g", "50 g"),
        (200.0, "g", "200 g", "7.05 oz"),
        (1617.0, "g", "1.617 kg", "3.56 lb"),
        (1250.0, "g", "1.25 kg", "2.76 lb"),
        (2.5, "kg/m3", "2.5 kg/m³", "2.09 lb/100 US gal"),
        (101.325, "kPa", "101 kPa", "29.9 inHg"),
        (8.26, "mg/L", "8.26 mg/L", "8.26 mg/L"),
        (0.0046, "mg/L as N", "0.0046 mg/L as N", "0.0046 mg/L as N"),
        (7.9, "", "7.9", "7.9"),
        (6793.0, "L", "6,793 L", "1,795 US gal"),
        (5.92, "min", "5.92 min", "5.92 min"),
        (53.4, "min", "53 min", "53 min"),
        (239.7, "min", "3 h 59 min", "3 h 59 min"),
        (10080.0, "min", "7 days", "7 days"),
        (26.0, "h", "26 h", "26 h"),
        (96.0, "h", "4 days", "4 days"),
        (math.inf, "min", "never", "never"),
        (math.inf, "days", "never", "never"),
        (math.inf, "L/day", "without limit", "without limit"),
    ],
)
def test_a_number_as_a_reader_wants_it(value: float, unit: str, metric: str, us: str) -> None:
    # The figures of the right-hand column by hand: 2.5 kg/m3 is 2.5 x 2.20462 lb in 264.172 US gal.
    assert METRIC.number(value, unit) == metric
    assert US.number(value, unit) == us


@pytest.mark.parametrize(
    ("low", "high", "unit", "metric", "us"),
    [
        (24.4, 25.6, "L", "24.4 to 25.6 L", "6.45 to 6.76 US gal"),
        (0.598, 0.643, "kg", "598 to 643 g", "1.32 to 1.42 lb"),
        (0.25, 1.62, "kg", "0.25 to 1.62 kg", "0.55 to 3.57 lb"),
        (18.0, 25.0, "°C", "18 to 25 °C", "64.4 to 77 °F"),
        (25.0, 108.0, "min", "25 to 108 min", "25 to 108 min"),
        (234.0, 1044.0, "min", "3.9 to 17.4 h", "3.9 to 17.4 h"),
        (25.0, math.inf, "min", "25 min or later, if at all", "25 min or later, if at all"),
        (46.2, math.inf, "L", "46.2 L or more, with no upper end", "12.2 US gal or more, with no upper end"),
        (math.inf, math.inf, "h", "never", "never"),
    ],
)
def test_two_numbers_share_one_unit(low: float, high: float, unit: str, metric: str, us: str) -> None:
    assert METRIC.band(low, high, unit) == metric
    assert US.band(low, high, unit) == us
