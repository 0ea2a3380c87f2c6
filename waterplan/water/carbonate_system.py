"""The carbonate system of fresh water in moles and equivalents a litre, for the functions that speak in mg/L."""

from collections.abc import Callable

from waterplan.published import Numbers, impossible
from waterplan.water.elementwise import choose, log, pow10

# Plummer & Busenberg 1982: log K = a + b T + c/T + d log10 T + e/T2, molal; and the same for water, as in Parkhurst & Appelo 2013.
_LOG_K1 = (-356.3094, -0.06091964, 21834.37, 126.8339, -1684915.0)
_LOG_K2 = (-107.8871, -0.03252849, 5151.79, 38.92561, -563713.9)
_LOG_KW = (-283.971, -0.05069842, 13323.0, 102.24447, -1119669.0)
_LN_10 = 2.302585092994046
CO2_MG_PER_MOL = 44009.5
# Alkalinity: half a mole of CaCO3 (100.0869 g/mol) takes up one equivalent of acid.
MG_CACO3_PER_EQ = 50043.45
NAHCO3_MG_PER_MOL = 84007.0
_HALVINGS = 52


def _constant(kelvin: Numbers, inverse: Numbers, log_10: Numbers, row: tuple[float, ...]) -> Numbers:
    a, b, c, d, e = row
    return pow10(a + b * kelvin + inverse * (c + inverse * e) + d * log_10)


def equilibrium_constants(water_temp_c: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    """K1, K2 and Kw between the activity of H, which is what a pH meter reads, and concentrations of all else."""
    kelvin = water_temp_c + 273.15
    inverse, log_10 = 1.0 / kelvin, log(kelvin) / _LN_10
    k1, k2, kw = (_constant(kelvin, inverse, log_10, row) for row in (_LOG_K1, _LOG_K2, _LOG_KW))
    return k1, k2, kw


def co2_mol_per_l(ph: Numbers, alkalinity_eq: Numbers, water_temp_c: Numbers) -> Numbers:
    """Dissolved carbon dioxide; negative where the pH is too high for the alkalinity."""
    k1, k2, kw = equilibrium_constants(water_temp_c)
    hydrogen = pow10(-ph)
    carbonate_eq = alkalinity_eq - kw / hydrogen + hydrogen
    return carbonate_eq * hydrogen * hydrogen / (k1 * (hydrogen + 2.0 * k2))


def _solve_ph(alkalinity_at: Callable[[Numbers], Numbers], alkalinity_eq: Numbers) -> Numbers:
    """The pH at which a rising function of pH gives an alkalinity, by halving the interval 0-14."""
    low, high = 0.0 * alkalinity_eq, 0.0 * alkalinity_eq + 14.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        above = alkalinity_at(middle) > alkalinity_eq
        high = choose(above, middle, high)
        low = choose(above, low, middle)
    return 0.5 * (low + high)


def ph_of_co2(co2_mol: Numbers, alkalinity_eq: Numbers, water_temp_c: Numbers) -> Numbers:
    """The pH at a dissolved carbon dioxide."""
    k1, k2, kw = equilibrium_constants(water_temp_c)

    def alkalinity_at(ph: Numbers) -> Numbers:
        hydrogen = pow10(-ph)
        return k1 * co2_mol / hydrogen * (1.0 + 2.0 * k2 / hydrogen) + kw / hydrogen - hydrogen

    return _solve_ph(alkalinity_at, alkalinity_eq + 0.0 * (co2_mol + water_temp_c))


def refuse_more_hydroxide_than_alkalinity(ph: Numbers, co2: Numbers) -> None:
    """Raises ImpossibleInput where carbon dioxide came out negative: pH and alkalinity cannot both be."""
    least = co2 if isinstance(co2, float) else co2.min(initial=0.0)
    if least < 0.0:
        limits = "lower, or the alkalinity higher: at this pH hydroxide alone is more than the alkalinity"
        raise impossible("ph", ph, co2 < 0.0, limits)
