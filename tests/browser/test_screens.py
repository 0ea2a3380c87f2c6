"""The screens in a real browser: a case opened, planned, read and handed out, on a desk and on a phone."""

import io
import re
import socket
import zipfile
from urllib.parse import urlsplit

import pytest

from tests.browser.widths import DESK, PHONE, WIDTHS
from tests.demos import DEMO_PONDS, HOSTILE
from waterplan.case import read_case
from waterplan.plan.whole import plan

pytestmark = pytest.mark.browser

MOMENTS = ("Call", "Prepare", "Procedure", "Revival", "Hospital", "Home", "Recheck")
CHARTS = "[data-testid=stVegaLiteChart] canvas, [data-testid=stVegaLiteChart] svg"


def within(box, width, *, wide=200, high=80):
    assert box["width"] > wide
    assert box["height"] > high
    assert 0 <= box["x"] < box["x"] + box["width"] <= width


@pytest.mark.longer
def test_a_page_answers_at_an_address_of_its_own(visit):
    one = visit(PHONE)
    for path, heading in (("volume", "Volume"), ("sources", "Sources"), ("phone", "Emergency call")):
        one.go(path, heading)


@pytest.mark.parametrize("width", WIDTHS)
def test_the_first_page_says_what_to_do_now_without_sideways_scrolling(planned, width):
    one = planned(width)
    one.turn_to("Do now")
    for heading in ("Water plan for Copper", "Measure next", "Papers"):
        one.page.get_by_role("heading", name=heading, exact=True).wait_for()
    assert one.page.locator(".wp .now li").count() >= 1
    assert one.page.locator(".wp .states > div").count() == 7
    assert one.overflow_px() == 0


@pytest.mark.parametrize("width", WIDTHS)
def test_the_seven_moments_are_reached_by_their_names(planned, width):
    one = planned(width)
    for moment in MOMENTS:
        one.turn_to(moment)
        first = "Target values" if moment in {"Revival", "Hospital"} else "What to do"
        one.page.get_by_role("heading", name=first, exact=True).wait_for()
        assert one.overflow_px() == 0


@pytest.mark.parametrize("width", WIDTHS)
def test_a_judgement_opens_to_what_it_is_based_on_and_a_course_fits_the_page(planned, width):
    one = planned(width)
    one.turn_to("Hospital")
    within_limits = one.page.locator("details.fold", has_text="within their limits")
    one.unfold(one.page.get_by_text("How each water of this moment is judged"), within_limits.first)
    basis = within_limits.locator("details.card").first
    one.unfold(within_limits.locator("summary").first, basis)
    assert not basis.get_by_text("Inputs", exact=True).is_visible()
    basis.locator("summary").focus()
    one.page.keyboard.press("Enter")
    basis.get_by_text("Inputs", exact=True).wait_for()
    chart = one.page.locator(CHARTS).first
    one.unfold(one.page.get_by_text("Through time"), chart)
    within(chart.bounding_box(), width)
    assert one.overflow_px() == 0


def test_from_a_finding_to_its_rows_in_two_clicks_with_the_plan_still_there(planned):
    one = planned(DESK)
    one.turn_to("Prepare")
    card = one.page.locator("details.card", has=one.page.locator("a", has_text="The rows and sources")).first
    one.unfold(card.locator("summary").first, card.locator("a"))
    card.locator("a").click()
    one.page.get_by_role("heading", name="Sources", exact=True).wait_for()
    one.settle()
    rows = one.page.get_by_role("tabpanel", name="Of this plan").get_by_role("table")
    rows.get_by_text(one.field("Search").input_value()).first.wait_for()


