"""Where an equation comes from, and what it may be given.

`published` puts the source, the locator and the fitted range on a function as data, and guards its arguments.
"""

import functools
import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Any, ParamSpec, TypeAlias, TypeVar, cast

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Equation:
    """The provenance of one function of the core."""

    name: str
    summary: str
    source: str
    locator: str
    status: Status
    fitted: Mapping[str, Limits]


_SMALL_SHARE = 0.01
EQUATIONS: dict[str, Equation] = {}


def as_numbers(value: object, argument: str) -> object:
    """Turns integers, lists and 0-d arrays into floats and float arrays; leaves None as it is, and refuses a mask."""
    if value is None or type(value) is float:
        return value
    if isinstance(value, (int, float)):
        return float(value)
    if isinstance(value, np.ma.MaskedArray):  # what is masked would come back as if it had been read
        raise ImpossibleInput(argument, "an array with a mask", "an array without one")
    array = np.asarray(value, dtype=np.float64)
    return array.item() if array.ndim == 0 else array


_unwrapped = functools.cache(inspect.unwrap)  # asked at every step of a course


def plain(function: Callable[P, R]) -> Callable[P, R]:
    """A published equation without its guards, for a loop that checks its figures and tells of the equation itself."""
    return cast("Callable[P, R]", _unwrapped(function))


def _all_possible(array: FloatArray, limits: Limits) -> bool:
    if array.size == 0:
        return True
    low, high = limits
    # Bit for bit, the floats from 0 upwards stand in their order, and negative ones and NaN above all of them: where 0
    # is allowed, one reduction of most arrays does.
    if low <= 0.0 <= high and np.maximum.reduce(array.view(np.uint64), axis=None) <= np.float64(high).view(np.uint64):
        return True
    # Two reductions need no memory, where comparing each element would; a NaN passes through both and compares false.
    return bool(np.minimum.reduce(array, axis=None) >= low and np.maximum.reduce(array, axis=None) <= high)


def _check(
    guards: Mapping[str, tuple[Limits, str]], given: Mapping[str, object], argument: str, part: FloatArray
) -> None:
    """Raises ImpossibleInput where a part of an array cannot be, and says how many of all of it cannot."""
    if argument in guards and not _all_possible(part, guards[argument][0]):
        require_possible(argument, given[argument], *guards[argument])


def require_possible(argument: str, value: object, limits: Limits, unit: str = "") -> None:
    """Raises ImpossibleInput where `value` (scalar or array) is not finite or lies outside `limits`."""
    array = np.asarray(value, dtype=np.float64)
    wrong = ~((array >= limits.low) & (array <= limits.high))  # a NaN compares false, so it is wrong
    if wrong.any():
        raise impossible(argument, array, wrong, limits, unit=unit)


def impossible(argument: str, value: Numbers, wrong: object, limits: object, *, unit: str = "") -> ImpossibleInput:
    """The error for a scalar, or for those elements of an array that are `wrong`: how many, and the first of them."""
    array, flags = np.broadcast_arrays(value, np.asarray(wrong))
    if array.ndim == 0:
        return ImpossibleInput(argument, f"{array.item():g}", limits, unit=unit)
    first = np.argwhere(flags)[0]
    many = f" ({int(flags.sum())} of {array.size} values, the first at {first.tolist()})"
    return ImpossibleInput(argument, f"{array[tuple(first)]:g}", limits, unit=unit, many=many)


def outside_fitted(function: Callable[..., object], **given: object) -> tuple[str, ...]:
    """The arguments of a published equation that lie outside its fitted range in more than a hundredth of the draws."""
    equation: Equation = function.equation  # type: ignore[attr-defined]
    values = ((argument, np.asarray(given.get(argument), dtype=np.float64)) for argument in equation.fitted)
    shares = {
        name: np.mean((array < equation.fitted[name][0]) | (array > equation.fitted[name][1])) for name, array in values
    }
    return tuple(name for name, share in shares.items() if share > _SMALL_SHARE)


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
    (`possible` narrows the glossary's limits); `fitted` gives the range to which the equation was fitted: beyond it the
    function still computes. A function that has an attribute `over_arrays` takes arrays through that: it
    is called with the arguments by name and with a check, which it calls with the name of an argument and each part of
    its array before it goes on to that part. A 0-d result comes back as a float.
    """
    ranges = MappingProxyType({name: Limits(*limits) for name, limits in (fitted or {}).items()})

    def decorate(function: Callable[P, R]) -> Callable[P, R]:
        name = f"{function.__module__.removeprefix('waterplan.')}.{function.__name__}"
        summary = next(iter((function.__doc__ or "").strip().splitlines()), "")
        equation = Equation(
            name=name, summary=summary, source=source, locator=locator, status=Status(status), fitted=ranges
        )
        EQUATIONS[name] = equation
        parameters = inspect.signature(function).parameters
        positional = [key for key, parameter in parameters.items() if parameter.kind is not parameter.KEYWORD_ONLY]
        terms, narrowed = tables.glossary(), possible or {}
        bounds = {one: Limits(*narrowed.get(one, terms[one].possible)) for one in parameters if one in terms}
        guards = {one: (limits, terms[one].unit) for one, limits in bounds.items()}
        over_arrays: Callable[..., object] | None = getattr(function, "over_arrays", None)

        @functools.wraps(function)
        def wrapper(*args: P.args, **kwargs: P.kwargs) -> R:
            given: dict[str, Any] = {**dict(zip(positional, args, strict=False)), **kwargs}
            if len(given) != len(args) + len(kwargs):
                return function(*args, **kwargs)  # one argument twice or too many: Python says it best
            by_parts = False
            for argument, value in given.items():
                limits = bounds.get(argument)
                if limits is None:
                    continue
                if type(value) is not float:
                    value = given[argument] = as_numbers(value, argument)  # noqa: PLW2901 - the value as the core takes it
                    if value is None:
                        continue
                    if isinstance(value, np.ndarray):
                        by_parts = over_arrays is not None
                        if not by_parts:
                            _check(guards, given, argument, value)
                        continue
                if not limits[0] <= value <= limits[1]:
                    require_possible(argument, value, *guards[argument])
            if by_parts and over_arrays is not None:
                result: Any = over_arrays(given, functools.partial(_check, guards, given))
            else:
                result = function(**given)  # type: ignore[call-arg]
            if type(result) is not float and isinstance(result, (np.generic, np.ndarray)) and result.ndim == 0:
                return cast(R, result.item())
            return cast(R, result)

        wrapper.equation = equation  # type: ignore[attr-defined]
        return wrapper

    return decorate
