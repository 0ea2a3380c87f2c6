"""The plan of a case: laid out, judged, acted on, judged again, and written down."""

import hashlib
from collections.abc import Callable, Sequence
from datetime import datetime
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import numpy as np

from waterplan import tables
from waterplan.actions.record import Action
from waterplan.case.model import Case, Logged
from waterplan.hazards.record import Judgement, Verdict
from waterplan.hazards.subject import Judged
from waterplan.hazards.verdict import chances_that_decide, hazard_row
from waterplan.plan import assembling, pictures
from waterplan.plan.accepting import AFTER, Outcome, outcome
from waterplan.plan.hangs_on import Bins
from waterplan.plan.one_more_reading import best_readings, ordinary, readings_that_move
from waterplan.plan.ordering import actions_in_order, as_they_stand, first_page, judgements_in_order, moments
from waterplan.plan.record import Grid, Made, Plan
from waterplan.plan.written import read, written
from waterplan.spread import DEFAULT_DRAWS, DEFAULT_SEED, Draws
from waterplan.stay.ground import Ground
from waterplan.stay.record import Figure, WaterKind
from waterplan.stay.whole import lay_out

_SHOWN_SHARES, _LEAST_SHARE = 4, 0.02


def plan(
    case: Case,
    *,
    readings: Sequence[Logged] = (),
    as_of: datetime | None = None,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    actions: bool = True,
    progress: Callable[[float], None] | None = None,
) -> Plan:
    """Makes the plan of a case.

    Parameters
    ----------
    case : Case
        The case as read.
    readings : sequence of Logged
        Readings taken since; the newest up to `as_of` stands for a water's own.
    as_of : datetime, optional
        The time at which the plan is made: what is past is done, not due. Two hours before the operation without it.
    draws, seed : int
        How many seeded draws carry the errors, and their seed.
    actions : bool
        Without them the plan holds the judgements before any action.
    progress : callable, optional
        Told the share that is done.

    Returns
    -------
    Plan
        The record: figures, waters, judgements, actions, moments, first page. It holds no draws.

    Raises
    ------
    ImpossibleInput
        The number of draws, the seed or a figure of the case is not possible.
    """
    ground = lay_out(case, readings=readings, as_of=as_of, draws=Draws(count=draws, seed=seed), progress=progress)
    try:
        return _written_down(ground, outcome(ground, actions=actions), _made(case, as_of, draws, seed))
    finally:
        ground.let_go()


def _written_down(ground: Ground, found: Outcome, made: Made) -> Plan:
    """The record of what was found."""
    case = ground.case
    fish = assembling.fish_records(ground)
    waters = assembling.water_records(ground, found)
    answering = assembling.with_answers(found)
    judged = _with_readings(ground, found, assembling.judgement_records(found, answering))
    figures = _figures(ground, judged, [one.action for one in found.proposals])
    by_path = {one.id: one for one in judged}
    acts = actions_in_order(
        assembling.action_records(found, answering, ground.clock.at(ground.clock.now_h)), by_path, figures
    )
    ordered = judgements_in_order(judged, figures)
    rows = assembling.used_rows(figures, judged, ground.inputs.rows)
    return Plan(
        made=made,
        figures=figures,
        fish=fish,
        waters=waters,
        judgements=tuple(ordered),
        actions=tuple(acts),
        moments=moments(ordered, acts, figures),
        first_page=first_page(
            ordered,
            acts,
            figures=figures,
            measure=best_readings(as_they_stand(ordered).values()),
        ),
        title=_title(case),
        written=written(case),
        read=read(ground.log),
        days=pictures.days(ground, acts, waters),
        series=pictures.series(found),
        grids=_grids(ground),
        volumes=tuple(one.record for one in ground.found.values() if one.record.figure),  # a source has none
        rows=rows,
        sources=assembling.used_sources(rows, figures),
    )


def _with_readings(ground: Ground, found: Outcome, judgements: tuple[Judgement, ...]) -> list[Judgement]:
    """The judgements with what one more ordinary reading would change, for those that it could change."""
    live = {**{f"{path}{AFTER}": one for path, one in found.after.items()}, **found.before}
    kinds = {path: place.kind for path, place in ground.places.items()}
    return [_with_measures(one, live.get(one.id), kinds[one.water]) for one in judgements]


def _with_measures(record: Judgement, judged: Judged | None, kind: WaterKind) -> Judgement:
    if judged is None or judged.passed is None or record.verdict is Verdict.NOT_KNOWN:
        return record
    candidates = [ordinary(one.water, one.quantity, one.known.draws) for one in judged.rests]
    thresholds = chances_that_decide(hazard_row(record.hazard, kind).severity)
    moving = readings_that_move(judged.passed, [one for one in candidates if one is not None], thresholds=thresholds)
    return record.model_copy(update={"measure": moving})


def _figures(ground: Ground, judgements: Sequence[Judgement], actions: Sequence[Action]) -> dict[str, Figure]:
    """Every figure; those that are acted on with what their band hangs on."""
    called = [one for one in judgements if one.verdict is not Verdict.WITHIN_LIMIT]
    acted = {path for one in called for path in (one.figure, one.until_harm) if path}
    acted |= {path for one in actions for path in one.amounts.values()}
    bins = Bins({name: column for name, column in ground.inputs.columns.items() if np.ptp(column) > 0.0})
    figures = dict(assembling.figures_in_use(ground))
    for path in acted:
        draws = ground.figures.sums[path].draws if path in ground.figures.sums else np.zeros(1)
        if draws.size == ground.inputs.size and figures[path].low != figures[path].high:
            shares = tuple(one for one in bins.hangs_on(draws) if one.share >= _LEAST_SHARE)[:_SHOWN_SHARES]
            figures[path] = figures[path].model_copy(update={"hangs_on": shares})
    return figures


def _grids(ground: Ground) -> dict[str, Grid]:
    made = {
        f"{path}/ammonia at its limit": pictures.ammonia_grid(ground, path)
        for path, place in ground.places.items()
        if place.kind in (WaterKind.HOSPITAL, WaterKind.HOME)
    }
    return {path: grid for path, grid in made.items() if grid is not None}


def _title(case: Case) -> dict[str, str]:
    first = case.patients[0] if case.patients else None
    parts = {
        "patient": first.name if first else "",
        "species": first.species if first else "",
        "done": first.done if first else "",
        "place": case.place.name,
        "case": case.file,
    }
    return {key: text for key, text in parts.items() if text}


def _made(case: Case, as_of: datetime | None, draws: int, seed: int) -> Made:
    return Made(
        version=package_version(),
        tables=tables_digest(),
        draws=draws,
        seed=seed,
        as_of=as_of,
        operation_at=case.intended.operation_at,
        invented=bool(getattr(case, "invented", False)),
    )


def package_version() -> str:
    """The version of the package, from its metadata."""
    try:
        return version("waterplan")
    except PackageNotFoundError:
        return "not installed"


@cache
def tables_digest() -> str:
    """A short fingerprint of the reference tables, so that a paper says which figures it used."""
    digest = hashlib.sha256()
    for path in sorted(Path(tables.shipped("reference_tables")).glob("*.csv")):
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


__all__ = ["package_version", "plan", "tables_digest"]
