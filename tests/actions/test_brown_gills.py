"""Brown gills: salt against a nitrite that may be it, none against one that was read and is kept out."""

import pytest

from tests.demos import DEMO_PONDS
from waterplan.actions.record import Kind
from waterplan.case import read_case, read_log
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import first_page

SEEN = '\n[[seen]]\nsign = "brown gills"\n'


@pytest.mark.parametrize(("nitrite", "salted"), [("0.05", False), ("3", True)])
def test_salt_is_ordered_for_the_nitrite_and_not_for_the_sign_alone(nitrite: str, salted: bool) -> None:
    """0.05 mg/L wants ten times as much chloride, 0.5 mg/L: 5 g of salt in 6,000 L, which no meter shows; 3 mg/L 300 g."""
    text = (DEMO_PONDS / "ordinary_goldfish.toml").read_text("utf-8")
    text = text.replace('nitrite = "0.05 mg/L as NO2, photometer"', f'nitrite = "{nitrite} mg/L as NO2, photometer"', 1)
    made = plan(read_case(text + SEEN), draws=64)
    of_pond = [one for one in made.actions if one.water == "home-pond" and one.is_open]
    grams = [made.figures[one.amounts["salt"]].act_on for one in of_pond if one.kind is Kind.SALT]
    assert bool(grams) is salted
    assert all(one is not None and one > 100.0 for one in grams)
    assert {Kind.AIR, Kind.FIRST_AID} <= {one.kind for one in of_pond}


def seen_beside(nitrite: str, *, seen: str = SEEN, log: str = "") -> Plan:
    text = (DEMO_PONDS / "ordinary_goldfish.toml").read_text("utf-8")
    text = text.replace('nitrite = "0.05 mg/L as NO2, photometer"', f'nitrite = "{nitrite} mg/L as NO2, photometer"', 1)
    case = read_case(text + seen)
    rows = read_log(f"taken,water,what,reading\n{log}", case=case).rows if log else ()
    return plan(case, readings=rows, draws=64)


def asked(of: Plan) -> set[str]:
    """What the plan says to read next in the pond, on its first page and in its list."""
    next_ones = {one.quantity for one in of.first_page.measure_next if one.water == "home-pond"}
    lists = [one.words["home-pond"] for one in of.actions if one.kind is Kind.MEASURE and "home-pond" in one.words]
    return next_ones & {name for words in lists for name in words.split(", ")}


def test_little_nitrite_beside_brown_gills_is_read_again_with_its_chloride() -> None:
    """Catfish from nitrite were a week in clean water of 10 °C before their blood was as before (Schoore et al. 1995)."""
    found = seen_beside("0.05")
    assert asked(found) == {"nitrite", "chloride"}
    told = " ".join(first_page(found).split())
    assert "Nitrite was read low: read nitrite and chloride again" in told
    assert "blood stays brown for up to 7 days" in told
    assert "schoore_1995" in found.sources


@pytest.mark.parametrize(
    ("nitrite", "seen", "log"),
    [
        ("0.05", "", ""),
        ("3", SEEN, ""),
        ("0.05", SEEN, "2026-06-04T07:30,home water,nitrite,0.04 mg/L as NO2\n"),
    ],
    ids=["nothing seen", "as much as explains it", "read again since"],
)
def test_no_nitrite_is_read_again_that_was_or_that_explains_the_gills(nitrite: str, seen: str, log: str) -> None:
    found = seen_beside(nitrite, seen=seen, log=log)
    assert "nitrite" not in asked(found)
    assert "Nitrite was read low" not in first_page(found)
