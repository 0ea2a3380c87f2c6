"""How many rows of each table are in print, quoted, derived, habit, judgement or memory.

`python -m tests.status_of_rows` writes the table of `DEVELOPERS.md` anew.
"""

from collections import Counter
from collections.abc import Mapping
from pathlib import Path

from waterplan import tables
from waterplan.published import Status

_PAGE = Path(__file__).parents[1] / "DEVELOPERS.md"
_BEGIN, _END = "<!-- status: begin (made by a test) -->", "<!-- status: end -->"
STATUSES = ("published", "as quoted", "derived", "common practice", "judgement", "from memory")
assert set(STATUSES) == set(Status)


def counts() -> Mapping[str, Counter[str]]:
    """The number of rows of each status, by table."""
    folder = tables.shipped("reference_tables")
    names = sorted(path.stem for path in folder.glob("*.csv") if path.stem not in {"glossary", "sources"})
    return {name: Counter(row.status for row in tables.table(name)) for name in names}


def told() -> str:
    """The table as it stands in `DEVELOPERS.md`."""
    return _PAGE.read_text(encoding="utf-8").partition(_BEGIN)[2].partition(_END)[0].strip()


def made() -> str:
    """The table as the rows have it."""
    found = counts()
    lines = [f"| table | rows | {' | '.join(STATUSES)} |", "| --- |" + " --- |" * (len(STATUSES) + 1)]
    for name, by in (*found.items(), ("all", sum(found.values(), Counter()))):
        cells = (str(by[status] or "") for status in STATUSES)
        lines.append(f"| {name.replace('_', ' ')} | {by.total()} | {' | '.join(cells)} |")
    return "\n".join(lines)


if __name__ == "__main__":
    before, _, rest = _PAGE.read_text(encoding="utf-8").partition(_BEGIN)
    _PAGE.write_text(f"{before}{_BEGIN}\n\n{made()}\n\n{_END}{rest.partition(_END)[2]}", encoding="utf-8")
