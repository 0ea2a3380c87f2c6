"""Heat of a body of water: warming it, what walls and surface lose, what evaporates."""

import numpy as np

from waterplan.published import Numbers, published
from waterplan.water.atmosphere import water_vapour_pressure_kpa

# Heat capacity of a litre of water at 20 °C, 0.9982 kg x 4.182 kJ/kg/K; heat of evaporation near 25 °C [kJ/kg].
KJ_PER_L_K = 0.9982 * 4.182
KJ_PER_WH = 3.6
EVAPORATION_KJ_PER_KG = 2442.0


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
    # Air that is colder than -5 °C holds next to no vapour: it is taken to hold what it does there.
    return relative_humidity * np.asarray(water_vapour_pressure_kpa(np.maximum(air_temp_c, -5.0)))