@pytest.mark.longer
def test_papers_are_handed_over_as_files(planned):
    """Slow: a plan on the screens and its whole set of papers."""
    one = planned(DESK)
    one.turn_to("Do now")
    for button, name in (
        ("Owner's page", "owner.html"),
        ("Whole plan", "plan.html"),
        ("Set-up cards", "tub-cards.html"),
    ):
        with one.page.expect_download(timeout=60_000) as download:
            one.page.get_by_role("button", name=button, exact=True).click()
        assert download.value.suggested_filename == name
        content = download.value.path().read_text(encoding="utf-8")
        assert content.startswith("<!doctype html>")
        assert "Copper" in content
    with one.page.expect_download(timeout=60_000) as download:
        one.page.get_by_role("button", name="All papers (zip)").click()
    names = zipfile.ZipFile(io.BytesIO(download.value.path().read_bytes())).namelist()
    assert {"plan.json", "plan.txt", "owner.html"} <= set(names)


@pytest.mark.longer
@pytest.mark.parametrize("width", WIDTHS)
def test_the_empty_form_and_a_filled_one_need_no_sideways_scrolling(visit, width):
    one = visit(width).go("case", "The case")
    assert one.overflow_px() == 0
    one.open_demo("sturgeon_fin")
    one.expect(one.field("Name or mark")).to_have_value("Ribbon")
    for tab in ("Pond and place", "Water", "Tubs", "Volumes", "Intended", "Treatments", "File"):
        one.page.get_by_role("tab", name=tab).click()
        one.page.get_by_role("tabpanel", name=tab).get_by_role("heading").first.wait_for()
        one.settle()
        assert one.overflow_px() == 0


@pytest.mark.longer
@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_moves_by_itself_while_a_page_comes_or_a_case_is_opened(visit, width):
    one = visit(width).go()
    for name in ("Hospital", "Readings", "Do now"):
        one.turn_to(name)
    assert one.shifted() < 0.1
    one.page.evaluate("window.shifted = 0")
    one.open_demo("heron_goldfish")
    assert one.shifted() < 0.1


def test_a_line_that_brings_nothing_yet_shows_that_a_page_comes(visit):
    one = visit(PHONE)
    one.page.route("**/*.js", lambda _: None)  # never answered
    one.page.goto(one.address, wait_until="commit")
    one.page.locator("#root").wait_for(state="attached")
    shown = one.page.evaluate("getComputedStyle(document.querySelector('#root'), '::after').content")
    assert "waterplan" in shown


@pytest.mark.longer
def test_a_plan_of_all_draws_is_made_without_a_mouse(visit_of_the_command):
    """Slow: a plan on the screens as anyone starts them, with all its draws, reached by the Tab key alone."""
    one = visit_of_the_command().go()
    one.open_demo("heron_goldfish")
    one.page.get_by_role("link", name="Sources").focus()
    for _ in range(10):
        one.page.keyboard.press("Tab")
        if one.page.evaluate("document.activeElement.innerText") == "Make the plan":
            break
    assert one.page.evaluate("document.activeElement.innerText") == "Make the plan"
    ring = one.page.evaluate(
        "(e => getComputedStyle(e).boxShadow + getComputedStyle(e).outlineStyle)(document.activeElement)"
    )
    assert ring != "nonenone"  # whoever tabs can see where they are
    one.page.keyboard.press("Enter")
    one.page.get_by_role("heading", name="Water plan for Copper").wait_for(timeout=120_000)
    one.page.get_by_role("heading", name="Measure next", exact=True).wait_for()
    # What is to be measured first is what the same plan says that is made without a screen.
    asked = plan(read_case(DEMO_PONDS / "heron_goldfish.toml")).first_page.measure_next[0]
    key = {"ammonia": "tan"}.get(asked.quantity, asked.quantity)
    first = one.page.locator(".wp a", has_text="home pond").first
    one.expect(first).to_have_attribute("href", re.compile(f"water={asked.water}&what={key}"))


