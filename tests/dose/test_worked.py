"""The worked examples of the room against their functions: a file of published values for each."""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from waterplan.dose import changes, disinfectants, drugs, injection, neutralise, salt, stock, tricaine
from waterplan.published import Status
from waterplan.tables import sources

VALUES = Path(__file__).parents[1] / "published_values"
ABOUT = ("expected", "tolerance", "why", "source", "locator", "status")


FUNCTIONS: dict[str, Callable[..., object]] = {
    "dose_salt": salt.salt_to_add_g,
    "dose_chloramine_ammonia": neutralise.ammonia_from_chloramine_mg_n_per_l,
    "dose_strength": stock.strength_mg_per_ml,
    "dose_changes_to_reach": changes.changes_to_reach,
    "dose_withdrawal": drugs.withdrawal_days,
    "dose_formalin_oxygen": disinfectants.formalin_oxygen_mg_per_l,
    "dose_tricaine_acid": tricaine.tricaine_acid_mg_caco3_per_l,
    "dose_bicarbonate": tricaine.bicarbonate_needed_mg_per_l,
}


def read(name: str) -> list[dict[str, str]]:
    with (VALUES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def value(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def cases() -> list[object]:
    return [pytest.param(name, row, id=f"{name}: {row['why'][:60]}") for name in FUNCTIONS for row in read(name)]


@pytest.mark.parametrize(("name", "row"), cases())
def test_worked(name: str, row: dict[str, str]) -> None:
    first, *rest = [value(text) for key, text in row.items() if key not in ABOUT and text]
    names = [key for key, text in row.items() if key not in ABOUT and text][1:]
    answer = FUNCTIONS[name](first, **dict(zip(names, rest, strict=True)))
    assert answer == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", read("dose_injection"), ids=lambda row: f"{row['drug']} {row['dose_mg_per_kg']}")
def test_injections(row: dict[str, str]) -> None:
    weight, dose, stock_strength = (float(row[key]) for key in ("weight_kg", "dose_mg_per_kg", "stock_mg_per_ml"))
    found = injection.injection_ml(weight, dose_mg_per_kg=dose, stock_mg_per_ml=stock_strength)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("path", sorted(VALUES.glob("dose_*.csv")), ids=lambda path: path.stem)
def test_each_value_has_a_source_and_a_status(path: Path) -> None:
    for row in read(path.stem):
        assert row["source"] in sources()
        assert Status(row["status"])
        assert row["why"]
        assert float(row["tolerance"]) >= 0.0
