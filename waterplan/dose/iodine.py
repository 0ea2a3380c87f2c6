"""Povidone-iodine: % povidone-iodine and mg/L available iodine kept apart."""

from waterplan import tables
from waterplan.published import Numbers, published

# Available iodine is nominally a tenth of povidone-iodine by mass; 1 % is 10 mg in a mL.
_AVAILABLE = 0.10
_MG_PER_ML_PER_PERCENT = 10.0


@published(
    source="bp_2013_pvpi",
    locator="content, 0.85 to 1.20 % w/v available iodine",
    possible={"pvp_iodine_percent": (0.001, 100.0)},
)
def available_iodine_mg_per_ml(pvp_iodine_percent: Numbers) -> Numbers:
    """Available iodine in a povidone-iodine stock.

    Parameters
    ----------
    pvp_iodine_percent : float or array
        Povidone-iodine on the label, in grams in 100 mL [%].

    Returns
    -------
    float or array
        Available iodine [mg/mL].

    Raises
    ------
    ImpossibleInput
        The strength is not finite, not above 0, or above 100 %.

    Notes
    -----
    10 % povidone-iodine holds nominally 1 % available iodine, 10 mg in a mL; the pharmacopoeia allows 8.5 to 12. A
    label that states % available iodine must not be entered here: the two differ tenfold. Checked against hand
    arithmetic.

    Examples
    --------
    >>> available_iodine_mg_per_ml(10.0)
    10.0
    """
    return pvp_iodine_percent * _MG_PER_ML_PER_PERCENT * _AVAILABLE


def iodine_use(use: str) -> tables.Row:
    """The strength of povidone-iodine for a use that is not a living fish.

    Parameters
    ----------
    use : str
        What it is for, as in the table `iodine_uses`.

    Returns
    -------
    tables.Row
        `value`, `low` and `high` [mg/L available iodine], with `contact_min`, `contact_words` and `notes`.

    Raises
    ------
    LookupError
        The table has no such use.

    Notes
    -----
    Always available iodine, never product: the two differ a hundredfold.

    Examples
    --------
    >>> iodine_use("eggs").value
    100.0
    """
    return tables.row("iodine_uses", use=use)


def iodine_ph(use: str) -> tables.Row:
    """The pH at which povidone-iodine is used.

    Parameters
    ----------
    use : str
        What it is for, as in the table `iodine_uses`.

    Returns
    -------
    tables.Row
        `low` and `high`: of the use itself, or of any where it has none of its own.

    Notes
    -----
    The code for aquatic animals gives a range for eggs; of other uses it says only that neutral or acid water is best.

    Examples
    --------
    >>> iodine_ph("eggs").high
    8.0
    """
    row = tables.find("iodine_conditions", condition="ph", use=use)
    return row or tables.row("iodine_conditions", condition="ph", use="any")


def iodine_in_dirt() -> tuple[tables.Row, ...]:
    """What organic matter does to povidone-iodine: the level that worked in cleaner and in richer water.

    Returns
    -------
    tuple of tables.Row
        From clean to rich [mg/L povidone-iodine], each with its `condition`.

    Notes
    -----
    One study of one bacterium. No figure tells how much a given dirt takes: things are washed first.

    Examples
    --------
    >>> [row.value for row in iodine_in_dirt()]
    [20.0, 25.0, 4000.0]
    """
    return tuple(row for row in tables.rows("iodine_conditions", use="any") if row["condition"] != "ph")


def antiseptic_evidence(agent: str) -> tuple[tables.Row, ...]:
    """What trials found of an antiseptic on fish and eggs.

    Parameters
    ----------
    agent : str
        Antiseptic, as in the table `antiseptic_evidence`.

    Returns
    -------
    tuple of tables.Row
        Each with its `fish` and its `finding`; empty where the table has none.

    Notes
    -----
    None of them healed a wound faster.

    Examples
    --------
    >>> antiseptic_evidence("salt")[0]["fish"]
    'Chinook salmon'
    """
    return tables.rows("antiseptic_evidence", agent=agent)
