"""A chance says what it counts: the readings alone, or an equation as well."""

from tests.hazards.hand_made import laid_out
from waterplan.hazards.judging import judge_all
from waterplan.hazards.record import Hazard

BAG = '[[transports]]\nby = "bag with oxygen"\nvolume = "20 L, marked tub"\nhours = "2 h"\n'


def test_each_chance_says_what_it_counts_and_a_clock_counts_its_equation() -> None:
    found = [one.record for one in judge_all(laid_out(end=BAG)).values()]
    assert all(one.chance_counts for one in found if one.chance is not None)
    oxygen = {one.id: one.chance_counts or "" for one in found if one.hazard is Hazard.OXYGEN}
    # What a fish takes up has the scatter of an equation; a pond is judged by what was read, but for its clock.
    for path in ("hospital-1/oxygen", "induction-1/oxygen", "bag-1/oxygen", "hospital-1/oxygen/power off"):
        assert "uptake equation" in oxygen[path]
    assert "uptake equation" not in oxygen["home-pond/oxygen/call"]
