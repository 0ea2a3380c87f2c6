"""From an assessment in draws to a judgement: chance, verdict by the table, figures, what it rests on, what to measure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache, partial

import numpy as np

from waterplan import tables
from waterplan.hazards import (
    acidity,
    ammonia,
    chlorine,
    conflict,
    contradiction,
    disease,
    gas_pressure,
    oxygen,
    salts,
    signs,
    steps,
    substance,
    temperature,
    volume,
)
from waterplan.hazards.levels import clock_unit, rests
from waterplan.hazards.record import EquationUsed, Hazard, Input, Judgement, Limit, Measure, Side, Verdict, Why
from waterplan.hazards.subject import Assessed, HazardFunction, Judged, Rests, Subject, subjects, ways_of
from waterplan.hazards.verdict import Yes, hazard_row, worst_verdict
from waterplan.published import Numbers, outside_fitted
from waterplan.spread import chance
from waterplan.stay.course import Scenario
from waterplan.stay.figures import Figures, Parts, Sum
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.state import parts
from waterplan.stay.waters import MAINS
from waterplan.stay.whole import Stay

_MIN_PER_H = 60.0
# What is compared and acted on where a figure should be on that side.
_OF_SIDE = {
    Side.AT_MOST: ("highest", ActEnd.HIGH),
    Side.AT_LEAST: ("lowest", ActEnd.LOW),
    Side.BETWEEN: ("farthest", ActEnd.BEST),
}
HAZARDS: Mapping[Hazard, Sequence[HazardFunction]] = {
    Hazard.OXYGEN: (oxygen.hazard,),
    Hazard.AMMONIA: (ammonia.hazard, ammonia.opened, ammonia.total),
    Hazard.NITRITE: (salts.nitrite, salts.before_anaesthesia),
    Hazard.CHLORINE: (chlorine.hazard,),
    Hazard.PH: (acidity.ph,),
    Hazard.PH_CHANGE: (steps.ph_change,),
    Hazard.CARBON_DIOXIDE: (acidity.carbon_dioxide,),
    Hazard.GAS_PRESSURE: (gas_pressure.hazard,),
    Hazard.TEMPERATURE: (temperature.hazard, temperature.together),
    Hazard.TEMPERATURE_STEP: (steps.temperature_step,),
    Hazard.SALT: (salts.salt,),
    Hazard.SALT_STEP: (steps.salt_step,),
    Hazard.ALKALINITY: (acidity.alkalinity,),
    Hazard.STOCKING: (volume.stocking, volume.room),
    Hazard.SUBSTANCE: (substance.hazards,),
    Hazard.CONFLICT: (conflict.hazards,),
    Hazard.VOLUME: (volume.volume,),
    Hazard.CONTRADICTION: (contradiction.hazards,),
    Hazard.SIGN: (signs.hazards,),
    Hazard.DISEASE: (disease.hazard,),
}
# Hazards that look at the water that the fish come out of as well.
_CHAINED = frozenset({Hazard.PH_CHANGE, Hazard.TEMPERATURE_STEP, Hazard.SALT_STEP})
# Whose power may fail: a bag, a box and a dip have none.
_POWERED = frozenset({WaterKind.HOME, WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL, WaterKind.HOSPITAL})


def judge_all(stay: Stay) -> dict[str, Judged]:
    """Every judgement of a stay by its path; a water on which nothing changed is not judged twice.

    Parameters
    ----------
    stay : Stay
        The waters under the accepted actions.

    Returns
    -------
    dict of str to Judged
        The judgements, each with its figures.
    """
    found: dict[str, Judged] = {}
    for subject in subjects(stay):
        asked = [(subject, hazard) for hazard in HAZARDS]
        water = subject.water.place
        if water.stretches and subject.stretch is water.stretches[-1] and water.kind in _POWERED:
            asked.append((replace(subject, scenario=Scenario.POWER_OFF), Hazard.OXYGEN))
        found |= {judged.id: judged for about, hazard in asked for judged in judged_of(about, hazard)}
    return found


def judged_of(subject: Subject, hazard: Hazard) -> tuple[Judged, ...]:
    """What is found of one hazard, from what was worked out before where nothing that it looks at has changed."""
    if not hazard_row(hazard, subject.kind).applies:
        return ()
    kept: dict[tuple[object, ...], tuple[Judged, ...]] = subject.stay.ground.judged
    stretch = "" if subject.stretch is None else subject.stretch.name
    ways = ways_of(subject) if hazard in _CHAINED else ()
    poured_into = subject.water.place.pours_into if subject.stretch is None else ()
    looked_at = (subject.water, *(way.water for way in ways), *(subject.stay[path] for path in poured_into))
    key = (hazard.value, stretch, subject.scenario.value, *map(id, looked_at))
    if key not in kept:
        kept[key] = tuple(judge(subject, hazard, one) for one in _assessed(subject, hazard))
    return kept[key]


def _assessed(subject: Subject, hazard: Hazard) -> Iterator[Assessed]:
    for function in HAZARDS[hazard]:
        made = function(subject)
        yield from [made] if isinstance(made, Assessed) else made or ()


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
    own = rests(subject, hazard, *assessed.quantities) if assessed.quantities else ()
    rested = (*own, *assessed.rests)
    assumed = any(one.decides and not one.known.is_known for one in rested)
    each = parts((*subject.state.known.values(), *(one.known for one in rested)))
    passed, found, whatever = assessed.passed, Verdict.NOT_KNOWN, False
    if passed is None:
        passed = _within(assessed, _level(assessed.limit, assessed.limit_at), assessed.upper)
    if passed is not None:
        unharmed = _within(assessed, _level(assessed.harm, assessed.harm_at), assessed.harm_upper)
        found, whatever = worst_verdict(
            assessed.severity or hazard_row(hazard, subject.kind).severity,
            each,
            passed=passed,
            harmed=np.zeros(passed.shape, dtype=bool) if unharmed is None else ~unharmed,
            hours=next(iter(assessed.clocks.values()), np.full(passed.shape, np.inf)),
            assumed=assumed,
            unseen=assessed.unseen,
        )
    old, doubts = _too_old(subject, rested), _doubts(subject, rested)
    unread = sorted({*old, *(path for path, doubt in doubts.items() if _clears_nothing(doubt))})
    if unread and found.rank < Verdict.NOT_KNOWN.rank:  # it makes nothing good, and nothing less bad
        found, whatever = Verdict.NOT_KNOWN, False
    nobody = found is Verdict.ACT_NOW and subject.nobody_told  # no alarm for fish that nobody says are there
    if nobody:
        found, whatever = Verdict.NOT_KNOWN, False
    over = subject.stretch is not None and subject.stay.ground.is_over(subject.stretch)
    is_open = found is not Verdict.WITHIN_LIMIT and not (found is Verdict.NOT_KNOWN and assumed)
    sums = _sums(subject, assessed, each)
    figures = list(sums)
    stretch, clock, water = subject.stretch, subject.stay.ground.clock, subject.water.place.id
    record = Judgement(
        id="/".join(filter(None, (water, hazard, *subject.also, assessed.part))),
        hazard=hazard,
        moment=subject.moment,
        water=water,
        fish=tuple(one.id for one in subject.fish),
        start=clock.at(stretch.start_h) if stretch else None,
        until=clock.at(stretch.until_h) if stretch else None,
        figure=figures[0] if figures else None,
        verdict=found,
        whatever=whatever,
        chance=None if passed is None else min(chance(passed[one]) for one in each),
        chance_counts=None if passed is None else assessed.counts,
        until_harm=figures[0 if assessed.values is None else 1] if assessed.clocks else None,
        limit=_limit(assessed),
        inputs=tuple(_input(subject, one) for one in rested),
        equations=tuple(_equations(assessed)),
        measure=() if over else tuple(_measures(rested, unread, also_read=is_open)),
        why=(
            *assessed.why,
            *([Why(code="which-fish-are-there")] if nobody else []),
            *_told(old, over=over and found.rank >= Verdict.NOT_KNOWN.rank),
            *_doubted(doubts),
        ),
    )
    return Judged(record=record, passed=passed, rests=rested, sums=sums)


def _told(old: Sequence[str], *, over: bool) -> Iterator[Why]:
    """That readings are too old, or that what is bad or open is over: nothing can be done about it or read any more."""
    if old:
        yield Why(code="readings-too-old")
    if over:
        yield Why(code="that-is-over")


def _level(row: tables.Row | None, at: Numbers | None) -> Numbers | None:
    """A level, or the value of its row where it is not given."""
    return row.value if at is None and row is not None else at


def _within(assessed: Assessed, level: Numbers | None, upper: Numbers | None) -> Yes | None:
    """In which draws a figure is on the right side of a level; None where there is nothing to compare."""
    values = assessed.values
    if values is None or level is None:
        return None
    if assessed.side is Side.AT_MOST:
        return np.asarray(values <= level)
    return np.asarray((values >= level) & (values <= (np.inf if upper is None else upper)))


def _input(subject: Subject, one: Rests) -> Input:
    water = one.water if one.water in subject.stay.waters else subject.water.place.id
    return Input(water=water, quantity=one.quantity, origin=one.known.origin, decides=one.decides)


def _sums(subject: Subject, assessed: Assessed, each: Parts) -> dict[str, Sum]:
    """The figures of a judgement: what was compared, and the clocks."""
    made, unit = Figures(), clock_unit(subject)
    rows = (*assessed.rows, *(row.id for row in (assessed.harm, assessed.limit) if row is not None))
    put = partial(made.put, rows=rows, equations=assessed.equations, parts=each)
    which, end = _OF_SIDE[assessed.side]

    def path(name: str) -> str:
        return "/".join((subject.water.place.id, assessed.quantity, name, *subject.also))

    if assessed.values is not None:
        act_end = assessed.act_end or end
        put(path(assessed.which or which), assessed.values, unit=_unit(assessed), act_end=act_end)
    for name, hours in assessed.clocks.items():
        times = hours * _MIN_PER_H if unit == "min" else hours
        put(path(f"until-{name}"), times, unit=unit, act_end=ActEnd.LOW)
    return made.sums


def _unit(assessed: Assessed) -> str:
    return assessed.unit or (UNITS[assessed.quantity] if isinstance(assessed.quantity, Q) else "")


def _limit(assessed: Assessed) -> Limit | None:
    row = assessed.limit
    if row is None:
        return None

    def best(level: Numbers | None) -> float | None:
        found = np.nan if level is None else float(np.ravel(level)[0])
        return found if np.isfinite(found) else None

    value, upper = best(_level(row, assessed.limit_at)), best(assessed.upper)
    return Limit.of_row(row, value=value, upper=upper, unit=_unit(assessed), side=assessed.side)


def _equations(assessed: Assessed) -> Iterator[EquationUsed]:
    for function in dict.fromkeys(assessed.equations):
        equation = function.equation  # type: ignore[attr-defined]
        outside = outside_fitted(function, **assessed.given)
        yield EquationUsed(name=equation.name, source=equation.source, outside=outside)


def _too_old(subject: Subject, rested: Sequence[Rests]) -> list[str]:
    """The paths of deciding readings that are older than the table lets them be; of a stretch that is over none is read again."""
    ground, stretch = subject.stay.ground, subject.stretch
    if stretch is not None and ground.is_over(stretch):
        return []
    read_at = {one for rest in rested if rest.decides for one in rest.known.read_at}
    hours = ((path, ground.clock.hours(taken)) for path, taken in read_at)
    return sorted(path for path, at_h in hours if at_h is not None and ground.clock.now_h - at_h > _lasts_h(path))


def _doubts(subject: Subject, rested: Sequence[Rests]) -> dict[str, str]:
    """The paths of deciding readings that cannot be believed, each with its reason; of a stretch that is over none."""
    if subject.stretch is not None and subject.stay.ground.is_over(subject.stretch):
        return {}
    return dict(sorted(one for rest in rested if rest.decides for one in rest.known.doubts))


@cache
def _clears_nothing(doubt: str) -> bool:
    """Whether a doubt opens a verdict; another is only told."""
    return not tables.rows("doubted_readings", doubt=doubt)[0]["told"]


def _doubted(doubts: Mapping[str, str]) -> Iterator[Why]:
    for path, doubt in doubts.items():
        water, _, quantity = path.rpartition("/")
        yield Why(code=f"doubted-{doubt.replace(' ', '-')}", words={"water": water, "quantity": quantity})


@cache
def _lasts_h(path: str) -> float:
    """Hours for which a reading may stand, by its path."""
    water, _, quantity = path.rpartition("/")
    row = tables.find("reading_ages", kind="source" if water == MAINS else "water", quantity=quantity)
    return np.inf if row is None else row.value


def _measures(rested: Sequence[Rests], old: Sequence[str], *, also_read: bool) -> Iterator[Measure]:
    """What was assumed and decides or read too long ago; where the verdict is open by the errors of readings, those too."""
    wanted: dict[tuple[str, str], None] = {}
    for water, _, quantity in (path.rpartition("/") for path in old):
        wanted[water, quantity] = None
    for one in rested:
        if one.decides and one.known.assumed:
            for path in sorted(one.known.assumed):
                water, _, quantity = path.rpartition("/")
                # nitrogen is told by total gas pressure
                wanted[water, Q.GAS_PRESSURE.value if quantity == Q.NITROGEN else quantity] = None
        elif one.decides and also_read:
            wanted[one.water, one.quantity] = None
    for water, quantity in wanted:
        kit = tables.find("ordinary_readings", quantity=quantity)
        if kit is not None:
            yield Measure(water=water, quantity=quantity, measured_with=kit["with"])
