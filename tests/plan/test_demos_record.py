"""The records of the invented cases: sound, finite, the same again, and not silent where all was measured."""

import json
import math
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pytest

from tests.demos import DEMO_PONDS, DEMOS, FEW, demo_plan, longer_but_for, planned_anew
from tests.plan import invariants, soundness
from tests.plan.invariants import FIRST_THIRTEEN
from waterplan.case.log import read_log
from waterplan.case.reading import read_case
from waterplan.hazards.record import Verdict
from waterplan.plan.record import Plan
from waterplan.words.speaker import Speaker

LOGGED = tuple(sorted(path.stem.removesuffix("_readings") for path in DEMO_PONDS.glob("*_readings.csv")))
FULLY_MEASURED = ("ordinary_goldfish",)


@cache
def record(name: str, *, logged: bool = False) -> Plan:
    """The plan of a demo, with its readings at the time of the last or without."""
    if not logged:
        return demo_plan(name)
    whole = pytest.importorskip("waterplan.plan.whole")
    case = read_case(DEMO_PONDS / f"{name}.toml")
    rows = read_log(DEMO_PONDS / f"{name}_readings.csv", case=case).rows
    made: Plan = whole.plan(case, readings=rows, as_of=rows[-1].taken, draws=FEW)
    return made


def _numbers(found: Any) -> Iterator[float]:
    if isinstance(found, dict):
        for part in found.values():
            yield from _numbers(part)
    elif isinstance(found, list):
        for part in found:
            yield from _numbers(part)
    elif isinstance(found, float):
        yield found


every_check = pytest.mark.parametrize(
    "check", [*invariants.CHECKS, *soundness.CHECKS], ids=lambda check: check.__name__
)


@every_check
@pytest.mark.parametrize("name", DEMOS)
def test_the_record_of_a_demo_is_sound(name: str, check: Callable[[Plan], list[str]]) -> None:
    assert check(record(name)) == []


@every_check
@pytest.mark.parametrize("name", longer_but_for(("heron_goldfish", "goldfish_recheck"), LOGGED))
def test_the_record_of_a_demo_in_its_stay_is_sound(name: str, check: Callable[[Plan], list[str]]) -> None:
    assert check(record(name, logged=True)) == []


def test_what_goes_by_volume_is_told_by_its_volume() -> None:
    assert record("heron_goldfish").figures["home-pond/formalin/as found"].unit == "uL/L"


def test_steps_of_warming_are_told_with_their_times() -> None:
    made = record("heron_goldfish")
    warmed = (one for one in made.actions if one.kind == "warm")
    cautions = [why for one in warmed for why in one.cautions if why.code == "warm-in-steps"]
    assert [", ".join(Speaker(made).why(why).split(", ")[:2]) for why in cautions] == [
        "Warm in steps of at most 1 °C an hour and 2 °C a day: 18.3 °C on Thu 14 May, 12:40"
    ]


@pytest.mark.parametrize("name", FULLY_MEASURED)
def test_where_all_was_measured_hardly_anything_is_not_known(name: str) -> None:
    judged = [one for one in record(name).judgements if one.hazard in FIRST_THIRTEEN]
    not_known = [one.id for one in judged if one.verdict is Verdict.NOT_KNOWN]
    assert len(not_known) <= 2, not_known


@pytest.mark.parametrize("name", DEMOS)
def test_the_json_of_a_demo_is_finite_and_reads_back(name: str) -> None:
    text = record(name).model_dump_json(by_alias=True)
    document = json.loads(text, parse_constant=lambda constant: pytest.fail(f"{constant} in the JSON"))
    assert all(math.isfinite(number) for number in _numbers(document))
    assert Plan.model_validate_json(text) == record(name)


@pytest.mark.parametrize("name", DEMOS)
def test_every_figure_of_a_demo_can_be_acted_on_or_never_comes(name: str) -> None:
    for path, figure in record(name).figures.items():
        assert figure.act_on is not None or figure.never, path
        assert figure.never is None or 0.0 <= figure.never <= 1.0, path


def test_a_plan_is_the_same_again() -> None:
    name = DEMOS[0]
    assert planned_anew(name) == record(name)


@pytest.mark.parametrize("name", DEMOS)
def test_all_times_carry_their_zone(name: str) -> None:
    def times(found: Any) -> Iterator[Any]:
        if isinstance(found, dict):
            for part in found.values():
                yield from times(part)
        elif isinstance(found, list | tuple):
            for part in found:
                yield from times(part)
        elif hasattr(found, "utcoffset"):
            yield found

    assert all(found.utcoffset() is not None for found in times(record(name).model_dump()))
