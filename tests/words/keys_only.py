"""A book that shows which words were not put by it."""

from types import MappingProxyType

from waterplan.words.catalogue import Catalogue


def keys_only(catalogue: Catalogue) -> Catalogue:
    """A book whose phrases are their own keys: what is still read with it was not put into words here."""
    return Catalogue(phrases=MappingProxyType({key: f"⟨{key}⟩" for key in catalogue.phrases}))
