"""Density of water, fresh and salt, and specific gravity."""

from enum import StrEnum

from waterplan.published import Numbers, impossible, published
from waterplan.water.blocks import blockwise
from waterplan.water.elementwise import Polynomial, choose, sqrt

# Tanaka et al. 2001, a1 to a5; air-free water.
_A1, _A2, _A3, _A4, _A5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950
# Kell 1975. The denominator is 16.879850e-3; a stored copy of a NIST page has 16.897850e-3, wrong by 0.27 kg/m3.
_kell = Polynomial(999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
_KELL_D = 16.879850e-3
# EOS-80 (Millero & Poisson 1981) at one atmosphere: pure water, and the terms in S, S^1.5 and S^2.
_eos_0 = Polynomial(999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9)
_eos_1 = Polynomial(8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
_eos_1_5 = Polynomial(-5.72466e-3, 1.0227e-4, -1.6546e-6)
_EOS_2 = 4.8314e-4
# EOS-80 is written for temperatures on IPTS-68.
_T68 = 1.00024

_FRESH_TO_SEA = {"water_temp_c": (0.0, 40.0), "salinity_g_per_kg": (0.0, 42.0)}


class DensityMethod(StrEnum):
    """A published fit to the density of pure water."""

    TANAKA = "Tanaka et al. 2001"
    KELL = "Kell 1975"
    EOS_80 = "EOS-80"


def _density(
    water_temp_c: Numbers, salinity_g_per_kg: Numbers = 0.0, method: DensityMethod = DensityMethod.TANAKA
) -> Numbers:
    t68 = water_temp_c * _T68
    if method is DensityMethod.TANAKA:
        from_4 = water_temp_c + _A1
        pure = _A5 * (1.0 - from_4 * from_4 * (water_temp_c + _A2) / (_A3 * (water_temp_c + _A4)))
    elif method is DensityMethod.KELL:
        pure = _kell(water_temp_c) / (1.0 + _KELL_D * water_temp_c)
    else:
        pure = _eos_0(t68)
    if isinstance(salinity_g_per_kg, float) and salinity_g_per_kg == 0.0:
        return pure
    salt = _eos_1(t68) + _eos_1_5(t68) * sqrt(salinity_g_per_kg) + _EOS_2 * salinity_g_per_kg
    return pure + salinity_g_per_kg * salt


@published(
    source="tanaka_2001",
    locator="page 305, equation 1; with salt, the increment of EOS-80 (Millero & Poisson 1981)",
    status="as quoted",
    fitted=_FRESH_TO_SEA,
)
@blockwise()
def water_density_kg_per_m3(
    water_temp_c: Numbers, *, salinity_g_per_kg: Numbers = 0.0, method: DensityMethod = DensityMethod.TANAKA
) -> Numbers:
    """Density of water at atmospheric pressure.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].
    method : DensityMethod
        The fit for pure water; salt adds the increment of EOS-80 to any.

    Returns
    -------
    float or array
        Density [kg/m3].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Tanaka et al. (2001), 0-40 °C, for pure water; Millero & Poisson (1981) for the salt. Checked against both papers'
    tables, the EOS-80 check values, IAPWS-95 and gsw.

    Examples
    --------
    >>> round(water_density_kg_per_m3(20.0), 3)
    998.207
    """
    return _density(water_temp_c, salinity_g_per_kg, DensityMethod(method))


@published(
    source="millero_poisson_1981",
    locator="ratio of densities",
    status="derived",
    fitted=_FRESH_TO_SEA,
)
@blockwise()
def specific_gravity(
    salinity_g_per_kg: Numbers, *, water_temp_c: Numbers = 20.0, reference_temp_c: Numbers = 20.0
) -> Numbers:
    """Specific gravity of sea water, diluted or not.

    Parameters
    ----------
    salinity_g_per_kg : float or array
        Salinity [g/kg].
    water_temp_c : float or array
        Water temperature [°C].
    reference_temp_c : float or array
        Temperature of the pure water it is compared with, as the hydrometer is marked [°C].

    Returns
    -------
    float or array
        Density over that of pure water.

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    20/20 °C unless said otherwise; 15.6/15.6 and 25/25 are met too, and differ by 0.0003 at sea.

    Examples
    --------
    >>> round(specific_gravity(35.0, water_temp_c=25.0, reference_temp_c=25.0), 4)
    1.0264
    """
    return _density(water_temp_c, salinity_g_per_kg) / _density(reference_temp_c)


@published(
    source="millero_poisson_1981",
    locator="ratio of densities, solved for the salinity",
    status="derived",
    fitted={"water_temp_c": (0.0, 40.0), "reference_temp_c": (0.0, 40.0)},
)
def salinity_of_specific_gravity_g_per_kg(
    specific_gravity: Numbers, *, water_temp_c: Numbers = 20.0, reference_temp_c: Numbers = 20.0
) -> Numbers:
    """Salinity of sea water, diluted or not, from its specific gravity.

    Parameters
    ----------
    specific_gravity : float or array
        Density over that of pure water.
    water_temp_c : float or array
        Water temperature [°C].
    reference_temp_c : float or array
        Temperature of the pure water it is compared with, as the hydrometer is marked [°C].

    Returns
    -------
    float or array
        Salinity [g/kg].

    Raises
    ------
    ImpossibleInput
        The water would be lighter than pure water at its temperature, or heavier than with 60 g/kg.

    Notes
    -----
    Undoes `specific_gravity` by halving. A division of 0.001 on a hydrometer is 1.3 g/kg: below 5 g/kg use
    conductivity. Refractometers are often marked for NaCl and not for sea salt.

    Examples
    --------
    >>> round(salinity_of_specific_gravity_g_per_kg(1.0264, water_temp_c=25.0, reference_temp_c=25.0))
    35
    """
    wanted = specific_gravity * _density(reference_temp_c)
    lightest, heaviest = _density(water_temp_c), _density(water_temp_c, 60.0)
    wrong = (wanted < lightest * (1.0 - 1e-12)) | (wanted > heaviest)
    if wrong if isinstance(wrong, bool) else wrong.any():
        raise impossible("specific_gravity", specific_gravity, wrong, "that of water with 0 to 60 g/kg of salt")
    low, high = 0.0 * (wanted + water_temp_c), 0.0 * (wanted + water_temp_c) + 60.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        above = _density(water_temp_c, middle) > wanted
        high, low = choose(above, middle, high), choose(above, low, middle)
    return 0.5 * (low + high)
