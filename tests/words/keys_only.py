"""A book that shows which words were not put by it."""

from contextlib import contextmanager
from unittest.mock import patch

from waterplan.screens import reader
from waterplan.words import speaker
from waterplan.words.catalogue import Catalogue


@contextmanager
def spoken_by(book: Catalogue):
    """Whatever is said meanwhile is said by this book."""
    with patch.object(speaker, "language", lambda: book), patch.object(reader, "language", lambda: book):
        yield


def keys_only(catalogue: Catalogue) -> Catalogue:
    """A book whose phrases are their own keys: what is still read with it was not put into words here."""
    return Catalogue({key: f"⟨{key}⟩" for key in catalogue})
