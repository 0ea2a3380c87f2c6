"""What was written and what was read, line by line, so that a plan can be read without its case file."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from pydantic import BaseModel

from waterplan.case.bottle import Amount, Bottle
from waterplan.case.model import Case, Logged
from waterplan.case.references import Target
from waterplan.case.times import Tonight
from waterplan.case.values import Reading
from waterplan.plan.record import Read, Written

_NOT_SHOWN = frozenset({"file", "ordinal", "path", "measured", "rows"})


def written(case: Case) -> tuple[Written, ...]:
    """Every value of a case as it was written, by section, ordinal and key."""
    return tuple(
        Written(section=section, ordinal=ordinal, key=key, text=text)
        for section, value in _items(case)
        for ordinal, table in enumerate(value if isinstance(value, tuple) else (value,), 1)
        for key, text in _lines(table)
        if text
    )


def read(log: tuple[Logged, ...]) -> tuple[Read, ...]:
    """Every reading of a log as it was written."""
    return tuple(Read(taken=row.taken, water=row.water, quantity=row.key, text=row.reading.text) for row in log)


def _items(record: BaseModel) -> Iterator[tuple[str, Any]]:
    return ((name, getattr(record, name)) for name in type(record).model_fields if name not in _NOT_SHOWN)


def _lines(value: Any, prefix: str = "") -> Iterator[tuple[str, str]]:
    if value is None or (value is False and not prefix):
        return
    if isinstance(value, Reading | Bottle | Amount | Tonight):
        yield prefix or "value", value.text
    elif isinstance(value, Target):
        yield prefix, value.litres.text if value.litres else value.path
    elif isinstance(value, datetime):
        yield prefix, value.isoformat(timespec="minutes")
    elif isinstance(value, BaseModel):
        for key, inner in _items(value):
            yield from _lines(inner, key)
    elif isinstance(value, tuple):
        yield prefix, "; ".join(str(one) if not isinstance(one, tuple) else " ".join(map(str, one)) for one in value)
    else:
        yield prefix or "value", str(value)
