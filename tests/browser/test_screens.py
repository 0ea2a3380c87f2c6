"""The screens in a real browser: a case opened, planned, read and printed, on a desk and on a phone."""

import pytest

from tests.plans import HOSTILE, demo_plan
from waterplan.papers.sheet import TITLES

pytestmark = pytest.mark.browser

DESK, PHONE = 1280, 390


# The drawings of a plan: the tank, oxygen against temperature, oxygen after the air stops.
CHARTS = "[data-testid=stVegaLiteChart] canvas, [data-testid=stVegaLiteChart] svg"


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_a_plan_and_its_charts_need_no_sideways_scrolling(planned, width):
    one = planned(width)
    charts = one.page.locator(CHARTS)
    charts.nth(2).wait_for()
    for box in (charts.nth(number).bounding_box() for number in range(3)):
        assert box["width"] > 200
        assert box["height"] > 80
        assert 0 <= box["x"] < box["x"] + box["width"] <= width
    assert one.overflow_px() == 0


# The middles of the labels of both axes, as drawn: number, place.
AXES = """chart => [...chart.querySelectorAll('.role-axis-label')].map(axis => [...axis.querySelectorAll('text')].map(label => {
    const box = label.getBoundingClientRect()
    return [parseFloat(label.textContent), box.x + box.width / 2, box.y + box.height / 2]
})).filter(axis => axis.length > 1)"""


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_the_tank_is_drawn_to_one_scale(planned, width):
    drawn = planned(width).page.locator("[data-testid=stVegaLiteChart] svg").first
    drawn.locator(".role-axis-label").first.wait_for()
    per_metre = []
    for labels in drawn.evaluate(AXES):
        (first, *start), (last, *end) = labels[0], labels[-1]
        per_metre.append(max(abs(one - other) for one, other in zip(start, end, strict=True)) / abs(last - first))
    along, up = per_metre
    # Were it fitted into a box, what the labels take would stretch one axis more than the other.
    assert along == pytest.approx(up, rel=0.02)


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_the_seven_moments_are_reached_by_their_names(planned, width):
    one, plan = planned(width), demo_plan("heron_goldfish")
    for moment, title in TITLES.items():
        one.page.get_by_role("tab", name=title, exact=True).click()
        first = next(finding for finding in plan.findings if finding.moment is moment)
        one.page.get_by_role("tabpanel", name=title, exact=True).get_by_text(first.title, exact=True).wait_for()
        assert one.overflow_px() == 0


def test_the_owners_page_is_printed_by_its_own_button(planned):
    one = planned(DESK)
    frame = one.page.frame_locator("iframe").last
    frame.get_by_role("heading", name="Looking after Copper").wait_for()
    frame.locator("body").evaluate("body => { window.print = () => { body.dataset.printed = 'yes' } }")
    frame.get_by_role("button", name="Print this page").click()
    assert frame.locator("body").get_attribute("data-printed") == "yes"


def test_papers_are_handed_over_as_files(planned):
    planned(DESK).page.get_by_role("button", name="Make the whole plan and the hospital sheet").click()
    planned(DESK).page.get_by_role("button", name="Whole plan", exact=True).wait_for(timeout=60_000)
    papers = (
        ("Owner's page", "owner.html"),
        ("Tub cards", "tub-cards.html"),
        ("Whole plan", "plan.html"),
        ("Hospital sheet", "hospital.html"),
    )
    for button, name in papers:
        with planned(DESK).page.expect_download() as download:
            planned(DESK).page.get_by_role("button", name=button, exact=True).click()
        assert download.value.suggested_filename == name
        content = download.value.path().read_text(encoding="utf-8")
        assert content.startswith("<!doctype html>")
        assert "Copper" in content


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_the_empty_form_and_a_filled_one_need_no_sideways_scrolling(visit, width):
    one = visit(width).go()
    assert one.overflow_px() == 0
    one.open_demo("sturgeon_fin")
    assert one.field("name or mark").input_value() == "Ribbon"
    for tab in ("Pond and place", "Water", "Tubs", "Intended"):
        one.page.get_by_role("tab", name=tab).click()
        assert one.overflow_px() == 0


