"""Nitrite: its bases, the chloride that keeps it out of a fish, and the salt that brings the chloride."""

from waterplan.published import Numbers, published
from waterplan.water.elementwise import larger

# Chloride in sodium chloride by mass, from the standard atomic weights: Na 22.990, Cl 35.45.
_CHLORIDE_OF_NACL = 35.45 / 58.44


@published(source="tomasso_1979", locator="chloride against nitrite; arithmetic", status="derived")
def chloride_needed_mg_per_l(
    nitrite_mg_no2_per_l: Numbers,
    *,
    ratio: Numbers,
    chloride_mg_per_l: Numbers = 0.0,
) -> Numbers:
    """Chloride to add so that it stands in a ratio to the nitrite.

    Parameters
    ----------
    nitrite_mg_no2_per_l : float or array
        Nitrite [mg/L as NO2].
    ratio : float or array
        Mass of chloride to mass of nitrite ion to reach.
    chloride_mg_per_l : float or array
        Chloride that is there already [mg/L].

    Returns
    -------
    float or array
        Chloride to add; none where there is enough [mg/L].

    Raises
    ------
    ImpossibleInput
        An argument is not finite, or negative.

    Notes
    -----
    max(0, ratio times nitrite - chloride). Published ratios differ in their basis, by a factor of up to 3.3. Fish differ: in
    largemouth bass chloride added no tolerance (Tomasso 1986).

    Examples
    --------
    >>> round(chloride_needed_mg_per_l(6.569, ratio=10.0, chloride_mg_per_l=20.0), 1)
    45.7
    """
    wanted = nitrite_mg_no2_per_l * ratio
    return larger(wanted - chloride_mg_per_l, 0.0)


@published(source="iupac_weights", locator="Na 22.990, Cl 35.45")
def salt_for_chloride_mg_per_l(chloride_mg_per_l: Numbers) -> Numbers:
    """Sodium chloride that brings an amount of chloride.

    Parameters
    ----------
    chloride_mg_per_l : float or array
        Chloride to bring [mg/L].

    Returns
    -------
    float or array
        Pure sodium chloride [mg/L].

    Raises
    ------
    ImpossibleInput
        The chloride is not finite, or negative.

    Notes
    -----
    Chloride is 0.6066 of sodium chloride by mass.

    Examples
    --------
    >>> round(salt_for_chloride_mg_per_l(45.7), 1)
    75.3
    """
    return chloride_mg_per_l / _CHLORIDE_OF_NACL
