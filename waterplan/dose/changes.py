"""How many water changes bring a level down."""

import math

from waterplan.errors import ImpossibleInput
from waterplan.published import published


@published(source="waterplan", locator="n = ln((C - C1)/(C0 - C1)) / ln(1 - f)", status="derived")
def changes_to_reach(
    start_mg_per_l: float, *, end_mg_per_l: float, changed_fraction: float, source_mg_per_l: float = 0.0
) -> int:
    """Whole water changes until a level has come down to another.

    Parameters
    ----------
    start_mg_per_l : float
        Level at the start [mg/L].
    end_mg_per_l : float
        Level at the end [mg/L].
    changed_fraction : float
        Share of the water changed each time [fraction].
    source_mg_per_l : float
        Level in the water that is put in [mg/L].

    Returns
    -------
    int
        Changes, rounded up; 0 where the level is there already.

    Raises
    ------
    ImpossibleInput
        The water that is put in holds as much or more than is wanted, or nothing is changed.

    Notes
    -----
    Checked against hand arithmetic: 25 % changes from 3 to 0.5 g/L take 6.23, so 7.

    Examples
    --------
    >>> changes_to_reach(3000.0, end_mg_per_l=500.0, changed_fraction=0.25)
    7
    """
    if start_mg_per_l <= end_mg_per_l:
        return 0
    if source_mg_per_l >= end_mg_per_l and changed_fraction < 1.0:
        raise ImpossibleInput("source_mg_per_l", source_mg_per_l, f"below {end_mg_per_l:g}, the level to be reached")
    if source_mg_per_l > end_mg_per_l:
        raise ImpossibleInput("source_mg_per_l", source_mg_per_l, f"at most {end_mg_per_l:g}, the level to be reached")
    if changed_fraction == 0.0:
        raise ImpossibleInput("changed_fraction", changed_fraction, "above 0")
    if changed_fraction == 1.0:
        return 1
    share = (end_mg_per_l - source_mg_per_l) / (start_mg_per_l - source_mg_per_l)
    return math.ceil(math.log(share) / math.log1p(-changed_fraction) - 1e-9)
