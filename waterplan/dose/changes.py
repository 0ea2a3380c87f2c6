"""What water changes and evaporation do to a level, what to put back, and a dose given in stages."""

import math
from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers, published, require_possible


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One of the additions of a staged dose: this much now, and the level it makes."""

    add_mg_per_l: float
    level_mg_per_l: float


@published(source="waterplan", locator="C = C1 + (C0 - C1)(1 - f)^n", status="derived")
def level_after_changes_mg_per_l(
    start_mg_per_l: Numbers, *, changed_fraction: Numbers, changes: int, source_mg_per_l: Numbers = 0.0
) -> Numbers:
    """Level left after a number of equal water changes.

    Parameters
    ----------
    start_mg_per_l : float or array
        Level at the start [mg/L].
    changed_fraction : float or array
        Share of the water changed each time [fraction].
    changes : int
        How many changes.
    source_mg_per_l : float or array
        Level in the water that is put in [mg/L].

    Returns
    -------
    float or array
        Level at the end [mg/L].

    Raises
    ------
    ImpossibleInput
        A figure is negative or not finite, or the share is above 1.

    Notes
    -----
    Each change is taken as well mixed and at once. Checked against hand arithmetic: three changes of 30 % leave 0.343.

    Examples
    --------
    >>> round(level_after_changes_mg_per_l(3000.0, changed_fraction=0.3, changes=3), 6)
    1029.0
    """
    if changes < 0:
        raise ImpossibleInput("changes", changes, "0 or more")
    return source_mg_per_l + (start_mg_per_l - source_mg_per_l) * (1.0 - changed_fraction) ** changes


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


@published(source="waterplan", locator="mass balance", status="derived")
def put_back_g(volume_l: Numbers, *, changed_fraction: Numbers, wanted_mg_per_l: Numbers) -> Numbers:
    """Substance for the new water of a change, so that the level stays.

    Parameters
    ----------
    volume_l : float or array
        Volume of water in the tub [L].
    changed_fraction : float or array
        Share of the water changed [fraction].
    wanted_mg_per_l : float or array
        Level that is to stay [mg/L].

    Returns
    -------
    float or array
        Substance to dissolve in the new water before it goes in [g].

    Raises
    ------
    ImpossibleInput
        A figure is negative or not finite, or the share is above 1.

    Notes
    -----
    Only the water that is changed is dosed; evaporation is topped up with fresh water and nothing else. Checked
    against hand arithmetic.

    Examples
    --------
    >>> put_back_g(600.0, changed_fraction=0.25, wanted_mg_per_l=3000.0)
    450.0
    """
    return volume_l * changed_fraction * wanted_mg_per_l / 1000.0


@published(source="waterplan", locator="mass balance", status="derived")
def level_after_evaporation_mg_per_l(start_mg_per_l: Numbers, *, volume_l: Numbers, remaining_l: Numbers) -> Numbers:
    """Level after some of the water has evaporated and nothing of the substance.

    Parameters
    ----------
    start_mg_per_l : float or array
        Level at the start [mg/L].
    volume_l : float or array
        Volume of water at the start [L].
    remaining_l : float or array
        Water left after evaporation [L].

    Returns
    -------
    float or array
        Level at the end [mg/L].

    Raises
    ------
    ImpossibleInput
        More is left than there was, nothing is left, or a figure is negative or not finite.

    Notes
    -----
    Topping up with fresh water brings the old level back. Checked against hand arithmetic.

    Examples
    --------
    >>> round(level_after_evaporation_mg_per_l(3000.0, volume_l=600.0, remaining_l=560.0), 1)
    3214.3
    """
    if np.any(np.asarray(remaining_l) > np.asarray(volume_l)):
        raise ImpossibleInput("remaining_l", remaining_l, "not more than there was", unit="L")
    return start_mg_per_l * volume_l / remaining_l


def stages(present_mg_per_l: float, *, wanted_mg_per_l: float, step_mg_per_l: float) -> tuple[Stage, ...]:
    """A dose given in equal additions, none above a step.

    Parameters
    ----------
    present_mg_per_l : float
        Level that is in the water already [mg/L].
    wanted_mg_per_l : float
        Level wanted [mg/L].
    step_mg_per_l : float
        Most that is added at once [mg/L].

    Returns
    -------
    tuple of Stage
        What each addition adds and the level it makes [mg/L]; empty where nothing is to be added.

    Raises
    ------
    ImpossibleInput
        A level is negative or not finite, or the step is not above 0.

    Notes
    -----
    Potassium permanganate is added 2 mg/L at a time. Checked by its properties.

    Examples
    --------
    >>> [stage.level_mg_per_l for stage in stages(0.0, wanted_mg_per_l=6.0, step_mg_per_l=2.0)]
    [2.0, 4.0, 6.0]
    """
    given = {"present_mg_per_l": present_mg_per_l, "wanted_mg_per_l": wanted_mg_per_l, "step_mg_per_l": step_mg_per_l}
    for name, value in given.items():
        require_possible(name, value, tables.glossary()[name].possible, "mg/L")
    rise = wanted_mg_per_l - present_mg_per_l
    count = math.ceil(rise / step_mg_per_l - 1e-9)
    return tuple(
        Stage(add_mg_per_l=rise / count, level_mg_per_l=present_mg_per_l + rise * (number + 1) / count)
        for number in range(max(count, 0))
    )
