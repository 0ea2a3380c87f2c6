"""Doses as they are read: units by substance, waters by name or litres, and all that is wrong told together."""

import pytest

from waterplan import tables
from waterplan.case import read_case
from waterplan.case.model import Case
from waterplan.dose.conflicts import conflict_things
from waterplan.dose.substances import known_substances, uses_of
from waterplan.errors import CaseError

POND = """
waterplan_case = 1
[patient]
species = "koi"
weight = "1.1 kg, scales"
[[vessels]]
name = "blue tub"
use = "induction"
volume = "60 L, marked tub"
"""


def read(text: str) -> Case:
    return read_case(POND + text, file="pond.toml")


def mistakes(text: str) -> dict[str, str]:
    with pytest.raises(CaseError) as wrong:
        read(text)
    assert wrong.value.file == "pond.toml"
    return {one.where: f"{one.read} -> {one.would_do}" for one in wrong.value.mistakes}


def test_a_dose_with_its_water_its_strength_and_its_bottle() -> None:
    case = read(
        '[[doses]]\nsubstance = "tricaine"\nuse = "induction"\ninto = "blue tub"\nstrength = "0.1 g/L"\nbottle = "10 mg/mL"'
    )
    (dose,) = case.doses
    assert dose.into.path == "induction-1"
    assert dose.volume is None
    assert dose.strength is not None
    assert dose.strength.measured.best == pytest.approx(100.0)
    assert dose.bottle is not None
    assert dose.bottle.mg_per_ml == 10.0


def test_a_dose_into_litres() -> None:
    (dose,) = read('[[doses]]\nsubstance = "formalin"\nuse = "bath"\ninto = "10 US gal, marked tub"\n').doses
    assert dose.volume is not None
    assert dose.volume.measured.best == pytest.approx(37.854, abs=1e-3)


def test_what_is_already_there_has_its_level_in_its_own_unit() -> None:
    case = read(
        '[[already]]\nwhat = "formalin"\nlevel = "0.02 mL/L"\nwhere = "blue tub"\n[[already]]\nwhat = "zeolite"\n'
    )
    formalin, zeolite = case.already
    assert formalin.level is not None
    assert (formalin.what, formalin.where, formalin.level.measured.best) == (
        "formalin",
        "induction-1",
        pytest.approx(20.0),
    )
    assert (zeolite.what, zeolite.level, zeolite.where) == ("zeolite", None, "")


def test_how_much_zeolite_there_is_in_grams() -> None:
    (zeolite,) = read('[[already]]\nwhat = "Zeolite"\ngrams = "1.5 kg"\n').already
    assert zeolite.grams is not None
    assert zeolite.grams.measured.best == 1500.0


def test_what_was_done_is_a_record_of_its_own() -> None:
    (done,) = read(
        '[[done]]\nat = 2026-05-14T07:00\nwhat = "dose"\nwater = "Blue Tub"\nsubstance = "Salt"\namount = "200 g"\n'
    ).done
    assert done.amount is not None
    assert (done.water, done.substance, done.amount.value, done.amount.unit) == ("induction-1", "salt", 200.0, "g")


def test_all_that_is_wrong_is_told_together() -> None:
    found = mistakes(
        """
[[doses]]
substance = "tricaine"
use = "dip"
into = "blue tub"
[[doses]]
substance = "tricaine"
use = "induction"
into = "grey tub"
strength = "0.01 %"
bottle = "5 %"
[[doses]]
substance = "formalin"
use = "bath"
into = "40 gal"
strength = "150 ppm"
[[injections]]
drug = "meloxicam"
dose = "1 mg"
stock = "5 %"
[[already]]
what = "zeolite"
level = "3 g/L"
[[already]]
what = "salt"
where = "the moon"
"""
    )
    assert "sedation, transport, induction, maintenance" in found["doses[1].use"]
    assert "home pond, mains water, blue tub" in found["doses[2].into"]
    assert "a bare % does not say of what" in found["doses[2].strength"]
    assert "a bare % does not say of what" in found["doses[2].bottle"]
    assert "US gal" in found["doses[3].into"]
    assert "uL/L" in found["doses[3].strength"]
    assert "mg/kg" in found["injections[1].dose"]
    assert "% w/v" in found["injections[1].stock"]
    assert "no level" in found["already[1].level"]
    assert "home pond, mains water, blue tub" in found["already[2].where"]


@pytest.mark.parametrize(
    ("substance", "use", "bottle", "would_do"),
    [
        ("povidone-iodine", "nets", "10 mg/mL", "the two differ tenfold"),
        ("tricaine", "induction", "10 % PVP-I", "povidone-iodine only"),
        ("ethanol", "instruments", "70 % w/v", "96 % v/v"),
        ("tricaine", "induction", "96 % v/v", "ethanol only"),
        ("tricaine", "induction", "85 % eugenol", "eugenol only"),
        ("eugenol", "induction", "85 % pure", "mg/L clove oil is not mg/L eugenol"),
    ],
)
def test_a_label_must_fit_its_substance(substance: str, use: str, bottle: str, would_do: str) -> None:
    text = f'[[doses]]\nsubstance = "{substance}"\nuse = "{use}"\ninto = "blue tub"\nbottle = "{bottle}"\n'
    assert would_do in mistakes(text)["doses[1].bottle"]


@pytest.mark.parametrize("strength", ["-5 mg/L", "nan mg/L", "1e9 mg/L", "100", "100 mg"])
def test_an_impossible_level_is_told(strength: str) -> None:
    text = f'[[doses]]\nsubstance = "tricaine"\nuse = "induction"\ninto = "blue tub"\nstrength = "{strength}"\n'
    assert "doses[1].strength" in mistakes(text)


def test_a_water_of_no_litres_is_impossible() -> None:
    assert "doses[1].into" in mistakes('[[doses]]\nsubstance = "salt"\nuse = "dip"\ninto = "0 L, marked tub"\n')


def test_chlorine_and_not_a_strength_decides_on_its_antidote() -> None:
    text = '[[doses]]\nsubstance = "sodium ascorbate"\nuse = "tap water"\ninto = "blue tub"\nstrength = "2 mg/L"\n'
    assert "leave it out" in mistakes(text)["doses[1].strength"]


@pytest.mark.parametrize("name", known_substances())
def test_the_level_of_every_substance_can_be_written(name: str) -> None:
    unit = next(row.unit for row in tables.table("dose_substances") if row["substance"] == name)
    use = next(iter(uses_of(name)))
    strength = "" if use == "tap water" else f'strength = "1 {unit}"\n'
    (dose,) = read(f'[[doses]]\nsubstance = "{name}"\nuse = "{use}"\ninto = "blue tub"\n{strength}').doses
    assert strength == "" or dose.strength is not None


@pytest.mark.parametrize("thing", sorted(conflict_things()))
def test_the_level_of_everything_that_has_one_can_be_written(thing: str) -> None:
    unit = conflict_things()[thing].unit
    level = f'level = "1 {unit}"\n' if unit else 'level = "7"\n' if thing == "ph" else ""
    (one,) = read(f'[[already]]\nwhat = "{thing.replace("_", " ")}"\n{level}').already
    assert one.what == thing
    assert (one.level is not None) == bool(level)
