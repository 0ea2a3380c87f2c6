"""What all pages share: their templates, the words that each may use, the heading of a sheet, and small tables."""

import re
from collections.abc import Callable
from datetime import datetime
from functools import cache, partial
from typing import Any
from unicodedata import east_asian_width

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from waterplan.charts.style import FAMILY
from waterplan.papers.drawings import Drawings
from waterplan.plan.record import Grid
from waterplan.stay.record import ActEnd
from waterplan.words import numbers
from waterplan.words.lines import action_line, cautions, hangs_on, judgement_words, measure_line
from waterplan.words.since import since_lines, since_title
from waterplan.words.speaker import Speaker, capital
from waterplan.words.terminal import go_lines, heading, told_of_all


def sheet(name: str, drawings: Drawings, paper: str, *, until: datetime | None, **more: Any) -> str:
    """A paper by its template and the phrase of its title, with the patients or the water that it is of at its head."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    patients = [one for one in plan.fish if one.patient]
    names = [speaker.name(one.id, article=True) for one in patients or plan.waters[:1]]
    of_whom = speaker.join(names, ", ")
    who = [
        speaker.join((speaker.name(one.id), speaker.word(one.species) if one.name else ""), ", ") for one in patients
    ]
    return render(
        f"papers/pages/{name}",
        speaker,
        drawings=drawings,
        family=FAMILY,
        until=speaker.say("paper.holds until", at=speaker.clock(until, "full"))
        if until
        else speaker.say("paper.holds now"),
        title=speaker.say(f"paper.{paper}", fish=of_whom),
        who=speaker.join(who) or speaker.say("paper.plan", fish=of_whom),
        # Whom to phone, by the keys of the case: blank lines where it names nobody.
        phone={
            one.key: speaker.case(_GAP.sub("\N{NO-BREAK SPACE}", one.text), f"{one.section}/{one.ordinal}/{one.key}")
            for one in plan.written
            if one.section == "place"
        },
        **more,
    )


def render(template: str, speaker: Speaker, **more: Any) -> str:
    """A template by its path in the package, with the words that all of them may use."""
    folder, _, name = template.rpartition("/")
    return (
        _templates(folder)
        .get_template(name)
        .render(
            s=speaker,
            plan=speaker.plan,
            heading=heading(speaker),
            titles=lambda paths: speaker.join(dict.fromkeys(map(speaker.title, paths))),
            **{function.__name__: partial(function, speaker) for function in _SAID_OF},
            **more,
        )
    )


def table_cells(speaker: Speaker, grid: Grid) -> dict[str, Any]:
    """The cells of a small table and its head, as they are written; a cell carries the rows that it rests on."""

    def plain(value: float, unit: str) -> str:
        return numbers.plain(numbers.read_in(value, unit, speaker.system)[0])

    def cell(value: float) -> str:
        return speaker.row(numbers.plain(numbers.rounded(value, ActEnd.LOW)), grid.table_rows[0])

    return {
        "columns": [plain(column, grid.column_unit) for column in grid.columns],
        "rows": [
            (plain(row, grid.row_unit), list(map(cell, cells)))
            for row, cells in zip(grid.rows, grid.cells, strict=True)
        ],
    }


# Between the figures of a telephone number, which stay in one line and, among letters read from the right, in order.
_GAP = re.compile(r"(?<=\d) (?=\d)")
# The width of a sign by the size of its letters, none of them narrower than it is counted.
_WIDE, _NARROW = 1.05, 0.66
# Where a sheet of a page ends, and what stands on an amount from memory.
_SHEET_ENDS, _MARK = "</section>", 'class="memory"'
# What a template may call, with the record or the path that it has.
_SAID_OF: tuple[Callable[..., Any], ...] = (
    *(action_line, cautions, go_lines, hangs_on, judgement_words, measure_line, told_of_all, since_lines, since_title),
    table_cells,
)


@cache
def _templates(folder: str) -> Environment:
    made = Environment(
        loader=PackageLoader("waterplan", folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        optimized=False,  # a page is filled once: what there is to fold costs more to look for
    )
    made.filters |= {"css": _css, "capital": capital, "noted": _noted, "fits": _fits}
    return made


def _noted(body: str, note: str) -> str:
    """A page whose sheets, each where it has an amount from memory, explain the mark at their foot; or the page at its own."""
    sheets = str(body).split(_SHEET_ENDS)
    foot = str(Markup('<p class="small">† {}</p>\n').format(note))
    return Markup(_SHEET_ENDS.join(one + foot if _MARK in one else one for one in sheets))


def _fits(text: str, ems: float) -> str:
    """A text for the margin of a page, where nothing breaks or clips it: cut to so many times the size of its letters."""
    left = ems
    for place, sign in enumerate(text):
        left -= _WIDE if east_asian_width(sign) in "WF" or sign.isupper() or sign in "mw@%" else _NARROW
        if left < 0.0:
            return text[: max(place - 1, 0)] + "…"
    return text


def _css(text: str) -> str:
    """A text as the inside of a string of a style sheet."""
    plain = Markup(text).striptags() if isinstance(text, Markup) else str(text)
    return Markup("".join(sign if sign.isascii() and sign.isalnum() else f"\\{ord(sign):x} " for sign in plain))
