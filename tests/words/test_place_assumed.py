"""A plan for a place of which nobody said how high it is says so on terminal, screen and paper, after what is to be done now."""

import copy

import pytest

from tests.demos import DEMO_PONDS, demo_papers, demo_plan
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.case.document import document_from_text
from waterplan.papers.sheet import render
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.water.oxygen import saturation_mg_per_l
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import first_page, full_page

SAID = "No altitude is stated: the best estimates are for sea level"


def screen(of: Plan) -> str:
    return render("screens/pages/first.html", Speaker(of, "metric"), alike=lambda many: [many], rows_link=lambda _: "")


def with_barometer() -> Plan:
    document = copy.deepcopy(document_from_text((DEMO_PONDS / "night_call.toml").read_text("utf-8"), file="night"))
    document.setdefault("place", {})["station_pressure"] = "84 kPa, barometer"
    return plan(read_case(document, file="night"), draws=16)


def test_it_is_said_where_the_plan_rests_on_it_after_all_that_is_to_be_done_now() -> None:
    """In the first minute of an emergency it helps nobody."""
    made = demo_plan("night_call")
    kinds = {one.id: one.kind for one in made.actions}
    assert kinds[made.first_page.do_now[-1]] is Kind.STOP_FEEDING, "of this case it comes last"
    for page in (first_page(made), demo_papers("night_call")["plan.html"], screen(made)):
        assert page.index("Stop feeding") < page.index(SAID)
    assert full_page(made).index("What to do") < full_page(made).index(SAID)


def test_it_is_not_said_of_a_place_with_an_altitude_or_a_barometer() -> None:
    for one in (demo_plan("ordinary_goldfish"), with_barometer()):
        assert SAID not in first_page(one)
        assert SAID not in screen(one)


def test_a_thousand_metres_take_a_ninth_of_the_oxygen() -> None:
    """Why it is worth stating, as the row says: by Benson and Krause 1984 at 101.325 kPa and at the 89.875 kPa that ISO
    2533:1975 gives for 1,000 m."""
    full, high = (saturation_mg_per_l(18.0, salinity_g_per_kg=0.0, air_pressure_kpa=kpa) for kpa in (101.325, 89.875))
    assert 1.0 - float(high) / float(full) == pytest.approx(1.0 / 9.0, abs=0.005)
