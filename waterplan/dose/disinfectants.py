"""What formalin takes out of the water, and what damages a filter."""

from waterplan import tables
from waterplan.published import Numbers, published, require_possible

# 1 part per million of oxygen for each 5 parts per million (uL/L) of formalin.
_FORMALIN_PER_OXYGEN = 5.0


@published(source="usfws_1982", locator="page 276")
def formalin_oxygen_mg_per_l(formalin_ul_per_l: Numbers) -> Numbers:
    """Oxygen that formalin takes out of the water.

    Parameters
    ----------
    formalin_ul_per_l : float or array
        Formalin, the 37 % solution counted as pure [uL/L].

    Returns
    -------
    float or array
        Oxygen taken within 30 to 36 hours [mg/L].

    Raises
    ------
    ImpossibleInput
        The level is negative or not finite.

    Notes
    -----
    1 mg/L for each 5 uL/L. It is not taken at once: the answer to a large figure is strong air and somebody beside the
    tub, and a short bath is over long before. Checked against the worked figures of the source.

    Examples
    --------
    >>> formalin_oxygen_mg_per_l(25.0)
    5.0
    """
    return formalin_ul_per_l / _FORMALIN_PER_OXYGEN


def filter_damage(agent: str, *, level: float) -> tables.Row | None:
    """What an agent at a level does to a living filter, from the table `filter_damage`.

    Parameters
    ----------
    agent : str
        What is in the water, as in the table.
    level : float
        Its level in the unit of the row.

    Returns
    -------
    tables.Row or None
        `effect`, and the `days` for which the filter counts as nothing; None where the agent is not in the table or the
        level is below the row's.

    Raises
    ------
    ImpossibleInput
        The level is negative or not finite.

    Notes
    -----
    A filter that was damaged counts as nothing until two clean paired tests; `days` is how long to expect (judgement).

    Examples
    --------
    >>> filter_damage("peroxide", level=100.0)["effect"]
    'failed'
    """
    require_possible("level", level, tables.glossary()["level"].possible)
    reached = [row for row in tables.rows("filter_damage", agent=agent) if level >= float(row["level_from"])]
    return max(reached, key=lambda row: float(row["level_from"]), default=None) if level > 0.0 else None
