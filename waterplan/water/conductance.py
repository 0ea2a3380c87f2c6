"""Conductivity brought to 25 °C, and back to the temperature of the water."""

from enum import StrEnum

import numpy as np

from waterplan.errors import Limits
from waterplan.published import Numbers, published, require_possible

# ISO 7888, factor from the conductivity of natural water at 0, 1, ... 35 degrees to that at 25.
_ISO_7888 = np.array(
    [
        *(1.918, 1.857, 1.800, 1.745, 1.693, 1.643, 1.596, 1.551, 1.508, 1.467, 1.428, 1.390),
        *(1.354, 1.320, 1.287, 1.256, 1.225, 1.196, 1.168, 1.141, 1.116, 1.091, 1.067, 1.044),
        *(1.021, 1.000, 0.979, 0.959, 0.940, 0.921, 0.903, 0.886, 0.869, 0.853, 0.837, 0.822),
    ]
)
_ISO_DEGREES = np.arange(_ISO_7888.size, dtype=np.float64)
_ISO_LIMITS = Limits(0.0, 35.0)
_FITTED = {"water_temp_c": (0.0, 35.0)}


class TemperatureCompensation(StrEnum):
    """How a conductivity is brought to 25 °C."""

    METER = "1.91 % a degree"
    NATURAL_WATER = "1.87 % a degree"
    SODIUM_CHLORIDE = "2.12 % a degree"
    ISO_7888 = "ISO 7888 table"


_PER_DEGREE = {
    TemperatureCompensation.METER: 0.0191,
    TemperatureCompensation.NATURAL_WATER: 0.0187,
    TemperatureCompensation.SODIUM_CHLORIDE: 0.0212,
}


def _to_25(water_temp_c: Numbers, compensation: TemperatureCompensation) -> Numbers:
    if compensation is not TemperatureCompensation.ISO_7888:
        return 1.0 / (1.0 + _PER_DEGREE[compensation] * (water_temp_c - 25.0))
    require_possible("water_temp_c", water_temp_c, _ISO_LIMITS, "°C for the ISO 7888 table")
    factor = np.interp(water_temp_c, _ISO_DEGREES, _ISO_7888)
    return float(factor) if isinstance(water_temp_c, float) else np.asarray(factor, dtype=np.float64)


@published(
    source="hayashi_2004",
    locator="linear compensation; 1.91 % a degree is the common setting of meters",
    fitted=_FITTED,
    possible={"water_temp_c": (-5.0, 60.0)},
)
def specific_conductance_ms_per_cm(
    conductivity_ms_per_cm: Numbers,
    *,
    water_temp_c: Numbers,
    compensation: TemperatureCompensation = TemperatureCompensation.METER,
) -> Numbers:
    """Conductivity brought to 25 °C.

    Parameters
    ----------
    conductivity_ms_per_cm : float or array
        Conductivity at the temperature of the water [mS/cm]. A meter that shows it at 25 °C has done this already.
    water_temp_c : float or array
        Water temperature [°C].
    compensation : TemperatureCompensation
        How it is brought to 25 °C.

    Returns
    -------
    float or array
        Specific conductance [mS/cm].

    Raises
    ------
    ImpossibleInput
        An argument is not possible, or lies outside 0-35 °C of the ISO 7888 table where that is asked for.

    Notes
    -----
    kappa / [1 + a (t - 25)]. Natural waters have a of 0.0175-0.0198, mean 0.0187, with an error under 2 % from 10 °C
    up (Hayashi 2004). The ISO 7888 table and 1.91 % a degree are within 2 % of each other from 0 to 30 °C. Checked
    against the KCl standards of the CRC Handbook.

    Examples
    --------
    >>> round(specific_conductance_ms_per_cm(1.27303, water_temp_c=20.0), 3)
    1.407
    """
    return conductivity_ms_per_cm * _to_25(water_temp_c, TemperatureCompensation(compensation))


@published(
    source="hayashi_2004",
    locator="linear compensation; 1.91 % a degree is the common setting of meters",
    fitted=_FITTED,
    possible={"water_temp_c": (-5.0, 60.0)},
)
def uncompensated_conductivity_ms_per_cm(
    specific_conductance_ms_per_cm: Numbers,
    *,
    water_temp_c: Numbers,
    compensation: TemperatureCompensation = TemperatureCompensation.METER,
) -> Numbers:
    """Conductivity at the temperature of the water, from what a meter shows for 25 °C.

    Parameters
    ----------
    specific_conductance_ms_per_cm : float or array
        Conductivity brought to 25 °C [mS/cm].
    water_temp_c : float or array
        Water temperature [°C].
    compensation : TemperatureCompensation
        How the meter brought it to 25 °C.

    Returns
    -------
    float or array
        Conductivity at the temperature of the water [mS/cm].

    Raises
    ------
    ImpossibleInput
        An argument is not possible, or lies outside 0-35 °C of the ISO 7888 table where that is asked for.

    Notes
    -----
    Undoes `specific_conductance_ms_per_cm`; practical salinity is defined on the reading without compensation.

    Examples
    --------
    >>> round(uncompensated_conductivity_ms_per_cm(1.407, water_temp_c=20.0), 3)
    1.273
    """
    return specific_conductance_ms_per_cm / _to_25(water_temp_c, TemperatureCompensation(compensation))
