"""No course and no search is made twice in one plan."""

import pickle
from collections import Counter
from typing import Any

import pytest

from tests.demos import DEMOS, demo_plan, longer_but_for, planned_anew
from waterplan.actions import change as changing
from waterplan.stay import standing
from waterplan.stay.ground import WaterStay

made = planned_anew  # whatever another test has made


def as_asked(*question: object) -> bytes:
    """A question by all that it holds: two of the same draws are the same question."""
    return pickle.dumps(question)


def told(event: object) -> tuple[str, dict[str, object]]:
    names = [name for kind in type(event).__mro__ for name in getattr(kind, "__slots__", ())]
    return type(event).__name__, {name: getattr(event, name) for name in names}


@pytest.mark.longer
@pytest.mark.parametrize("name", longer_but_for(("heron_goldfish", "night_call"), DEMOS))
def test_no_course_and_no_search_is_made_twice(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    courses: Counter[bytes] = Counter()
    searches: Counter[bytes] = Counter()
    follow, search = standing.course, changing.daily_change_litres

    def followed(setup: Any, events: Any, **options: Any) -> Any:
        horizon = (options["until_h"], options["step_h"], options["follow"].value)
        courses[as_asked(setup, [told(event) for event in events], horizon)] += 1
        return follow(setup, events, **options)

    def searched(setup: Any, **options: Any) -> Any:
        events = [told(event) for event in options.get("events", ())]
        searches[as_asked(setup, options["source"], options["limits"], events)] += 1
        return search(setup, **options)

    monkeypatch.setattr(standing, "course", followed)
    monkeypatch.setattr(changing, "daily_change_litres", searched)
    made(name)
    assert courses
    assert {*courses.values(), *searches.values()} == {1}


@pytest.mark.parametrize(
    "name", ["ordinary_goldfish", "night_call", pytest.param("hooked_tench", marks=pytest.mark.slow)]
)
def test_a_course_taken_from_another_stay_is_the_one_that_would_be_made(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(WaterStay, "stands_as", lambda *_: False)
    assert made(name) == demo_plan(name)
