"""Total gas pressure against what the depth of water allows; a source is judged at the temperature it is used at."""

from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Rests, Subject, none_found
from waterplan.published import FloatArray
from waterplan.stay.ground import WaterStay
from waterplan.stay.operations import bring_to_temperature
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.standing import closed_at_kpa
from waterplan.stay.state import Known, State, total_gas_percent
from waterplan.water.atmosphere import water_vapour_pressure_kpa
from waterplan.water.oxygen import O2_IN_DRY_AIR
from waterplan.water.supersaturation import delta_p_limit_mmhg

KPA_PER_MMHG, _PER_CENT = 0.133322, 100.0
_MOST_ROWS = 40


def hazard(subject: Subject) -> Assessed:
    """The most total gas of a stretch; of a source, after it has been warmed to the tub that it is poured into."""
    if subject.kind is WaterKind.BAG:
        return _closed_elsewhere(subject)
    row, harm = water_limit("gas_pressure", "limit"), water_limit("gas_pressure", "harm")
    state = levels.state_of(subject)
    known = state.known[Q.GAS_PRESSURE]
    values, depth = known.draws, _depth_m(subject.water)
    why: tuple[Why, ...] = ()
    if subject.stretch is None:
        values, depth, known, why = _as_used(subject)
    elif not levels.stands(subject):
        values = _highest(subject)
    oxygen_mmhg = oxygen_pressure_mmhg(state)
    to_percent = _PER_CENT * KPA_PER_MMHG / state.air_pressure_kpa
    return Assessed(
        quantity=Q.GAS_PRESSURE,
        values=values,
        limit=row,
        limit_at=most_percent(state, depth),
        harm=harm,
        harm_at=_PER_CENT + harm.value * to_percent,
        rests=(Rests(water=subject.water.place.id, quantity=Q.GAS_PRESSURE.value, known=known), *levels.place(subject)),
        equations=(delta_p_limit_mmhg,),
        given={"depth_m": depth, "po2_mmhg": oxygen_mmhg},
        why=why,
    )


def _closed_elsewhere(subject: Subject) -> Assessed:
    """A bag that was closed at another height: water in balance with the air there, under that of the pond."""
    transport, state = subject.water.place.transport, subject.state
    if transport is None or transport.altitude is None:
        return none_found(subject, Q.GAS_PRESSURE, "closed-at-the-height-of-the-pond")
    limit, harm = water_limit("gas_pressure", "limit"), water_limit("gas_pressure", "harm")
    values = _PER_CENT * closed_at_kpa(subject.water) / state.air_pressure_kpa
    up = float(values[0]) > _PER_CENT
    return Assessed(
        quantity=Q.GAS_PRESSURE,
        values=values,
        limit=limit,
        limit_at=most_percent(state, _depth_m(subject.water)),
        harm=harm,
        harm_at=_PER_CENT + harm.value * _PER_CENT * KPA_PER_MMHG / state.air_pressure_kpa,
        equations=(delta_p_limit_mmhg,),
        given={"depth_m": _depth_m(subject.water), "po2_mmhg": oxygen_pressure_mmhg(state)},
        why=(Why(code="bag-swells-on-the-way-up" if up else "bag-shrinks-on-the-way-down"),),
    )


def oxygen_pressure_mmhg(state: State) -> FloatArray:
    """Partial pressure of the oxygen in a water."""
    po2 = O2_IN_DRY_AIR * (state.air_pressure_kpa - np.asarray(water_vapour_pressure_kpa(state[Q.TEMPERATURE])))
    return np.asarray(po2 / KPA_PER_MMHG * np.maximum(state[Q.OXYGEN], 0.0) / state.saturation_mg_per_l)


def most_percent(state: State, depth_m: FloatArray) -> FloatArray:
    """The most total gas that a depth of a water allows, in % of the air pressure."""
    by_depth = delta_p_limit_mmhg(depth_m, po2_mmhg=oxygen_pressure_mmhg(state))
    allowed = np.minimum(np.asarray(by_depth), water_limit("gas_pressure", "limit").value)
    return np.asarray(_PER_CENT + allowed * _PER_CENT * KPA_PER_MMHG / state.air_pressure_kpa)


def _depth_m(water: WaterStay) -> FloatArray:
    if water.found.depth_m is not None:
        return water.found.depth_m
    return water.ground.inputs.of_row("ordinary depth", tables.row("defaults", what="water depth"))


def _highest(subject: Subject) -> FloatArray:
    """The most over the course, looked at in as many rows as a day of half hours has, those after a change among them."""
    course, state = subject.course, subject.state
    assert course is not None
    if Q.NITROGEN not in course.values:
        return levels.state_of(subject)[Q.GAS_PRESSURE]
    rows = course.hours_within.size
    twice = np.flatnonzero(np.diff(course.hours_within, prepend=-np.inf) < 1e-6)
    looked_at = np.unique(np.concatenate([np.linspace(0, rows - 1, min(rows, _MOST_ROWS)).astype(int), twice]))
    through = {
        one: replace(state.known[one], draws=course.values[one][looked_at].astype(np.float64))
        for one in (Q.TEMPERATURE, Q.OXYGEN, Q.NITROGEN, Q.SALT)
    }
    most = total_gas_percent(replace(state, known=through)).max(axis=0)
    return np.asarray(np.maximum(state[Q.GAS_PRESSURE], most))


def _as_used(subject: Subject) -> tuple[FloatArray, FloatArray, Known, tuple[Why, ...]]:
    """The source in the warmest and shallowest of the tubs that it is poured into."""
    into = [subject.stay[path] for path in subject.water.place.pours_into]
    made = [subject.state]
    for water in into:
        temp = water.start.known[Q.TEMPERATURE]
        kept = subject.stay.ground.kept_temp_c(water.place.id)
        warm = temp.draws if kept is None else np.maximum(temp.draws, kept)
        made.append(bring_to_temperature(subject.state, warm, came_from="", known=temp))
    gas = [state.known[Q.GAS_PRESSURE] for state in made]
    worst = max(gas, key=lambda known: float(known.draws.mean()))
    depth = np.min([_depth_m(water) for water in into], axis=0)
    of_all = Known.made(worst.draws, worst.came_from, *gas)
    known = replace(worst, assumed=of_all.assumed, read_at=of_all.read_at, doubts=of_all.doubts)
    why = (Why(code="warmed-for-use"),) if worst is not gas[0] else ()
    return np.max([one.draws for one in gas], axis=0), depth, known, why
