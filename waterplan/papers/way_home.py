"""What stands on the papers of the way home and of the recheck after it."""

from datetime import timedelta
from typing import Any

from waterplan.actions.record import Action, Kind
from waterplan.papers.drawings import Drawings
from waterplan.plan.record import Plan
from waterplan.words.since import since_lines
from waterplan.words.speaker import Speaker
from waterplan.words.trends import trend_lines

_COUNTED = {"withdrawal", "no withdrawal", "quarantined"}


def acclimations(plan: Plan) -> list[Action]:
    """The schedules of the way home that are still to come, refused ones among them."""
    return [one for one in plan.actions if one.kind is Kind.ACCLIMATE and one.done is None]


def acclimation_page(drawings: Drawings) -> dict[str, Any]:
    """The way home by the clock: each part, and what the water is like after it."""
    return {"plans": acclimations(drawings.speaker.plan)}


def rechecks(plan: Plan) -> list[Action]:
    """The waits for stitches that may come out."""
    return [one for one in plan.actions if one.kind is Kind.WAIT and "inspect" in one.amounts]


def counts(plan: Plan) -> list[Action]:
    """The withdrawals and the quarantine: counts that clear nothing."""
    return [one for one in plan.actions if one.kind is Kind.WAIT and _COUNTED & {*one.amounts, *one.words}]


def _days(speaker: Speaker, one: Action) -> list[tuple[str, str, str]]:
    """Each figure of a forecast: its name, its path, and the date that a number of days comes to."""
    begun, stated = speaker.plan.made.operation_at, {"inspect": one.at, "latest": one.until}
    found = []
    for name, path in one.amounts.items():
        figure = speaker.plan.figures[path]
        counted = begun + timedelta(days=figure.act_on) if begun and figure.unit == "d" and figure.act_on else None
        found.append((name, path, speaker.clock(stated.get(name) or counted, "date")))
    return found


def recheck_page(drawings: Drawings) -> dict[str, Any]:
    """The forecast of the recheck: its days, what moved them, and what the readings show."""
    speaker = drawings.speaker
    return {
        "rechecks": [(one, _days(speaker, one)) for one in rechecks(speaker.plan)],
        "counts": counts(speaker.plan),
        "changed": since_lines(speaker),
        "trends": trend_lines(speaker),
    }
