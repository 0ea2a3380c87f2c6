"""That a record which contradicts itself is caught."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.plan import soundness
from tests.plan.hand_made import Document, figure, judgement, made
from tests.plan.invariants import Complaints
from waterplan.plan.record import Plan


def _complete(document: Document) -> None:
    """Every record stands in a moment."""
    document["moments"] = [
        {
            "moment": "prepare",
            "state": "ready if done",
            "because": ["mains/chlorine"],
            "actions": ["prepare/neutralise/induction-1"],
        },
        {
            "moment": "procedure",
            "state": "ready if done",
            "because": ["induction-1/oxygen"],
            "judgements": [one["id"] for one in document["judgements"]],
            "actions": [one["id"] for one in document["actions"] if one["moment"] == "procedure"],
        },
    ]


def plan(change: Callable[[Document], object] = lambda _: None) -> Plan:
    def both(document: Document) -> None:
        _complete(document)
        change(document)

    return made(both)


def _first(part: str, **values: Any) -> Callable[[Document], None]:
    return lambda document: document[part][0].update(values)


def _green(document: Document) -> None:
    document["judgements"][0]["verdict"] = "within limit"
    document["judgements"][0]["limit"]["value"] = 7.0


def _in_two(document: Document) -> None:
    times = {"from": "2026-05-14T10:00:00+00:00", "until": "2026-05-14T11:00:00+00:00"}
    for water in document["waters"]:
        water["occupants"] = [{"fish": "patient-1", "state": "at rest"} | times]


def _past(document: Document) -> None:
    document["made"]["as_of"] = "2026-05-15T10:00:00+00:00"
    document["actions"][0]["at"] = "2026-05-14T10:00:00+00:00"


def _series(**values: Any) -> Callable[[Document], None]:
    one = {"water": "induction-1", "quantity": "oxygen", "unit": "mg/L", "start": None, "hours": [0, 1]}
    bands = {"low": [1, 1], "best": [2, 2], "high": [3, 3]}
    return lambda document: document.update(series={"oxygen": one | bands | values})


def _another_clock(document: Document) -> None:
    document["figures"]["induction-1/oxygen/until-emergency/power off"] = figure(30, 8, 60, "min", 8)
    off = judgement("induction-1/oxygen/power off", "oxygen", "watch", figure="induction-1/oxygen/until-alarm")
    document["judgements"].append(off)


def _offered(document: Document) -> None:
    because = {"refused_because": [{"code": "x"}]}
    document["actions"][0].update(because | {"instead": [{"kind": "move", "because": []}]})
    document["actions"].append(document["actions"][0] | {"id": "a/move", "kind": "move", "instead": []})


BREAKS: tuple[tuple[Callable[[Plan], Complaints], str, Callable[[Document], object]], ...] = (
    (soundness.verdicts_agree, "below at least 7", _green),
    (soundness.verdicts_agree, "a chance of 0.3", lambda document: document["judgements"][1].update(chance=0.3)),
    (soundness.verdicts_agree, "nothing is named to measure", _first("judgements", verdict="not known")),
    (soundness.moments_agree, "moments stand as procedure, prepare", lambda document: document["moments"].reverse()),
    (soundness.moments_agree, "stands in 0 moments", lambda document: document["moments"][1]["judgements"].pop()),
    (soundness.moments_agree, "for no reason", _first("moments", because=[])),
    (soundness.moments_agree, "is ready, and", lambda document: document["moments"][1].update(state="ready")),
    (soundness.times_agree, "is in mains and in induction-1", _in_two),
    (soundness.times_agree, "which is past", _past),
    (soundness.courses_agree, "lengths differ", _series(high=[3])),
    (soundness.courses_agree, "out of order", _series(best=[2, 9])),
    (
        soundness.nothing_is_weighed,
        "grams of nothing",
        lambda document: document["figures"]["induction-1/thiosulphate"].update(low=0, best=0, act_on=0),
    ),
    (soundness.clocks_agree, "on the card", _another_clock),
    (soundness.answers_agree, "does not say so", _first("actions", answers=[])),
    (soundness.ways_agree, "offers move, which is refused there", _offered),
    (
        soundness.answers_agree,
        "which is not ordered",
        lambda document: document["actions"][1].update(refused_because=[{"code": "x"}]),
    ),
)


@pytest.mark.parametrize("check", soundness.CHECKS)
def test_the_plan_by_hand_is_sound(check: Callable[[Plan], Complaints]) -> None:
    assert check(plan()) == []


@pytest.mark.parametrize(("check", "complaint", "change"), BREAKS, ids=[row[1] for row in BREAKS])
def test_a_contradiction_is_caught(
    check: Callable[[Plan], Complaints], complaint: str, change: Callable[[Document], object]
) -> None:
    assert any(complaint in one for one in check(plan(change))), check(plan(change))
