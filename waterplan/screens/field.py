"""One field of a form from one key of the case: its label, its help, its choices, and what is wrong beside it."""

from collections.abc import Callable, Iterable, Sequence

import streamlit as st

from waterplan.case import fields
from waterplan.case.describing import Key
from waterplan.case.kinds import Flag
from waterplan.case.volume.rows import Rows
from waterplan.errors import Mistake
from waterplan.screens.answers import mistake_words
from waterplan.screens.reader import say
from waterplan.words.speaker import capital

YES, NO = "yes", "no"
_ACROSS = 3
# Where the rows of a field come from a spreadsheet or a logger, a long box.
_TALL = {"soundings": 260, "outline": 200}


def keys_of(section: str) -> tuple[Key, ...]:
    """The keys of a section of the case, in its order."""
    return tuple(key for key in fields() if key.section == section)


def grid(
    keys: Sequence[Key],
    place: Callable[[Key], str],
    *,
    where: str = "",
    mistakes: Iterable[Mistake] = (),
    across: int = _ACROSS,
) -> None:
    """Fields a row at a time, so that they keep their order on a phone and under the Tab key; rows of figures by themselves.

    Parameters
    ----------
    keys : sequence of Key
        The keys, in order.
    place : callable
        Gives the session key of a key's field.
    where : str
        What mistakes call the table that the keys are of.
    mistakes : iterable of Mistake
        What is wrong; each stands under its field.
    across : int
        How many fields stand in a row.
    """
    told = tuple(mistakes)
    group: list[Key] = []
    for key in (*keys, None):
        alone = key is not None and key.kind == Rows.words
        if group and (key is None or alone or len(group) == across):
            for column, one in zip(st.columns(across), group, strict=False):
                with column:
                    _field(one, place(one), where, told)
            group = []
        if key is not None and alone:
            _field(key, place(key), where, told)
        elif key is not None:
            group.append(key)


def _field(key: Key, place: str, where: str, mistakes: tuple[Mistake, ...]) -> None:
    label = say("field.needed" if key.required else "field.label", words=capital(key.words))
    help_text = say(
        "field.help", named=key.key, kind=key.kind, example=key.example, found_with=", ".join(key.found_with)
    )
    choices = [YES, NO] if key.kind == Flag.words else list(dict.fromkeys(key.choices))
    if key.kind == Rows.words:
        hint = say("field.rows", example=key.example)
        st.text_area(label, key=place, height=_TALL.get(key.key, 140), placeholder=hint, help=help_text)
    elif choices:
        now = str(st.session_state.get(place) or "")
        # What a file says stays there to be seen, even where it is none of the choices.
        options = ["", *choices, *([now] if now and now not in choices else [])]
        st.selectbox(
            label, options, key=place, format_func=lambda text: text or say("field.not stated"), help=help_text
        )
    else:
        st.text_input(label, key=place, placeholder=key.example, help=help_text)
    beside(f"{where}.{key.key}" if where else key.key, mistakes)


def beside(where: str, mistakes: Iterable[Mistake]) -> None:
    """What is wrong at a place."""
    for one in mistakes:
        if one.where == where:
            st.error(mistake_words(one))


def text(place: str) -> str:
    """What was typed into a field."""
    return str(st.session_state.get(place) or "").strip()
