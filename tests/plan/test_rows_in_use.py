"""Every row that a plan names stands in its record, with its print and with where it decides."""

import html
import re

import pytest

from tests.demos import demo_papers, demo_plan
from waterplan import tables
from waterplan.plan.record import Plan


def _texts(value: object) -> list[str]:
    if isinstance(value, dict):
        return [text for one in value.values() for text in _texts(one)]
    if isinstance(value, list | tuple):
        return [text for one in value for text in _texts(one)]
    return [value] if isinstance(value, str) else []


@pytest.fixture(params=["heron_goldfish", "hooked_tench"])
def made(request: pytest.FixtureRequest) -> Plan:
    return demo_plan(request.param)


def test_no_row_is_named_that_is_not_told(made: Plan) -> None:
    named = {text for text in _texts(made.model_dump()) if "/" in text and tables.by_id(text) is not None}
    assert named
    assert named <= made.rows.keys()


def test_each_row_is_told_as_the_table_prints_it(made: Plan) -> None:
    for path, told in made.rows.items():
        row = tables.by_id(path)
        assert row is not None
        assert (told.printed, told.unit, told.source, told.locator, told.status) == (
            row.printed,
            row.unit,
            row.source,
            row.locator,
            row.status,
        )
        assert told.source in made.sources


@pytest.mark.parametrize("name", ["heron_goldfish", "hooked_tench"])
def test_the_record_on_paper_lists_every_row_in_use_and_how_much_it_decides(name: str) -> None:
    """Verdicts apart: their table is how every judgement is made."""
    page = html.unescape(demo_papers(name)["plan.html"])
    decide = dict(re.findall(r"<li><code>([^<]+)</code>(.*?)</li>", page, re.DOTALL))
    for path, row in demo_plan(name).rows.items():
        if row.table != "verdicts":
            assert f"<code>{path}</code>" in page
            assert f'data-row="{path}"' in page
            assert (path in decide) is bool(row.decides)
        if path in decide:
            n = len(row.decides)
            assert f"({n} judgement{'s' * (n > 1)} or action{'s' * (n > 1)})" in decide[path]


def test_a_limit_says_which_judgements_it_decides(made: Plan) -> None:
    paths = {one.id for one in made.judgements} | {one.id for one in made.actions}
    for one in made.judgements:
        if one.limit is not None and one.limit.row in made.rows:
            assert one.id in made.rows[one.limit.row].decides
    assert {path for row in made.rows.values() for path in row.decides} <= paths


def test_the_error_of_an_instrument_that_read_something_is_a_row_in_use() -> None:
    """The tank of the heron's goldfish was read with an oxygen meter, a pH meter and a drop kit, named in its file."""
    rows = demo_plan("heron_goldfish").rows
    assert "instruments/oxygen meter/oxygen/absolute" in rows
    assert "instruments/pH meter/ph/absolute" in rows
    assert {f"instruments/drop kit/tan/{part}" for part in ("absolute", "relative", "smallest")} <= rows.keys()
