"""Questions asked backwards: the least or the most of something that holds a limit, or a clear word that none does."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np
from scipy.optimize import brentq

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray
from waterplan.spread import Band, band

# Draws that a search uses; the answer is then checked once with all.
SEARCH_DRAWS = 512
DEFAULT_CHANCE = 0.95

Record = TypeVar("Record")


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was found: a value with the chance that it holds, or None and the reason.

    `each` is what each draw that was searched would need by itself (infinite where nothing would do), `needs` the band
    of that, `chance` the share of all draws that are on the right side with `value`, and `ruled_by` the demand or limit
    that decides.
    """

    value: float | None
    unit: str
    chance: float
    ruled_by: str
    needs: Band | None = None
    each: FloatArray | None = None
    none_because: str = ""

    @property
    def exists(self) -> bool:
        """Whether anything does."""
        return self.value is not None


def most(
    excess: Callable[[float], float], *, low: float, high: float, tolerance: float, most_calls: int = 40
) -> float | None:
    """The largest argument between two ends at which a rising function is at or below zero; None where it never is."""
    if not low < high:
        raise ImpossibleInput("low, high", (low, high), "in this order")
    if excess(high) <= 0.0:
        return high
    if excess(low) > 0.0:
        return None
    root = float(brentq(excess, low, high, xtol=tolerance, maxiter=most_calls))
    return max(root - tolerance, low)


def own_needs(needed: FloatArray, *, unit: str, ruled_by: str, none_because: str, chance: float) -> Answer:
    """The answer where each draw's own need is known in closed form: the quantile of the needs."""
    drawn = needed[1:] if needed.size > 1 else needed
    value = float(np.percentile(drawn, 100.0 * chance, method="higher"))
    needs = band(needed)
    if not np.isfinite(value):
        share = float(np.isfinite(drawn).mean())
        return Answer(
            value=None,
            unit=unit,
            chance=share,
            ruled_by=ruled_by,
            needs=needs,
            each=needed,
            none_because=none_because,
        )
    held = float((drawn <= value).mean())
    return Answer(value=value, unit=unit, chance=held, ruled_by=ruled_by, needs=needs, each=needed)


def quantile(values: FloatArray, share: float) -> float:
    """A quantile of draws, the best values left out."""
    drawn = values[1:] if values.size > 1 else values
    return float(np.quantile(drawn, share))


def thinned(record: Record, draws: int) -> Record:
    """A record with the best values and the first `draws` draws of every array in it."""
    return _thin(record, draws)  # type: ignore[no-any-return]


def _thin(value: Any, draws: int) -> Any:
    if isinstance(value, np.ndarray):
        return value[: draws + 1]
    if isinstance(value, Mapping):
        return {name: _thin(item, draws) for name, item in value.items()}
    if isinstance(value, tuple):
        return tuple(_thin(item, draws) for item in value)
    if isinstance(value, Mapping):
        return {key: _thin(item, draws) for key, item in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{field.name: _thin(getattr(value, field.name), draws) for field in fields(value)})
    return value
