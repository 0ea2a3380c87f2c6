"""A phrase book that says only its keys and the values that were put in: what else is read was not put into words."""

from waterplan.words.catalogue import Catalogue, language


def echoing():
    """Every phrase as its key between brackets, with the values that the English phrase uses behind it."""
    book = language()

    def phrase(key):
        names = sorted(book.asks_for(key) - {"row"})
        return f"⟨{key}⟩" + "".join(f" {{{{ {name} }}}}" for name in names)

    return Catalogue({key: phrase(key) for key in book})
