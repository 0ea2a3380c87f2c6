"""A small plan written by hand, in the form of its JSON, for tests of the tests."""

import copy
from collections.abc import Callable, Mapping
from typing import Any

from waterplan.actions.record import Kind
from waterplan.hazards.record import Hazard
from waterplan.plan.record import Plan
from waterplan.stay.record import WaterKind

Document = dict[str, Any]
# What the hand-made waters can have, and what may answer it.
APPLIES: Mapping[WaterKind, frozenset[Hazard]] = {
    WaterKind.INDUCTION: frozenset({Hazard.OXYGEN, Hazard.CHLORINE}),
    WaterKind.SOURCE: frozenset({Hazard.CHLORINE}),
    WaterKind.HOME: frozenset({Hazard.OXYGEN}),
}
ANSWERS: Mapping[Hazard, frozenset[Kind]] = {
    Hazard.OXYGEN: frozenset({Kind.AIR, Kind.CHANGE, Kind.ASK}),
    Hazard.CHLORINE: frozenset({Kind.NEUTRALISE, Kind.WAIT}),
}


def figure(best: float, low: float, high: float, unit: str, act_on: float, act_end: str = "low") -> Document:
    """A figure."""
    return {"best": best, "low": low, "high": high, "unit": unit, "act_on": act_on, "act_end": act_end}


def judgement(path: str, hazard: str, verdict: str, **more: Any) -> Document:
    """A judgement of the water that its path begins with."""
    return {
        "id": path,
        "hazard": hazard,
        "moment": "procedure",
        "water": path.partition("/")[0],
        "verdict": verdict,
    } | more


def action(path: str, **more: Any) -> Document:
    """An action whose path is moment/kind/water."""
    moment, kind, water = path.split("/")[:3]
    return {"id": path, "kind": kind, "moment": moment, "water": water, "who": "nurse"} | more


def _given(quantity: str, origin: str, water: str = "induction-1") -> Document:
    return {"water": water, "quantity": quantity, "origin": origin, "decides": True}


def document() -> Document:
    """The plan as it should be: one fish in one basin filled from the tap, air and a neutraliser ordered."""
    end = {"best": 53.1, "low": 24.6, "high": None, "unit": "min", "act_on": 24, "act_end": "low", "never": 0.1}
    limit = {
        "value": 6.0,
        "unit": "mg/L",
        "side": "at least",
        "row": "oxygen_levels/alarm",
        "status": "judgement",
        "source": "waterplan",
    }
    row = {
        "table": "oxygen_levels",
        "words": "alarm",
        "value": 6.0,
        "low": None,
        "high": None,
        "unit": "mg/L",
        "printed": "6",
        "source": "waterplan",
        "locator": "",
        "status": "judgement",
        "reason": "planning level",
    }
    states = [
        {
            "at": "2026-05-14T09:30:00+00:00",
            "quantities": {
                "volume": {"figure": "induction-1/volume", "origin": "measured", "with": "marked tub"},
                "chlorine": {"figure": "induction-1/chlorine", "origin": "worked out", "from": "mains"},
            },
            "contents": [
                {
                    "substance": "tricaine",
                    "level": "induction-1/tricaine",
                    "from": "procedure/dose/induction-1/tricaine",
                }
            ],
        }
    ]
    tap = {
        "at": None,
        "quantities": {"chlorine": {"figure": "mains/chlorine", "origin": "measured", "with": "drop kit"}},
    }
    return {
        "made": {"version": "0", "tables": "0", "draws": 64, "seed": 1, "as_of": None, "invented": True},
        "figures": {
            "induction-1/oxygen/lowest": figure(6.9, 5.6, 7.8, "mg/L", 5.6),
            "induction-1/oxygen/after-air": figure(8.1, 7.6, 8.6, "mg/L", 7.6),
            "induction-1/oxygen/until-alarm": end,
            "induction-1/volume": figure(25, 24.2, 25.8, "L", 24),
            "induction-1/tricaine": figure(100, 95, 105, "mg/L", 105, "high"),
            "induction-1/chlorine": figure(0.4, 0.35, 0.45, "mg/L", 0.45, "high"),
            "induction-1/air/flow": figure(3.4, 2.2, 5.02, "L/min", 6, "high"),
            "induction-1/thiosulphate": figure(0.9, 0.8, 1.02, "g", 1.1, "high"),
            "mains/chlorine": figure(0.4, 0.35, 0.45, "mg/L", 0.45, "high"),
        },
        "fish": [{"id": "patient-1", "name": "Copper", "species": "goldfish", "patient": True, "count": 1}],
        "waters": [
            {"id": "mains", "name": "tap", "kind": "source", "pours_into": ["induction-1"], "states": [tap]},
            {
                "id": "induction-1",
                "name": "52.8 US gal tub",
                "kind": "induction",
                "occupants": [{"fish": "patient-1", "state": "anaesthetised"}],
                "states": states,
            },
        ],
        "judgements": [
            judgement(
                "induction-1/oxygen",
                "oxygen",
                "act now",
                fish=["patient-1"],
                figure="induction-1/oxygen/lowest",
                until_harm="induction-1/oxygen/until-alarm",
                limit=limit,
                inputs=[_given("oxygen", "measured")],
                answered_by=["procedure/air/induction-1"],
            ),
            judgement(
                "induction-1/oxygen/aired",
                "oxygen",
                "within limit",
                fish=["patient-1"],
                figure="induction-1/oxygen/after-air",
                before="induction-1/oxygen",
                given_done=["procedure/air/induction-1"],
                inputs=[_given("oxygen", "worked out")],
            ),
            judgement(
                "induction-1/chlorine",
                "chlorine",
                "act now",
                fish=["patient-1"],
                figure="induction-1/chlorine",
                inputs=[_given("chlorine", "worked out")],
                answered_by=["prepare/neutralise/induction-1"],
            ),
            judgement(
                "mains/chlorine",
                "chlorine",
                "watch",
                figure="mains/chlorine",
                inputs=[_given("chlorine", "measured", "mains")],
            ),
            judgement("induction-1/substance/tricaine", "substance", "within limit", figure="induction-1/tricaine"),
        ],
        "actions": [
            action(
                "prepare/neutralise/induction-1",
                substance="thiosulphate",
                amounts={"grams": "induction-1/thiosulphate"},
                parts=2,
                part_amounts={"grams": [0.5, 0.6]},
                answers=["induction-1/chlorine"],
            ),
            action(
                "procedure/air/induction-1",
                amounts={"air flow": "induction-1/air/flow"},
                answers=["induction-1/oxygen"],
                leads_to=["induction-1/oxygen/aired"],
            ),
            action(
                "procedure/dose/induction-1/tricaine",
                substance="tricaine",
                needs=["procedure/air/induction-1", "prepare/neutralise/induction-1"],
                leads_to=["induction-1/substance/tricaine"],
            ),
        ],
        "moments": [
            {
                "moment": "procedure",
                "state": "ready if done",
                "because": ["induction-1/oxygen"],
                "judgements": ["induction-1/oxygen"],
                "actions": ["procedure/air/induction-1"],
            }
        ],
        "first_page": {
            "do_now": [
                "procedure/air/induction-1",
                "prepare/neutralise/induction-1",
                "procedure/dose/induction-1/tricaine",
            ],
            "and_more": 0,
            "have_ready": ["induction-1/volume"],
        },
        "rows": {"oxygen_levels/alarm": row},
    }


def made(change: Callable[[Document], object] | None = None) -> Plan:
    """The hand-made plan, after a change of its document."""
    text = copy.deepcopy(document())
    if change is not None:
        change(text)
    return Plan.model_validate(text)
