"""What a hurried reader meets: how long a page is, how many clicks a sum takes, hostile fields, drafts of two sessions."""

import pytest

from tests.browser.letters import LETTERS
from tests.browser.test_screens import MOMENTS
from tests.browser.widths import DESK, PHONE, WIDTHS

pytestmark = pytest.mark.browser

SUMS = ("Volume", "Doses", "Quick sums")
# Three screens of a desk, before anything is opened.
MOST_PX = 3000
# How a field and what frames it are drawn.
LOOK = """e => {
  const found = [];
  for (; e && e.dataset.testid !== "stElementContainer"; e = e.parentElement) {
    const { outlineStyle, boxShadow, borderColor } = getComputedStyle(e);
    found.push(outlineStyle + boxShadow + borderColor);
  }
  return found.join();
}"""
HOSTILE = ("<img src=x onerror=alert(1)>", "[a](javascript:alert(1))", "9" * 10_000, "{{ 7 * 7 }} $x$ :red[x]")


@pytest.mark.longer
def test_no_page_is_longer_than_three_screens_before_something_is_opened(planned):
    """Slow: a plan on the screens, and how tall all its pages are drawn."""
    one = planned(DESK)
    tall = {}
    for name in ("Do now", *MOMENTS, "Sources"):
        one.turn_to(name)
        tall[name] = one.height_px()
        assert one.page.locator(".wp code").count() == 0
    assert {name: height for name, height in tall.items() if height > MOST_PX} == {}


@pytest.mark.longer
def test_pages_are_written_in_three_sizes_and_two_weights_of_the_papers_family(planned):
    """Slow: a plan on the screens, and all its pages. The running clock is read from afar, and larger."""
    one = planned(DESK)
    seen = {}
    for name in (
        "Do now",
        "The case",
        "Readings",
        *MOMENTS,
        "Emergency call",
        "No breathing",
        *SUMS,
        "Sources",
        "Settings",
    ):
        one.turn_to(name)
        seen |= one.page.evaluate(LETTERS)
    sizes, weights, families = zip(*(key.split(",", 2) for key in seen), strict=True)
    assert set(sizes) - {"72px"} == {"14px", "16px", "24px"}, seen
    assert set(weights) == {"400", "600"}, seen
    assert [key for key, words in seen.items() if key.startswith("72px") and words != "00:00"] == []
    assert all(one.startswith('"DejaVu Sans", Verdana, Arial, sans-serif') for one in families), seen


@pytest.mark.slow  # the ordinary run counts its clicks and fields among the sums of `test_counted_tasks.py`
def test_oxygen_at_a_temperature_and_an_altitude_takes_two_clicks_and_two_fields(visit):
    """From the first page: the list, the sum; it took six."""
    one = visit().go()
    one.turn_to("Quick sums")
    one.page.get_by_text("Oxygen that the water can hold").first.click()
    one.page.get_by_role("heading", name="Oxygen that the water can hold").wait_for()
    one.settle()  # the fields of the sum before this one stand until its own are drawn
    one.type_into("Temperature", "18 ± 0 °C")
    one.type_into("Altitude", "640 ± 0 m")
    one.page.get_by_text("saturation").first.wait_for()


@pytest.mark.parametrize("width", WIDTHS)
def test_hostile_texts_run_nothing_and_widen_nothing(visit, width):
    one = visit(width).go("quick-sums?sum=ammonia", "Quick sums")
    alerts = []
    one.page.on("dialog", lambda dialog: (alerts.append(dialog.message), dialog.dismiss()))
    one.type_into("pH", "8")
    one.type_into("Temperature", "18 °C")
    for text in HOSTILE:
        one.type_into("Total ammonia", text)
        one.page.get_by_role("alert").get_by_text("Total ammonia").wait_for()
        assert one.page.locator("[data-testid=stMain] img").count() == 0
        assert one.page.locator("[data-testid=stAlert] a").count() == 0
        assert one.overflow_px() == 0
    assert alerts == []


@pytest.mark.longer
def test_a_reading_belongs_to_its_own_session_and_outlives_a_reload(visit):
    one = visit(PHONE).go("readings", "Readings")
    one.type_into("Reading", "17.2 °C")
    one.page.get_by_role("button", name="Write it down").click()
    one.page.get_by_role("heading", name="1 written down").wait_for()
    one.page.reload()
    one.page.get_by_role("heading", name="1 written down").wait_for()
    assert one.overflow_px() == 0
    other = visit(PHONE).go("readings", "Readings")
    other.page.get_by_text("Nothing is written down yet.").wait_for()


def test_what_is_to_be_measured_leads_to_its_field_and_the_plan_stays(planned):
    one = planned(DESK)
    one.turn_to("Do now")
    one.page.locator(".wp a[href*='what=tan']", has_text="home pond").first.click()
    one.page.get_by_role("heading", name="Readings", exact=True).wait_for()
    one.settle()
    # A reading to take is the ammonia of the pond: nothing but the value is left to type.
    one.expect(one.page.get_by_role("combobox", name="Water", exact=True)).to_have_value("home pond")
    one.expect(one.page.get_by_role("combobox", name="What", exact=True)).to_have_value("Total ammonia")
    one.turn_to("Do now")
    one.page.get_by_role("heading", name="Water plan for Copper").wait_for()


@pytest.mark.longer
def test_a_field_is_one_tab_stop_and_whoever_tabs_sees_where_they_are(opened):
    one = opened(DESK)
    one.turn_to("The case")
    one.field("Name or mark").focus()
    seen = []
    for _ in range(5):
        one.page.keyboard.press("Tab")
        at = one.page.evaluate_handle("document.activeElement")
        seen.append((at.evaluate("e => e.tagName"), at.evaluate("e => e.getAttribute('aria-label')")))
        one.page.wait_for_timeout(300)  # a colour comes and goes by degrees
        ring = at.evaluate(LOOK)
        at.evaluate("e => e.blur()")
        one.page.wait_for_timeout(300)
        calm = at.evaluate(LOOK)
        assert ring != calm
        at.evaluate("e => e.focus()")
    assert {tag for tag, _ in seen} <= {"INPUT", "TEXTAREA"}
    assert len({label for _, label in seen}) == 5


@pytest.mark.longer
def test_at_twice_the_size_nothing_is_wider_than_the_window(visit):
    """A window of 1280 px at 200 % has room for 640."""
    one = visit(640).go("doses", "Doses")
    one.type_into("What the label says", "a bottle with a long name " * 12)
    for name in ("Doses", "The case", "Hospital", "Quick sums", "Volume", "Readings"):
        one.turn_to(name)
        assert one.overflow_px() == 0
