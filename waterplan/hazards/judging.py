"""From an assessment in draws to a judgement: chance, verdict by the table, figures, what it rests on, what to measure."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from waterplan import tables
from waterplan.hazards import ammonia, chlorine, oxygen
from waterplan.hazards.levels import way_of
from waterplan.hazards.record import EquationUsed, Hazard, Input, Judgement, Limit, Measure, Side, Verdict
from waterplan.hazards.subject import Assessed, HazardFunction, Judged, Rests, Subject, subjects
from waterplan.hazards.verdict import hazard_row, verdict_of
from waterplan.published import FloatArray, outside_fitted
from waterplan.spread import chance
from waterplan.stay.course import Scenario
from waterplan.stay.figures import Figures, Sum
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.whole import Stay

_MIN_PER_H = 60.0
_COUNTS = "errors of the readings"
HAZARDS: Mapping[Hazard, Sequence[HazardFunction]] = MappingProxyType(
    {
        Hazard.OXYGEN: (oxygen.hazard,),
        Hazard.AMMONIA: (ammonia.hazard, ammonia.total),
        Hazard.CHLORINE: (chlorine.hazard,),
    }
)
# Hazards that look at the water that the fish come out of as well.
_CHAINED = frozenset({Hazard.PH_CHANGE, Hazard.TEMPERATURE_STEP})
# Whose power may fail: a bag and a dip have none.
_POWERED = frozenset(
    {WaterKind.HOME, WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL, WaterKind.HOSPITAL, WaterKind.BOX}
)


def judge_all(stay: Stay, *, only: Collection[str] | None = None, power_off: bool = False) -> dict[str, Judged]:
    """Every judgement of a stay by its path; a water on which nothing changed is not judged twice.

    Parameters
    ----------
    stay : Stay
        The waters under the accepted actions.
    only : collection of str, optional
        The paths of the waters to judge; all where it is left out.
    power_off : bool
        Whether oxygen without power is judged as well, by a course of its own for each water.

    Returns
    -------
    dict of str to Judged
        The judgements; their figures stand in the figures of the ground, in place of earlier ones of the same path.
    """
    found: dict[str, Judged] = {}
    for subject in subjects(stay):
        if only is not None and subject.water.place.id not in only:
            continue
        for hazard in HAZARDS:
            for judged in _judged(subject, hazard):
                found[judged.id] = judged
        if power_off and subject.stretch is not None and subject.kind in _POWERED:
            for judged in _judged(replace(subject, scenario=Scenario.POWER_OFF), Hazard.OXYGEN):
                found[judged.id] = judged
    for judged in found.values():
        stay.ground.figures.sums.update(judged.sums)
    return found


def _judged(subject: Subject, hazard: Hazard) -> tuple[Judged, ...]:
    """What is found of one hazard, from what was worked out before where nothing has changed."""
    if not hazard_row(hazard, subject.kind).applies:
        return ()
    kept = subject.stay.ground.judged
    stretch = "" if subject.stretch is None else subject.stretch.name
    key = (hazard.value, stretch, subject.scenario.value, *(id(one) for one in _looked_at(subject, hazard)))
    if key not in kept:
        assessed = [made for function in HAZARDS[hazard] if (made := function(subject)) is not None]
        kept[key] = tuple(judge(subject, hazard, one) for one in assessed)
    return kept[key]


def _looked_at(subject: Subject, hazard: Hazard) -> Iterator[object]:
    yield subject.water
    if hazard in _CHAINED:
        yield way_of(subject)
    if subject.stretch is None:
        yield from (subject.stay[path] for path in subject.water.place.pours_into)


def judge(subject: Subject, hazard: Hazard, assessed: Assessed) -> Judged:
    """The judgement of an assessment.

    Parameters
    ----------
    subject : Subject
        The water, its stretch and its fish.
    hazard : Hazard
        What may harm.
    assessed : Assessed
        It in draws.

    Returns
    -------
    Judged
        The record, the draws behind it, and its figures.
    """
    row = hazard_row(hazard, subject.kind)
    severity = assessed.severity or row.severity
    passed, harmed = _compared(assessed)
    assumed = any(one.decides and not one.known.is_known for one in assessed.rests)
    found, whatever = Verdict.NOT_KNOWN, False
    if passed is not None and harmed is not None:
        hours = np.full(passed.shape, np.inf) if assessed.until_harm_h is None else assessed.until_harm_h
        found, whatever = verdict_of(
            severity, passed=passed, harmed=harmed, hours=hours, assumed=assumed, unseen=assessed.unseen
        )
    sums = _sums(subject, assessed)
    paths = list(sums)
    stretch, clock = subject.stretch, subject.stay.ground.clock
    record = Judgement(
        id=subject.path(hazard, *((assessed.part,) if assessed.part else ())),
        hazard=hazard,
        moment=subject.moment,
        water=subject.water.place.id,
        fish=tuple(one.id for one in subject.fish),
        start=clock.at(stretch.start_h) if stretch else None,
        until=clock.at(stretch.until_h) if stretch else None,
        figure=paths[0] if paths else None,
        verdict=found,
        whatever=whatever,
        chance=None if passed is None else chance(passed),
        chance_counts=None if passed is None else assessed.counts or _COUNTS,
        until_harm=None if assessed.until_harm_h is None else paths[1 if assessed.values is not None else 0],
        limit=_limit(assessed),
        inputs=tuple(_inputs(subject, assessed)),
        equations=tuple(_equations(assessed)),
        measure=tuple(_measures(assessed, found)),
        why=assessed.why,
    )
    return Judged(
        record=record,
        passed=None if passed is None else passed.astype(np.float64),
        harmed=None if harmed is None else harmed.astype(np.float64),
        rests=assessed.rests,
        sums=MappingProxyType(sums),
    )


def _compared(assessed: Assessed) -> tuple[NDArray[np.bool_] | None, NDArray[np.bool_] | None]:
    """In which draws the limit is kept and in which harm begins."""
    values = assessed.values
    passed = None if assessed.passed is None else np.asarray(assessed.passed, dtype=bool)
    if passed is None:
        if values is None or assessed.limit is None:
            return None, None
        passed = _within(values, assessed.side, assessed.limit, assessed.upper)
    if assessed.harmed is not None:
        return passed, np.asarray(assessed.harmed, dtype=bool)
    if values is None or assessed.harm is None:
        return passed, np.zeros(passed.shape, dtype=bool)
    return passed, ~_within(values, assessed.side, assessed.harm, assessed.harm_upper)


def _within(values: FloatArray, side: Side, level: object, upper: object | None) -> NDArray[np.bool_]:
    least, most = np.asarray(level, dtype=np.float64), np.asarray(np.inf if upper is None else upper, dtype=np.float64)
    if side is Side.AT_MOST:
        return np.asarray(values <= least)
    return np.asarray((values >= least) & (values <= most))


def _sums(subject: Subject, assessed: Assessed) -> dict[str, Sum]:
    """The figures of a judgement: what was compared, and the clocks."""
    made = Figures()
    head = f"{subject.water.place.id}/{assessed.quantity}"
    rows = (*assessed.rows, *((assessed.limit_row.id,) if assessed.limit_row is not None else ()))
    if assessed.values is not None:
        path = "/".join((head, assessed.which, *subject.also))
        made.put(
            path,
            assessed.values,
            unit=assessed.unit,
            act_end=assessed.act_end,
            rows=rows,
            equations=assessed.equations,
        )
    clocks = dict(assessed.clocks)
    if assessed.until_harm_h is not None:
        clocks = {assessed.until: assessed.until_harm_h, **clocks}
    for name, hours in clocks.items():
        times = hours * _MIN_PER_H if assessed.clock_unit == "min" else hours
        made.put(
            "/".join((head, f"until-{name}", *subject.also)),
            times,
            unit=assessed.clock_unit,
            act_end=ActEnd.LOW,
            rows=rows,
            equations=assessed.equations,
        )
    return made.sums


def _limit(assessed: Assessed) -> Limit | None:
    row = assessed.limit_row
    if row is None or assessed.limit is None:
        return None

    def best(level: object) -> float | None:
        found = float(np.atleast_1d(np.asarray(level, dtype=np.float64))[0])
        return found if np.isfinite(found) else None

    return Limit(
        value=best(assessed.limit),
        upper=None if assessed.upper is None else best(assessed.upper),
        unit=assessed.unit,
        side=assessed.side,
        row=row.id,
        status=row.status,
        source=row.source,
    )


def _inputs(subject: Subject, assessed: Assessed) -> Iterator[Input]:
    waters = subject.stay.waters
    for one in assessed.rests:
        yield Input(
            water=one.water if one.water in waters else subject.water.place.id,
            quantity=one.quantity,
            origin=one.known.origin,
            decides=one.decides,
        )


def _equations(assessed: Assessed) -> Iterator[EquationUsed]:
    for function in dict.fromkeys(assessed.equations):
        equation = function.equation  # type: ignore[attr-defined]
        yield EquationUsed(
            name=equation.name, source=equation.source, outside=outside_fitted(function, **assessed.given)
        )


def _measures(assessed: Assessed, found: Verdict) -> Iterator[Measure]:
    """What was assumed and decides; where the verdict is open by the errors of the readings, those too."""
    seen: set[tuple[str, str]] = set()
    for one in assessed.rests:
        if not one.decides:
            continue
        wanted = [tuple(path.rpartition("/")[::2]) for path in sorted(one.known.assumed)]
        if not wanted and found is not Verdict.WITHIN_LIMIT:
            wanted = [(one.water, one.quantity)]
        for water, quantity in wanted:
            kit = tables.find("ordinary_readings", quantity=quantity)
            if kit is not None and (water, quantity) not in seen:
                seen.add((water, quantity))
                yield Measure(water=water, quantity=quantity, measured_with=kit["with"])
