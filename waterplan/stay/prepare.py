"""Each water as it was found: what was read in it, what came with the water it was filled from, what must be assumed."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from types import MappingProxyType

import numpy as np

from waterplan import tables
from waterplan.case.model import Case, Logged
from waterplan.case.model import Water as Written
from waterplan.case.values import Reading
from waterplan.dose.neutralise import ammonia_from_chloramine_mg_n_per_l
from waterplan.published import FloatArray
from waterplan.stay.inputs import Inputs
from waterplan.stay.operations import fill
from waterplan.stay.quantities import KEYS, Q
from waterplan.stay.record import Origin, WaterKind
from waterplan.stay.state import Known, State, derived
from waterplan.stay.waters import HOME, MAINS, Place
from waterplan.water.gas import delta_p_of_percent_mmhg, nitrogen_percent, nitrogen_umol_per_kg
from waterplan.water.oxygen import saturation_mg_per_l
from waterplan.water.salinity import nacl_g_per_l

_RANGED = (Q.TEMPERATURE, Q.PH, Q.ALKALINITY, Q.AMMONIA, Q.NITRITE, Q.NITRATE, Q.SALT, Q.CHLORINE)
_LAW_KEY = {WaterKind.HOME: "home", WaterKind.SOURCE: "source"}
_PERCENT = 100.0


def newest(case: Case, log: Sequence[Logged], place: Place, as_of: datetime | None) -> dict[str, list[Reading]]:
    """The newest readings of a water by the case's key: one, or several of one time, up to the time of the plan."""
    written = written_of(case, place)
    found: dict[str, list[Reading]] = {key: [reading] for key, reading in written.readings.items()}
    on_the_way = place.transport.temperature if place.transport is not None else None
    if on_the_way is not None:
        found["temperature"] = [on_the_way]
    for row in sorted((row for row in log if row.water == place.id), key=lambda row: row.taken):
        if as_of is not None and row.taken > as_of:
            continue
        there = found.get(row.key, [])
        newest_there = max((one.taken for one in there if one.taken is not None), default=None)
        if newest_there is not None and newest_there > row.taken:
            continue
        found[row.key] = [*there, row.reading] if newest_there == row.taken else [row.reading]
    return found


def written_of(case: Case, place: Place) -> Written:
    """What the case says of a water."""
    if place.id == HOME:
        return case.home_water
    if place.id == MAINS:
        return case.mains_water
    return place.vessel or Written()


def base_state(
    place: Place,
    readings: Mapping[str, Sequence[Reading]],
    *,
    disinfectant: str | None,
    litres: Known,
    inputs: Inputs,
    air_pressure_kpa: FloatArray,
) -> State:
    """The home pond or a source: as it was read, and anywhere in its defensible range where it was not."""
    kind = _LAW_KEY[place.kind]
    known: dict[Q, Known] = {Q.VOLUME: litres, **read(place.id, readings, inputs)}
    for quantity in _RANGED:
        if quantity not in known:
            known[quantity] = _assumed(place.id, quantity, _row(kind, quantity, disinfectant), inputs)
    full = np.asarray(
        saturation_mg_per_l(
            known[Q.TEMPERATURE].draws, salinity_g_per_kg=known[Q.SALT].draws, air_pressure_kpa=air_pressure_kpa
        )
    )
    known = _oxygen(place.id, known, readings, full, inputs)
    if Q.OXYGEN not in known:
        row = tables.row("defensible_ranges", kind=kind, quantity="oxygen share")
        share = _assumed(place.id, Q.OXYGEN, row, inputs)
        known[Q.OXYGEN] = replace(share, draws=share.draws * full)
    nitrogen = _nitrogen(place.id, known, readings, air_pressure_kpa, inputs)
    if nitrogen is None:
        row = tables.row("defensible_ranges", kind=kind, quantity="nitrogen share")
        share = _assumed(place.id, Q.NITROGEN, row, inputs)
        full = np.asarray(nitrogen_umol_per_kg(known[Q.TEMPERATURE].draws))
        nitrogen = replace(share, draws=share.draws * full)
    known[Q.NITROGEN] = nitrogen
    return derived(State(known=MappingProxyType(known), air_pressure_kpa=air_pressure_kpa))


def vessel_state(
    place: Place,
    source: State,
    readings: Mapping[str, Sequence[Reading]],
    *,
    litres: Known,
    inputs: Inputs,
    aired: bool,
) -> State:
    """A tub as it was filled: what was read in it, else what came with its water; aired where air runs in it."""
    came_from = f"prepare/fill/{place.id}"
    filled = fill(source, litres, came_from=came_from)
    own = read(place.id, readings, inputs)
    if Q.TEMPERATURE not in own:
        row = tables.row("defensible_ranges", kind="tub", quantity="temperature step")
        step = inputs.over_range(f"{place.id}/temperature", row)
        path = f"{place.id}/temperature"
        own[Q.TEMPERATURE] = Known.not_measured(source[Q.TEMPERATURE] + step, path, row, place.source)
    state = filled.with_known(own)
    own = _oxygen(place.id, dict(own), readings, state.saturation_mg_per_l, inputs)
    if Q.OXYGEN not in own and aired:
        share = inputs.value(tables.row("hospital_demands", demand="start of saturation"))
        own[Q.OXYGEN] = Known(draws=share * state.saturation_mg_per_l, origin=Origin.WORKED_OUT, came_from=came_from)
    if aired:
        nitrogen = np.asarray(nitrogen_umol_per_kg(state[Q.TEMPERATURE]))
        own[Q.NITROGEN] = Known(draws=nitrogen, origin=Origin.WORKED_OUT, came_from=came_from)
    read_gas = _nitrogen(place.id, {**state.known, **own}, readings, source.air_pressure_kpa, inputs)
    return state.with_known(own if read_gas is None else {**own, Q.NITROGEN: read_gas})


