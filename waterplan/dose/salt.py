"""Salt (sodium chloride): how much to add, in what steps, and the ceilings by species and time."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from waterplan import tables
from waterplan.published import Numbers, published


class Exposure(StrEnum):
    """How long the fish stays in the salt."""

    PROLONGED = "prolonged"
    BATH = "bath"
    DIP = "dip"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltStep:
    """One step of a rise in salt: hours after the first step, and the level the water then has."""

    at_h: float
    level_g_per_l: float


@published(source="waterplan", locator="mass balance", status="derived")
def salt_to_add_g(volume_l: Numbers, *, present_g_per_l: Numbers, intended_g_per_l: Numbers) -> Numbers:
    """Salt to weigh out to bring a volume of water to a level.

    Parameters
    ----------
    volume_l : float or array
        Volume of water [L].
    present_g_per_l : float or array
        Salt that is in the water already [g/L].
    intended_g_per_l : float or array
        Salt level intended [g/L].

    Returns
    -------
    float or array
        Salt to add, 0 where the water holds as much or more [g].

    Raises
    ------
    ImpossibleInput
        A volume or a level is negative, not finite, or beyond saturated brine.

    Notes
    -----
    volume x (intended - present). Salt overdoses kill: use the low end of an uncertain volume. The litre that the
    salt itself takes is left out (about 1 % at 30 g/L, on the weak side). Checked against hand arithmetic.

    Examples
    --------
    >>> round(salt_to_add_g(600.0, present_g_per_l=1.0, intended_g_per_l=3.0), 6)
    1200.0
    """
    return volume_l * np.maximum(np.subtract(intended_g_per_l, present_g_per_l), 0.0)


def salt_steps(present_g_per_l: float, *, intended_g_per_l: float) -> tuple[SaltStep, ...]:
    """The steps in which supportive salt is raised, equal and none above the rule's most.

    Parameters
    ----------
    present_g_per_l : float
        Salt that is in the water already [g/L].
    intended_g_per_l : float
        Salt level intended [g/L].

    Returns
    -------
    tuple of SaltStep
        Hours after the first step [h] and the level then [g/L]; empty where the water holds as much or more.

    Raises
    ------
    ImpossibleInput
        A level is negative, not finite, or beyond saturated brine.

    Notes
    -----
    At most 1 g/L at once and 12 h between steps (`dose_rules`, common practice). A bath or dip is not made in steps.

    Examples
    --------
    >>> [(step.at_h, step.level_g_per_l) for step in salt_steps(0.0, intended_g_per_l=3.0)]
    [(0.0, 1.0), (12.0, 2.0), (24.0, 3.0)]
    """
    rise = float(salt_to_add_g(1.0, present_g_per_l=present_g_per_l, intended_g_per_l=intended_g_per_l))
    most = tables.row("dose_rules", rule="salt_step").value
    every_h = tables.row("dose_rules", rule="salt_step_every").value
    count = math.ceil(rise / most - 1e-9)  # 3.0000000000000004 g/L is three steps, not four
    return tuple(
        SaltStep(at_h=every_h * step, level_g_per_l=present_g_per_l + rise * (step + 1) / count)
        for step in range(count)
    )


def salt_ceiling(group: str, exposure: str) -> tables.Row:
    """The salt ceiling of a group of species for a time of exposure.

    Parameters
    ----------
    group : str
        Group of species as in the table `salt_ceilings`; `other` where the species is not known.
    exposure : str
        How long the fish stays in the salt: an `Exposure`.

    Returns
    -------
    tables.Row
        `low`: up to here nothing needs saying; `value`: the ceiling, above it the veterinarian confirms; `high`: above
        it the level is refused [g/L].

    Raises
    ------
    LookupError
        No such group.
    ValueError
        No such exposure.

    Notes
    -----
    Ceilings go by time of exposure: a dip is many times what a fish bears for days. A sensitive group has a low level
    and not zero, so that salt against nitrite passes.

    Examples
    --------
    >>> salt_ceiling("carp_like", "prolonged").value
    5.0
    """
    return tables.row("salt_ceilings", group=group, exposure=Exposure(exposure))
