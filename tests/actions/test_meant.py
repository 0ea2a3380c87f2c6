"""What somebody means to do: refused with its reason or left to the veterinarian; drugs given before; notes.

Each row of the table `meant` by a case that differs from one where nothing speaks against it by that one thing alone.
"""

from datetime import UTC, datetime
from functools import cache

import pytest

from waterplan import tables
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.plan.quick_call import quick_call
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import first_page, full_page

AT = datetime(2026, 5, 14, 5, 30, tzinfo=UTC)
# Read before dawn: 8 mg/L is above every level of carp, 2.5 mg/L below; 20 degrees is below 27, and no virus is seen at work.
GOOD = {
    "temperature": "20 ± 0.1 °C",
    "oxygen": "8 ± 0.1 mg/L",
    "ph": "7.2 ± 0.05",
    "tan": "0.05 ± 0.01 mg/L as N",
    "nitrite": "0.05 ± 0.01 mg/L as NO2",
    "chlorine": "0 ± 0.001 mg/L",
}
MAINS = {"ph": "7.2 ± 0.05", "tan": "0.02 ± 0.01 mg/L as N", "temperature": "20 ± 0.1 °C", "disinfectant": "none"}
DANGERS = ("algicide", "hydrogen peroxide", "potassium permanganate", "formalin")
OTHERS = (
    "salt",
    "tap water from the hose",
    "part water change",
    "food",
    "move fish",
    "take fish away",
    "warm the water",
)


def made(
    what: str,
    *,
    species: str = "koi",
    water: dict[str, str] | None = None,
    mains: dict[str, str] | None = None,
    more: str = "",
    zeolite: str = "false",
) -> Plan:
    def lines(values: dict[str, str]) -> str:
        return "".join(f'{key} = "{text}"\n' for key, text in values.items() if text)

    return planned(
        f'waterplan_case = 1\n[patient]\nname = "Copper"\nspecies = "{species}"\nweight = "2 kg, scales"\neaten = "no"\n'
        f'[home_pond]\nvolume = "8000 ± 80 L"\nzeolite = {zeolite}\n'
        f"[home_water]\ntaken = 2026-05-14T05:00\nph_taken = 2026-05-13T16:00\n{lines({**GOOD, **(water or {})})}"
        f'[mains_water]\n{lines({**MAINS, **(mains or {})})}[[meant]]\nwhat = "{what}"\n{more}'
    )


@cache
def planned(text: str) -> Plan:
    return plan(read_case(text), as_of=AT, draws=64)


def of(found: Plan) -> Action:
    (one,) = [one for one in found.actions if one.kind is Kind.MEANT]
    return one


def reasons(found: Plan) -> set[str]:
    return {why.code.removeprefix("meant-") for why in of(found).refused_because}


@pytest.mark.parametrize("what", [*DANGERS, *OTHERS])
def test_where_nothing_speaks_against_it_the_veterinarian_decides_and_nothing_is_promised(what: str) -> None:
    found = made(what)
    assert reasons(found) == set()
    told = " ".join(full_page(found).split())
    assert "nothing that is known speaks against it, and that does not make it safe" in told


GASPING = '[[seen]]\nsign = "gasping at the surface"\n'
SICK = '[[seen]]\nsign = "ill for days"\nfish = "several"\n'
GREEN = '[[already]]\nwhat = "algae"\nwhere = "home pond"\n'


@pytest.mark.parametrize(
    ("whats", "change", "reason"),
    [
        ((*DANGERS, "food", "warm the water"), {"water": {"oxygen": "2.5 ± 0.1 mg/L"}}, "oxygen"),
        ((*DANGERS, "food", "warm the water"), {"water": {"oxygen": ""}}, "oxygen"),
        ((*DANGERS, "food", "move fish"), {"more": GASPING}, "signs"),
        (DANGERS, {"more": GREEN}, "bloom"),
        (("formalin",), {"water": {"temperature": "27.5 ± 0.1 °C", "oxygen": "7.8 ± 0.1 mg/L"}}, "hot"),
        (("salt",), {"zeolite": "true"}, "zeolite"),
        (("salt",), {"zeolite": '"unknown"'}, "zeolite"),
        (("salt",), {"species": "sturgeon"}, "sensitive"),
        (("salt",), {"species": "unknown"}, "sensitive"),
        (("tap water from the hose",), {"mains": {"disinfectant": ""}}, "tap"),
        (("tap water from the hose",), {"mains": {"disinfectant": "chlorine"}}, "tap"),
        (("part water change", "food"), {"water": {"tan": ""}}, "ammonia"),
        (("part water change",), {"mains": {"ph": ""}}, "ammonia"),
        (("move fish", "take fish away", "warm the water"), {"more": SICK}, "disease"),
        (("warm the water",), {"more": '[[seen]]\nsign = "bubbles in the fins"\n'}, "gas"),
    ],
)
def test_each_thing_that_speaks_against_it_refuses_it(whats: tuple[str, ...], change: dict, reason: str) -> None:
    for what in whats:
        assert reason in reasons(made(what, **change)), what


