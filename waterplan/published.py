"""Where an equation comes from, and who is told when it is used.

`published` puts the source, the locator and the fitted range on a function as data. While a `watch` is open, every
published equation, every table row and every value outside a fitted range is noted in its `Trail`, so that the sources
and cautions of a sum are those of the code that ran and are never typed by hand.
"""

import functools
import inspect
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import ParamSpec, TypeAlias, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from waterplan import tables
from waterplan.errors import ImpossibleInput, Limits

FloatArray: TypeAlias = NDArray[np.float64]
Numbers: TypeAlias = float | FloatArray
P = ParamSpec("P")
R = TypeVar("R")


class Status(StrEnum):
    """How well a figure is founded, from the strongest to the weakest."""

    PUBLISHED = "published"
    AS_QUOTED = "as quoted"
    DERIVED = "derived"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"
    JUDGEMENT = "judgement"

    @property
    def rank(self) -> int:
        """0 for the strongest."""
        return list(Status).index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """A source as it is used in one place."""

    source: str
    locator: str
    status: Status
    used_for: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Equation:
    """The provenance of one function of the core."""

    name: str
    summary: str
    source: str
    locator: str
    status: Status
    fitted: Mapping[str, Limits]

    @property
    def citation(self) -> Citation:
        """The equation as a line of the list of sources."""
        return Citation(source=self.source, locator=self.locator, status=self.status, used_for=self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leak:
    """Values that an equation was given outside the range it was fitted to."""

    equation: str
    argument: str
    low: float
    high: float
    fitted: Limits
    share: float


@dataclass(slots=True)
class Trail:
    """What a sum passed through: citations, leaks out of fitted ranges, and remarks on what was assumed."""

    citations: dict[Citation, None] = field(default_factory=dict)
    leaks: dict[Leak, None] = field(default_factory=dict)
    remarks: dict[str, None] = field(default_factory=dict)

    @property
    def status(self) -> Status:
        """The weakest status met; a sum of exact inputs with no source is derived."""
        return max(
            (citation.status for citation in self.citations), key=lambda status: status.rank, default=Status.DERIVED
        )

    def note(self, citation: Citation) -> None:
        """Adds a citation once."""
        self.citations[citation] = None

    def take(self, other: "Trail") -> None:
        """Adds all that another trail holds."""
        self.citations |= other.citations
        self.leaks |= other.leaks
        self.remarks |= other.remarks


EQUATIONS: dict[str, Equation] = {}
_watchers: ContextVar[tuple[Trail, ...]] = ContextVar("watchers", default=())


@contextmanager
def watch() -> Iterator[Trail]:
    """Opens a trail that hears of every equation, row and leak until the block ends; watches may nest."""
    trail = Trail()
    token = _watchers.set((*_watchers.get(), trail))
    try:
        yield trail
    finally:
        _watchers.reset(token)


def relay(trail: Trail) -> None:
    """Tells whoever is watching of all that an earlier sum passed through."""
    for watcher in _watchers.get():
        watcher.take(trail)


def remark(text: str) -> None:
    """Tells whoever is watching of something that was assumed and must be said beside the answer."""
    for watcher in _watchers.get():
        watcher.remarks[text] = None


def _tell(citation: Citation) -> None:
    for watcher in _watchers.get():
        watcher.note(citation)


def _tell_of_row(row: tables.Row) -> None:
    if _watchers.get():
        _tell(Citation(source=row.source, locator=row.locator, status=Status(row.status), used_for=row.label))


tables.on_use(_tell_of_row)


def as_numbers(value: object) -> object:
    """Turns integers, lists and 0-d arrays into floats and float arrays; leaves None as it is."""
    if value is None or type(value) is float:
        return value
    array = np.asarray(value, dtype=np.float64)
    return array.item() if array.ndim == 0 else array


def require_possible(argument: str, value: object, limits: Limits, unit: str = "") -> None:
    """Raises ImpossibleInput where `value` (scalar or array) is not finite or lies outside `limits`."""
    array = np.asarray(value, dtype=np.float64)
    wrong = ~((array >= limits.low) & (array <= limits.high))  # a NaN compares false, so it is wrong
    if not wrong.any():
        return
    if array.ndim == 0:
        raise ImpossibleInput(argument, f"{array.item():g}", limits, unit=unit)
    first = np.argwhere(wrong)[0]
    where = "[" + ", ".join(str(index) for index in first) + "]"
    many = f" ({int(wrong.sum())} of {array.size} values, the first at {where})"
    raise ImpossibleInput(argument, f"{array[tuple(first)]:g}", limits, unit=unit, many=many)


def _leaks(name: str, fitted: Mapping[str, Limits], given: Mapping[str, object]) -> Iterator[Leak]:
    for argument, limits in fitted.items():
        value = given.get(argument)
        if value is None:
            continue
        array = np.asarray(value, dtype=np.float64)
        outside = (array < limits.low) | (array > limits.high)
        if outside.any():
            low, high = float(array.min()), float(array.max())
            yield Leak(equation=name, argument=argument, low=low, high=high, fitted=limits, share=float(outside.mean()))


def published(
    *,
    source: str,
    locator: str,
    status: str = "published",
    fitted: Mapping[str, tuple[float, float]] | None = None,
    possible: Mapping[str, tuple[float, float]] | None = None,
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Puts provenance on a function of the core and guards its arguments.

    Arguments that are glossary names are turned into floats or float arrays and checked against what is possible
    (`possible` narrows the glossary's limits); `fitted` gives the range in which the source vouches for the equation:
    beyond it the function still computes, and whoever watches is told. A 0-d result comes back as a float.
    """
    ranges = MappingProxyType({name: Limits(*limits) for name, limits in (fitted or {}).items()})
    narrowed = {name: Limits(*limits) for name, limits in (possible or {}).items()}

    def decorate(function: Callable[P, R]) -> Callable[P, R]:
        name = f"{function.__module__.removeprefix('waterplan.')}.{function.__name__}"
        summary = (function.__doc__ or "").strip().splitlines()[0]
        equation = Equation(
            name=name, summary=summary, source=source, locator=locator, status=Status(status), fitted=ranges
        )
        EQUATIONS[name] = equation
        signature = inspect.signature(function)
        terms = tables.glossary()
        guarded = {
            argument: (narrowed.get(argument, terms[argument].possible), terms[argument].unit)
            for argument in signature.parameters
            if argument in terms
        }

        @functools.wraps(function)
        def wrapper(*args: P.args, **kwargs: P.kwargs) -> R:
            bound = signature.bind(*args, **kwargs)
            bound.apply_defaults()
            given = bound.arguments
            for argument, (limits, unit) in guarded.items():
                value = as_numbers(given[argument])
                if value is not None:
                    require_possible(argument, value, limits, unit)
                given[argument] = value
            watchers = _watchers.get()
            if watchers:
                leaks = tuple(_leaks(name, ranges, given))
                for watcher in watchers:
                    watcher.note(equation.citation)
                    watcher.leaks |= dict.fromkeys(leaks)
            result = function(*bound.args, **bound.kwargs)
            if isinstance(result, np.generic) or (isinstance(result, np.ndarray) and result.ndim == 0):
                return cast(R, result.item())
            return result

        wrapper.equation = equation  # type: ignore[attr-defined]
        return wrapper

    return decorate
