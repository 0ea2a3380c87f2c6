"""Disinfectants and baths as data: what each does not kill, what damages the filter, where the litres go afterwards."""

from dataclasses import dataclass

from waterplan import tables
from waterplan.published import Numbers, published, require_possible

# 1 part per million of oxygen for each 5 parts per million (uL/L) of formalin.
_FORMALIN_PER_OXYGEN = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterDamage:
    """What an agent at a level does to a living filter; for `days` it counts as nothing until tests say otherwise."""

    effect: str
    days: int
    row: tables.Row


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


def disinfectant(agent: str, *, use: str) -> tables.Row:
    """A disinfectant for a use: its strength, its time, and what it does not kill.

    Parameters
    ----------
    agent : str
        Disinfectant, as in the table `disinfectants`.
    use : str
        What is disinfected, as in the table.

    Returns
    -------
    tables.Row
        The row, with `contact_min`, `contact_words`, `does_not_kill`, `neutralise_with` and `cautions`; its figures are
        NaN where no strength is offered.

    Raises
    ------
    LookupError
        The table has no such pair.

    Notes
    -----
    The label and local registration come before the table.

    Examples
    --------
    >>> disinfectant("hypochlorite", use="equipment").value
    200.0
    """
    return tables.row("disinfectants", agent=agent, use=use)


def filter_damage(agent: str, *, level: float) -> FilterDamage | None:
    """What an agent at a level does to a living filter, from the table `filter_damage`.

    Parameters
    ----------
    agent : str
        What is in the water, as in the table.
    level : float
        Its level in the unit of the row.

    Returns
    -------
    FilterDamage or None
        The effect with its row; None where the agent is not in the table or the level is below the row's.

    Raises
    ------
    ImpossibleInput
        The level is negative or not finite.

    Notes
    -----
    A filter that was damaged counts as nothing until two clean paired tests; `days` is how long to expect (judgement).

    Examples
    --------
    >>> filter_damage("peroxide", level=100.0).effect
    'failed'
    """
    require_possible("level", level, tables.glossary()["level"].possible)
    damaged = [row for row in tables.table("filter_damage") if row["agent"] == agent]
    reached = [row for row in damaged if level >= float(row["level_from"]) and level > 0.0]
    if not reached:
        return None
    worst = max(reached, key=lambda row: float(row["level_from"]))
    row = tables.row("filter_damage", agent=agent, level_from=worst["level_from"])
    return FilterDamage(effect=row["effect"], days=int(row["days"]), row=row)


def disposal(agent: str) -> tuple[tables.Row, ...]:
    """What to do with the litres afterwards, in order, each row with its `words`; local law decides.

    Parameters
    ----------
    agent : str
        What is in the water, as in the table `disposal`.

    Returns
    -------
    tuple of tables.Row
        The steps in order; empty where the table has none.

    Notes
    -----
    Never into a ditch, pond, stream or storm drain.

    Examples
    --------
    >>> len(disposal("iodine"))
    2
    """
    return tuple(sorted(tables.rows("disposal", agent=agent), key=lambda row: int(row["order"])))
