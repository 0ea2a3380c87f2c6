"""What all papers share: the sheet with its heading, its templates, and small tables."""

from collections.abc import Iterable
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from waterplan.papers.drawings import Drawings
from waterplan.plan.record import Grid
from waterplan.stay.record import ActEnd
from waterplan.words import numbers
from waterplan.words.lines import action_line, cautions, hangs_on, judgement_line, judgement_words, measure_line
from waterplan.words.speaker import Speaker, capital
from waterplan.words.terminal import heading


def title_of(speaker: Speaker, paper: str) -> str:
    """The title of a paper, with the patients or the water that it is of."""
    patients = [speaker.name(one.id) for one in speaker.plan.fish if one.patient]
    waters = [speaker.name(speaker.plan.waters[0].id)] if speaker.plan.waters else []
    return speaker.say(f"paper.{paper}", fish=speaker.join(patients or waters, ", "))


def _who(speaker: Speaker) -> str:
    """Who stands at the top of each sheet: the patients, else the first water."""
    patients = [
        speaker.join((speaker.name(one.id), speaker.word(one.species) if one.name else ""), ", ")
        for one in speaker.plan.fish
        if one.patient
    ]
    return speaker.join(patients) if patients else title_of(speaker, "plan")


def sheet(name: str, drawings: Drawings, title: str, tubs: Iterable[str] = (), size: str = "A4", **more: Any) -> str:
    """A paper by its template, with the words that all of them use."""
    speaker = drawings.speaker
    return (
        _templates()
        .get_template(name)
        .render(
            s=speaker,
            plan=speaker.plan,
            drawings=drawings,
            heading=heading(speaker),
            title=title,
            who=_who(speaker),
            tubs=list(tubs),
            size=size,
            action=lambda one: action_line(speaker, one),
            judgement=lambda one: judgement_words(speaker, one),
            judgement_line=lambda one: judgement_line(speaker, one),
            measure=lambda one: measure_line(speaker, one),
            cautions=lambda one: cautions(speaker, one),
            titles=lambda paths: [speaker.title(path) for path in paths],
            names=lambda paths: [speaker.name(path) for path in paths],
            words_of=lambda words: [speaker.word(word) for word in words],
            came_from=lambda value: speaker.path(value) if value in speaker.plan.rows else speaker.word(value),
            hangs=lambda path: hangs_on(speaker, path),
            **more,
        )
    )


def small_table(speaker: Speaker, grid: Grid) -> str:
    """A small table; its cells carry the rows that it rests on."""
    rests_on = grid.table_rows[0]
    rows = []
    for row, cells in zip(grid.rows, grid.cells, strict=True):
        texts = [speaker.row(numbers.plain(numbers.rounded(value, ActEnd.LOW)), rests_on) for value in cells]
        rows.append((_plain(speaker, row, grid.row_unit), texts))
    text = (
        _templates()
        .get_template("grid.html")
        .render(
            row_unit=speaker.amount_unit(grid.row_unit),
            column_unit=speaker.unit(grid.column_unit),
            columns=[_plain(speaker, column, grid.column_unit) for column in grid.columns],
            rows=rows,
            unit=speaker.amount_unit(grid.unit),
        )
    )
    return Markup(text)


def _plain(speaker: Speaker, value: float, unit: str) -> str:
    return numbers.plain(numbers.read_in(value, unit, speaker.system)[0])


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("waterplan", "papers/pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"css": _css, "capital": capital}
    return made


def _css(text: str) -> str:
    """A text as the inside of a string of a style sheet."""
    plain = Markup(text).striptags() if isinstance(text, Markup) else str(text)
    kept = (sign if sign.isascii() and sign.isalnum() else f"\\{ord(sign):x} " for sign in plain)
    return Markup("".join(kept))
