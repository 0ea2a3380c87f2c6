"""No course and no search is made twice in one plan."""

import pickle
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from waterplan.actions import change as changing
from waterplan.case import read_case
from waterplan.plan.whole import plan
from waterplan.stay import standing
from waterplan.stay.ground import WaterStay
from waterplan.tables import shipped

DEMOS = sorted(Path(shipped("demo_ponds")).glob("*.toml"))
every_demo = pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)


def as_asked(*question: object) -> bytes:
    """A question by all that it holds: two of the same draws are the same question."""
    return pickle.dumps(question)


def told(event: object) -> tuple[str, dict[str, object]]:
    names = [name for kind in type(event).__mro__ for name in getattr(kind, "__slots__", ())]
    return type(event).__name__, {name: getattr(event, name) for name in names}


@every_demo
def test_no_course_is_made_twice(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: Counter[bytes] = Counter()
    follow = standing.course

    def counted(setup: Any, events: Any, **options: Any) -> Any:
        horizon = (options["until_h"], options["step_h"], options["follow"].value)
        asked[as_asked(setup, [told(event) for event in events], horizon)] += 1
        return follow(setup, events, **options)

    monkeypatch.setattr(standing, "course", counted)
    plan(read_case(path), draws=64)
    assert asked
    assert set(asked.values()) == {1}


@every_demo
def test_no_search_is_made_twice(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: Counter[bytes] = Counter()
    search = changing.daily_change_litres

    def counted(setup: Any, **options: Any) -> Any:
        events = [told(event) for event in options.get("events", ())]
        asked[as_asked(setup, options["source"], options["limits"], events)] += 1
        return search(setup, **options)

    monkeypatch.setattr(changing, "daily_change_litres", counted)
    plan(read_case(path), draws=64)
    assert all(count == 1 for count in asked.values())


@every_demo
def test_a_course_taken_from_another_stay_is_the_one_that_would_be_made(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shared = plan(read_case(path), draws=64)
    monkeypatch.setattr(WaterStay, "stands_as", lambda *_: False)
    assert plan(read_case(path), draws=64) == shared
