"""The tank through time in a real browser: worked out with its progress told, read on a desk and on a phone."""

import pytest

pytestmark = pytest.mark.browser

DESK, PHONE = 1280, 390
TITLE = "Tank through time"


@pytest.fixture(scope="module")
def worked(planned):
    """A visit of a width with the course of the goldfish's tank worked out."""
    made = {}

    def of(width):
        if width not in made:
            one = planned(width)
            if width == PHONE:
                one.page.get_by_test_id("stExpandSidebarButton").click()
            one.page.get_by_role("link", name=TITLE).click()
            one.page.get_by_role("heading", name=TITLE, exact=True).wait_for()
            if width == PHONE:
                one.page.get_by_test_id("stSidebarCollapseButton").get_by_role("button").click()
            one.settle()
            one.page.get_by_role("button", name="Work out the course").click()
            one.page.get_by_role("progressbar").wait_for()  # it takes seconds, and says how far it is
            one.page.get_by_text("What happened, and when").wait_for(timeout=120_000)
            one.settle()
            made[width] = one
        return made[width]

    return of


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_the_states_are_drawn_within_the_page(worked, width):
    one = worked(width)
    charts = one.page.locator("[data-testid=stVegaLiteChart] svg")
    charts.nth(2).wait_for()
    for box in (charts.nth(number).bounding_box() for number in range(3)):
        assert box["width"] > 250
        assert box["height"] > 200
        assert 0 <= box["x"] < box["x"] + box["width"] <= width
    assert one.overflow_px() == 0


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_events_levels_and_dates_are_written_in_the_drawing(worked, width):
    drawn = worked(width).page.locator("[data-testid=stVegaLiteChart] svg").first
    written = drawn.locator("text").all_text_contents()
    for words in ("Dissolved oxygen [mg/L]", "alarm 5 mg/L", "emergency 3 mg/L", "no power", "change", "salt"):
        assert any(words in text for text in written), words
    assert any(text.endswith("May") for text in written)


@pytest.mark.parametrize("width", [DESK, PHONE])
@pytest.mark.parametrize(
    ("tab", "words"),
    [
        ("Salt", "at the start"),
        ("Size of the tank", "turning room rules"),
        ("If the air stops", "Early ends of the bands"),
    ],
)
def test_each_tab_is_read_without_sideways_scrolling(worked, width, tab, words):
    one = worked(width)
    one.page.get_by_role("tab", name=tab, exact=True).click()
    panel = one.page.get_by_role("tabpanel", name=tab, exact=True)
    panel.get_by_text(words).first.wait_for()
    if tab != "Salt":
        box = panel.locator("[data-testid=stVegaLiteChart] svg").first.bounding_box()
        assert 0 <= box["x"] < box["x"] + box["width"] <= width
    assert one.overflow_px() == 0
