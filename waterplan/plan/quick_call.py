"""A call and little else: species, what was seen, whatever was read; a plan that acts before any of it is complete."""

import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from itertools import chain
from typing import Any

from waterplan import tables
from waterplan.case.names import plain
from waterplan.case.reading import read_case
from waterplan.case.seen import SIGNS
from waterplan.case.waters import WATER_KEYS
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.spread import DEFAULT_DRAWS

NOTHING_YET = "nothing yet"
_NOT = re.compile(r"\b(?:not|no|never|without|cannot|\w+n['’]t)\s+")
_NO_WORD = re.compile(r"[^\w-]+")


def called(texts: Mapping[str, str], signs: Sequence[str]) -> dict[str, Any]:
    """The tables of a case from the few things that are said on the telephone.

    Parameters
    ----------
    texts : mapping of str to str
        `species`, `fish`, `where`, `litres`, `volume` (of the pond), `looks`, `new_fish`, `what` (is meant), `disinfectant`,
        and the keys of a water; any may be empty.
    signs : sequence of str
        What was seen, by the names of the table `signs`.

    Returns
    -------
    dict of str to object
        The raw tables of a case, as a file would have them.
    """
    given = {key: text.strip() for key, text in texts.items() if text.strip()}

    def some(*keys: str) -> dict[str, str]:
        return {key: given[key] for key in keys if key in given}

    parts = {
        "home_pond": some("volume", "looks", "new_fish"),
        "home_water": some(*WATER_KEYS, "kit_expires"),
        "mains_water": some("disinfectant"),
    }
    of_first = some("fish", "where", "litres")
    return {
        "patients": [{"species": given.get("species", "unknown")}],
        "seen": [{"sign": sign, **(of_first if number == 0 else {})} for number, sign in enumerate(signs)],
        "meant": [{"what": one.strip()} for one in given.get("what", "").split(";") if one.strip()],
        **{section: part for section, part in parts.items() if part},
    }


def signs_of(texts: Sequence[str]) -> tuple[str, ...]:
    """The signs that somebody's words mean, each once; the words are taken together where some of them alone mean none."""
    each = [_meant(text) for text in texts]
    return tuple(dict.fromkeys(chain(*each) if all(each) else _meant(" ".join(texts))))


def _meant(text: str) -> list[str]:
    """A sign by its name, or all whose words, as the table `signs` has them heard, begin words of the text.

    What stands behind a "not" is another word: a fish that does not gasp is not one that gasps.
    """
    if plain(text) in SIGNS:
        return [plain(text)]
    words = " " + _NO_WORD.sub(" ", _NOT.sub("not-", plain(text)))
    ways = ((row["sign"], way.split()) for row in tables.table("signs") for way in row["heard"].split("; "))
    return [sign for sign, parts in ways if all(f" {part}" in words for part in parts)]


def quick_call(
    texts: Mapping[str, str], signs: Sequence[str], *, as_of: datetime | None = None, draws: int = DEFAULT_DRAWS
) -> Plan:
    """The plan of a bare call: first aid, what to read next, and why.

    Parameters
    ----------
    texts, signs
        As `called`.
    as_of : datetime, optional
        The time of the call.
    draws : int
        How many draws.

    Returns
    -------
    Plan
        A plan like any other.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    return plan(read_case(called(texts, signs), file="call"), as_of=as_of, draws=draws)
