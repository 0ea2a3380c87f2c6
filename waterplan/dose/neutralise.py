"""Taking oxidants out of water, the ammonia that chloramine leaves, and a hose left running."""

from waterplan import tables
from waterplan.published import Numbers, published

# One N for each Cl2-equivalent of monochloramine: 14.007 / 70.90.
_NITROGEN_PER_CHLORINE = 0.1975


@published(source="iupac_weights", locator="one N for each Cl2 of monochloramine", status="derived")
def ammonia_from_chloramine_mg_n_per_l(chlorine_mg_per_l: Numbers) -> Numbers:
    """Total ammonia that is left when monochloramine is broken.

    Parameters
    ----------
    chlorine_mg_per_l : float or array
        Total chlorine, taken to be monochloramine throughout [mg/L].

    Returns
    -------
    float or array
        Total ammonia added to the water [mg/L as N].

    Raises
    ------
    ImpossibleInput
        The chlorine is negative or not finite.

    Notes
    -----
    0.1975 mg N for each mg of chlorine (as Cl2). Checked against hand arithmetic.

    Examples
    --------
    >>> round(ammonia_from_chloramine_mg_n_per_l(3.0), 3)
    0.593
    """
    return chlorine_mg_per_l * _NITROGEN_PER_CHLORINE


@published(source="iupac_weights", locator="table neutralisers", status="derived")
def neutraliser_g(oxidant_g: Numbers, *, oxidant: str, neutraliser: str) -> Numbers:
    """Neutraliser for a mass of oxidant, from the table `neutralisers`.

    Parameters
    ----------
    oxidant_g : float or array
        Oxidant to be neutralised: chlorine as Cl2, iodine as I2, the whole salt otherwise [g].
    oxidant : str
        What is to be neutralised, as in the table.
    neutraliser : str
        What is in the jar, as in the table.

    Returns
    -------
    float or array
        Neutraliser [g].

    Raises
    ------
    ImpossibleInput
        The mass is negative or not finite.
    LookupError
        The table has no such pair.

    Notes
    -----
    An antidote: take the oxidant at its strongest and the volume at its high end, then test as the row's `test` says.
    Checked against the stoichiometry of each reaction from the atomic weights.

    Examples
    --------
    >>> neutraliser_g(4.0, oxidant="chlorine", neutraliser="thiosulphate pentahydrate")
    28.0
    """
    return oxidant_g * tables.row("neutralisers", oxidant=oxidant, neutraliser=neutraliser).value
