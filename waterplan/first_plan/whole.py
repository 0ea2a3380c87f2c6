"""The whole plan of a case."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from waterplan import tables
from waterplan.findings import Caution, Finding, Moment, Step
from waterplan.first_plan.call import call
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.dose_cards import DoseCard, InjectionCard
from waterplan.first_plan.dosing import dosing
from waterplan.first_plan.first_case.model import Case, Logged
from waterplan.first_plan.first_case.shaping import Progress
from waterplan.first_plan.going_home import going_home
from waterplan.first_plan.home import home
from waterplan.first_plan.hospital import hospital
from waterplan.first_plan.outages import outages
from waterplan.first_plan.pictures import Pictures, pictures
from waterplan.first_plan.prepare import prepare
from waterplan.first_plan.procedure import procedure
from waterplan.first_plan.recheck import recheck
from waterplan.first_plan.revival import revival
from waterplan.first_plan.tank_days import tank_days
from waterplan.first_plan.travel import travel
from waterplan.spread import DEFAULT_DRAWS, DEFAULT_SEED, Draws

_MOMENTS = (call, prepare, procedure, revival, hospital, tank_days, outages, travel, home, going_home, recheck)


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentPlan:
    """One moment: what was found, what is to be done, and what to beware of."""

    moment: Moment
    findings: tuple[Finding, ...]
    steps: tuple[Step, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What follows from a case: seven moments, and what they were computed with."""

    case: Case
    moments: tuple[MomentPlan, ...]
    pictures: Pictures
    dose_cards: tuple[DoseCard, ...]
    injection_cards: tuple[InjectionCard, ...]
    as_of: datetime | None
    draws: int
    seed: int
    version: str
    tables_digest: str

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings in the order of the moments."""
        return tuple(finding for part in self.moments for finding in part.findings)

    def finding(self, key: str) -> Finding:
        """The finding of a key; KeyError where the plan has none."""
        for finding in self.findings:
            if finding.key == key:
                return finding
        raise KeyError(key)

    def sources(self) -> Mapping[str, Mapping[str, Any]]:
        """The sources that the findings used, by key, in the order of their first use."""
        used = dict.fromkeys(citation.source for finding in self.findings for citation in finding.citations)
        return {key: tables.sources()[key] for key in used}


def plan(
    case: Case,
    *,
    readings: Sequence[Logged] = (),
    as_of: datetime | None = None,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    progress: Progress | None = None,
) -> Plan:
    """Makes the plan of a case.

    Parameters
    ----------
    case : Case
        The case as read.
    readings : sequence of Logged
        Readings taken since; the newest up to `as_of` replaces the case's own.
    as_of : datetime, optional
        The time at which the plan is made; clock times count from it, else from the operation.
    draws, seed : int
        How many seeded draws carry the errors, and their seed.
    progress : callable, optional
        Told the share that is done, from 0 to 1, as the plan goes on.

    Returns
    -------
    Plan
        The seven moments.

    Raises
    ------
    ImpossibleInput
        The number of draws or the seed is not possible.
    """
    desk = Desk(
        case=case,
        draws=Draws(count=draws, seed=seed),
        logged=tuple(sorted(readings, key=lambda logged: logged.taken)),
        as_of=as_of,
    )
    for done, make in enumerate(_MOMENTS):
        if progress is not None:
            desk.progress = partial(_within, progress, done)
            desk.progress(0.0)
        make(desk)
    cards = dosing(desk)
    return Plan(
        case=case,
        moments=tuple(_moment(desk, moment) for moment in Moment),
        pictures=pictures(desk),
        dose_cards=cards.doses,
        injection_cards=cards.injections,
        as_of=as_of,
        draws=draws,
        seed=seed,
        version=_version(),
        tables_digest=_tables_digest(),
    )


def _within(progress: Progress, done: int, share: float) -> None:
    """A share of one moment as a share of the whole."""
    progress((done + share) / len(_MOMENTS))


def _moment(desk: Desk, moment: Moment) -> MomentPlan:
    timed = [step for step in desk.steps if step.moment is moment]
    timed.sort(key=lambda step: (step.at is None, step.at or datetime.min))
    return MomentPlan(
        moment=moment,
        findings=tuple(finding for finding in desk.findings if finding.moment is moment),
        steps=tuple(timed),
        cautions=tuple(caution for of, caution in desk.cautions if of is moment),
    )


def _version() -> str:
    try:
        return version("waterplan")
    except PackageNotFoundError:
        return "not installed"


def _tables_digest() -> str:
    """A short fingerprint of the reference tables, so that a paper says which figures it used."""
    digest = hashlib.sha256()
    for path in sorted(Path(tables.shipped("reference_tables")).glob("*.csv")):
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]
