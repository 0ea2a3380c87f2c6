"""Anaesthetic baths as data: published ranges, grams for a tub, stages in words, the time sheet, and revival.

Nothing here says that a level or a time proves death; the cases that lived are in `overdose_survivals`.
"""

from enum import StrEnum

from waterplan import tables
from waterplan.errors import Unanswerable
from waterplan.published import Numbers, published


class Depth(StrEnum):
    """What the bath is for."""

    SEDATION = "sedation"
    TRANSPORT = "transport"
    INDUCTION = "induction"
    MAINTENANCE = "maintenance"


@published(source="waterplan", locator="share of eugenol in the oil", status="derived")
def clove_oil_mg_per_l(eugenol_mg_per_l: Numbers, *, eugenol_fraction: Numbers | None) -> Numbers:
    """Clove oil that holds a level of eugenol: "mg/L clove oil" and "mg/L eugenol" are not the same.

    Parameters
    ----------
    eugenol_mg_per_l : float or array
        Eugenol wanted [mg/L].
    eugenol_fraction : float or array, optional
        Share of the oil that is eugenol, from the bottle [fraction].

    Returns
    -------
    float or array
        Clove oil [mg/L].

    Raises
    ------
    Unanswerable
        The share is not given.
    ImpossibleInput
        A figure is negative, not finite, or the share is above 1.

    Notes
    -----
    Clove oil is commonly 85 to 95 % eugenol; a product for fish may be a tenth. Checked against hand arithmetic.

    Examples
    --------
    >>> clove_oil_mg_per_l(40.0, eugenol_fraction=0.8)
    50.0
    """
    if eugenol_fraction is None:
        raise Unanswerable("the share of eugenol in the bottle of clove oil")
    return eugenol_mg_per_l / eugenol_fraction


def anaesthetic_agent(agent: str) -> tables.Row:
    """What is to be known of an anaesthetic before it is weighed.

    Parameters
    ----------
    agent : str
        Anaesthetic, as in the table `anaesthetic_agents`.

    Returns
    -------
    tables.Row
        `basis`: what a mg/L is of; `value`: a usual stock [mg/mL]; `prepare`, `cautions` and `law` in words.

    Raises
    ------
    LookupError
        The table does not know the agent.

    Notes
    -----
    The label comes before the table.

    Examples
    --------
    >>> anaesthetic_agent("eugenol")["basis"]
    'eugenol, not clove oil'
    """
    return tables.row("anaesthetic_agents", agent=agent)


def overdose_survivals(agent: str) -> tuple[tables.Row, ...]:
    """The fish that lived through an overdose: why no level and no time proves death.

    Parameters
    ----------
    agent : str
        Anaesthetic, as in the table `overdose_survivals`.

    Returns
    -------
    tuple of tables.Row
        `exposure` and how many of the fish lived (`value`, `unit`).

    Notes
    -----
    A second step and a check are the veterinarian's.

    Examples
    --------
    >>> overdose_survivals("tricaine")[1].value
    6.0
    """
    return tables.rows("overdose_survivals", agent=agent)