@pytest.mark.longer
def test_on_a_phone_fields_keep_their_order_and_neither_bar_nor_list_stays_over_them(visit):
    one = visit(PHONE).go("case", "The case")
    bar, box = one.page.get_by_test_id("stHeader").bounding_box(), one.page.locator(".st-key-case-bar").bounding_box()
    assert box["y"] >= bar["y"] + bar["height"]
    folded = one.page.get_by_test_id("stExpandSidebarButton")
    folded.click()
    one.page.get_by_test_id("stSidebar").get_by_role("link", name="Settings").wait_for()
    assert one.page.get_by_test_id("stMain").bounding_box()["width"] == PHONE
    one.page.reload()
    folded.wait_for()
    one.page.get_by_role("heading", name="The case", exact=True).wait_for()
    one.settle()
    labels = ["Name or mark", "How many of them, alike", "What is done to it", "When it last ate", "Weight of the fish"]
    tops = [one.field(label).bounding_box()["y"] for label in labels]
    assert tops == sorted(set(tops))


@pytest.mark.longer
def test_an_edit_makes_every_page_old_and_a_mistake_opens_its_field_and_goes_with_it(visit):
    """Slow: a plan on the screens, an edit, and all its pages looked at."""
    one = visit().go("case", "The case")
    one.open_demo("hooked_tench")
    one.make_plan()
    one.type_into("Length of the fish", "31")
    one.page.get_by_text("Out of date:").first.wait_for()
    one.turn_to("Do now")
    one.page.get_by_text("now 31").wait_for()
    handed_out = one.page.get_by_test_id("stDownloadButton").get_by_role("button")
    for button in handed_out.filter(has_not_text=re.compile("^Save$")).all():  # the case itself is never old
        assert "out of date" in button.inner_text()
        assert button.is_disabled()
    one.page.get_by_role("button", name="Make the plan again").click()
    # The field with the mistake is turned to and opened; the last plan stays.
    one.page.get_by_role("heading", name="The case", exact=True).wait_for()
    told = one.page.get_by_role("alert").get_by_text("Read '31'")
    told.wait_for()
    field, beside = one.field("Length of the fish").bounding_box(), told.bounding_box()
    assert 0 <= beside["y"] - (field["y"] + field["height"]) < 60
    assert abs(beside["x"] - field["x"]) < 60
    one.type_into("Length of the fish", "33 cm")
    told.wait_for(state="detached")
    one.turn_to("Prepare")
    one.page.get_by_role("heading", name="What to do", exact=True).wait_for()


@pytest.mark.parametrize("width", WIDTHS)
def test_a_plan_that_is_made_is_one_click_away_from_where_it_was_made(visit, width):
    one = visit(width).go("case", "The case")
    one.open_demo("goldfish_recheck")
    link = one.page.get_by_role("link", name="The plan is made: open Do now")
    assert link.count() == 0
    one.make_plan()
    within(link.bounding_box(), width, high=20)
    link.click()
    one.page.get_by_role("heading", name="Do now", exact=True, level=1).wait_for()
    one.settle()
    one.expect(link).to_have_count(0)  # nothing leads to where one is


def test_a_draft_survives_reload_second_tab_and_back(visit):
    one = visit().go("case", "The case")
    one.type_into("Length of the fish", "31")
    one.turn_to("Quick sums")
    one.page.go_back()
    one.page.get_by_role("heading", name="The case", exact=True).wait_for()
    one.page.reload()
    one.expect(one.field("Length of the fish")).to_have_value("31")
    other = one.page.context.new_page()
    other.goto(one.page.url)
    one.expect(other.get_by_role("textbox", name="Length of the fish", exact=True).first).to_have_value("31")
    other.close()
    stranger = visit().go("case", "The case")
    one.expect(stranger.field("Length of the fish")).to_have_value("")


