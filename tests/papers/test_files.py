"""The table and the JSON of a plan, and how papers reach their folder."""

import csv
import io
import json
import math

import pytest

from tests.papers.looking import is_plain_number
from tests.plans import DEMOS, HOSTILE, METRIC, US, demo_plan, plan_of
from waterplan.findings import Moment, Verdict
from waterplan.papers import write
from waterplan.published import Status


def table(plan, display=METRIC):
    return list(csv.DictReader(io.StringIO(write.findings_table(plan, display))))


def document(plan, display=METRIC):
    return json.loads(write.plan_json(plan, display))


@pytest.mark.parametrize("case", DEMOS)
def test_the_table_has_a_row_for_each_finding(case):
    plan = demo_plan(case)
    rows = table(plan)
    assert [(row["moment"], row["key"]) for row in rows] == [(found.moment, found.key) for found in plan.findings]
    assert {row["verdict"] for row in rows} <= {str(verdict) for verdict in Verdict}
    assert {row["status"] for row in rows} <= {str(status) for status in Status}
    for row, found in zip(rows, plan.findings, strict=True):
        if found.value is not None and math.isfinite(found.value):
            low, high = (
                math.inf if row[end] == "never" else float(row[end] or row["value"]) for end in ("low", "high")
            )
            assert low <= high
            assert row["unit"] or "ph" in found.key.split(), row["key"]
        assert row["chance"] == "" or 0.0 <= float(row["chance"]) <= 1.0


def test_the_tables_values_are_in_the_readers_units():
    metric = {row["key"]: row for row in table(demo_plan("heron_goldfish"))}
    us = {row["key"]: row for row in table(demo_plan("heron_goldfish"), US)}
    # One US gallon is 231 cubic inches, 3.785411784 L; 25 L of basin are 6.604 US gal.
    basin = "volume: white basin"
    assert (metric[basin]["unit"], us[basin]["unit"]) == ("L", "US gal")
    assert float(metric[basin]["value"]) == 25.0
    assert float(us[basin]["value"]) == pytest.approx(25.0 / 3.785411784, rel=1e-5)


def test_no_cell_of_the_table_is_taken_for_a_formula():
    text = write.findings_table(plan_of(HOSTILE), METRIC)
    cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
    risky = [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r")) and not is_plain_number(cell)]
    assert risky == []
    assert any("'=1+1, air off" in cell for cell in cells)


@pytest.mark.parametrize("case", DEMOS)
def test_the_json_holds_the_whole_plan(case):
    plan = demo_plan(case)
    made = document(plan)
    assert set(made) == {
        "waterplan",
        "tables",
        "draws",
        "seed",
        "as_of",
        "case",
        "patient",
        "moments",
        "sources",
    }
    assert made["case"] == f"{case}.toml"
    assert [part["moment"] for part in made["moments"]] == [str(moment) for moment in Moment]
    for part in made["moments"]:
        assert set(part) == {"moment", "findings", "steps", "cautions"}
        for finding in part["findings"]:
            assert {"key", "title", "answer", "unit", "value", "low", "high", "limit", "verdict", "chance"} <= set(
                finding
            )
            assert {"method", "status", "citations", "cautions"} <= set(finding)
            assert finding["verdict"] in {str(verdict) for verdict in Verdict}
            assert "⟦" not in json.dumps(finding, ensure_ascii=False)
    assert set(made["sources"]) == {
        citation["source"]
        for part in made["moments"]
        for finding in part["findings"]
        for citation in finding["citations"]
    }


def test_json_values_are_the_cores_whatever_the_reader_chose():
    metric, us = document(demo_plan("heron_goldfish")), document(demo_plan("heron_goldfish"), US)

    def values(made):
        return [(found["value"], found["unit"]) for part in made["moments"] for found in part["findings"]]

    assert values(metric) == values(us)
    assert metric["moments"] != us["moments"]


def test_what_never_happens_is_null():
    def no_constants(word):
        raise AssertionError(word)

    for case in DEMOS:
        json.loads(write.plan_json(demo_plan(case), METRIC), parse_constant=no_constants)


def test_papers_are_moved_into_place_whole(tmp_path, monkeypatch):
    write.write_papers(demo_plan("heron_goldfish"), tmp_path, METRIC)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("waterplan.case.writing.os.fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write.write_papers(demo_plan("hooked_tench"), tmp_path, METRIC)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before
