"""How a bath ends: its minutes, the clock at which the fish comes out, where to, and what takes an oxidant back.

The tub holds 40 L and its fish goes in at 10:00; the hospital tank, 600 L, is where it goes on to.
"""

from datetime import datetime

import pytest

from tests.actions.doses.dosed import amount, cautions, codes, one
from waterplan import tables
from waterplan.actions.record import Kind

FORMALIN = {"strength": "150 uL/L", "syringe": "0.1 mL"}
PEROXIDE = {"strength": "50 mg/L", "bottle": "3 % w/v", "syringe": "0.1 mL"}
PINK = {"strength": "2 mg/L", "scale": "0.01 g"}


@pytest.mark.parametrize(
    ("substance", "use", "more", "minutes"),
    [
        ("formalin", "bath", FORMALIN, 60.0),
        ("hydrogen peroxide", "bath", PEROXIDE, 60.0),
        ("potassium permanganate", "short bath", PINK | {"strength": "10 mg/L"}, 30.0),
        ("salt", "bath", {"strength": "8 g/L"}, 30.0),
    ],
)
def test_a_bath_says_when_the_fish_comes_out_and_into_what(
    substance: str, use: str, more: dict[str, str], minutes: float
) -> None:
    made, at_hand = one(substance, use, "40 ± 0 L", **more)
    assert not codes(made)
    assert amount(made, at_hand, "time") == minutes
    assert made.action.words["out into"] == "hospital-1"
    assert "stay-beside-it-and-lift-out" in cautions(made)
    assert made.action.until is None  # nobody knows when it begins


def test_the_clock_of_the_way_out() -> None:
    """In at 10:00, 60 minutes at most: out at 11:00."""
    made, _ = one("formalin", "bath", **FORMALIN)
    assert made.action.until is not None
    assert made.action.until.replace(tzinfo=None) == datetime(2026, 5, 14, 11)


def test_at_least_is_not_at_most() -> None:
    """Permanganate is held pink for four hours at least; 2 mg/L x 600 L = 1.2 g ask for 1.2 x 0.3229 = 0.387 g of peroxide."""
    made, at_hand = one("potassium permanganate", "bath", "tank", **PINK)
    assert amount(made, at_hand, "least time") == 240.0
    assert "time" not in made.action.amounts
    assert made.action.until is None
    assert amount(made, at_hand, "neutraliser") == 13.0  # mL: 0.387 g at 3 g in 100 mL are 12.9
    assert {"take-out-permanganate", "stay-beside-it"} <= cautions(made)


def test_a_bath_that_must_end_is_not_given_in_a_pond() -> None:
    made, _ = one("formalin", "bath", "home pond", **FORMALIN)
    assert codes(made) == {"fish-cannot-come-out-of-a-pond"}
    assert [way.kind for way in made.action.instead] == [Kind.DOSE]
    stays, _ = one("formalin", "indefinite", "home pond", strength="15 uL/L", syringe="1 mL")
    assert not codes(stays)
    assert "time" not in stays.action.amounts


def test_no_row_has_a_time_that_is_both_or_a_bath_without_one() -> None:
    for row in tables.table("bath_limits"):
        ends = [row[key] for key in ("least_min", "most_min") if row[key]]
        stays = row["use"] == "indefinite" or not row.high > 0.0  # of what is not offered nothing is told
        assert bool(ends) is not stays, row.id
        if len(ends) == 2:
            assert float(row["least_min"]) < float(row["most_min"])