@pytest.mark.parametrize("width", [*WIDTHS, pytest.param(768, marks=pytest.mark.slow)])
def test_from_an_empty_case_a_koi_gets_its_tank(visit, width):
    one = visit(width).go("hospital", "Hospital")
    one.page.get_by_role("combobox", name="Species").click()
    one.page.get_by_role("option", name=re.compile("^koi")).click()
    one.type_into("Weight of the fish", "2.4 kg")
    one.type_into("Temperature", "18 °C")
    one.page.get_by_role("button", name="Lay out the tank").click()
    one.page.get_by_role("heading", name="Target values").wait_for(timeout=120_000)
    one.settle()
    drawn = one.page.locator("img.drawn")
    assert drawn.count() == 2
    within(drawn.first.bounding_box(), width)
    assert "room" in drawn.first.get_attribute("alt")
    assert one.overflow_px() == 0


@pytest.mark.longer
def test_another_page_and_back_loses_nothing(visit):
    one = visit().go("case", "The case")
    one.open_demo("sturgeon_fin")
    one.turn_to("Quick sums")
    one.page.get_by_text("Oxygen that the water can hold").first.click()
    one.page.get_by_role("heading", name="Oxygen that the water can hold").wait_for()
    one.settle()
    one.type_into("Temperature", "18 °C")
    one.type_into("Altitude", "1380 m")
    one.page.get_by_text("Sources:").first.wait_for()
    one.turn_to("The case")
    one.expect(one.field("Name or mark")).to_have_value("Ribbon")
    one.turn_to("Quick sums")
    one.expect(one.field("Altitude")).to_have_value("1380 m")
    one.page.get_by_text("Sources:").first.wait_for()
    assert one.page.get_by_text("Out of date:").count() == 0


@pytest.mark.parametrize("width", WIDTHS)
def test_a_quick_sum_answers_at_its_own_address_while_it_is_typed(visit, width):
    one = visit(width).go("quick-sums?sum=ammonia", "Quick sums")
    one.type_into("Total ammonia", "1 ± 0 mg/L as N")
    one.type_into("pH", "8 ± 0")
    one.type_into("Temperature", "24 ± 0 °C")
    one.page.get_by_text("0.051 mg/L as N").first.wait_for()
    assert one.overflow_px() == 0


@pytest.mark.parametrize("width", WIDTHS)
def test_what_is_seen_is_enough_for_first_aid(opened, width):
    one = opened(width)
    one.turn_to("Emergency call")
    one.page.get_by_label("What is seen").click()
    one.page.get_by_role("option", name="gasping at the surface").click()
    one.page.keyboard.press("Escape")
    one.settle()
    asks = one.page.get_by_role("button", name="What to do now")
    assert asks.bounding_box()["y"] < one.page.viewport_size["height"] - 40  # without a scroll, on a phone too
    asks.click()
    one.page.get_by_role("heading", name="Do now", exact=True).wait_for()
    one.settle()
    text = " ".join(one.page.get_by_test_id("stMain").inner_text().split())
    assert "First aid, gasping at the surface: Before the water is changed, fill a clean bottle" in text
    assert "28 g of sodium thiosulphate crystals to the home pond for each 1,000 L of tap water that ran in" in text
    assert "Never feed or treat now." in text
    assert one.overflow_px() == 0


@pytest.mark.parametrize("width", WIDTHS)
def test_a_fish_that_does_not_breathe_is_one_click_away_and_its_clock_runs(opened, width):
    one = opened(width)
    one.turn_to("Doses")
    one.page.get_by_role("link", name="A fish does not breathe").click()
    one.page.get_by_role("heading", name="No breathing", exact=True).wait_for()
    one.page.get_by_text("from mouth to gill").first.wait_for()
    # A busy machine may not show each second.
    timer = one.page.get_by_role("timer")
    shown = [int(part) for part in timer.inner_text().split(":")]  # it runs from when its page was first opened
    later = (60 * shown[0] + shown[1] + more for more in range(2, 31))
    timer.get_by_text(re.compile("^({})$".format("|".join(f"{at // 60:02}:{at % 60:02}" for at in later)))).wait_for()
    assert one.overflow_px() == 0


