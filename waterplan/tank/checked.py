"""Checks on the records of a tank: every figure possible, every array of draws of one length."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, Numbers, as_numbers, require_possible


def check(record: Any, *, called: str = "", above_zero: tuple[str, ...] = ()) -> None:
    """Turns the glossary's figures of a frozen record into floats or arrays and refuses what cannot be.

    `called` says which one, in the words of whoever wrote it: "water change at 24 h".
    """
    terms = tables.glossary()
    prefix = f"{called}: " if called else ""
    for field in fields(record):
        term = terms.get(field.name)
        if term is None:
            continue
        value = as_numbers(getattr(record, field.name), prefix + field.name)
        if value is None:
            continue
        require_possible(prefix + field.name, value, term.possible, term.unit)
        if field.name in above_zero and np.any(np.asarray(value) == 0.0):
            raise ImpossibleInput(prefix + field.name, 0, "above 0", unit=term.unit)
        object.__setattr__(record, field.name, value)


def draws_in(*records: Any) -> int:
    """The number of draws in the arrays of some records; 1 where all are single figures."""
    sizes: dict[int, str] = {}
    for record in records:
        _collect(record, type(record).__name__, sizes)
    if len(sizes) > 1:
        raise ImpossibleInput("draws", sorted(sizes), f"one length everywhere: {'; '.join(sizes.values())}")
    return next(iter(sizes), 1)


def _collect(value: Any, where: str, sizes: dict[int, str]) -> None:
    if isinstance(value, np.ndarray):
        if value.ndim != 1:
            raise ImpossibleInput(where, f"an array of shape {value.shape}", "one row of draws")
        sizes.setdefault(value.size, f"{value.size} in {where}")
    elif isinstance(value, Mapping):
        for name, item in value.items():
            _collect(item, f"{where} {name}", sizes)
    elif isinstance(value, (tuple, list)):
        for item in value:
            _collect(item, f"{where} {type(item).__name__}", sizes)
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            _collect(getattr(value, field.name), f"{type(value).__name__}.{field.name}", sizes)


def over_draws(value: Numbers, draws: int) -> FloatArray:
    """A figure or an array of draws as an array of draws of its own."""
    return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (draws,)))
