"""Nitrite: its bases, the chloride that keeps it out of a fish, and the salt that brings the chloride."""

from enum import StrEnum

from waterplan.published import Numbers, published
from waterplan.water.elementwise import larger

# Standard atomic weights: N 14.007, O 15.999, Na 22.990, Cl 35.45, Ca 40.078, H 1.008.
_N, _NO2, _CL = 14.007, 46.005, 35.45


class RatioBasis(StrEnum):
    """What a ratio of chloride to nitrite is a ratio of; published ratios differ in this, and often do not say."""

    MASS_NO2 = "mass of chloride to mass of nitrite ion (NO2)"
    MASS_N = "mass of chloride to mass of nitrite nitrogen (N)"
    MOLAR = "moles of chloride to moles of nitrite"


class ChlorideSalt(StrEnum):
    """A salt that brings chloride."""

    NACL = "sodium chloride"
    CACL2 = "calcium chloride, anhydrous"
    CACL2_2H2O = "calcium chloride dihydrate"


_PER_MASS_NO2 = {RatioBasis.MASS_NO2: 1.0, RatioBasis.MASS_N: _N / _NO2, RatioBasis.MOLAR: _CL / _NO2}
_CHLORIDE_SHARE = {
    ChlorideSalt.NACL: _CL / 58.44,
    ChlorideSalt.CACL2: 2.0 * _CL / 110.978,
    ChlorideSalt.CACL2_2H2O: 2.0 * _CL / 147.008,
}


@published(source="tomasso_1979", locator="chloride against nitrite; arithmetic", status="derived")
def chloride_needed_mg_per_l(
    nitrite_mg_no2_per_l: Numbers,
    *,
    ratio: Numbers,
    basis: RatioBasis = RatioBasis.MASS_NO2,
    chloride_mg_per_l: Numbers = 0.0,
) -> Numbers:
    """Chloride to add so that it stands in a ratio to the nitrite.

    Parameters
    ----------
    nitrite_mg_no2_per_l : float or array
        Nitrite [mg/L as NO2].
    ratio : float or array
        Ratio of chloride to nitrite to reach, on the basis named.
    basis : RatioBasis
        What it is a ratio of.
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
    max(0, ratio times nitrite - chloride). The basis changes the answer by a factor of up to 3.3. Fish differ: in
    largemouth bass chloride added no tolerance (Tomasso 1986).

    Examples
    --------
    >>> round(chloride_needed_mg_per_l(6.569, ratio=10.0, chloride_mg_per_l=20.0), 1)
    45.7
    """
    wanted = nitrite_mg_no2_per_l * ratio * _PER_MASS_NO2[RatioBasis(basis)]
    return larger(wanted - chloride_mg_per_l, 0.0)


@published(source="iupac_weights", locator="Na 22.990, Ca 40.078, Cl 35.45, H 1.008, O 15.999")
def salt_for_chloride_mg_per_l(chloride_mg_per_l: Numbers, *, salt: ChlorideSalt = ChlorideSalt.NACL) -> Numbers:
    """Salt that brings an amount of chloride.

    Parameters
    ----------
    chloride_mg_per_l : float or array
        Chloride to bring [mg/L].
    salt : ChlorideSalt
        The salt.

    Returns
    -------
    float or array
        Pure salt [mg/L].

    Raises
    ------
    ImpossibleInput
        The chloride is not finite, or negative.

    Notes
    -----
    Chloride by mass: NaCl 0.6066, CaCl2 0.6389, CaCl2 dihydrate 0.4823.

    Examples
    --------
    >>> round(salt_for_chloride_mg_per_l(45.7), 1)
    75.3
    """
    return chloride_mg_per_l / _CHLORIDE_SHARE[ChlorideSalt(salt)]
