"""Drugs that a fish was given before: what must not follow them, and the count for withdrawal, which clears nothing."""

from collections.abc import Iterator

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import Draft, Reason, reason
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind, Who
from waterplan.case.model import Given
from waterplan.dose import drugs
from waterplan.published import FloatArray
from waterplan.stay.fish import FishAtHand
from waterplan.stay.ground import Ground
from waterplan.stay.record import ActEnd, Moment

_DAY_H = 24.0


def given_to(ground: Ground, fish: FishAtHand) -> list[tuple[Given, float]]:
    """What a patient was given by the time of the plan, each with the days since; none where no clock is known."""
    since = [(one, ground.clock.hours(one.at)) for one in ground.case.given if _is_for(one, fish)]
    days = [(one, (ground.clock.now_h - hours) / _DAY_H) for one, hours in since if hours is not None]
    return [(one, passed) for one, passed in days if passed >= 0.0]


def lately(ground: Ground, fish: FishAtHand) -> tuple[tuple[str, float], ...]:
    """The drugs of the days for which is asked back, with the days since."""
    back = tables.row("dose_rules", rule="asked back").value
    return tuple((one.drug, passed) for one, passed in given_to(ground, fish) if passed <= back)


def given_before(before: tuple[tuple[str, float], ...]) -> Iterator[Reason]:
    """Which drugs were given already in those days."""
    for name, passed in before:
        yield reason("given-lately", {"substance": name}, passed=(passed, "d"))


def withdrawals(context: Context, fish: FishAtHand, temp_c: FloatArray | None) -> Iterator[Proposal]:
    """The days that are left of the withdrawal of each drug, at the temperature at which the fish is kept."""
    for number, (one, passed) in enumerate(given_to(context.ground, fish), 1):
        draft = Draft(
            kind=Kind.WAIT,
            moment=Moment.RECHECK,
            water=None,
            who=Who.VET,
            path=f"{fish.id}/withdrawal/{number}",
            figures=context.figures,
            substance=one.drug,
            words={"fish": fish.id},
        )
        if temp_c is not None:
            days = drugs.withdrawal_days(np.maximum(temp_c, 0.0)) - passed
            left, used = np.maximum(days, 0.0), (drugs.withdrawal_days,)
            draft.amount("withdrawal", left, "d", act_end=ActEnd.HIGH, equations=used)
        yield draft.proposal()


def _is_for(one: Given, fish: FishAtHand) -> bool:
    return not one.patients or fish.id in {f"patient-{number}" for number in one.patients}
