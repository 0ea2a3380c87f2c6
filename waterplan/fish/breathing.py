"""How fast a goldfish breathes at rest: what its own count before an operation is set beside."""

import numpy as np

from waterplan.published import Numbers, published

# Gill beats a minute of 14 goldfish of 9 to 13 cm at 7.5 mg/L of oxygen, at 10, 20 and 30 °C.
_TEMPERATURE_C = np.array([10.0, 20.0, 30.0])
_LOG_BEATS = np.log([60.7, 110.2, 148.9])


@published(source="hirama_kitano_1997", locator="abstract", fitted={"water_temp_c": (10.0, 30.0)})
def goldfish_breaths_per_min(water_temp_c: Numbers) -> Numbers:
    """Gill beats a minute of a goldfish at rest.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Openings of the gill cover [1/min].

    Raises
    ------
    ImpossibleInput
        The temperature is not finite or not one of water.

    Notes
    -----
    The means of 10, 20 and 30 °C, joined by a constant factor for each degree; outside them the nearest mean. Large
    fish breathe more slowly, and every fish faster with less oxygen: the patient's own count before is what it comes
    back to. Checked against the means and hand arithmetic.

    Examples
    --------
    >>> round(goldfish_breaths_per_min(20.0), 1)
    110.2
    """
    beats = np.exp(np.interp(water_temp_c, _TEMPERATURE_C, _LOG_BEATS))
    return float(beats) if isinstance(water_temp_c, float) else np.asarray(beats)
