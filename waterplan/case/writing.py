"""Saving a case without ever harming what was saved before."""

from collections.abc import Mapping
from typing import Any

import tomli_w

from waterplan.case.model import Case
from waterplan.case.reading import SECTIONS, VERSION, VERSION_KEY, WAYS


def write_case(document: Mapping[str, Any]) -> str:
    """Raw tables as TOML, in the order of the keys, empty keys left out.

    Parameters
    ----------
    document : mapping
        Tables as `read_case` takes them.

    Returns
    -------
    str
        The text of a file that reads as the same case.
    """
    top = {
        key: document[key] for key in Case.known_keys() if key not in SECTIONS and document.get(key) not in (None, "")
    }
    parts = [tomli_w.dumps({VERSION_KEY: document.get(VERSION_KEY, VERSION)} | top)]
    single = {"patient": "patients", "transport": "transports"}
    for name in (name for key in SECTIONS for name in (*(one for one, of in single.items() if of == key), key)):
        tables = document.get(name)
        listed = [one for one in (tables if isinstance(tables, list) else [tables]) if isinstance(one, Mapping)]
        known = [key for part in (SECTIONS[single.get(name, name)][0], *_ways(name)) for key in part.known_keys()]
        heading = f"[[{name}]]" if isinstance(tables, list) else f"[{name}]"
        for table in listed:
            kept = {key: table[key] for key in dict.fromkeys((*known, *table)) if table.get(key) not in (None, "")}
            # Each table under a heading of its own, as a person writes it: the library would set short ones in one line.
            parts += [f"{heading}\n{tomli_w.dumps(kept, multiline_strings=True)}"] if kept else []
    return "\n".join(parts)


def _ways(name: str) -> tuple[Any, ...]:
    return tuple(WAYS.values()) if name == "volumes" else ()
