"""Whether a reading can be believed: each doubt of the table makes a good verdict open, and softens no bad one."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from waterplan import tables
from waterplan.case import read_case
from waterplan.case.log import read_log
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

AT = datetime(2026, 5, 1, 5, 40, tzinfo=UTC)
GOOD = {
    "temperature": "17 °C, digital thermometer",
    "ph": "7.4, pH meter",
    "oxygen": "9 mg/L, oxygen meter",
    "tan": "0.3 mg/L as N, drop kit",
    "nitrite": "0.2 mg/L as NO2, drop kit",
    "alkalinity": "120 ± 5 mg/L as CaCO3",
    "salinity": "1.5 g/L, refractometer",
    "chlorine": "0 ± 0.001 mg/L",
    "gas_pressure": "100 ± 0.5 %",
}
ALREADY = '[[already]]\nwhat = "formalin"\nwhere = "home pond"\nlevel = "5 uL/L"\n'


def made(water: dict[str, str], *, more: str = "", log: str = "") -> Plan:
    lines = "".join(f'{key} = "{text}"\n' for key, text in water.items())
    case = read_case(
        'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1 kg, scales"\n[home_pond]\nvolume = "8000 ± 80 L"\n'
        f"[home_water]\ntaken = 2026-05-01T05:00\nph_taken = 2026-04-30T16:00\n{lines}{more}"
    )
    rows = read_log(f"taken,water,what,reading\n{log}", case=case).rows if log else ()
    return plan(case, readings=rows, as_of=AT, draws=64, actions=False)


def of(plan: Plan, hazard: Hazard) -> Judgement:
    return next(one for one in plan.judgements if one.hazard is hazard and "power" not in one.id)


def doubts(judgement: Judgement) -> set[str]:
    return {why.code.removeprefix("doubted-") for why in judgement.why if why.code.startswith("doubted-")}


# What is written beside the readings, the hazard whose deciding reading it spoils, and the doubt.
CASES = [
    ({"kit_expires": "2026-04-30"}, Hazard.NITRITE, "kit-out-of-date"),
    ({"kit_expires": "2026-04-30"}, Hazard.AMMONIA, "kit-out-of-date"),
    ({"where": "at the surface"}, Hazard.OXYGEN, "read-at-the-surface"),
    ({"read_depth": "6 cm, tape"}, Hazard.OXYGEN, "read-at-the-surface"),
    ({"read_depth": "6 cm, tape"}, Hazard.GAS_PRESSURE, "read-too-shallow-for-total-gas"),
    ({"where": "at the inflow"}, Hazard.OXYGEN, "read-at-the-inflow"),
    ({"where": "at the inflow"}, Hazard.NITRITE, "read-at-the-inflow"),
]


@pytest.mark.parametrize(("beside", "hazard", "doubt"), CASES)
def test_a_good_reading_that_cannot_be_believed_clears_nothing(
    beside: dict[str, str], hazard: Hazard, doubt: str
) -> None:
    plain, spoiled = of(made(GOOD), hazard), of(made({**GOOD, **beside}), hazard)
    assert plain.verdict.rank < Verdict.NOT_KNOWN.rank
    assert not doubts(plain)
    assert spoiled.verdict is Verdict.NOT_KNOWN
    assert doubt in doubts(spoiled)
    assert spoiled.measure  # it is asked for again


@pytest.mark.parametrize("hazard", [Hazard.OXYGEN, Hazard.TEMPERATURE])
def test_a_reading_at_one_depth_counts_for_the_whole_water_and_says_so(hazard: Hazard) -> None:
    plain, deep = of(made(GOOD), hazard), of(made({**GOOD, "read_depth": "1.2 m, tape"}), hazard)
    assert (deep.verdict, doubts(deep)) == (plain.verdict, {"read-at-one-depth"})
    assert not doubts(plain)


@pytest.mark.parametrize(
    "beside", [one[0] for one in CASES] + [{"where": "at the bottom"}, {"kit_expires": "2026-10-31"}]
)
def test_no_doubt_softens_a_bad_verdict(beside: dict[str, str]) -> None:
    bad = {
        **GOOD,
        "oxygen": "1 mg/L, oxygen meter",
        "nitrite": "9 mg/L as NO2, photometer",
        "tan": "6 mg/L as N, drop kit",
    }
    before, after = ({one.id: one.verdict.rank for one in made(water).judgements} for water in (bad, {**bad, **beside}))
    assert all(after[path] >= rank for path, rank in before.items())


def test_where_the_fish_are_and_a_kit_in_date_change_nothing() -> None:
    for beside in ({"where": "at the bottom"}, {"where": "in the middle"}, {"kit_expires": "2026-05-02"}):
        plain, same = made(GOOD), made({**GOOD, **beside})
        assert [(one.id, one.verdict, one.why) for one in plain.judgements] == [
            (one.id, one.verdict, one.why) for one in same.judgements
        ]


def test_a_meter_has_no_reagents_that_age() -> None:
    water = {**GOOD, "nitrite": "0.2 mg/L as NO2, photometer", "kit_expires": "2026-04-30"}
    assert not doubts(of(made(water), Hazard.NITRITE))


def test_less_than_two_grams_of_salt_are_not_read_off_a_refractometer() -> None:
    # 1.5 g/L is less than two divisions of 1 g/L; 2.5 g/L is more; a conductivity meter sees both.
    for text, doubted in (
        ("1.5 g/L, refractometer", True),
        ("2.5 g/L, refractometer", False),
        ("1.5 g/L, conductivity meter", False),
    ):
        salt = of(made({**GOOD, "salinity": text}), Hazard.SALT)
        assert ("refractometer-for-little-salt" in doubts(salt)) is doubted, text
        assert salt.verdict.rank < Verdict.NOT_KNOWN.rank, text  # told and no more: more salt makes no verdict better


def test_formalin_in_the_water_spoils_an_ammonia_kit() -> None:
    plain, spoiled = (of(made(GOOD, more=more), Hazard.AMMONIA) for more in ("", ALREADY))
    assert not doubts(plain)
    assert doubts(spoiled) == {"formalin-and-ammonia-kits"}
    assert spoiled.verdict.rank >= Verdict.NOT_KNOWN.rank


def test_a_reading_of_the_log_was_not_taken_where_the_first_one_was() -> None:
    log = '2026-05-01T05:30,home water,oxygen,"9 mg/L, oxygen meter"\n'
    assert not doubts(of(made({**GOOD, "where": "at the surface"}, log=log), Hazard.OXYGEN))


def test_the_last_colour_of_a_card_asks_for_a_diluted_sample() -> None:
    # The card ends at 8 mg/L of ammonia as N: 7 is read off it, 8 may be anything above.
    for text, ends in (
        ("7 mg/L as N, drop kit", False),
        ("8 mg/L as N, drop kit", True),
        ("9 mg/L as N, photometer", False),
    ):
        found = made({**GOOD, "tan": text})
        open_ones = [one for one in found.judgements if "kit-at-its-end" in {why.code for why in one.why}]
        assert [one.id for one in open_ones] == ["home-pond/contradiction/ammonia/end-of-the-scale"] * ends
        assert all(one.verdict is Verdict.NOT_KNOWN and one.measure for one in open_ones)


@pytest.mark.parametrize(
    ("key", "unit", "field"),
    [("tan", "mg/L as N", 1.0), ("nitrite", "mg/L as NO2", 1.0), ("chlorine", "mg/L", 0.5)],
)
def test_a_pad_of_a_strip_that_stays_pale_is_not_none(key: str, unit: str, field: float, tmp_path: Path) -> None:
    # A pad is read to one field of its card, 19 times in 20: a pale one is 0 with that error upwards, 1.96 of its spread.
    path = tmp_path / "case.toml"
    path.write_text(f'waterplan_case = 1\n[home_water]\n{key} = "0 {unit}, strip"\n', encoding="utf-8")
    found = read_case(path).home_water.readings[key].measured
    assert found.censored
    assert found.best == 0.0
    assert found.spread * 1.96 == pytest.approx(field, rel=1e-3)


def test_other_oxidants_colour_a_chlorine_kit_too() -> None:
    for what, rule in (
        ("chloramine-t", "chloramine-T and chlorine kits"),
        ("permanganate", "oxidants and chlorine kits"),
    ):
        more = f'[[already]]\nwhat = "{what.replace("-", " ")}"\nwhere = "home pond"\n'
        codes = {why.words.get("rule") for one in made(GOOD, more=more).judgements for why in one.why}
        assert rule in codes


def test_a_binder_is_said_to_mislead_an_ammonia_kit() -> None:
    more = '[[already]]\nwhat = "ammonia binder"\nwhere = "home pond"\n'
    codes = {why.words.get("rule") for one in made(GOOD, more=more).judgements for why in one.why}
    assert "ammonia binder and test kits" in codes


def test_every_doubt_has_a_phrase_and_a_reading_that_it_is_of() -> None:
    from waterplan.case.waters import WATER_KEYS
    from waterplan.words.catalogue import language

    for row in tables.table("doubted_readings"):
        assert f"why.doubted-{row['doubt'].replace(' ', '-')}" in language()
        assert row["quantity"] in (*WATER_KEYS, "any")