def test_a_filter_is_never_washed_and_something_else_is_kept_and_has_no_effect() -> None:
    assert reasons(made("wash the filter")) == {"always"}
    other, plain = made("something else"), made("food")
    assert reasons(other) == set()
    assert "it has no effect on the plan" in " ".join(full_page(other).split())
    ids = [[one.id for one in found.actions if one.kind is not Kind.MEANT] for found in (other, plain)]
    assert ids[0] == ids[1]


def test_every_row_of_the_table_has_been_shown() -> None:
    shown = {
        "oxygen",
        "signs",
        "bloom",
        "hot",
        "gas",
        "zeolite",
        "sensitive",
        "tap",
        "ammonia",
        "disease",
        "always",
        "night",
    }
    assert {row["when"] for row in tables.table("meant")} == {*shown, "never"}
    assert {row["meant"] for row in tables.table("meant")} == {*DANGERS, *OTHERS, "wash the filter", "something else"}


def test_a_refusal_of_what_is_meant_stands_on_the_first_page_whatever_else_is_refused() -> None:
    found = made("algicide", water={"oxygen": "2.5 ± 0.1 mg/L"}, more=GASPING + GREEN)
    told = " ".join(first_page(found).split())
    assert "Refused: algicide, the home pond. Because: Oxygen is short or was not read" in told
    assert "Instead: Turn the air on" in told


def test_a_bare_call_takes_what_is_meant_tonight() -> None:
    texts = {"species": "koi", "what": "algicide; food"}
    found = quick_call(texts, ["gasping at the surface"], as_of=AT, draws=16)
    meant = {one.words["meant"]: bool(one.refused_because) for one in found.actions if one.kind is Kind.MEANT}
    assert meant == {"algicide": True, "food": True}


# -- drugs given before ---------------------------------------------------------------------------------------------------

FLUNIXIN = '[[injections]]\ndrug = "flunixin"\ndose = "0.5 mg/kg"\nstock = "5 mg/mL"\n'


def given(drug: str, day: str) -> str:
    return f'[[given]]\ndrug = "{drug}"\nat = {day}T05:30\n'


def injected(found: Plan) -> Action:
    (one,) = [one for one in found.actions if one.kind is Kind.INJECTION]
    return one


@pytest.mark.parametrize(
    ("drug", "day", "refused"),
    [
        ("meloxicam", "2026-05-09", True),  # 5 days
        ("meloxicam", "2026-04-30", True),  # 14 days
        ("meloxicam", "2026-04-29", False),  # 15 days
        ("butorphanol", "2026-05-09", False),  # no anti-inflammatory
        ("flunixin", "2026-05-09", False),  # the same: told, and not refused
    ],
)
def test_an_anti_inflammatory_of_the_last_fourteen_days_stands_against_another(
    drug: str, day: str, refused: bool
) -> None:
    one = injected(made("food", more=FLUNIXIN + given(drug, day)))
    assert bool(one.refused_because) is refused, one.refused_because
    assert refused is any(why.words.get("rule") == "two anti-inflammatories" for why in one.refused_because)
    told = "given-lately" in {why.code for why in one.cautions}
    assert told is (not refused and day != "2026-04-29")


def test_what_is_left_of_a_withdrawal_is_counted_at_the_temperature_of_the_water() -> None:
    # Of the five days that have passed nothing was read: they count at the coldest that a pond may be, 4 degrees, 20
    # degree-days; 480 of the 500 are left, 24 days at 20 degrees, and at 19.9 degrees 24.12.
    found = made("food", more=given("meloxicam", "2026-05-09"))
    (one,) = [one for one in found.actions if "withdrawal" in one.amounts]
    figure = found.figures[one.amounts["withdrawal"]]
    assert figure.best == pytest.approx(24.0, abs=1e-6)
    assert figure.act_on is not None
    assert 24.0 <= figure.act_on <= 25.0


def test_a_drug_is_counted_for_the_fish_that_had_it() -> None:
    other = '[[patients]]\nspecies = "koi"\nname = "Bramble"\nweight = "1 kg, scales"\n'
    text = (
        'waterplan_case = 1\n[[patients]]\nspecies = "koi"\nname = "Copper"\nweight = "2 kg, scales"\n'
        f'{other}[[given]]\ndrug = "meloxicam"\nat = 2026-05-09\npatients = "Bramble"\n'
    )
    found = plan(read_case(text), as_of=AT, draws=16)
    assert [one.words["fish"] for one in found.actions if "withdrawal" in one.amounts] == ["patient-2"]


# -- notes ------------------------------------------------------------------------------------------------------------------


def test_notes_are_kept_said_to_have_no_effect_and_have_none() -> None:
    note = '[[notes]]\nwords = "edges of the wound pale, 4 cm"\nof = "Copper"\npicture = "wound-1.jpg"\n'
    plain, noted = made("food"), made("food", more=note)
    texts = ["edges of the wound pale, 4 cm", "Copper", "wound-1.jpg"]
    assert [one.text for one in noted.written if one.section == "notes"] == texts
    assert (plain.actions, plain.judgements, plain.figures) == (noted.actions, noted.judgements, noted.figures)
    page = full_page(noted)
    assert page[page.index("Noted, with no effect on the plan") :].splitlines()[1].strip() == "; ".join(texts)