def chloramine_ammonia(case: Case, state: State) -> FloatArray:
    """Ammonia that is set free when the chlorine of the mains is taken out: none where it is known to be free chlorine."""
    if case.mains_water.disinfectant == "chlorine":
        return np.zeros(state.size)
    return np.asarray(ammonia_from_chloramine_mg_n_per_l(np.maximum(state[Q.CHLORINE], 0.0)))


def read(water: str, readings: Mapping[str, Sequence[Reading]], inputs: Inputs) -> dict[Q, Known]:
    """The readings of a water as quantities; oxygen is left to `_oxygen`, which knows the saturation."""
    found: dict[Q, Known] = {}
    for key, given in readings.items():
        quantity = KEYS.get(key)
        if quantity is None or quantity in (Q.OXYGEN, Q.GAS_PRESSURE) or not given:
            continue
        found[quantity] = taken_together(
            [_measured(f"{water}/{quantity}", one, inputs) for one in given], f"{water}/{quantity}", inputs
        )
    salt = _salt(water, found.get(Q.SALT), readings, inputs)
    return found if salt is None else {**found, Q.SALT: salt}


def _oxygen(
    water: str,
    known: dict[Q, Known],
    readings: Mapping[str, Sequence[Reading]],
    saturation: FloatArray,
    inputs: Inputs,
) -> dict[Q, Known]:
    """Oxygen as it was read in mg/L, in % of saturation, or both: where they contradict each other half take each."""
    given = []
    for key in ("oxygen", "oxygen_saturation"):
        for one in readings.get(key, ()):
            made = _measured(f"{water}/{key}", one, inputs)
            if key == "oxygen_saturation" or getattr(one, "percent", False):
                made = replace(made, draws=made.draws / _PERCENT * saturation)
            given.append(made)
    if given:
        known[Q.OXYGEN] = taken_together(given, f"{water}/{Q.OXYGEN}", inputs)
    return known


def _nitrogen(
    water: str,
    known: Mapping[Q, Known],
    readings: Mapping[str, Sequence[Reading]],
    air_pressure_kpa: FloatArray,
    inputs: Inputs,
) -> Known | None:
    """Nitrogen as a gas pressure meter and the oxygen have it; None where no gas pressure was read."""
    given = readings.get("gas_pressure", ())
    if not given:
        return None
    total = _measured(f"{water}/{Q.GAS_PRESSURE}", given[0], inputs)
    over = total.draws
    if given[0].percent:
        over = np.asarray(delta_p_of_percent_mmhg(total.draws, air_pressure_kpa=air_pressure_kpa))
    temp, oxygen = known[Q.TEMPERATURE], known[Q.OXYGEN]
    share = nitrogen_percent(
        over,
        do_mg_per_l=np.maximum(oxygen.draws, 0.0),
        water_temp_c=temp.draws,
        salinity_g_per_kg=np.maximum(known[Q.SALT].draws, 0.0),
        air_pressure_kpa=air_pressure_kpa,
    )
    full = np.asarray(nitrogen_umol_per_kg(temp.draws))
    return replace(total, draws=np.maximum(np.asarray(share), 0.0) / _PERCENT * full)


def _salt(water: str, salt: Known | None, readings: Mapping[str, Sequence[Reading]], inputs: Inputs) -> Known | None:
    """Salt by its own reading or by conductivity; half of the draws each where what conducts and the salt disagree.

    All that conducts is counted as salt, so that of fresh water may be more than the salt by what tap water holds.
    """
    given = readings.get("conductivity", ())
    if not given:
        return salt
    read = _measured(f"{water}/conductivity", given[0], inputs)
    conducts = replace(read, draws=np.asarray(nacl_g_per_l(np.maximum(read.draws, 0.0))))
    if salt is None:
        return conducts
    hard = tables.row("defensible_ranges", kind="source", quantity="salt").high
    agree = meet(salt.draws, conducts.draws) or meet(salt.draws, conducts.draws - hard)
    between = np.median(conducts.draws) - hard <= np.median(salt.draws) <= np.median(conducts.draws)
    return salt if agree or between else taken_together([salt, conducts], f"{water}/{Q.SALT}", inputs)


def taken_together(given: Sequence[Known], path: str, inputs: Inputs) -> Known:
    """One reading as it is; of two whose bands do not meet, half of the draws take each and neither is chosen."""
    first, *others = given
    for other in others:
        if meet(first.draws, other.draws):
            continue
        mask = inputs.half(path)
        return replace(first, draws=np.where(mask, first.draws, other.draws), against=other.text)
    return first


def meet(first: FloatArray, second: FloatArray) -> bool:
    """Whether two readings of one thing may both be right: their 99 % intervals overlap."""
    (a, b), (c, d) = (np.percentile(one[1:] if one.size > 1 else one, [0.5, 99.5]) for one in (first, second))
    return bool(a <= d and c <= b)


def _measured(path: str, reading: Reading, inputs: Inputs) -> Known:
    return Known.of_reading(inputs.of_reading(path, reading), reading)


def _row(kind: str, quantity: Q, disinfectant: str | None) -> tables.Row:
    if kind == "source" and quantity is Q.CHLORINE and disinfectant == "none":
        kind = "undisinfected"
    return tables.row("defensible_ranges", kind=kind, quantity=quantity.value)


def _assumed(water: str, quantity: Q, row: tables.Row, inputs: Inputs) -> Known:
    path = f"{water}/{quantity}"
    return Known.not_measured(inputs.over_range(path, row), path, row)
