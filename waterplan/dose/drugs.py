"""Drugs as data: published ranges with their status, what is withheld, and the questions of a food fish."""

from math import inf

from waterplan import tables
from waterplan.errors import Refused
from waterplan.published import Numbers, published

_DEGREE_DAYS = 500.0


def drug_doses(drug: str) -> tuple[tables.Row, ...]:
    """The doses that are reported for a drug, each with species, route, evidence and status; none is chosen.

    Parameters
    ----------
    drug : str
        Drug, as in the table `drugs`.

    Returns
    -------
    tuple of tables.Row
        The rows; a row that is `withheld` says why in its reason.

    Raises
    ------
    Refused
        Every row of the drug is withheld.
    LookupError
        The table does not know the drug.

    Notes
    -----
    The table shows; the veterinarian chooses.

    Examples
    --------
    >>> [row.value for row in drug_doses("flunixin")]
    [0.5, 2.2]
    """
    rows = tables.rows("drugs", drug=drug)
    if not rows:
        raise LookupError(f"drugs: no row for {drug}")
    if all(row["withheld"] for row in rows):
        raise Refused(f"no dose of {drug} is shown: {rows[0].reason}")
    return rows


def withdrawal_questions() -> tuple[tables.Row, ...]:
    """What to ask of food use, licence, consent and record.

    Returns
    -------
    tuple of tables.Row
        The questions in order, each with its `question` and `why`.

    Notes
    -----
    General terms and no legal advice: the veterinarian, the label and local law decide.

    Examples
    --------
    >>> withdrawal_questions()[0]["question"][:19]
    'Could this fish, or'
    """
    return tuple(sorted(tables.rows("withdrawal_questions"), key=lambda row: int(row["order"])))


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
