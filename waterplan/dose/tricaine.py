"""The acid that tricaine brings into the bath, and the bicarbonate for it."""

from waterplan import tables
from waterplan.published import Numbers, published
from waterplan.water.elementwise import larger

# g/mol, from the standard atomic weights: C9H11NO2.CH4SO3, NaHCO3; an equivalent of alkalinity as CaCO3.
_TRICAINE, _BICARBONATE, _ALKALINITY = 261.30, 84.007, 50.043


@published(source="iupac_2021", locator="one strong acid for each tricaine methanesulfonate", status="derived")
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
    return tricaine_mg_per_l * _ALKALINITY / _TRICAINE


@published(source="iupac_2021", locator="84.007 / 50.043", status="derived")
def bicarbonate_alkalinity_mg_caco3_per_l(bicarbonate_mg_per_l: Numbers) -> Numbers:
    """Alkalinity that sodium bicarbonate brings into the water.

    Parameters
    ----------
    bicarbonate_mg_per_l : float or array
        Sodium bicarbonate added [mg/L].

    Returns
    -------
    float or array
        Alkalinity brought [mg/L as CaCO3].

    Raises
    ------
    ImpossibleInput
        The level is negative or not finite.

    Notes
    -----
    1.679 mg of bicarbonate for 1 mg of alkalinity. Checked against hand arithmetic.

    Examples
    --------
    >>> round(bicarbonate_alkalinity_mg_caco3_per_l(100.0), 1)
    59.6
    """
    return bicarbonate_mg_per_l * _ALKALINITY / _BICARBONATE


@published(source="iupac_2021", locator="alkalinity balance", status="derived")
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
    32.1
    """
    lacking = (
        end_alkalinity_mg_caco3_per_l - alkalinity_mg_caco3_per_l + tricaine_acid_mg_caco3_per_l(tricaine_mg_per_l)
    )
    return larger(lacking, 0.0) * _BICARBONATE / _ALKALINITY


def buffer_ratio(how: str) -> tables.Row:
    """Bicarbonate for a gram of tricaine as the trade and the papers give it.

    Parameters
    ----------
    how : str
        Which rule, as in the table `tricaine_buffer`.

    Returns
    -------
    tables.Row
        `value` [g/g] with its source and status.

    Raises
    ------
    LookupError
        The table has no such rule.

    Notes
    -----
    By mass; the water's own alkalinity decides what it does to pH.

    Examples
    --------
    >>> buffer_ratio("one to one").value
    1.0
    """
    return tables.row("tricaine_buffer", how=how)
