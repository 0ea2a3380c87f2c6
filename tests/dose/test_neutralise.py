"""Chlorine, and the ammonia that chloramine leaves."""

import pytest

from tests.dose.worked import worked
from waterplan.dose.neutralise import ammonia_from_chloramine_mg_n_per_l, thiosulphate_pentahydrate_g
from waterplan.errors import ImpossibleInput


@pytest.mark.parametrize("row", worked("dose_early", function="thiosulphate"), ids=lambda row: row["why"])
def test_thiosulphate_worked(row: dict[str, str]) -> None:
    grams = thiosulphate_pentahydrate_g(float(row["volume_l"]), chlorine_mg_per_l=float(row["intended"]))
    assert grams == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", worked("dose_early", function="chloramine"), ids=lambda row: row["why"])
def test_chloramine_worked(row: dict[str, str]) -> None:
    ammonia = ammonia_from_chloramine_mg_n_per_l(float(row["intended"]))
    assert ammonia == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_negative_chlorine_is_impossible() -> None:
    with pytest.raises(ImpossibleInput):
        thiosulphate_pentahydrate_g(100.0, chlorine_mg_per_l=-0.1)
