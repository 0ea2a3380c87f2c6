"""What the rows rest on, told by table in `DEVELOPERS.md`; no row may vanish to better its share."""

import csv
from pathlib import Path

from tests import status_of_rows

# The fewest rows a table may hold: whoever takes one away lowers its number here, and says why in the message.
LEAST = Path(__file__).with_name("least_rows.csv")


def test_the_page_shows_what_the_rows_rest_on() -> None:
    assert status_of_rows.told() == status_of_rows.made(), "run python -m tests.status_of_rows"


def test_no_row_vanished_to_better_the_share() -> None:
    with LEAST.open(encoding="utf-8", newline="") as file:
        least = {record["table"]: int(record["rows"]) for record in csv.DictReader(file)}
    found = {name: by.total() for name, by in status_of_rows.counts().items()}
    assert set(found) == set(least), "a table is new or gone"
    assert not {name: (rows, least[name]) for name, rows in found.items() if rows < least[name]}


def test_every_row_is_counted_once() -> None:
    for name, by in status_of_rows.counts().items():
        assert set(by) <= set(status_of_rows.STATUSES), name
