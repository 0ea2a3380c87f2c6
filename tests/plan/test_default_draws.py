"""Every invented case at the draws that the command and the screens take, and any case with the farthest draws that there can be: a
tail that few draws reach breaks nothing."""

from itertools import islice
from typing import Any

import numpy as np
import pytest

from tests.demos import DEMO_PONDS, DEMOS, longer_but_for
from tests.plan.generated_cases import cases
from waterplan.case import read_case
from waterplan.plan.whole import plan
from waterplan.published import FloatArray
from waterplan.spread import DEFAULT_DRAWS
from waterplan.words.terminal import first_page

CHANCE = np.random.default_rng
HOT = """waterplan_case = 1
[patient]
species = "koi"
weight = "1 kg, scales"
[home_water]
temperature = "17 ± 0.2 °C"
ph = "7.6 ± 0.05"
tan = "0.05 ± 0.01 mg/L as N"
[[vessels]]
name = "tank"
use = "hospital"
volume = "100 L"
filled_with = "home water"
heater = "3000 W"
[intended]
operation_at = 2026-05-01T10:00
temperature = "22 °C"
days = "3 days"
[[events]]
what = "heater sticks on"
at = 2026-05-02T10:00
"""


class ToTheEnds:
    """A source of chance by which the outermost draws of a column lie at the very ends of what is drawn from."""

    def __init__(self, seed: Any) -> None:
        self._chance = CHANCE(seed)

    def permutation(self, count: int) -> FloatArray:
        self._strata = self._chance.permutation(count)
        return np.asarray(self._strata)

    def uniform(self, *, size: int) -> FloatArray:
        inside = self._chance.uniform(size=size)
        return np.where(self._strata == 0, 0.0, np.where(self._strata == size - 1, 1.0, inside))


@pytest.mark.parametrize("name", longer_but_for(("night_call",), DEMOS))
def test_a_case_is_planned_at_the_draws_that_a_reader_gets(name: str) -> None:
    """Slow: a plan of 1,024 draws. One of 4,096 had an evaporation that was taken for impossible, and there was no plan."""
    made = plan(read_case(DEMO_PONDS / f"{name}.toml"))
    assert made.made.draws == DEFAULT_DRAWS
    assert len(first_page(made).splitlines()) <= 60


@pytest.mark.parametrize("count", [1, pytest.param(150, marks=pytest.mark.slow)])
def test_no_case_has_a_draw_that_ends_its_plan(count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of each input at least two draws lie as far out as any could: what cannot be would be met here, and there is a plan."""
    monkeypatch.setattr(np.random, "default_rng", ToTheEnds)
    for one in islice(cases(count, 7), count):
        case = one.case()
        assert plan(case, readings=one.readings(case), as_of=one.as_of, draws=8).judgements


def test_a_heater_that_boils_its_tank_dry_is_planned_for() -> None:
    """3 kW in 100 L: as hot as the equations go after a night, and every litre gone in days; the plan says what to do."""
    made = plan(read_case(HOT), draws=16)
    assert next(one for one in made.judgements if one.id == "hospital-1/temperature").verdict == "act now"


def test_a_room_in_hard_frost_is_planned_for() -> None:
    """At -20 °C a tub freezes; the plan says so, and does not end where the equations of vapour do."""
    cold = HOT.partition("[[events]]")[0].replace('heater = "3000 W"\n', "")
    made = plan(read_case(cold.replace('temperature = "22 °C"', 'room = "-20 °C"')), draws=16)
    assert next(one for one in made.judgements if one.id == "hospital-1/temperature").verdict == "act now"
