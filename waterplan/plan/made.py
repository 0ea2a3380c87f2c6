"""With what a plan is made, and what it rests on: version, tables and draws; every row that was used, and its source."""

import hashlib
import math
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from itertools import chain
from typing import TYPE_CHECKING, Any

from waterplan import tables
from waterplan.actions.record import Action
from waterplan.hazards.record import Judgement, Why
from waterplan.plan.record import Made, RowUsed, Source
from waterplan.published import EQUATIONS
from waterplan.spread import Draws
from waterplan.stay.record import Figure

if TYPE_CHECKING:
    from waterplan.case.model import Case


def made_with(draws: Draws, case: "Case | None" = None, as_of: datetime | None = None) -> Made:
    """With what, when and from which draws a plan is made."""
    try:
        here = version("waterplan")
    except PackageNotFoundError:
        here = "not installed"
    return Made(
        version=here,
        tables=_tables_digest(),
        draws=draws.count,
        seed=draws.seed,
        as_of=as_of,
        operation_at=None if case is None else case.intended.operation_at,
        invented=case is not None and case.invented,
    )


@cache
def _tables_digest() -> str:
    """A short fingerprint of the reference tables, so that a paper says which figures it used."""
    digest = hashlib.sha256()
    for path in sorted(tables.shipped("reference_tables").glob("*.csv")):
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def rows_and_sources(
    figures: Mapping[str, Figure], judgements: Iterable[Judgement], actions: Iterable[Action], more: Iterable[str]
) -> dict[str, Any]:
    """Every table row that a figure, a limit, a reason or a verdict rests on, where it decides, and all the sources."""
    decides: dict[str, dict[str, None]] = {name: {} for figure in figures.values() for name in figure.rows}
    for path, name in chain(_of_judgements(figures, judgements), _of_actions(figures, actions)):
        decides.setdefault(name, {})[path] = None
    ids = dict.fromkeys((*decides, *more, *(row.id for row in tables.table("verdicts"))))
    rows = {path: row for path in ids if (row := tables.by_id(path)) is not None}
    keys = dict.fromkeys(row.source for row in rows.values())
    keys |= dict.fromkeys(EQUATIONS[name].source for figure in figures.values() for name in figure.equations)
    found = {key: tables.sources()[key] for key in keys if key in tables.sources()}
    return {
        "rows": {path: _row(row, tuple(decides.get(path, ()))) for path, row in rows.items()},
        "sources": {
            key: Source(**{name: one.get(name, "") for name in Source.model_fields}) for key, one in found.items()
        },
    }


def _of_judgements(figures: Mapping[str, Figure], judgements: Iterable[Judgement]) -> Iterator[tuple[str, str]]:
    """Each judgement with each row that is its limit, or that its figure or its reasons rest on."""
    for one in judgements:
        of_figure = figures[one.figure].rows if one.figure and one.figure in figures else ()
        of_limit = (one.limit.row,) if one.limit is not None and one.limit.row else ()
        yield from ((one.id, row) for row in (*of_limit, *of_figure, *_named(one.why)))


def _of_actions(figures: Mapping[str, Figure], actions: Iterable[Action]) -> Iterator[tuple[str, str]]:
    """Each action with each row that its amounts or its reasons rest on."""
    for one in actions:
        of_amounts = (row for path in one.amounts.values() if path in figures for row in figures[path].rows)
        beside = (why for other in one.instead for why in other.because)
        named = _named((*one.steps, *one.costs, *one.cautions, *one.refused_because, *beside))
        yield from ((one.id, row) for row in (*of_amounts, *named))


def _named(reasons: Iterable[Why]) -> Iterator[str]:
    return (why.words["table"] for why in reasons if "table" in why.words)


def _row(row: tables.Row, decides: tuple[str, ...]) -> RowUsed:
    figures = {name: getattr(row, name) for name in ("value", "low", "high")}
    texts = {name: getattr(row, name) for name in ("table", "unit", "printed", "source", "locator", "status", "reason")}
    finite: dict[str, Any] = {name: float(value) if math.isfinite(value) else None for name, value in figures.items()}
    return RowUsed(words=row.label, decides=decides, **finite, **texts)
