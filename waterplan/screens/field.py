"""One field of a form from one key of the case: its label, its help, its choices, and what is wrong beside it; and a file."""

from collections.abc import Callable, Iterable, Sequence
from functools import cache, partial
from itertools import groupby

import streamlit as st

from waterplan.case import fields
from waterplan.case.describing import Key
from waterplan.case.document import decoded
from waterplan.case.kinds import Flag
from waterplan.case.volume.rows import Rows
from waterplan.errors import CaseError, Mistake
from waterplan.fish.species import other_names
from waterplan.screens.answers import mistake_words
from waterplan.screens.reader import plain, say
from waterplan.words.speaker import capital

YES, NO = "yes", "no"
_TROUBLE = "trouble"
# Where the rows of a field come from a spreadsheet or a logger, a long box; what is written in sentences, one that grows.
_TALL, _SENTENCES = {"soundings": 260, "outline": 200}, frozenset({"done", "words"})


@cache
def keys_of(section: str) -> tuple[Key, ...]:
    """The keys of a section of the case, in its order."""
    return tuple(key for key in fields() if key.section == section)


def grid(
    keys: Sequence[Key], place: Callable[[str], str], *, where: str = "", mistakes: Sequence[Mistake], across: int = 3
) -> None:
    """Fields a row at a time, in order on a phone and under the Tab key too; rows of figures and sentences by themselves.

    Parameters
    ----------
    keys : sequence of Key
        The keys, in order.
    place : callable
        Gives the session key of a field by its name.
    where : str
        What mistakes call the table that the keys are of.
    mistakes : sequence of Mistake
        What is wrong; each stands under its field.
    across : int
        How many fields stand in a row.
    """
    for alone, group in groupby(keys, key=lambda key: key.kind == Rows.words or key.key in _SENTENCES):
        beside_each_other = list(group)
        step = 1 if alone else across
        for first in range(0, len(beside_each_other), step):
            columns = st.columns(min(step, len(beside_each_other)), vertical_alignment="bottom")
            for column, key in zip(columns, beside_each_other[first : first + step], strict=False):
                with column:
                    _field(key, place(key.key), f"{where}.{key.key}" if where else key.key, mistakes)


def _field(key: Key, place: str, where: str, mistakes: Sequence[Mistake]) -> None:
    label = say("field.needed" if key.required else "field.label", words=capital(key.name))
    found_with = ", ".join(key.found_with)
    help_text = say("field.help", more=capital(key.more), kind=key.kind, example=key.example, found_with=found_with)
    choices = [YES, NO] if key.kind == Flag.words else list(dict.fromkeys(key.choices))
    if key.kind == Rows.words:
        hint = say("field.rows", example=key.example)
        st.text_area(label, key=place, height=_TALL.get(key.key, 140), placeholder=hint, help=help_text)
    elif key.key in _SENTENCES:
        st.text_area(label, key=place, height="content", placeholder=key.example, help=help_text)
    elif choices:
        # What a file says stays there to be seen, even where it is none of the choices.
        options = list(dict.fromkeys(["", *choices, str(st.session_state.get(place) or "")]))
        st.selectbox(label, options, key=place, format_func=known_as, help=help_text)
    else:
        st.text_input(label, key=place, placeholder=key.example, help=help_text)
    beside(where, mistakes)


def known_as(name: str) -> str:
    """A choice with the other names of a species, by which it is found in a list too."""
    also = [other for other, one in other_names().items() if one == name]
    return say("field.also", name=name, also=", ".join(also)) if also else name or say("field.not stated")


def beside(where: str, mistakes: Iterable[Mistake]) -> None:
    """What is wrong at a place."""
    for one in mistakes:
        if one.where == where:
            st.error(mistake_words(one))


def text(place: str) -> str:
    """What was typed into a field."""
    return str(st.session_state.get(place) or "").strip()


def upload(label: str, kinds: Sequence[str], key: str, take: Callable[[str, str], None], *, what: str, mb: int) -> None:
    """A place for a file of some kinds, at most so many megabytes; its text goes to `take`, with its name."""
    given = partial(hand_over, key, take, what, mb)
    st.file_uploader(label, type=kinds, key=key, on_change=given, max_upload_size=mb)


def hand_over(key: str, take: Callable[[str, str], None], what: str, mb: int) -> None:
    """Hands on the text of a file and its name, both empty where it was taken away; what cannot be read is told."""
    file = st.session_state.get(key)
    name, content = (file.name, file.getvalue()) if file else ("", b"")
    if name and not content.strip():
        st.session_state[_TROUBLE] = say("open.empty", name=name)
        return
    try:
        take(decoded(content, file=name, largest=mb * 1_000_000, what=what), name)
    except CaseError as error:
        st.session_state[_TROUBLE] = str(error)


def tell_trouble() -> None:
    """What was wrong with the file that was handed over last."""
    if _TROUBLE in st.session_state:
        st.error(plain(st.session_state.pop(_TROUBLE)))


def question(words: str, answer: Callable[..., None]) -> None:
    """Before something typed is overwritten: the question, and the two buttons that answer it."""
    st.warning(words)
    with st.container(horizontal=True):
        for word, overwrite in (("keep", False), ("overwrite", True)):
            st.button(say(f"question.{word}"), key=f"{word} typed", on_click=answer, kwargs={"overwrite": overwrite})
