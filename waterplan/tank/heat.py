"""Heat of a body of water: warming it, what walls and surface lose, what evaporates."""

import numpy as np

from waterplan.published import Numbers, published
from waterplan.water.atmosphere import water_vapour_pressure_kpa

# Heat capacity of a litre of water at 20 °C, 0.9982 kg x 4.182 kJ/kg/K; heat of evaporation near 25 °C [kJ/kg].
KJ_PER_L_K = 0.9982 * 4.182
KJ_PER_WH = 3.6
EVAPORATION_KJ_PER_KG = 2442.0


@published(source="crc_handbook", locator="density and heat capacity of water at 20 °C", status="from memory")
def warming_kwh(volume_l: Numbers, *, temp_rise_c: Numbers) -> Numbers:
    """Heat that warms a volume of water.

    Parameters
    ----------
    volume_l : float or array
        Volume of water [L].
    temp_rise_c : float or array
        Rise of temperature [°C].

    Returns
    -------
    float or array
        Heat [kWh].

    Raises
    ------
    ImpossibleInput
        A volume or rise that is not finite or not possible.

    Notes
    -----
    0.9982 kg/L x 4.182 kJ/kg/K. Checked by hand: 1000 L by 10 °C: 11.60 kWh.

    Examples
    --------
    >>> round(warming_kwh(1000.0, temp_rise_c=10.0), 2)
    11.6
    """
    return volume_l * temp_rise_c * KJ_PER_L_K / 3600.0


@published(source="mass_balance", locator="U A (t - t air)", status="derived")
def wall_loss_w(
    wall_area_m2: Numbers, *, wall_u_w_per_m2_k: Numbers, water_temp_c: Numbers, air_temp_c: Numbers
) -> Numbers:
    """Heat lost through the walls.

    Parameters
    ----------
    wall_area_m2 : float or array
        Wall and floor that water touches [m2].
    wall_u_w_per_m2_k : float or array
        Heat that passes per area and degree [W/m2/K].
    water_temp_c : float or array
        Water temperature [°C].
    air_temp_c : float or array
        Air temperature [°C].

    Returns
    -------
    float or array
        Heat lost; negative where the room is warmer [W].

    Raises
    ------
    ImpossibleInput
        An argument that is not finite or not possible.

    Notes
    -----
    U A dT. Checked by hand: 4.8 m², 5 W/m²/K, 10 °C: 240 W.

    Examples
    --------
    >>> wall_loss_w(4.8, wall_u_w_per_m2_k=5.0, water_temp_c=25.0, air_temp_c=15.0)
    240.0
    """
    return wall_area_m2 * wall_u_w_per_m2_k * (np.asarray(water_temp_c) - air_temp_c)


@published(
    source="ashrae_hvac",
    locator="swimming pools: A (pw - pa)(0.089 + 0.0782 v)/Y (Carrier 1918)",
    status="from memory",
    fitted={"water_temp_c": (5.0, 40.0), "air_speed_m_per_s": (0.0, 1.0)},
)
def evaporation_kg_per_h(
    area_m2: Numbers,
    *,
    water_temp_c: Numbers,
    air_vapour_kpa: Numbers,
    air_speed_m_per_s: Numbers = 0.1,
) -> Numbers:
    """Water that evaporates from an open surface.

    Parameters
    ----------
    area_m2 : float or array
        Surface [m2].
    water_temp_c : float or array
        Water temperature [°C].
    air_vapour_kpa : float or array
        Pressure of the water vapour in the room's air [kPa].
    air_speed_m_per_s : float or array
        Air over the surface [m/s].

    Returns
    -------
    float or array
        Water lost; negative where the room's moisture condenses on cold water [kg/h].

    Raises
    ------
    ImpossibleInput
        An argument that is negative, not finite or not possible.

    Notes
    -----
    Carrier's line, Y the heat of evaporation. Quiet pools evaporated 74 % of it (Smith, Löf & Jones 1998), which the
    tables hold as a factor. Checked by hand: 2 m², 25 °C, air 20 °C at 60 %, 0.1 m/s: 0.504 kg/h.

    Examples
    --------
    >>> vapour = air_vapour_kpa(0.6, air_temp_c=20.0)
    >>> round(evaporation_kg_per_h(2.0, water_temp_c=25.0, air_vapour_kpa=vapour, air_speed_m_per_s=0.1), 3)
    0.504
    """
    excess = water_vapour_pressure_kpa(water_temp_c) - air_vapour_kpa
    return area_m2 * excess * evaporation_kg_per_h_m2_kpa(air_speed_m_per_s)


def evaporation_kg_per_h_m2_kpa(air_speed_m_per_s: Numbers) -> Numbers:
    """Carrier's line per surface and per difference of vapour pressure [kg/h/m²/kPa]."""
    return (0.089 + 0.0782 * np.asarray(air_speed_m_per_s)) * 3600.0 / EVAPORATION_KJ_PER_KG


@published(source="ashrae_2017", locator="relative humidity x saturated pressure", status="as quoted")
def air_vapour_kpa(relative_humidity: Numbers, *, air_temp_c: Numbers) -> Numbers:
    """Pressure of the water vapour in a room's air.

    Parameters
    ----------
    relative_humidity : float or array
        Relative humidity [-].
    air_temp_c : float or array
        Air temperature [°C].

    Returns
    -------
    float or array
        Vapour pressure [kPa].

    Raises
    ------
    ImpossibleInput
        A humidity outside 0 to 1 or an air temperature that is not possible.

    Notes
    -----
    Below 0 °C the pressure is that over supercooled water.

    Examples
    --------
    >>> round(air_vapour_kpa(0.6, air_temp_c=20.0), 3)
    1.403
    """
    return relative_humidity * np.asarray(water_vapour_pressure_kpa(air_temp_c))


@published(source="incropera", locator="1/U = 1/h_in + thickness/conductivity + 1/h_out", status="from memory")
def wall_u_w_per_m2_k(
    thickness_m: Numbers,
    *,
    conductivity_w_per_m_k: Numbers,
    outside_w_per_m2_k: Numbers = 9.0,
    inside_w_per_m2_k: Numbers = 100.0,
) -> Numbers:
    """Heat that passes a wall per area and degree.

    Parameters
    ----------
    thickness_m : float or array
        Thickness of the wall [m].
    conductivity_w_per_m_k : float or array
        Heat conductivity of its material [W/m/K].
    outside_w_per_m2_k, inside_w_per_m2_k : float or array
        Heat transfer to still air and from gently moved water [W/m2/K].

    Returns
    -------
    float or array
        U value [W/m2/K].

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite, or a conductivity or transfer of zero.

    Notes
    -----
    Resistances in a row; 8-10 W/m²/K to still air. 50 mm of foam (0.035 W/m/K) gives 0.65 by hand, glass of 10 mm 7.6.

    Examples
    --------
    >>> round(wall_u_w_per_m2_k(0.05, conductivity_w_per_m_k=0.035), 2)
    0.65
    """
    wall = thickness_m / np.asarray(conductivity_w_per_m_k)
    return 1.0 / (1.0 / np.asarray(inside_w_per_m2_k) + wall + 1.0 / np.asarray(outside_w_per_m2_k))
