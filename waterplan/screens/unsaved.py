"""What stands in the fields of the case, and whether it stands in a file."""

from dataclasses import replace

from waterplan.case.reading import SECTIONS
from waterplan.screens import draft
from waterplan.screens.field import keys_of


def is_saved() -> bool:
    """Whether the fields say what was opened or saved last, or nothing at all."""
    return written() == draft.current().saved


def written() -> dict[str, str]:
    """What stands in the fields, by table and key; a table that may stand more than once is there with nothing in it too."""
    found: dict[str, str] = {}
    for section, table in draft.tables():
        if section and SECTIONS[section][1]:
            found[table] = ""
        found |= {
            f"{table}.{key.key}" if table else key.key: text
            for key in keys_of(section)
            if (text := draft.typed(table, key.key))
        }
    # An empty form has one patient of whom nothing is said: that is nothing.
    return {} if found == {"patients[1]": ""} else found


def mark_saved() -> None:
    """Notes that what stands in the fields is in a file."""
    draft.keep(replace(draft.current(), saved=written()))
