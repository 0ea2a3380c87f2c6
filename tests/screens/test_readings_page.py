"""Readings typed beside the tub or taken from a file: what is taken and refused, where they are kept, what they change."""

import re
from dataclasses import replace
from datetime import date, time

import pytest

from tests.demos import DEMO_PONDS
from tests.screens.running import app, checked, downloads, fill, open_demo, page, press, texts
from waterplan.case import read_case, read_log
from waterplan.screens import draft, reader, readings

TYPED = "quick/readings/"
CASE = {
    "0/patients[1].species": "koi",
    "0/patients[1].weight": "2.4 kg",
    "0/home_water.temperature": "17 °C",
    "0/home_water.taken": "2026-05-14T09:00",
}


def opened(**more):
    return page("readings", draft=draft.Draft(texts=CASE, **more))


def written(test, value, what="tan"):
    test.date_input(key=f"{TYPED}day").set_value(date(2026, 5, 14))
    test.time_input(key=f"{TYPED}time").set_value(time(10, 30))
    return press(fill(test, {"what": what, "value": value}, TYPED), "write reading")


def test_a_typed_reading_goes_into_the_draft_once():
    test = written(opened(), "0.5 mg/L as N, drop kit")
    expected = 'taken,water,what,reading\n2026-05-14T10:30+00:00,home-pond,tan,"0.5 mg/L as N, drop kit"\n'
    assert test.session_state["draft"].log.replace("+00:00", "") == expected.replace("+00:00", "")
    assert "1 written down" in [one.value for one in test.header]
    again = written(test, "0.5 mg/L as N, drop kit")
    assert again.session_state["draft"].log == test.session_state["draft"].log
    assert "Save the readings (CSV)" in downloads(again)
    assert press(again, "drop reading").session_state["draft"].log == ""


@pytest.mark.parametrize("value", ["0.5", "much", "<script>alert(1)</script>", "9" * 10_000, '"', "x\ny,z"])
def test_what_cannot_be_read_is_told_and_not_kept(value):
    test = written(opened(), value)
    assert test.session_state["draft"].log == ""
    assert len(test.error) == 1


def test_a_file_shows_what_is_taken_and_refused_before_any_of_it_is():
    """Of four rows two can be read; one names no water of the case, one has no unit."""
    rows = (
        "taken,water,what,reading\n"
        "2026-05-14T10:00,home pond,temperature,17.5 °C\n"
        "2026-05-14T10:00,moat,temperature,17.5 °C\n"
        "2026-05-14T10:05,home pond,tan,0.5\n"
        "2026-05-14T10:10,home pond,ph,7.6\n"
    )
    test = opened()
    test.session_state[readings._WAITS] = rows
    test = checked(test.run())
    said = texts(test)
    assert "2 can be taken" in said
    assert "2 cannot" in said
    refused = next(one.value for one in test.table if "why" in one.value.columns)
    assert list(refused["row"]) == ["row 3", "row 4"]
    assert test.session_state["draft"].log == ""
    test = press(test, "take readings")
    assert test.session_state["draft"].log.count("\n") == 3
    assert "2 can be taken" not in texts(test)


def test_a_wrong_file_is_told():
    test = opened()
    test.session_state[readings._WAITS] = "this is no table\n"
    assert "head it taken" in texts(checked(test.run()))


@pytest.mark.longer
def test_a_plan_made_after_a_reading_says_what_changed():
    first = press(open_demo(app(), "goldfish_recheck"), "make").session_state
    assert first["answer case"].plan.changes is None
    log = (DEMO_PONDS / "goldfish_recheck_readings.csv").read_text(encoding="utf-8")
    given = {"draft": replace(first["draft"], log=log), "answer_case": first["answer case"]}
    test = press(page("plan_pages.first", **given), "make")
    assert test.session_state["answer case"].plan.changes is not None
    assert "What changed since" in texts(test)


def test_what_is_refused_of_a_file_reads_as_the_command_line_prints_it():
    """A cell escapes once what Markdown would read: no backslash is shown, and nothing of a name is made bold."""
    tub = {"name": "<b>blue</b> tub", "use": "revival", "volume": "60 L"}
    fields = CASE | {f"0/vessels[1].{key}": text for key, text in tub.items()}
    rows = (
        "taken,water,what,reading\n"
        "2026-13-40,home pond,tan,0.5 mg/L as N\n"
        "2026-05-14T10:00,moat,tan,1 mg/L\n"
        "2026-05-14T10:00,home pond,tan,0.5,x\n"
    )
    test = page("readings", draft=draft.Draft(texts=fields, counts={"patients": 1, "vessels": 1}))
    test.session_state[readings._WAITS] = rows
    test = checked(test.run())
    refused = next(one.value for one in test.table if "why" in one.value.columns)
    case = read_case({"patients": [{"species": "koi", "weight": "2.4 kg"}], "vessels": [tub]})
    printed = read_log(rows, case=case, leniently=True).left_out
    assert [one.where for one in printed] == ["row 2", "row 3", "row 4"]
    for cell, one in zip(refused["why"], printed, strict=True):
        assert reader.plain(one.would_do) in cell
        assert "\\\\" not in cell
        assert "<b>" not in cell.replace("\\<b\\>", "")


def test_an_older_reading_can_be_taken_away_and_is_named():
    test = written(written(opened(), "0.5 mg/L as N, drop kit"), "7.6, pH meter", what="ph")
    away = next(one for one in test.selectbox if one.label == "One that is wrong")
    assert len(away.options) == 2
    first = next(option for option in away.options if "0.5 mg/L as N" in option)
    test = press(checked(away.select(first).run()), "drop reading")
    log = test.session_state["draft"].log
    assert "7.6, pH meter" in log
    assert "drop kit" not in log
    assert re.search("Taken away: .*0.5 mg/L as N, drop kit", texts(test))


def test_readings_are_not_lost_without_a_question_and_count_as_unsaved():
    test = opened()
    test.session_state["draft"] = replace(test.session_state["draft"], saved=planning_fields(CASE))
    assert "not saved" not in texts(checked(test.run()))
    test = written(test, "0.5 mg/L as N, drop kit")
    assert "not saved" in texts(test)
    assert "Save the readings (CSV)" in downloads(test)
    asked = press(test, "new case")
    assert "would overwrite it" in texts(asked)
    kept = press(asked, "keep typed")
    assert "0.5 mg/L as N" in kept.session_state["draft"].log
    gone = press(press(kept, "new case"), "overwrite typed")
    assert gone.session_state["draft"].log == ""


def planning_fields(case):
    """The fields as they are held once they are saved: by table and key, and each table that may stand more than once."""
    return {"patients[1]": ""} | {key.removeprefix("0/"): text for key, text in case.items()}
