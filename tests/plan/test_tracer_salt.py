"""The salt that a tracer test of the home pond takes: worked by hand, and what speaks against it."""

import pytest

from tests.plan.by_hand import EXACT, exact, shown
from waterplan.findings import Finding
from waterplan.first_plan.whole import plan

_POND = 'shape = "rectangle"\nlength = "4 ± 0 m"\nwidth = "2.5 ± 0 m"\ndepth = "1 ± 0 m"\nwalls = "sloping"\n'
_KOI = 'species = "koi"\ncount = 4'


def finding(pond: str, *changes: tuple[str, str]) -> Finding:
    assert _POND in EXACT
    return plan(exact((_POND, pond), *changes)).finding("tracer salt")


def test_worked_by_hand() -> None:
    # 10,000 ± 2,500 L: one sd 1,275.5, so the band is 7,902 to 12,098 L. ± 5 % is a wanted sd of 0.05/1.6449 = 0.030398;
    # of it meter and calibration take ((0.02/1.96)2 + (0.028/1.96)2)^0.5 = 0.017556 and leave 0.024816. A reading repeats
    # to 0.02/1.96 = 0.010204 g/L, the rise of two means of five to 0.0064536: a rise of 0.26006 g/L is wanted. In 12,098 L
    # that is 3,146 g, and in 7,902 L those make 0.398 g/L.
    found = finding('volume = "10000 ± 2500 L"\n')
    assert found.value == pytest.approx(3146.0, rel=0.005)
    assert "± 5 %" in shown(found)
    assert "0.4 g/L at most" in shown(found)
    assert not any("zeolite" in caution.text.lower() for caution in found.cautions if "not said" not in caution.text)


def test_not_needed_where_the_volume_is_known() -> None:
    assert shown(finding('volume = "10000 ± 100 L"\n')).startswith("Not needed")


def test_sturgeon_plants_and_zeolite_are_told_of() -> None:
    pond = 'volume = "10000 ± 2500 L"\nzeolite = "yes"\nplants = "yes"\n'
    told = " ".join(caution.text for caution in finding(pond, (_KOI, 'species = "sturgeon"\ncount = 4')).cautions)
    for word in ("Zeolite", "Plants", "Sturgeon"):
        assert word in told


def test_the_ceiling_is_that_of_the_fish_that_bears_least() -> None:
    # 0.2 g/L there and 0.398 g/L more pass the 0.5 g/L of a sturgeon (salt_ceilings), not the 5 g/L of a koi.
    salty = ('salinity = "0 ± 0 g/L"', 'salinity = "0.2 ± 0 g/L"')
    pond = 'volume = "10000 ± 2500 L"\n'
    assert finding(pond, salty).value is not None
    refused = finding(pond, salty, (_KOI, 'species = "sturgeon"\ncount = 4'))
    assert shown(refused).startswith("Not by salt as things are")
    assert "0.5 g/L" in shown(refused)


def test_the_wanted_certainty_is_the_cases() -> None:
    # ± 10 %: 0.060796 less 0.017556 in squares is 0.058206; the rise 0.0064536 / 0.058206 = 0.11088 g/L, in 12,098 L 1,341 g.
    found = finding('volume = "10000 ± 2500 L"\nwanted_within = "10 %"\n')
    assert found.value == pytest.approx(1341.0, rel=0.005)
    # ± 2 % is less than the meter and its calibration alone allow, 1.6449 x 1.7556 % = 2.9 %.
    surer = shown(finding('volume = "10000 ± 2500 L"\nwanted_within = "2 %"\n'))
    assert "surer than ± 2.9 %" in surer
