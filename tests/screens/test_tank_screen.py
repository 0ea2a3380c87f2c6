"""The page of the tank through time: what it asks for, shows, keeps, and says where it cannot."""

import time

import pytest
from streamlit.testing.v1 import AppTest

from tests.plans import DEMO_PONDS, FEW, SMALLEST, case_of, demo_plan, plan_of
from tests.screens.running import checked, page, press, texts
from waterplan.first_plan.first_case.reading import case_from_document, document_from_text, read_document
from waterplan.first_plan.tank_events import WhatIf
from waterplan.first_plan.whole import plan as make_plan
from waterplan.screens import tank_days
from waterplan.screens.draft import Draft

WORK = "Work out the course"


def opened(plan, document, name="case.toml"):
    """The page with a case planned on the first one; few draws, for its sums are tested elsewhere."""
    test = AppTest.from_string("from waterplan.screens import tank_days\ntank_days.page()", default_timeout=60)
    test.session_state["draft"] = Draft(plan=plan, planned=document, name=name)
    return checked(test.run())


def demo(name):
    fields = read_document(DEMO_PONDS / f"{name}.toml")
    return opened(make_plan(case_from_document(fields, file=f"{name}.toml"), draws=FEW), fields, f"{name}.toml")


def said(test):
    return texts(test).replace("\\", "")


def charts(test):
    return test.get("vega_lite_chart") + test.get("arrow_vega_lite_chart")


def fill(test, key, text):
    return checked(next(one for one in test.text_input if one.key == f"quick/tank/{key}").input(text).run())


@pytest.fixture(scope="module")
def heron():
    """The goldfish's page with its course worked out, for tests that only look at it."""
    return press(demo("heron_goldfish"), WORK)


def test_without_a_plan_it_says_where_to_make_one():
    text = said(page("tank_days"))
    assert "press “Make the plan”" in text
    assert WORK not in text


def test_nothing_is_worked_out_before_it_is_asked_for():
    test = demo("heron_goldfish")
    assert "The open case: Copper, heron_goldfish.toml." in said(test)
    assert "Press “Work out the course”" in said(test)
    assert "tank courses" not in test.session_state


def test_the_course_is_shown_with_what_it_passes_and_its_sources(heron):
    text = said(heron)
    assert "For as planned:" in text
    assert "Alkalinity under 60 mg/L" in text
    assert "Founded on (" in text
    assert f"{FEW} draws, seed" in text
    (states,) = heron.multiselect
    assert states.value == ["do_mg_per_l", "nh3_mg_n_per_l", "water_temp_c"]


def test_ledger_and_events_stand_in_their_tables(heron):
    tables = [table.value for table in heron.table]
    columns = [list(table.columns) for table in tables]
    assert ["when", "what"] in columns
    assert ["when", "what", "in", "out", "tank holds", "level"] in columns
    salt = tables[columns.index(["when", "what", "in", "out", "tank holds", "level"])]
    assert list(salt["what"])[:4] == ["at the start", "salt dose", "salt dose", "water change"]


def test_other_states_may_be_chosen():
    test = press(demo("heron_goldfish"), WORK)
    test = checked(test.multiselect[0].set_value(["ph", "co2_mg_per_l"]).run())
    assert test.multiselect[0].value == ["ph", "co2_mg_per_l"]
    test = checked(test.multiselect[0].set_value([]).run())
    assert "Choose at least one" in said(test)


def test_what_fails_is_a_choice_and_is_said_beside_the_answer():
    test = demo("heron_goldfish")
    test = checked(test.selectbox(key="quick/tank/what if").select(WhatIf.HEATER_STICKS).run())
    text = said(press(test, WORK))
    assert "For heater sticks on at 10 in the evening" in text
    assert "heater sticks on" in str([table.value for table in test.table])


def test_other_values_are_tried_without_touching_the_case():
    test = demo("heron_goldfish")
    before = dict(test.session_state["draft"].planned)
    test = press(fill(test, "intended.days", "5 days"), WORK)
    assert "For as planned; days 5 days:" in said(test)
    assert test.session_state["tank shown"].days.course.until_h == 120.0
    assert test.session_state["draft"].planned == before
    assert test.session_state["draft"].plan.case.intended.days.measured.best == 14 * 1440.0


def test_a_wrong_value_is_told_with_its_key():
    text = said(press(fill(demo("heron_goldfish"), "vessels.air", "8"), WORK))
    assert "vessels[4].air: read '8'" in text
    assert "Founded on" not in text


def test_a_session_keeps_few_courses_and_no_draws():
    test = demo("heron_goldfish")
    for days in (4, 5, 6, 7, 8):
        test = press(fill(test, "intended.days", f"{days} days"), WORK)
    kept = test.session_state["tank courses"]
    assert len(kept) == 4
    numbers = sum(len(state.hours) * 4 for state in list(kept.values())[-1].course.states)
    assert numbers < 20_000  # bands by the hour: 4,096 draws would be a thousand times that
    started = time.monotonic()
    press(fill(test, "intended.days", "8 days"), WORK)
    assert time.monotonic() - started < 5.0  # it was kept


def test_another_plan_takes_the_old_course_off_the_page(heron):
    test = opened(demo_plan("hooked_tench"), read_document(DEMO_PONDS / "hooked_tench.toml"))
    test.session_state["tank shown"] = heron.session_state["tank shown"]
    assert "Press “Work out the course”" in said(checked(test.run()))


def test_where_no_tank_serves_it_is_said():
    text = said(opened(demo_plan("hooked_tench"), read_document(DEMO_PONDS / "hooked_tench.toml")))
    assert "No tank of any size serves this fish" in text


def test_a_case_without_a_tank_says_what_to_give():
    test = opened(plan_of(SMALLEST), document_from_text(SMALLEST, file="case.toml"))
    text = said(press(test, WORK))
    assert 'No course: Give a vessel with use = "hospital".' in text
    assert "no tub's time can be told yet" in text


def test_awkward_names_are_shown_as_written():
    name = "<b>tub</b> & *tank* [x](http://192.0.2.1) ".strip()[:40]
    text = (DEMO_PONDS / "heron_goldfish.toml").read_text(encoding="utf-8")
    text = text.replace('name = "hospital tank"', f'name = "{name}"').replace(
        'name = "Copper"', 'name = "<i>C</i> & *D*"'
    )
    test = opened(make_plan(case_of(text), draws=FEW), document_from_text(text, file="case.toml"))
    html = "\n".join(element.proto.body for element in press(test, WORK).get("html"))
    assert "<i>C" not in html
    assert "<b>tub" not in html


def test_us_units_reach_the_whole_page():
    test = press(demo("sturgeon_fin"), WORK)
    test = checked(test.radio(key="units").set_value("us").run())
    text = said(test)
    assert "US gal" in text
    assert " L/min" not in text


def test_progress_is_told_in_steps_and_never_past_its_end():
    told = []
    progress = tank_days._in_steps(lambda share, text: told.append(share))
    for step in range(10_001):
        progress(step / 10_000)
    assert len(told) == 51
    assert told == sorted(told)
    assert told[-1] == 1.0