def test_a_plan_is_made_without_a_mouse(visit):
    one = visit().go()
    one.open_demo("heron_goldfish")
    one.field("name or mark").focus()
    for _ in range(60):
        one.page.keyboard.press("Tab")
        if one.page.evaluate("document.activeElement.innerText") == "Make the plan":
            break
    assert one.page.evaluate("document.activeElement.innerText") == "Make the plan"
    ring = one.page.evaluate(
        "(e => getComputedStyle(e).boxShadow + getComputedStyle(e).outlineStyle)(document.activeElement)"
    )
    assert ring != "nonenone"  # whoever tabs can see where they are
    one.page.keyboard.press("Enter")
    one.page.get_by_role("heading", name="The seven moments").wait_for()


def test_fields_keep_their_order_on_a_phone(visit):
    one = visit(PHONE).go()
    labels = ["name or mark", "length of the fish", "weight of the fish", "what is done to it", "when it last ate"]
    tops = [one.field(label).bounding_box()["y"] for label in labels]
    assert tops == sorted(set(tops))


def test_an_edit_waits_for_the_button_and_a_mistake_stands_beside_its_field(visit):
    one = visit().go()
    one.open_demo("heron_goldfish")
    one.make_plan()
    one.page.get_by_text("The case", exact=True).click()
    one.field("length of the fish").fill("31")
    one.field("length of the fish").press("Tab")
    one.page.get_by_text("edited after this plan was made").wait_for()
    one.page.get_by_role("heading", name="Water plan for Copper").wait_for()
    one.page.get_by_role("button", name="Make the plan").click()
    told = one.page.get_by_role("alert").get_by_text("Read '31'; write the unit")
    told.wait_for()
    field, beside = one.field("length of the fish").bounding_box(), told.bounding_box()
    assert 0 <= beside["y"] - (field["y"] + field["height"]) < 60
    assert abs(beside["x"] - field["x"]) < 60


def test_another_page_and_back_loses_nothing(visit):
    one = visit().go()
    one.open_demo("sturgeon_fin")
    one.make_plan()
    one.page.get_by_role("link", name="Quick sums").click()
    one.page.get_by_role("heading", name="Quick sums").wait_for()
    one.field("Altitude").fill("1380 m")
    one.page.get_by_role("button", name="Work it out").first.click()
    one.page.get_by_text("For 18 °C; 1380 m; goldfish:").wait_for()
    one.page.get_by_role("link", name="Recovery and hospital tank").click()
    one.page.get_by_role("heading", name="Water plan for Ribbon").wait_for()
    one.settle()
    assert one.page.get_by_text("edited after this plan was made").count() == 0
    one.page.get_by_text("The case", exact=True).click()
    assert one.field("name or mark").input_value() == "Ribbon"
    one.page.get_by_role("link", name="Quick sums").click()
    one.page.get_by_text("For 18 °C; 1380 m; goldfish:").wait_for()
    assert one.field("Altitude").input_value() == "1380 m"


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_the_quick_sums_answer(visit, width):
    one = visit(width).go("quick-sums", "Quick sums")
    buttons = one.page.get_by_role("button", name="Work it out")
    assert buttons.count() == 4
    for number in range(4):
        buttons.nth(number).click()
        one.page.get_by_text("Founded on").nth(number).wait_for()
        one.settle()
    one.page.get_by_text("US customary").click()
    one.page.get_by_text("inHg").first.wait_for()
    assert one.page.get_by_text("Founded on").count() == 4
    assert one.overflow_px() == 0


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_the_sources_are_listed(visit, width):
    one = visit(width).go("sources", "Sources")
    one.page.get_by_role("tab", name="Sources").click()
    one.page.get_by_role("tabpanel", name="Sources").get_by_text("Benson & Krause (1984)").wait_for()
    one.page.get_by_role("tab", name="Glossary").click()
    one.page.get_by_role("tabpanel", name="Glossary").get_by_text("dissolved oxygen").first.wait_for()
    assert one.overflow_px() == 0


def test_a_file_is_opened_from_the_disk_and_runs_nothing_it_holds(visit, tmp_path):
    case = tmp_path / "awkward.toml"
    case.write_text(HOSTILE, encoding="utf-8")
    one = visit().go()
    alerts = []
    one.page.on("dialog", lambda dialog: (alerts.append(dialog.message), dialog.dismiss()))
    one.page.locator("input[type=file]").set_input_files(case)
    one.page.wait_for_function("[...document.querySelectorAll('input')].some(one => one.value.startsWith('<script>'))")
    one.make_plan()
    one.page.get_by_role("heading", name="Water plan for <script>alert(1)</script>").wait_for()
    for title in TITLES.values():
        one.page.get_by_role("tab", name=title, exact=True).click()
    assert alerts == []
    assert one.page.locator("[data-testid=stMain] img").count() == 0
