"""Ends of bands and numbers rounded for a person, as every kind of action takes them."""

from collections.abc import Mapping

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray, Numbers
from waterplan.spread import band
from waterplan.stay.figures import Figures, rounded, step_of
from waterplan.stay.record import ActEnd
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

_MG_PER_G = 1000.0
_PARTED = frozenset({"L", "g"})


def rule(name: str) -> float:
    """The figure of a rule of `action_rules`."""
    return tables.row("action_rules", rule=name).value


def high(values: Numbers) -> float:
    """The high end of a figure's draws: their 95th percentile, or the best value where that lies above it."""
    return float(max(band(values).high, band(values).best))


def low(values: Numbers) -> float:
    """The low end of a figure's draws: their 5th percentile, or the best value where that lies under it."""
    return float(min(band(values).low, band(values).best))


def up(value: float, unit: str) -> float:
    """Rounded up to what a person can weigh or read."""
    return rounded(value, unit=unit, end=ActEnd.HIGH)


def down(value: float, unit: str) -> float:
    """Rounded down to what a person can weigh or read."""
    return rounded(value, unit=unit, end=ActEnd.LOW)


def bicarbonate_g(litres: Numbers, *, wanted: float, there: Numbers) -> FloatArray:
    """Sodium bicarbonate that brings litres from an alkalinity, of nothing at the least, up to the one that is wanted [g]."""
    alkalinity = np.maximum(there, 0.0)
    missing = np.asarray(bicarbonate_for_alkalinity_mg_per_l(wanted, alkalinity_mg_caco3_per_l=alkalinity))
    return np.asarray(litres * missing / _MG_PER_G)


def all_in_parts(figures: Figures, amounts: Mapping[str, str], count: int) -> dict[str, tuple[float, ...]]:
    """Every amount that is poured or weighed in as many parts; one too small to be parted is left whole."""
    found = {}
    for name, path in amounts.items():
        if figures.sums[path].unit in _PARTED and (whole := figures.record(path).act_on):
            parts = in_parts(whole, count, unit=figures.sums[path].unit)
            if min(parts) > 0.0:
                found[name] = parts
    return found


def in_parts(total: float, count: int, *, unit: str) -> tuple[float, ...]:
    """A rounded amount in parts that can be weighed or read, no two further apart than a step: their sum is the amount.

    Examples
    --------
    >>> in_parts(100.0, 3, unit="g")
    (33.0, 33.0, 34.0)
    """
    if count <= 1:
        return (total,)
    step = step_of(total / count, unit=unit)
    whole, more = divmod(int(total / step + 1e-6), count)
    parts = [round((whole + (number >= count - more)) * step, 9) for number in range(count)]
    return (*parts[:-1], round(total - sum(parts[:-1]), 9))


def least_g() -> float:
    """The least that a kitchen scale shows [g]."""
    return tables.row("defaults", what="scale division").value
