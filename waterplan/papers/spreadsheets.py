"""The plan as tables for a spreadsheet: figures, judgements, actions; no cell of them is taken for a formula."""

import csv
import io
import unicodedata
from collections.abc import Iterable, Mapping
from contextlib import suppress

from waterplan.plan.record import Plan
from waterplan.words.lines import action_line, judgement_line
from waterplan.words.speaker import Speaker

_RISKY = frozenset("=+-@\t\r\n|%")
# What another program may split a cell at: what stands behind it must not begin like a formula either.
_SPLITS, _QUOTE = frozenset(";,\t\n\r"), '"'
_INSIDE = _RISKY - _SPLITS

_FIGURES = ("figure", "best", "low", "high", "unit", "act_on", "act_end", "never")
_JUDGEMENTS = (
    *("id", "moment", "water", "hazard", "verdict", "figure"),
    *("limit", "limit_upper", "limit_unit", "limit_side", "limit_row", "limit_status"),
    *("chance", "until_harm", "answered_by", "given_done", "in_words"),
)
_ACTIONS = (
    *("id", "moment", "kind", "water", "who", "at", "by", "until", "amount", "figure", "act_on", "unit"),
    *("parts", "substance", "answers", "done", "refused", "in_words"),
)

_VAN = ("part", "what", "for", "figure", "act_on", "unit", "adds_up", "spare")


def harmless(cell: object) -> str:
    """A cell that a spreadsheet does not run: what begins like a formula gets an apostrophe; numbers do not.

    Full-width signs count as the plain ones, and so does what stands behind a sign at which a program may split.
    """
    text = "" if cell is None else str(cell)
    with suppress(ValueError):
        float(text)
        if text.isascii():
            return text
    kept, at_beginning = "", True
    for sign in text:
        if at_beginning and unicodedata.normalize("NFKC", sign)[:1] in (_INSIDE if kept else _RISKY):
            kept += "'"
        kept += sign
        at_beginning = sign in _SPLITS or (at_beginning and (sign.isspace() or sign == _QUOTE))
    return kept


def figures_table(plan: Plan) -> str:
    """Every figure of the plan, in the record's units; an end that is infinite is empty."""
    return _table(_FIGURES, ({"figure": path, **dict(one)} for path, one in plan.figures.items()))


def judgements_table(speaker: Speaker) -> str:
    """Every judgement, in the record's units and, last, in words."""
    return _table(
        _JUDGEMENTS,
        (
            {
                **dict(one),
                **{f"limit_{name}": value for name, value in one.limit or ()},
                "limit": one.limit and one.limit.value,
                "answered_by": " ".join(one.answered_by),
                "given_done": " ".join(one.given_done),
                "in_words": judgement_line(speaker, one),
            }
            for one in speaker.plan.judgements
        ),
    )


def actions_table(speaker: Speaker) -> str:
    """Every action, a row for each of its amounts, in the record's units and, last, in words."""
    rows = []
    for one in speaker.plan.actions:
        said = {
            **dict(one),
            "answers": " ".join(one.answers),
            "refused": " ".join(why.code for why in one.refused_because),
            "in_words": action_line(speaker, one),
        }
        amounts = [
            {"amount": name, "figure": path, **dict(speaker.plan.figures[path])} for name, path in one.amounts.items()
        ]
        rows += [said | amount for amount in amounts or [{}]]
    return _table(_ACTIONS, rows)


def van_table(speaker: Speaker) -> str:
    """What to load, a row for each thing, in the record's units."""
    rows = []
    for one in speaker.plan.van:
        figure = speaker.plan.figures[one.figure]
        names = speaker.join(map(speaker.name, one.waters), ", ")
        told = {"what": speaker.word(one.what), "for": names, "adds_up": " ".join(one.of)}
        rows.append({**dict(one), **told, "act_on": figure.act_on, "unit": figure.unit})
    return _table(_VAN, rows)


def _table(columns: Iterable[str], rows: Iterable[Mapping[str, object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows([harmless(row.get(name)) for name in columns] for row in rows)
    return out.getvalue()
