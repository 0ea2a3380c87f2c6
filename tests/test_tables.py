"""The door to the reference tables."""

import math
from pathlib import Path

import pytest

from waterplan import tables

HEAD = "thing,state,value,low,high,unit,source,locator,status,default,reason,words\n"


def made_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, *lines: str) -> str:
    """A table of the test's own, under a name that no other test uses (tables are read once)."""
    (tmp_path / f"{name}.csv").write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")
    monkeypatch.setattr(tables, "shipped", lambda _: tmp_path)
    return name


@pytest.fixture
def disagreeing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    return made_up(
        tmp_path,
        monkeypatch,
        f"made_up_{tmp_path.name}",
        "salt,calm,3,1,5,g/L,practice,one,common practice,yes,,long words",
        "salt,calm,4,,,g/L,waterplan,,judgement,,second opinion,",
        "salt,wild,9,,,g/L,waterplan,,judgement,,,",
        "sugar,calm,1,,,g/L,waterplan,,judgement,yes,,",
        "sugar,calm,2,,,g/L,waterplan,,judgement,yes,,",
        "honey,calm,1,,,g/L,waterplan,,judgement,,,",
        "honey,calm,2,,,g/L,waterplan,,judgement,,,",
    )


def test_of_sources_that_disagree_the_default_answers(disagreeing: str) -> None:
    assert tables.row(disagreeing, thing="salt", state="calm").value == 3.0
    assert [row.value for row in tables.rows(disagreeing, thing="salt", state="calm")] == [3.0, 4.0]


def test_a_single_row_needs_no_mark(disagreeing: str) -> None:
    assert tables.row(disagreeing, thing="salt", state="wild").value == 9.0


def test_two_defaults_or_none_among_several_are_a_fault_of_the_table(disagreeing: str) -> None:
    with pytest.raises(LookupError, match="several default rows"):
        tables.find(disagreeing, thing="sugar", state="calm")
    assert tables.find(disagreeing, thing="honey", state="calm") is None
    with pytest.raises(LookupError, match="no default among several"):
        tables.row(disagreeing, thing="honey", state="calm")


def test_what_is_not_there_is_none_or_told(disagreeing: str) -> None:
    assert tables.find(disagreeing, thing="pepper", state="calm") is None
    with pytest.raises(LookupError, match="pepper"):
        tables.row(disagreeing, thing="pepper", state="calm")
    with pytest.raises(KeyError, match="colour"):
        tables.find(disagreeing, colour="red")


def test_a_row_is_named_by_its_keys_and_shows_what_is_printed(disagreeing: str) -> None:
    row = tables.row(disagreeing, thing="salt", state="calm")
    assert row.label == f"{disagreeing.replace('_', ' ')}: salt, calm"
    assert row.printed == "3 g/L"
    assert row["words"] == "long words"
    assert row.is_default
    assert (row.low, row.high) == (1.0, 5.0)


def test_an_empty_figure_is_no_number(disagreeing: str) -> None:
    row = tables.row(disagreeing, thing="salt", state="wild")
    assert math.isnan(row.low)
    assert math.isnan(row.high)


@pytest.mark.parametrize(
    ("unit", "expected", "core"),
    [
        # Molar masses of N, NH3 and NO2: IUPAC standard atomic weights, 14.007, 17.031 and 46.005 g/mol.
        ("mg/L as NH3", 14.007 / 17.031, "mg/L as N"),
        ("mg/L as NO2-N", 46.005 / 14.007, "mg/L as NO2"),
        ("mg/L as N", 1.0, "mg/L as N"),
        ("g", 1.0, "g"),  # what is weighed out stays in grams, though a fish is in kilograms
        ("%", 0.01, "fraction"),
        ("in", 2.54, "cm"),  # international yard and pound, 1959
        ("cm2", 1e-4, "m2"),
        # A pound (0.45359237 kg) in a US gallon (231 cubic inches).
        ("lb/US gal", 0.45359237 / (231 * 0.0254**3), "kg/m3"),
    ],
)
def test_printed_units_become_the_cores(
    unit: str, expected: float, core: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    line = f"thing,calm,1,1,2,{unit},practice,,common practice,yes,,"
    name = made_up(tmp_path, monkeypatch, f"made_up_{tmp_path.name}", line)
    row = tables.row(name, thing="thing", state="calm")
    assert row.value == pytest.approx(expected, rel=1e-12)
    assert row.high == pytest.approx(2.0 * expected, rel=1e-12)
    assert row.unit == core
    assert row.printed == f"1 {unit}"


def test_nitrite_and_ammonia_by_the_factors_of_the_trade() -> None:
    # NO2 = 3.2845 x NO2-N, NH3 = 1.2159 x NH3-N.
    nitrite = tables.row("water_limits", quantity="nitrite", group="any", level="watch")
    assert nitrite.value == pytest.approx(0.1 * 3.2845, rel=1e-4)
    assert nitrite.unit == "mg/L as NO2"
    ammonia = tables.row("water_limits", quantity="nh3", group="carp_like", level="limit")
    assert ammonia.value == pytest.approx(0.02 / 1.2159, rel=1e-4)


def test_a_range_without_a_value_is_printed_as_a_range() -> None:
    row = tables.row("species_ranges", species="koi", range="tolerated temperature")
    assert math.isnan(row.value)
    assert row.printed == "3-35 °C"


def test_tables_are_found_beside_the_package_and_inside_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "site" / "waterplan"
    package.mkdir(parents=True)
    monkeypatch.setattr(tables, "__file__", str(package / "tables.py"))
    assert tables.shipped("reference_tables") == tmp_path / "site" / "reference_tables"
    assert tables.shipped("app.py") == tmp_path / "site" / "app.py"
    (package / "reference_tables").mkdir()
    (package / "serve").mkdir()
    (package / "serve" / "app.py").touch()
    assert tables.shipped("reference_tables") == package / "reference_tables"
    assert tables.shipped("app.py") == package / "serve" / "app.py"


def test_the_real_tables_are_found() -> None:
    assert (tables.shipped("reference_tables") / "glossary.csv").is_file()
    assert tables.shipped("demo_ponds").is_dir()


def test_nothing_read_can_be_changed() -> None:
    row = tables.row("defaults", what="unattended")
    with pytest.raises(AttributeError):
        row.value = 1.0  # type: ignore[misc]
    with pytest.raises(TypeError):
        row.keys["what"] = "other"  # type: ignore[index]
    with pytest.raises(TypeError):
        tables.glossary()["new"] = tables.glossary()["ph"]  # type: ignore[index]
