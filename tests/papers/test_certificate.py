"""The volume certificate: what it says, in which units, and that one water takes one page."""

import pytest

from tests.papers.looking import Page
from tests.plans import DISPLAYS, METRIC, SMALLEST, US, demo_plan, plan_of
from waterplan.papers.write import volume_page, write_papers

METER = '[[volumes]]\nof = "blue tub"\nby = "meter"\nmeter_before = "1000 L"\nmeter_after = "1058 L"\n'
HOSTILE = (SMALLEST + METER).replace("blue tub", "<b onclick=alert(1)>tub</b>")


def words(plan, display=METRIC):
    page = Page(volume_page(plan, display))
    assert not page.troubles
    return " ".join(page.words)


@pytest.mark.parametrize("system", DISPLAYS)
def test_it_says_low_best_high_how_and_what_for(system):
    plan = demo_plan("heron_goldfish")
    said = words(plan, DISPLAYS[system])
    (certificate,) = plan.pictures.certificates
    for litres in certificate.band:
        assert DISPLAYS[system].number(litres, "L") in said
    for part in ("Use this volume for", "An antidote", "By soundings", "By tracer", "refused", "From its size", "rock"):
        assert part in said
    for reading in ("612", "1.064", "28"):
        assert reading in said or f"0.{reading}" in said
    assert "does not prescribe" in said
    assert "Signature" in said
    assert "<svg" in volume_page(plan, DISPLAYS[system])


def test_a_us_reader_works_in_gallons():
    said = words(demo_plan("heron_goldfish"), US)
    assert "US gal" in said.split("Use this volume for")[1].split("By soundings")[0]
    assert " L," not in said.split("By soundings")[0]


def test_it_is_written_only_where_something_was_measured(tmp_path):
    without = {path.name for path in write_papers(plan_of(SMALLEST), tmp_path / "one", METRIC)}
    with_it = {path.name for path in write_papers(plan_of(SMALLEST + METER), tmp_path / "two", METRIC)}
    assert with_it - without == {"volume.html"}


def test_a_hostile_name_is_shown_as_written():
    page = Page(volume_page(plan_of(HOSTILE), METRIC))
    assert not page.troubles
    assert not [name for _, name, _ in page.attributes if name.startswith("on")]
    assert "<b onclick=alert(1)>tub</b>" in " ".join(page.words)
