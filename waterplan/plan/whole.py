"""The plan of a case: laid out, judged, acted on, judged again, and written down."""

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import PurePath

import numpy as np

from waterplan.actions.record import Action
from waterplan.case.model import Case, Logged
from waterplan.hazards.record import Judgement, Verdict
from waterplan.plan import assembling, pictures
from waterplan.plan.accepting import Outcome, outcome
from waterplan.plan.going import go_or_no_go
from waterplan.plan.hangs_on import Bins
from waterplan.plan.made import made_with, rows_and_sources
from waterplan.plan.ordering import actions_in_order, first_page, judgements_in_order, moments
from waterplan.plan.record import Made, Plan
from waterplan.plan.trends import trends
from waterplan.plan.van import to_fill, van
from waterplan.plan.written import read, written
from waterplan.spread import DEFAULT_DRAWS, DEFAULT_SEED, Draws
from waterplan.stay.ground import Ground
from waterplan.stay.record import Figure
from waterplan.stay.whole import Stay, lay_out

_SHOWN_SHARES = 4


def plan(
    case: Case,
    *,
    readings: Sequence[Logged] = (),
    as_of: datetime | None = None,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    actions: bool = True,
    progress: Callable[[float], None] | None = None,
    look: Callable[[Stay], None] | None = None,
) -> Plan:
    """Makes the plan of a case.

    Parameters
    ----------
    case : Case
        The case as read.
    readings : sequence of Logged
        Readings taken since; the newest up to `as_of` stands for a water's own.
    as_of : datetime, optional
        The time at which the plan is made: what is past is done, not due. Without it that of the last reading where one
        was taken after the operation began, else two hours before the operation.
    draws, seed : int
        How many seeded draws carry the errors, and their seed.
    actions : bool
        Without them the plan holds the judgements before any action.
    progress : callable, optional
        Told the share that is done.
    look : callable, optional
        Shown the stay with all that is advised, whose draws are let go of otherwise.

    Returns
    -------
    Plan
        The record: figures, waters, judgements, actions, moments, first page. It holds no draws.

    Raises
    ------
    ImpossibleInput
        The number of draws, the seed or a figure of the case is not possible.
    """
    drawn = Draws(count=draws, seed=seed)
    as_of = as_of or _last_read(case, readings)
    ground = lay_out(case, readings=readings, as_of=as_of, draws=drawn, progress=progress)
    try:
        found = outcome(ground, actions=actions)
        if look:
            look(found.stay_after)
        return _written_down(ground, found, made_with(drawn, case, as_of))
    finally:
        ground.let_go()


def _last_read(case: Case, readings: Sequence[Logged]) -> datetime | None:
    """When something was last read, of what was read after the operation began; None where nothing was."""
    begun, waters = case.intended.operation_at, (case.home_water, case.mains_water, *case.vessels)
    own = (reading.taken for water in waters for reading in water.readings.values())
    times = (
        at for at in (*own, *(one.taken for one in readings)) if at is not None and begun is not None and at > begun
    )
    return max(times, default=None)


def _written_down(ground: Ground, found: Outcome, made: Made) -> Plan:
    """The record of what was found."""
    fish = assembling.fish_records(ground)
    waters = assembling.water_records(ground, found)
    actions = assembling.action_records(found, ground.clock.at(ground.clock.now_h))
    judged = assembling.judgement_records(found, actions)
    loaded = van(waters, actions, ground.figures, ground.case.intended.operation_at)
    pictures.put_kit_limits(found)
    over_time = trends(ground, judged)
    figures = _figures(ground, judged, actions)
    acts = actions_in_order(actions, {one.id: one for one in judged}, figures)
    ordered = judgements_in_order(judged, figures)
    written_down = Plan(
        made=made,
        figures=figures,
        fish=fish,
        waters=waters,
        judgements=tuple(ordered),
        actions=tuple(acts),
        moments=moments(ordered, acts, ground.clock.at(ground.clock.now_h)),
        first_page=first_page(ordered, acts, figures, as_of=made.as_of, filled=to_fill(waters, loaded, made.as_of)),
        title=_title(ground.case),
        written=written(ground.case),
        read=read(ground.log),
        days=pictures.days(acts, waters, ground),
        series=pictures.series(found.stay_after.waters.values()),
        grids=pictures.grids(ground),
        trends=over_time,
        volumes=tuple(one.record for one in ground.found.values() if one.record.figure),  # a source has none
        van=loaded,
        **rows_and_sources(figures, judged, actions, ground.inputs.rows),
    )
    return written_down.model_copy(update={"operation": go_or_no_go(ground, written_down)})


def _figures(ground: Ground, judgements: Sequence[Judgement], actions: Sequence[Action]) -> dict[str, Figure]:
    """Every figure; those that are acted on with what their band hangs on."""
    called = [one for one in judgements if one.verdict is not Verdict.WITHIN_LIMIT]
    acted = {path for one in called for path in (one.figure, one.until_harm) if path}
    acted |= {path for one in actions for path in one.amounts.values()}
    bins = Bins({name: column for name, column in ground.inputs.columns.items() if np.ptp(column) > 0.0})
    figures = {path: ground.figures.record(path) for path in ground.figures.sums}
    for path in acted & figures.keys():
        draws = ground.figures.draws(path)
        if draws.size == ground.inputs.size and figures[path].low != figures[path].high:
            figures[path] = figures[path].model_copy(update={"hangs_on": bins.hangs_on(draws)[:_SHOWN_SHARES]})
    return figures


def _title(case: Case) -> dict[str, str]:
    parts = {"place": case.place.name, "case": PurePath(case.file).name}
    if case.patients:
        first = case.patients[0]
        parts = {"patient": first.name, "species": first.species, **parts}
    return {key: text for key, text in parts.items() if text}
