"""Questions asked backwards: the least or the most of something that holds a limit, or None where nothing does."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np

from waterplan.published import FloatArray

# Share of the draws in which what was asked for is to hold.
CHANCE = 0.95

Record = TypeVar("Record")


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was found: a value that holds in `CHANCE` of the draws, or None where none does.

    `each` is what each draw would need by itself, infinite where nothing would do, and `ruled_by` the limit that decides
    where there is more than one.
    """

    value: float | None
    each: FloatArray
    ruled_by: str = ""


def own_needs(needed: FloatArray) -> Answer:
    """The answer where each draw's own need is known in closed form: the quantile of the needs."""
    value = float(np.percentile(drawn(needed), 100.0 * CHANCE, method="higher"))
    return Answer(value=value if np.isfinite(value) else None, each=needed)


def drawn(values: FloatArray) -> FloatArray:
    """The draws without the best values, which stand first."""
    return values[1:] if values.size > 1 else values


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
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{field.name: _thin(getattr(value, field.name), draws) for field in fields(value)})
    return value
