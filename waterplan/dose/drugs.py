"""Drugs as data: published ranges with their status, what is withheld, and the questions of a food fish."""

from math import inf

from waterplan import tables
from waterplan.published import Numbers, published

_DEGREE_DAYS = 500.0


def nsaids() -> frozenset[str]:
    """The drugs of the table `drugs` of which no two go together: anti-inflammatories without steroid."""
    return frozenset(row["drug"] for row in tables.rows("drugs", kind="NSAID"))


@published(source="eu_2019_6", locator="default withdrawal of 500 degree-days", status="as quoted")
def withdrawal_days(water_temp_c: Numbers) -> Numbers:
    """Days until 500 degree-days have passed at a mean water temperature.

    Parameters
    ----------
    water_temp_c : float or array
        Mean water temperature [°C].

    Returns
    -------
    float or array
        Days; infinite at or below 0 °C [d].

    Raises
    ------
    ImpossibleInput
        The temperature is not finite or not one of water.

    Notes
    -----
    The default of the European cascade for fish where no product has its own; which rule holds is a question of law.
    Checked against hand arithmetic.

    Examples
    --------
    >>> withdrawal_days(20.0)
    25.0
    """
    if isinstance(water_temp_c, float):
        return _DEGREE_DAYS / water_temp_c if water_temp_c > 0.0 else inf
    days = _DEGREE_DAYS / water_temp_c.clip(min=1e-300)
    days[water_temp_c <= 0.0] = inf
    return days
