"""Days of a quarantine that say something of koi herpesvirus, by the water's temperature."""

from typing import NamedTuple

import numpy as np

from waterplan import tables
from waterplan.published import Numbers, published


class QuarantineDays(NamedTuple):
    """Days whose mean lies in the warm range, in the cool one, and outside both."""

    warm: int
    cool: int
    outside: int


@published(source="gilad_2003", locator="abstract; cool days by Yuasa 2008", status="derived")
def quarantine_days(water_temp_c: Numbers) -> QuarantineDays:
    """Counts the days of a quarantine by the range of temperature in which koi herpesvirus shows itself.

    Parameters
    ----------
    water_temp_c : array
        Mean water temperature of each day [°C].

    Returns
    -------
    QuarantineDays
        Days in the warm range, in the cool one below it, and in neither [days].

    Raises
    ------
    ImpossibleInput
        A temperature is not finite or not possible.

    Notes
    -----
    The ranges are rows of the table `quarantine`. A cold day stops the clock: none died at 13 °C, and those moved from
    there to 23 °C died soon. It is a count and releases no fish: survivors may carry the virus, and what breaks out in
    cool water is not seen by warm days. Checked by hand: 20 days at 23 °C and 15 at 14 °C are 20 warm days.

    Examples
    --------
    >>> import numpy as np
    >>> quarantine_days(np.array([23.0] * 20 + [14.0] * 15))
    QuarantineDays(warm=20, cool=0, outside=15)
    """
    days = np.atleast_1d(np.asarray(water_temp_c, dtype=np.float64))
    warm, cool = (tables.row("quarantine", rule=rule) for rule in ("warm", "cool"))
    is_warm = (days >= warm.low) & (days <= warm.high)
    is_cool = (days >= cool.low) & (days < cool.high)
    return QuarantineDays(warm=int(is_warm.sum()), cool=int(is_cool.sum()), outside=int((~(is_warm | is_cool)).sum()))
