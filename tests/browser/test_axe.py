"""Every page before axe-core, without a case and with a plan, with all its folds open; and nothing that fell over."""

import pytest

from tests.browser.test_screens import MOMENTS
from tests.browser.widths import DESK, PHONE

pytestmark = pytest.mark.browser

# The pages that a case changes; of the moments without one two stand for all: one that asks, one that does not.
OF_A_CASE = ("Do now", "The case", "Readings", *MOMENTS, "Sources")
FEW_OF_A_CASE = ("Do now", "Hospital")
OF_NONE = ("Do now", "The case", "Readings", "Call", "Hospital", "Emergency call", "No breathing", "Volume", "Doses")
OF_NONE += ("Quick sums", "Sources", "Settings")
# One of each kind: the form, what is asked beside a pond, fields that are answered as they are typed.
FEW_OF_NONE = ("The case", "Emergency call", "Doses")
ALL = tuple(dict.fromkeys((*OF_A_CASE, *OF_NONE)))
AT_THE_TUB = ("Do now", "Readings", "Prepare", "Revival", "Hospital", "No breathing", "Doses", "Quick sums")
# What Streamlit makes of its own widgets, by rule and by what its markup says of it; no setting of ours changes it.
STREAMLITS = {
    # The place where a file may be dropped is named and has no role; the button in it has both.
    ("presentation-role-conflict", 'data-testid="stFileUploaderDropzone"'),
}
FOLDS = "[data-testid=stMain] details:not([open]) > summary"


@pytest.fixture(scope="module")
def faults():
    """What axe-core has against a page, without what is Streamlit's own."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()

    def of(one):
        found = axe.run(one.page).response["violations"]
        return [
            f"{rule['id']}: {node['html'][:200]}"
            for rule in found
            for node in rule["nodes"]
            if not any(rule["id"] == name and mark in node["html"] for name, mark in STREAMLITS)
        ]

    return of


def unfold_all(one):
    """Opens every fold, also those that stand in one that was opened."""
    while one.page.locator(FOLDS).count():
        one.page.locator(FOLDS).evaluate_all("all => all.forEach(one => one.click())")
        one.page.wait_for_timeout(200)
        one.settle()


def seen(one, names, faults):
    """What each page has against it: by axe, and what fell over on it."""
    found = {}
    for name in names:
        one.turn_to(name)
        unfold_all(one)
        found[name] = faults(one) + one.page.get_by_test_id("stException").all_inner_texts()
    return {name: against for name, against in found.items() if against}


@pytest.mark.parametrize("names", [FEW_OF_NONE, pytest.param(OF_NONE, marks=pytest.mark.slow)], ids=("few", "all"))
def test_no_page_without_a_case_has_a_fault(opened, faults, names):
    """Slow: pages gone through element by element."""
    one = opened(DESK)
    assert seen(one, names, faults) == {}


@pytest.mark.parametrize("names", [FEW_OF_A_CASE, pytest.param(OF_A_CASE, marks=pytest.mark.slow)], ids=("few", "all"))
def test_no_page_of_a_planned_case_has_a_fault(planned, faults, names):
    """Slow: a plan on the screens, its pages gone through element by element."""
    one = planned(DESK)
    assert seen(one, names, faults) == {}
    assert one.complaints == []


@pytest.fixture
def by_night(planned):
    """The pages of a planned case as a machine shows them that is set to dark, and by day again at the end."""
    one = planned(DESK)
    one.page.emulate_media(color_scheme="dark")
    one.page.wait_for_function("getComputedStyle(document.querySelector('[data-testid=stApp]')).colorScheme === 'dark'")
    yield one
    one.page.emulate_media(color_scheme="light")


@pytest.mark.longer
@pytest.mark.parametrize("names", [FEW_OF_A_CASE, pytest.param(ALL, marks=pytest.mark.slow)], ids=("few", "all"))
def test_no_page_has_a_fault_in_the_dark(by_night, faults, names):
    """Slow: all pages gone through element by element."""
    assert seen(by_night, names, faults) == {}


@pytest.mark.slow
def test_no_page_that_is_used_beside_the_tub_has_a_fault_on_a_phone(planned, faults):
    one = planned(PHONE)
    assert seen(one, AT_THE_TUB, faults) == {}
    assert one.complaints == []
