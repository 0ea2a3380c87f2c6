"""The plan as tables for a spreadsheet: figures, judgements, actions; no cell of them is taken for a formula."""

import csv
import io
import unicodedata
from collections.abc import Iterable

from waterplan.hazards.record import Limit
from waterplan.plan.record import Plan
from waterplan.words.lines import action_line, judgement_line
from waterplan.words.speaker import Speaker

_RISKY = frozenset("=+-@\t\r\n|%")
# What another program may split a cell at: what stands behind it must not begin like a formula either.
_SPLITS = frozenset(";,\t\n\r")

_FIGURES = ("figure", "best", "low", "high", "unit", "act_on", "act_end", "never")
_LIMIT = ("limit", "limit_upper", "limit_unit", "limit_side", "limit_row", "limit_status")
_JUDGEMENTS = (
    *("id", "moment", "water", "hazard", "verdict", "figure", *_LIMIT),
    *("chance", "until_harm", "answered_by", "given_done", "in_words"),
)
_ACTIONS = (
    *("id", "moment", "kind", "water", "who", "at", "by", "until", "amount", "figure", "act_on", "unit"),
    *("parts", "substance", "answers", "done", "refused", "in_words"),
)


def harmless(cell: object) -> str:
    """A cell that a spreadsheet does not run: what begins like a formula gets an apostrophe; numbers do not.

    Full-width signs count as the plain ones, and so does what stands behind a sign at which a program may split.
    """
    text = "" if cell is None else str(cell)
    if _is_number(text):
        return text
    kept, at_beginning, first = [], True, True
    for sign in text:
        risky = unicodedata.normalize("NFKC", sign)[:1] in (_RISKY if first else _RISKY - _SPLITS)
        if at_beginning and risky:
            kept.append("'")
        kept.append(sign)
        first = False
        at_beginning = sign in _SPLITS or (at_beginning and sign.isspace())
    return "".join(kept)


def figures_table(plan: Plan) -> str:
    """Every figure of the plan, in the record's units; an end that is infinite is empty."""
    return _table(
        _FIGURES,
        (
            (path, one.best, one.low, one.high, one.unit, one.act_on, one.act_end, one.never)
            for path, one in plan.figures.items()
        ),
    )


def judgements_table(speaker: Speaker) -> str:
    """Every judgement, in the record's units and, last, in words."""
    return _table(
        _JUDGEMENTS,
        (
            (
                *(one.id, one.moment, one.water, one.hazard, one.verdict, one.figure, *_limit(one.limit)),
                *(one.chance, one.until_harm, " ".join(one.answered_by), " ".join(one.given_done)),
                judgement_line(speaker, one),
            )
            for one in speaker.plan.judgements
        ),
    )


def _limit(limit: Limit | None) -> tuple[object, ...]:
    if limit is None:
        return ("",) * len(_LIMIT)
    return limit.value, limit.upper, limit.unit, limit.side, limit.row, limit.status


def actions_table(speaker: Speaker) -> str:
    """Every action, a row for each of its amounts, in the record's units and, last, in words."""
    rows = []
    for one in speaker.plan.actions:
        head = (one.id, one.moment, one.kind, one.water, one.who, one.at, one.by, one.until)
        refused = " ".join(why.code for why in one.refused_because)
        tail = (one.parts, one.substance, " ".join(one.answers), one.done, refused, action_line(speaker, one))
        for name, path in one.amounts.items() or ((None, None),):
            figure = speaker.plan.figures[path] if path else None
            rows.append((*head, name, path, figure and figure.act_on, figure and figure.unit, *tail))
    return _table(_ACTIONS, rows)


def _table(columns: Iterable[str], rows: Iterable[Iterable[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return out.getvalue()


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return text.isascii()
