"""Gas supersaturation: what depth makes up for, what warming does, what shallow tanks allow."""

from waterplan.published import Numbers, published
from waterplan.water.atmosphere import water_vapour_pressure_kpa
from waterplan.water.elementwise import choose, smaller

_G, _PA_PER_MMHG, _KPA_PER_MMHG, _ATM_KPA = 9.80665, 133.322, 0.133322, 101.325
_O2, _AR = 0.20946, 0.00934
# British Columbia 1994, equation 4: threshold [mmHg] of over-inflation of the swim bladder, depth in m, pO2 in mmHg.
_BC_PER_M, _BC_PER_PO2, _BC_DEEP_MMHG = 73.89, 0.15, 76.0
# Oxygen and argon in dry air by volume; what is neither is counted as nitrogen.
_NOT_BOILING = {"water_temp_c": (-5.0, 60.0), "warmed_temp_c": (-5.0, 60.0)}


def _dry_mmhg(water_temp_c: Numbers, air_pressure_kpa: Numbers) -> Numbers:
    return (air_pressure_kpa - water_vapour_pressure_kpa(water_temp_c)) / _KPA_PER_MMHG


@published(
    source="colt_1984",
    locator="partial pressures added up; no locator",
    status="derived",
    fitted={"water_temp_c": (0.0, 40.0)},
    possible=_NOT_BOILING,
)
def delta_p_of_gases_mmhg(
    percent_sat: Numbers,
    *,
    nitrogen_percent_sat: Numbers = 100.0,
    water_temp_c: Numbers,
    air_pressure_kpa: Numbers = 101.325,
) -> Numbers:
    """Total gas pressure above the air pressure, from the saturations of oxygen and of nitrogen.

    Parameters
    ----------
    percent_sat : float or array
        Oxygen as a share of saturation with air [%].
    nitrogen_percent_sat : float or array
        Nitrogen with argon as a share of saturation with air [%].
    water_temp_c : float or array
        Water temperature [°C].
    air_pressure_kpa : float or array
        Air pressure where the water is [kPa].

    Returns
    -------
    float or array
        Total gas pressure above the air pressure [mmHg].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    What is not oxygen in dry air (0.79054) is counted with nitrogen. Oxygen at 200 % over nitrogen at equilibrium is
    155.5 mmHg at 20 °C: total gas 120 %.

    Examples
    --------
    >>> round(delta_p_of_gases_mmhg(200.0, water_temp_c=20.0), 1)
    155.5
    """
    dry = _dry_mmhg(water_temp_c, air_pressure_kpa)
    return dry * (_O2 * (percent_sat / 100.0 - 1.0) + (1.0 - _O2) * (nitrogen_percent_sat / 100.0 - 1.0))


@published(
    source="bc_1994",
    locator="equation 4 (depth below 1 m); 76 mmHg (1 m and more)",
    status="from memory",
    fitted={"depth_m": (0.0, 10.0), "po2_mmhg": (50.0, 400.0)},
)
def delta_p_limit_mmhg(depth_m: Numbers, *, po2_mmhg: Numbers) -> Numbers:
    """Total gas pressure above the air pressure that a depth of water allows.

    Parameters
    ----------
    depth_m : float or array
        Depth of water that the fish can use [m].
    po2_mmhg : float or array
        Partial pressure of oxygen [mmHg].

    Returns
    -------
    float or array
        The most that total gas pressure may be above the air pressure [mmHg].

    Raises
    ------
    ImpossibleInput
        An argument is not finite, or negative.

    Notes
    -----
    British Columbia (1994), taken over by the Canadian guidelines (1999): 76 mmHg from 1 m down; in shallower water
    the threshold at which swim bladders over-inflate, 73.89 depth + 0.15 pO2, and never more than 76. The form of the
    equation is from memory. At the surface it gives 24 mmHg: trout showed it from 27 (Shrimpton et al. 1990), larval
    striped bass from 22.

    Examples
    --------
    >>> round(delta_p_limit_mmhg(0.0, po2_mmhg=160.0), 1)
    24.0
    """
    shallow = smaller(_BC_PER_M * depth_m + _BC_PER_PO2 * po2_mmhg, _BC_DEEP_MMHG)
    return choose(depth_m >= 1.0, _BC_DEEP_MMHG, shallow)
