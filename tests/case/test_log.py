"""Readings taken over the days."""

from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.plans import SMALLEST, case_of
from waterplan.case.log import COLUMNS, log_from_text, read_log
from waterplan.case.reading import read_case
from waterplan.errors import CaseError
from waterplan.tables import shipped

CASE = case_of(SMALLEST)
HEAD = ",".join(COLUMNS) + "\n"


def mistakes_of(text: str) -> list[tuple[str, str, str]]:
    with pytest.raises(CaseError) as error:
        log_from_text(text, case=CASE, file="log.csv")
    assert error.value.file == "log.csv"
    return [(mistake.where, mistake.read, mistake.would_do) for mistake in error.value.mistakes]


@pytest.mark.parametrize(
    ("case", "log"), [("heron_goldfish", "heron_goldfish_readings"), ("hooked_tench", "hooked_tench_readings")]
)
def test_the_invented_logs_are_read(case: str, log: str) -> None:
    ponds = shipped("demo_ponds")
    rows = read_log(ponds / f"{log}.csv", case=read_case(ponds / f"{case}.toml"))
    assert len(rows) >= 8
    assert [row.taken for row in rows] == sorted(row.taken for row in rows)
    assert any(row.reading.measured.censored for row in rows)


def test_rows_come_in_the_order_of_time() -> None:
    text = HEAD + "2026-05-16,blue tub,ph,7.6\n2026-05-15T08:00,home water,temperature,18 °C\n"
    rows = log_from_text(text, case=CASE, file="log.csv")
    assert [(row.taken, row.water, row.key) for row in rows] == [
        (datetime(2026, 5, 15, 8), "home water", "temperature"),
        (datetime(2026, 5, 16), "blue tub", "ph"),
    ]
    assert rows[0].reading.taken == rows[0].taken


def test_quoted_readings_with_their_method_and_blank_lines() -> None:
    text = '\ufeff taken , water , what , reading \n\n2026-05-15, blue tub , ph ,"7.6, pH meter"\n\n'
    rows = log_from_text(text.removeprefix("\ufeff"), case=CASE, file="log.csv")
    assert [row.reading.how for row in rows] == ["pH meter"]


def test_a_log_saved_by_a_spreadsheet_with_its_mark_is_read(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(HEAD + "2026-05-15,blue tub,ph,7.6\r\n", encoding="utf-8-sig", newline="")
    assert len(read_log(path, case=CASE)) == 1


def test_what_was_not_measured_is_no_row() -> None:
    assert log_from_text(HEAD + "2026-05-15,blue tub,ph,not measured\n", case=CASE, file="log.csv") == ()
    assert log_from_text(HEAD, case=CASE, file="log.csv") == ()


def test_all_rows_that_are_wrong_are_told_together() -> None:
    text = (
        HEAD
        + "2026-05-15,blue tub,ph,7.6\n"
        + "noon,blue tub,ph,7.6\n"
        + "2026-05-15,moat,ph,7.6\n"
        + "2026-05-15,blue tub,colour,7.6\n"
        + "2026-05-15,blue tub,nitrite,0.1 mg/L\n"
        + "2026-05-15,blue tub,temperature,60 °C\n"
        + "2026-05-15,blue tub\n"
    )
    found = mistakes_of(text)
    assert [where for where, _, _ in found] == ["row 3", "row 4", "row 5", "row 6", "row 7", "row 8"]
    assert "2026-05-14T09:30" in found[0][2]
    assert found[1][2] == "name a water of the case: home water, mains water, blue tub"
    assert found[2][2].startswith("use one of temperature, ph")
    assert "write the basis" in found[3][2]
    assert found[4][2] == "water temperature must be 0 to 45 °C"


def test_a_method_that_was_not_quoted_is_never_dropped() -> None:
    ((where, read, would_do),) = mistakes_of(HEAD + "2026-05-15,blue tub,temperature,18 °C, digital thermometer\n")
    assert where == "row 2"
    assert "digital thermometer" in read
    assert would_do == "put a reading in quotes"


@pytest.mark.parametrize("head", ["", "when,water,what,reading\n", "taken;water;what;reading\n", "taken,water,what\n"])
def test_a_log_without_its_head_is_told_what_it_is(head: str) -> None:
    ((where, _, would_do),) = mistakes_of(head + "2026-05-15,blue tub,ph,7.6\n" if head else "")
    assert (where, would_do) == ("row 1", "head it taken,water,what,reading")


def test_a_quote_that_never_ends() -> None:
    ((where, _, would_do),) = mistakes_of(HEAD + '2026-05-15,blue tub,ph,"7.6\n')
    assert (where, would_do) == ("file", "save it as comma-separated")


def test_a_missing_file_a_folder_and_bytes(tmp_path: Path) -> None:
    binary = tmp_path / "log.csv"
    binary.write_bytes(b"taken,water\xff\xfe")
    for path in (tmp_path / "none.csv", tmp_path, binary):
        with pytest.raises(CaseError) as error:
            read_log(path, case=CASE)
        assert error.value.file == str(path)


@given(st.text(max_size=120))
def test_any_text_ends_in_rows_or_in_words(text: str) -> None:
    for written in (text, HEAD + text):
        try:
            log_from_text(written, case=CASE, file="log.csv")
        except CaseError as error:
            assert error.mistakes  # noqa: PT017 - either end is right
