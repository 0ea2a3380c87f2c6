"""A bath of tricaine in this water: its acid, and the bicarbonate for it."""

from waterplan.published import Numbers, published
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

# mg of CaCO3 that take up a millimole of strong acid, from the standard atomic weights.
_MG_CACO3_PER_MMOL = 50.043
_TRICAINE_MG_PER_MMOL = 261.29


@published(
    source="iupac_weights",
    locator="C9H11NO2.CH4O3S, 261.29 g/mol, taken as one equivalent of strong acid",
    status="derived",
)
def tricaine_acid_mmol_per_l(tricaine_mg_per_l: Numbers) -> Numbers:
    """Acid that tricaine methanesulfonate brings into the water.

    Parameters
    ----------
    tricaine_mg_per_l : float or array
        Tricaine methanesulfonate [mg/L].

    Returns
    -------
    float or array
        Strong acid [mmol/L].

    Raises
    ------
    ImpossibleInput
        The argument is not finite, or negative.

    Notes
    -----
    One mole of methanesulfonic acid a mole. Bicarbonate that takes it up sets free as many moles of carbon dioxide:
    16.8 mg/L for each 100 mg/L of tricaine, until it has aired away. The base form (benzocaine) brings none.

    Examples
    --------
    >>> round(tricaine_acid_mmol_per_l(100.0), 3)
    0.383
    """
    return tricaine_mg_per_l / _TRICAINE_MG_PER_MMOL


@published(source="iupac_weights", locator="one strong acid for each tricaine methanesulfonate", status="derived")
def tricaine_acid_mg_caco3_per_l(tricaine_mg_per_l: Numbers) -> Numbers:
    """Alkalinity that tricaine takes out of the water.

    Parameters
    ----------
    tricaine_mg_per_l : float or array
        Tricaine methanesulfonate [mg/L].

    Returns
    -------
    float or array
        Alkalinity taken [mg/L as CaCO3].

    Raises
    ------
    ImpossibleInput
        The level is negative or not finite.

    Notes
    -----
    0.1915 mg as CaCO3 for each mg: one equivalent of methanesulfonic acid in 261.3 g. Checked against hand arithmetic.

    Examples
    --------
    >>> round(tricaine_acid_mg_caco3_per_l(100.0), 1)
    19.2
    """
    return tricaine_acid_mmol_per_l(tricaine_mg_per_l) * _MG_CACO3_PER_MMOL


@published(source="iupac_weights", locator="alkalinity balance", status="derived")
def bicarbonate_needed_mg_per_l(
    tricaine_mg_per_l: Numbers, *, alkalinity_mg_caco3_per_l: Numbers, end_alkalinity_mg_caco3_per_l: Numbers
) -> Numbers:
    """Sodium bicarbonate that leaves a wanted alkalinity once tricaine has taken its part.

    Parameters
    ----------
    tricaine_mg_per_l : float or array
        Tricaine methanesulfonate [mg/L].
    alkalinity_mg_caco3_per_l : float or array
        Alkalinity of the water before [mg/L as CaCO3].
    end_alkalinity_mg_caco3_per_l : float or array
        Alkalinity wanted in the bath [mg/L as CaCO3].

    Returns
    -------
    float or array
        Sodium bicarbonate, 0 where the water carries the acid by itself [mg/L].

    Raises
    ------
    ImpossibleInput
        A figure is negative or not finite.

    Notes
    -----
    What the water needs, against the 1 to 1 by mass of the trade (`tricaine_buffer`), which brings about three times
    what the acid takes. Checked by putting it back into the balance.

    Examples
    --------
    >>> round(bicarbonate_needed_mg_per_l(100.0, alkalinity_mg_caco3_per_l=0.0, end_alkalinity_mg_caco3_per_l=0.0), 1)
    32.2
    """
    wanted = end_alkalinity_mg_caco3_per_l + tricaine_acid_mg_caco3_per_l(tricaine_mg_per_l)
    return bicarbonate_for_alkalinity_mg_per_l(wanted, alkalinity_mg_caco3_per_l=alkalinity_mg_caco3_per_l)
