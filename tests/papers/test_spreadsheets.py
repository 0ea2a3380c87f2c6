"""The plan as tables: every record a row, and no cell that a spreadsheet would run."""

import csv
import io
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.papers.example_plan import example_plan
from waterplan.papers import spreadsheets
from waterplan.papers.spreadsheets import actions_table, figures_table, harmless, judgements_table
from waterplan.words.speaker import Speaker

PLAN = example_plan()


def rows(text):
    return list(csv.DictReader(io.StringIO(text)))


def test_every_figure_is_a_row():
    found = {row["figure"]: row for row in rows(figures_table(PLAN))}
    assert set(found) == set(PLAN.figures)
    assert float(found["induction-1/volume"]["act_on"]) == 24.4
    assert found["hospital-1/oxygen/until-emergency"]["high"] == ""


def test_every_judgement_is_a_row_with_its_limit_apart_from_its_figure():
    found = {row["id"]: row for row in rows(judgements_table(Speaker(PLAN)))}
    assert set(found) == {one.id for one in PLAN.judgements}
    row = found["induction-1/oxygen"]
    assert (row["limit"], row["limit_unit"], row["limit_side"]) == ("6.0", "mg/L", "at least")
    assert "the white basin" in row["in_words"]


def test_every_amount_of_an_action_is_a_row():
    found = rows(actions_table(Speaker(PLAN)))
    assert {row["id"] for row in found} == {one.id for one in PLAN.actions}
    assert len(found) == sum(max(len(one.amounts), 1) for one in PLAN.actions)


@pytest.mark.parametrize(
    "cell", ["=1+1", "＝1+1", "+cmd", "＋cmd", "-2+3", "－2", "@sum", "＠sum", "\t=1", "|x", "﹦1", " =1"]
)
def test_no_cell_begins_like_a_formula(cell):
    assert harmless(cell).startswith(("'", " '"))


@pytest.mark.parametrize("cell", ["a;=1+1", "a,@x", "a; ＝1", "a\n=1", 'a;"=1'])
def test_nor_does_what_stands_behind_a_sign_at_which_it_may_be_split(cell):
    assert "'" in harmless(cell)


@pytest.mark.parametrize("cell", ["-2.5", "1e-3", "+4", "text - more", "0.5 to 0.7", "a;b", ""])
def test_numbers_and_plain_text_stay(cell):
    assert harmless(cell) == cell


@given(st.text(max_size=20))
def test_no_text_is_lost(text):
    assert harmless(text).replace("'", "") == text.replace("'", "")


def runs(cell):
    """Whether a spreadsheet would run a cell: it begins like a formula and is no number."""
    bare = unicodedata.normalize("NFKC", cell.lstrip())
    try:
        float(cell)
    except ValueError:
        return bare[:1] in {"=", "+", "-", "@", "|", "%"}
    return False


AWKWARD = st.text(alphabet="=+-@|%＝＋\"';,\t\n\r a1\u00a0\u2003", max_size=12) | st.text(max_size=12)


@given(st.lists(st.tuples(AWKWARD, AWKWARD), min_size=1, max_size=4))
def test_no_program_finds_a_formula_whatever_it_splits_at(cells):
    text = spreadsheets._table(("one", "two"), [{"one": one, "two": two} for one, two in cells])
    for delimiter in ",;\t":
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter):
            assert not [cell for cell in row if runs(cell)]


@given(st.lists(st.tuples(AWKWARD, AWKWARD), min_size=1, max_size=4))
def test_what_is_written_is_read_back_without_loss(cells):
    text = spreadsheets._table(("one", "two"), [{"one": one, "two": two} for one, two in cells])
    back = list(csv.reader(io.StringIO(text, newline="")))[1:]
    assert [[one.replace("'", "") for one in row] for row in back] == [
        [one.replace("'", "") for one in row] for row in cells
    ]
