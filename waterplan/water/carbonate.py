"""The carbonate system of fresh water: carbon dioxide from pH and alkalinity, pH in air, hardness."""

from waterplan.published import Numbers, published
from waterplan.water.blocks import in_blocks
from waterplan.water.carbonate_system import (
    CO2_MG_PER_MOL,
    MG_CACO3_PER_EQ,
    NAHCO3_MG_PER_MOL,
    co2_mol_per_l,
    ph_of_co2,
    refuse_more_hydroxide_than_alkalinity,
)
from waterplan.water.elementwise import larger
from waterplan.water.gas import co2_at_air_equilibrium_mg_per_l

_FITTED = {"water_temp_c": (0.0, 90.0)}


@published(
    source="plummer_busenberg_1982",
    locator="log K1 and log K2 by temperature; alkalinity = HCO3 + 2 CO3 + OH - H",
    fitted=_FITTED,
)
def co2_mg_per_l(ph: Numbers, *, alkalinity_mg_caco3_per_l: Numbers, water_temp_c: Numbers) -> Numbers:
    """Dissolved carbon dioxide of fresh water from its pH and alkalinity.

    Parameters
    ----------
    ph : float or array
        pH.
    alkalinity_mg_caco3_per_l : float or array
        Alkalinity [mg/L as CaCO3].
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Dissolved carbon dioxide [mg/L].

    Raises
    ------
    ImpossibleInput
        An argument is not possible, or the pH is too high for so little alkalinity.

    Notes
    -----
    Plummer & Busenberg (1982), 0-90 °C; it takes the alkalinity to be that of carbonate, without ammonia, humic acids
    or buffers. Carbon dioxide is very sensitive to pH: 0.1 of a unit is 23 to 26 %. Activities are taken for
    concentrations, as the printed tables do: a correction (Davies) would lower the answer by 4 to 8 % at an alkalinity of
    50-200, so that it errs on the safe side. Checked
    against the factors of Tucker (1984), within their 1 % up to 30 °C, and against the constants of Millero (1979).

    Examples
    --------
    >>> round(co2_mg_per_l(7.0, alkalinity_mg_caco3_per_l=100.0, water_temp_c=20.0), 1)
    21.2
    """
    co2 = CO2_MG_PER_MOL * in_blocks(
        co2_mol_per_l, ph=ph, alkalinity_eq=alkalinity_mg_caco3_per_l / MG_CACO3_PER_EQ, water_temp_c=water_temp_c
    )
    refuse_more_hydroxide_than_alkalinity(ph, co2)
    return co2


@published(
    source="plummer_busenberg_1982",
    locator="log K1 and log K2 by temperature, solved for the pH at the carbon dioxide of air (Weiss 1974)",
    fitted={"water_temp_c": (0.0, 45.0)},
)
def ph_in_air(
    alkalinity_mg_caco3_per_l: Numbers,
    *,
    water_temp_c: Numbers,
    co2_in_air_ppm: Numbers = 420.0,
    air_pressure_kpa: Numbers = 101.325,
) -> Numbers:
    """pH that fresh water drifts to when it is aerated until its carbon dioxide is that of the air.

    Parameters
    ----------
    alkalinity_mg_caco3_per_l : float or array
        Alkalinity [mg/L as CaCO3].
    water_temp_c : float or array
        Water temperature [°C].
    co2_in_air_ppm : float or array
        Carbon dioxide in dry air [ppm].
    air_pressure_kpa : float or array
        Air pressure where the water is [kPa].

    Returns
    -------
    float or array
        pH.

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    The carbon dioxide of air after Weiss (1974), the rest after Plummer & Busenberg (1982). Hard water may shed
    carbonate before it gets there, and respiring fish keep it from getting there.

    Examples
    --------
    >>> round(ph_in_air(100.0, water_temp_c=20.0), 1)
    8.5
    """
    co2 = co2_at_air_equilibrium_mg_per_l(
        water_temp_c, co2_in_air_ppm=co2_in_air_ppm, air_pressure_kpa=air_pressure_kpa
    )
    return in_blocks(
        ph_of_co2,
        co2_mol=co2 / CO2_MG_PER_MOL,
        alkalinity_eq=alkalinity_mg_caco3_per_l / MG_CACO3_PER_EQ,
        water_temp_c=water_temp_c,
    )


@published(source="iupac_weights", locator="NaHCO3 84.007, CaCO3 100.087")
def bicarbonate_for_alkalinity_mg_per_l(
    wanted_alkalinity_mg_caco3_per_l: Numbers, *, alkalinity_mg_caco3_per_l: Numbers
) -> Numbers:
    """Sodium bicarbonate that brings the alkalinity to a wanted value.

    Parameters
    ----------
    wanted_alkalinity_mg_caco3_per_l : float or array
        Alkalinity that is wanted [mg/L as CaCO3].
    alkalinity_mg_caco3_per_l : float or array
        Alkalinity that there is [mg/L as CaCO3].

    Returns
    -------
    float or array
        Sodium bicarbonate to add; none where there is enough [mg/L as NaHCO3].

    Raises
    ------
    ImpossibleInput
        An argument is not finite, or negative.

    Notes
    -----
    1.679 mg/L for each mg/L of alkalinity. It raises the pH, and with it the un-ionised ammonia.

    Examples
    --------
    >>> round(bicarbonate_for_alkalinity_mg_per_l(101.0, alkalinity_mg_caco3_per_l=100.0), 3)
    1.679
    """
    missing = wanted_alkalinity_mg_caco3_per_l - alkalinity_mg_caco3_per_l
    return larger(missing, 0.0) * (NAHCO3_MG_PER_MOL / MG_CACO3_PER_EQ)