@pytest.mark.longer
@pytest.mark.parametrize("width", WIDTHS)
def test_a_volume_is_drawn_and_certified(opened, width):
    one = opened(width)
    one.turn_to("Volume")
    one.page.get_by_label("How it was measured").click()
    with one.told():
        one.page.get_by_role("option", name="the time a hose took to fill it").click()
    one.page.get_by_role("button", name="Work out the volume").click()
    one.page.get_by_text("to put right").wait_for()
    assert one.overflow_px() == 0


@pytest.mark.parametrize("width", WIDTHS)
def test_the_sources_are_listed_and_searched(opened, width):
    one = opened(width)
    one.turn_to("Sources")
    one.type_into("Search", "benson")
    one.page.get_by_role("tab", name="All sources").click()
    one.page.get_by_role("tabpanel", name="All sources").get_by_text("Benson & Krause").first.wait_for()
    one.field("Search").fill("dissolved oxygen")
    one.field("Search").press("Enter")
    one.page.get_by_role("tab", name="Glossary").click()
    one.page.get_by_role("tabpanel", name="Glossary").get_by_text("dissolved oxygen").first.wait_for()
    assert one.overflow_px() == 0


@pytest.mark.parametrize(
    "moments", [("Revival", "Hospital"), pytest.param(MOMENTS, marks=pytest.mark.longer)], ids=("few", "all")
)
def test_a_file_is_opened_from_the_disk_and_runs_nothing_it_holds(visit, tmp_path, moments):
    """Slow: a plan on the screens of a case whose every name is hostile."""
    case = tmp_path / "awkward.toml"
    case.write_text(HOSTILE, encoding="utf-8")
    one = visit().go()
    alerts = []
    one.page.on("dialog", lambda dialog: (alerts.append(dialog.message), dialog.dismiss()))
    one.page.locator("input[type=file]").first.set_input_files(case)
    one.page.get_by_role("button", name="New case").wait_for()
    one.settle()
    one.make_plan()
    one.page.get_by_role("heading", name="Water plan for <script>alert(1)</script>").wait_for()
    for moment in moments:
        one.turn_to(moment)
        assert one.page.locator("[data-testid=stMain] img:not(.drawn)").count() == 0
    assert alerts == []


def answer_of_the_socket(address, **headers):
    """The first line that the server says to whoever asks for its socket."""
    where = urlsplit(address)
    asked = {
        "Host": where.netloc,
        "Upgrade": "websocket",
        "Connection": "Upgrade",
        "Sec-WebSocket-Version": "13",
        "Sec-WebSocket-Key": "d2F0ZXJwbGFuIHRlc3QhIQ==",
        "Sec-WebSocket-Protocol": "streamlit",
    } | headers
    lines = ["GET /_stcore/stream HTTP/1.1", *(f"{name}: {value}" for name, value in asked.items()), "", ""]
    with socket.create_connection((where.hostname, where.port), timeout=20) as told:
        told.sendall("\r\n".join(lines).encode())
        return told.recv(4000).split(b"\r\n")[0].decode()


def test_the_socket_is_for_pages_of_this_machine_alone(screens):
    port = urlsplit(screens).port
    assert " 101 " in answer_of_the_socket(screens, Origin=screens)
    local = f"localhost:{port}"
    assert " 101 " in answer_of_the_socket(screens, Host=local, Origin=f"http://{local}")
    for foreign in ("pond.example", f"pond.example:{port}", "127.0.0.1.pond.example", f"192.0.2.7:{port}"):
        assert " 403 " in answer_of_the_socket(screens, Origin=f"http://{foreign}")
        assert " 403 " in answer_of_the_socket(screens, Host=foreign, Origin=f"http://{foreign}")
        assert " 403 " in answer_of_the_socket(screens, Host=foreign, Origin=screens)
        assert " 403 " in answer_of_the_socket(screens, Host=foreign)
