"""Saving a case without ever harming what was saved before."""

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomli_w

from waterplan.first_plan.first_case.schema import SECTIONS, VERSION, VERSION_KEY


def document_to_text(document: Mapping[str, Any]) -> str:
    """Raw tables as TOML, in the schema's order, empty keys left out."""
    parts = [tomli_w.dumps({VERSION_KEY: document.get(VERSION_KEY, VERSION)})]
    for name, section in SECTIONS.items():
        tables = document.get(name)
        if not tables:
            continue
        listed = tables if section.many else [tables]
        kept = [
            {field.key: table[field.key] for field in section.fields if table.get(field.key) not in (None, "")}
            for table in listed
        ]
        # Each table under a heading of its own, as a person writes it: the library would set short ones in one line.
        heading = f"[[{name}]]" if section.many else f"[{name}]"
        parts += [f"{heading}\n{tomli_w.dumps(table, multiline_strings=True)}" for table in kept if table]
    return "\n".join(parts)


def save_text(path: Path | str, text: str) -> None:
    """Writes a text beside its place and moves it there, so that a failure leaves the old file whole."""
    target = Path(path)
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(0o644)
        Path(name).replace(target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
