"""Readings taken over the days."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.case.small import SMALL, assert_plain, case_of
from waterplan.case import read_case, read_log
from waterplan.case.log import COLUMNS, Log
from waterplan.errors import CaseError
from waterplan.tables import shipped

CASE = case_of(SMALL)
HEAD = ",".join(COLUMNS) + "\n"


def log_of(text: str, as_of: datetime | None = None) -> Log:
    return read_log(text, case=CASE, as_of=as_of, file="log.csv")


def mistakes_of(text: str) -> list[tuple[str, str, str]]:
    with pytest.raises(CaseError) as error:
        log_of(text)
    assert error.value.file == "log.csv"
    assert_plain(str(error.value))
    return [(mistake.where, mistake.read, mistake.would_do) for mistake in error.value.mistakes]


@pytest.mark.parametrize(
    ("case", "log"), [("heron_goldfish", "heron_goldfish_readings"), ("hooked_tench", "hooked_tench_readings")]
)
def test_the_invented_logs_are_read(case: str, log: str) -> None:
    ponds = shipped("demo_ponds")
    found = read_log(ponds / f"{log}.csv", case=read_case(ponds / f"{case}.toml"))
    assert len(found.rows) >= 8
    assert [row.taken for row in found] == sorted(row.taken for row in found)
    assert any(row.reading.measured.censored for row in found)
    assert found.left_out == ()


def test_rows_come_in_the_order_of_time_with_paths() -> None:
    rows = log_of(HEAD + "2026-05-16,Grey Tub,PH,7.6\n2026-05-15T08:00,home water,temperature,18 °C\n").rows
    assert [(row.taken, row.water, row.key) for row in rows] == [
        (datetime(2026, 5, 15, 8, tzinfo=UTC), "home-pond", "temperature"),
        (datetime(2026, 5, 16, tzinfo=UTC), "revival-1", "ph"),
    ]
    assert rows[0].reading.taken == rows[0].taken


def test_an_offset_is_kept_and_put_on_the_clock_of_the_place() -> None:
    case = case_of('utc_offset = "+02:00"\n' + SMALL)
    text = (
        HEAD
        + "2026-05-15T09:00,grey tub,ph,7.6\n2026-05-15T08:30+01:00,grey tub,ph,7.7\n2026-05-15T06:00Z,grey tub,ph,7.8\n"
    )
    rows = read_log(text, case=case).rows
    # 08:00, 09:00 and 09:30 on the clock of the place.
    assert [(row.taken.hour, row.taken.minute, row.reading.text) for row in rows] == [
        (8, 0, "7.8"),
        (9, 0, "7.6"),
        (9, 30, "7.7"),
    ]
    assert {row.taken.utcoffset() for row in rows} == {timedelta(hours=2)}


def test_two_readings_of_one_minute_are_both_kept_whatever_their_order() -> None:
    first, second = "2026-05-15T08:00,grey tub,ph,7.6\n", "2026-05-15T08:00,grey tub,ph,8.4\n"
    there, back = log_of(HEAD + first + second), log_of(HEAD + second + first)
    assert [row.reading.text for row in there] == ["7.6", "8.4"]
    assert there.rows == back.rows
    assert len(log_of(HEAD + first + first).rows) == 1, "the same line twice says nothing new"


def test_what_lies_in_the_future_is_left_out_and_told_of() -> None:
    text = HEAD + "2026-05-15T08:00,grey tub,ph,7.6\n2026-05-15T12:00,grey tub,ph,7.7\n"
    found = log_of(text, as_of=datetime(2026, 5, 15, 9, tzinfo=UTC))
    assert [row.reading.text for row in found] == ["7.6"]
    (left,) = found.left_out
    assert left.where == "row 3"
    assert "2026-05-15T12:00, which is after 2026-05-15T09:00" in left.read


@pytest.mark.parametrize("year", ["0026", "1899", "9999"])
def test_an_impossible_year_is_left_out_and_told_of(year: str) -> None:
    found = log_of(HEAD + f"{year}-05-15T08:00,grey tub,ph,7.6\n2026-05-15T12:00,grey tub,ph,7.7\n")
    assert [row.reading.text for row in found] == ["7.7"]
    assert "the year must be" in found.left_out[0].would_do


def test_a_year_far_after_the_case_does_not_become_the_newest() -> None:
    case = case_of(SMALL + "[intended]\noperation_at = 2026-05-14T10:00\n")
    found = read_log(HEAD + "2062-05-15T08:00,grey tub,ph,7.6\n2026-06-15T12:00,grey tub,ph,7.7\n", case=case)
    assert [row.reading.text for row in found] == ["7.7"]
    assert len(found.left_out) == 1


def test_quoted_readings_with_their_method_and_blank_lines() -> None:
    text = '\ufeff taken , Water , what , reading \n\n2026-05-15, grey tub , ph ,"7.6, pH meter"\n\n'
    assert [row.reading.how for row in log_of(text)] == ["pH meter"]


def test_a_log_saved_by_a_spreadsheet_with_its_mark_is_read(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(HEAD + "2026-05-15,grey tub,ph,7.6\r\n", encoding="utf-8-sig", newline="")
    assert len(read_log(path, case=CASE).rows) == 1


def test_what_was_not_measured_is_no_row() -> None:
    assert len(log_of(HEAD + "2026-05-15,grey tub,ph,not measured\n").rows) == 0
    assert len(log_of(HEAD).rows) == 0


def test_all_rows_that_are_wrong_are_told_together() -> None:
    found = mistakes_of(
        HEAD
        + "2026-05-15,grey tub,ph,7.6\n"
        + "noon,grey tub,ph,7.6\n"
        + "2026-05-15,moat,ph,7.6\n"
        + "2026-05-15,grey tub,colour,7.6\n"
        + "2026-05-15,grey tub,nitrite,0.1 mg/L\n"
        + "2026-05-15,grey tub,temperature,60 °C\n"
        + "2026-05-15,grey tub\n"
    )
    assert [where for where, _, _ in found] == ["row 3", "row 4", "row 5", "row 6", "row 7", "row 8"]
    assert "2026-05-14T09:30" in found[0][2]
    assert found[1][2] == "name a water of the case: home pond, mains water, grey tub"
    assert found[2][2].startswith("use one of temperature, ph")
    assert "write the basis" in found[3][2]
    assert found[4][2] == "water temperature must be 0 to 45 °C"


def test_a_method_that_was_not_quoted_is_never_dropped() -> None:
    ((where, read, would_do),) = mistakes_of(HEAD + "2026-05-15,grey tub,temperature,18 °C, digital thermometer\n")
    assert where == "row 2"
    assert "digital thermometer" in read
    assert would_do == "put a reading in quotes"


@pytest.mark.parametrize(
    "head",
    [
        "when,water,what,reading\n",
        "taken;water;what;reading\n",
        "taken\twater\twhat\treading\n",
        "taken,water,what\n",
        "\n",
    ],
)
def test_a_log_without_its_head_is_told_what_it_is(head: str) -> None:
    ((where, _, would_do),) = mistakes_of(head)
    assert where == "row 1"
    commas = "; separate with commas, and put a reading in quotes" if ";" in head or "\t" in head else ""
    assert would_do == f"head it taken,water,what,reading{commas}"


def test_a_quote_that_never_ends() -> None:
    ((where, _, would_do),) = mistakes_of(HEAD + '2026-05-15,grey tub,ph,"7.6\n')
    assert (where, would_do) == ("row 2", "save it as comma-separated")


@pytest.mark.longer
def test_a_missing_file_a_folder_bytes_and_too_many_rows(tmp_path: Path) -> None:
    for name, content in (
        ("bytes", b"taken,water\xff\xfe"),
        ("UTF-16", HEAD.encode("utf-16")),
        ("rows", HEAD.encode() + b"2026-05-15,grey tub,ph,7.6\n" * 30_000),
        ("large", b"x" * 5_000_000),
    ):
        (tmp_path / name).write_bytes(content)
    for path in (tmp_path / "none.csv", tmp_path, *(tmp_path / name for name in ("bytes", "UTF-16", "rows", "large"))):
        with pytest.raises(CaseError) as error:
            read_log(path, case=CASE)
        assert error.value.file == str(path)


@settings(max_examples=150, deadline=None)
@given(
    st.text(max_size=120),
    st.none() | st.datetimes(timezones=st.just(UTC), min_value=datetime(1960, 1, 1), max_value=datetime(2100, 1, 1)),
)
def test_any_text_ends_in_rows_or_in_words(text: str, as_of: datetime | None) -> None:
    for written in (text + "\n", HEAD + text):
        try:
            log_of(written, as_of=as_of)
        except CaseError as error:
            assert error.mistakes  # noqa: PT017 - either end is right
            assert_plain(str(error).replace(repr(text), ""))


def test_a_file_that_is_not_there_is_told_in_plain_words(tmp_path: Path) -> None:
    with pytest.raises(CaseError) as error:
        read_log(tmp_path / "none.csv", case=CASE)
    assert "file: read nothing; name a readings file that exists" in str(error.value)


def test_what_is_piped_in_is_said_not_to_be_read() -> None:
    with pytest.raises(CaseError, match="what is piped in is not read"):
        read_case(Path("-"))
