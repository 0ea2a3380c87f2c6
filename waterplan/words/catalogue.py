"""The phrase book: phrases by their keys, read from the files of one language."""

import re
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from itertools import chain
from pathlib import Path
from typing import Any

from jinja2 import Environment, meta
from markupsafe import escape

_FOLDER = Path(__file__).parent / "english"
_PLAIN = Environment(autoescape=False)
_MARKED = Environment(autoescape=True)
_GAP = re.compile(r"\{\{ (\w+) \}\}")


class Catalogue(dict[str, str]):
    """Phrases by key; a phrase is a template whose values are words and figures that are spoken already."""

    def asks_for(self, key: str) -> frozenset[str]:
        """The names of the values that a phrase uses."""
        return _names(self[key])

    def say(self, key: str, /, *, marked: bool = False, **values: Any) -> str:
        """The phrase of a key with its values put in.

        Parameters
        ----------
        key : str
            The phrase's key, as `hazard.oxygen`.
        marked : bool
            Whether the text goes into HTML: values that are not marked up already are escaped.
        **values
            What the phrase asks for; what is missing is left out.

        Returns
        -------
        str
            The text.

        Raises
        ------
        KeyError
            Where the book has no such phrase.
        """
        return _filled(self[key], marked)(**values).strip()


@cache
def _filled(phrase: str, marked: bool) -> Callable[..., str]:
    """What fills the gaps of a phrase; one that has gaps and nothing else, as nearly all do, is not worth a compiler."""
    words = _GAP.split(phrase)
    if any("{" in one for one in words[::2]):
        return (_MARKED if marked else _PLAIN).from_string(phrase).render
    put = escape if marked else str

    def fill(**values: Any) -> str:
        filled = [str(put(values.get(name, ""))) for name in words[1::2]]
        return "".join(chain.from_iterable(zip(words[::2], [*filled, ""], strict=True)))

    return fill


@cache
def _names(phrase: str) -> frozenset[str]:
    return frozenset(meta.find_undeclared_variables(_PLAIN.parse(phrase)))


@cache
def language() -> Catalogue:
    """The phrase book in English: all files of its folder."""
    books = (tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(_FOLDER.glob("*.toml")))
    return Catalogue(chain.from_iterable(_flat("", book) for book in books))


def _flat(prefix: str, found: Any) -> Iterator[tuple[str, str]]:
    if isinstance(found, str):
        yield prefix, found
        return
    items = found.items() if isinstance(found, dict) else ((str(n), item) for n, item in enumerate(found, 1))
    for name, item in items:
        yield from _flat(f"{prefix}.{name}" if prefix else name, item)
