"""Anaesthetic baths as data: published ranges, grams for a tub, stages in words, the time sheet, and revival.

Nothing here says that a level or a time proves death; the cases that lived are in `overdose_survivals`.
"""

from enum import StrEnum

from waterplan import tables
from waterplan.errors import Refused, Unanswerable
from waterplan.published import Numbers, published


class Depth(StrEnum):
    """What the bath is for."""

    SEDATION = "sedation"
    TRANSPORT = "transport"
    INDUCTION = "induction"
    MAINTENANCE = "maintenance"


def anaesthetic_range(agent: str, depth: Depth, *, group: str) -> tables.Row:
    """The published range of an agent for a group of species, or for any fish where the group has none of its own.

    Parameters
    ----------
    agent : str
        Anaesthetic, as in the table `anaesthetics`.
    depth : Depth
        What the bath is for.
    group : str
        Group of species.

    Returns
    -------
    tables.Row
        `low` and `high` [mg/L], with status and reason; `value` only where the source has one level.

    Raises
    ------
    Refused
        The table has no figure for this agent and use.

    Notes
    -----
    A range of the trade is marked so; the veterinarian chooses the level.

    Examples
    --------
    >>> anaesthetic_range("tricaine", Depth.INDUCTION, group="carp_like").high
    200.0
    """
    row = tables.find("anaesthetics", agent=agent, stage=Depth(depth), fish=group)
    row = row or tables.find("anaesthetics", agent=agent, stage=Depth(depth), fish="any")
    if row is None:
        raise Refused(f"no figure was found for {agent} as {Depth(depth)} in {group.replace('_', ' ')}")
    return row


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


def anaesthesia_stages() -> tuple[tables.Row, ...]:
    """The stages of anaesthesia in words, because their numbers differ between authors.

    Returns
    -------
    tuple of tables.Row
        From awake to breathing stopped, each with `reaction`, `balance`, `breathing` and `use`.

    Notes
    -----
    Own words; the scheme is the common one of six stages.

    Examples
    --------
    >>> anaesthesia_stages()[0]["stage"]
    'awake'
    """
    return tuple(sorted(tables.rows("anaesthesia_stages"), key=lambda row: int(row["order"])))


def time_sheet(sheet: str = "anaesthesia") -> tuple[tables.Row, ...]:
    """What to look at and when, from before the bath to the watch afterwards.

    Parameters
    ----------
    sheet : str
        Whose: that of an anaesthesia, or of a sedation, which keeps its balance.

    Returns
    -------
    tuple of tables.Row
        In order, each with `when`, `phase` and `words`.

    Notes
    -----
    Planning defaults except where a row names its source; the patient's own rate before the bath is what counts.

    Examples
    --------
    >>> time_sheet()[-1]["phase"]
    'watch'
    """
    return tuple(row for row in tables.rows("anaesthesia_times") if row["sheet"] in ("", sheet))


def expected_times(agent: str, *, group: str) -> tuple[tables.Row, ...]:
    """How long an anaesthetic took to work and to wear off in trials with fish of a group.

    Parameters
    ----------
    agent : str
        Anaesthetic, as in the table `anaesthetic_times`.
    group : str
        Group of species.

    Returns
    -------
    tuple of tables.Row
        Each with its `level_mg_per_l`, its `event` and the minutes (`value`, `low`, `high`); empty where none is reported.

    Notes
    -----
    Of the fish and the water of that trial: a guide for the clock and no promise.

    Examples
    --------
    >>> expected_times("alfaxalone", group="goldfish")[0]["event"]
    'anaesthesia'
    """
    return tables.rows("anaesthetic_times", agent=agent, fish=group)


def revival_steps() -> tuple[tables.Row, ...]:
    """What to do when breathing stops.

    Returns
    -------
    tuple of tables.Row
        The steps in order, each with its `words`.

    Notes
    -----
    No dose of a stimulant is shown.

    Examples
    --------
    >>> revival_steps()[0]["words"][:15]
    'drug-free water'
    """
    return tuple(sorted(tables.rows("revival_steps"), key=lambda row: int(row["step"])))


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
