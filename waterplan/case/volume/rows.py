"""Figures that a case gives in rows, one to a line."""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from pydantic import ValidationInfo

from waterplan.case.kinds import EXAMPLE, Kind, shown
from waterplan.case.values import BadValue

Table: TypeAlias = tuple[tuple[str, ...], ...]
MOST_ROWS, LONGEST_CELL = 20_000, 60
# A figure that stands by itself, as in "left 0.4" and not as in "area m2".
_A_NUMBER = re.compile(r"(?<![A-Za-z])\d")


@dataclass(frozen=True, slots=True)
class Rows(Kind):
    """Rows of figures and names, one to a line."""

    words = "rows, one to a line"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The cells of each line, as they were written."""
        if not isinstance(raw, str):
            raise BadValue(shown(raw), f"write rows between three quotes, one to a line, such as {EXAMPLE}")
        if raw.count("\n") > MOST_ROWS:
            raise BadValue(f"over {MOST_ROWS} rows", f"at most {MOST_ROWS} rows")
        rows = split_rows(raw)
        if not all(cell.isprintable() and len(cell) <= LONGEST_CELL for row in rows for cell in row):
            raise BadValue(f"control characters or a cell of over {LONGEST_CELL}", "write numbers and short names")
        return rows


def split_rows(text: str) -> Table:
    """The cells of each line: parted by tabs or semicolons where there are any, else by commas, else by spaces.

    Empty lines and a heading (a first line of words) are left out.
    """
    found = []
    for line in text.splitlines():
        if line.strip():
            parting = next((mark for mark in ("[;\t]", ",") if re.search(mark, line)), r"\s+")
            found.append(tuple(part.strip() for part in re.split(parting, line.strip(" \r"))))
    if found and not any(_A_NUMBER.search(cell) for cell in found[0]) and any(map(str.isalpha, "".join(found[0]))):
        del found[0]
    return tuple(found)


def number_of(cell: str) -> float | None:
    """The finite number that a cell holds."""
    try:
        number = float(cell)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def numbers_in(cells: Iterable[str]) -> list[float] | None:
    """The finite numbers of some cells; None where a cell is none."""
    found = [number_of(cell) for cell in cells]
    return None if None in found else [number for number in found if number is not None]
