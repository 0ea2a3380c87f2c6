"""Each water as it was found: what was read in it, what came with the water it was filled from, what must be assumed."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cache
from itertools import combinations
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.case.choices import Source
from waterplan.case.model import Case, Logged
from waterplan.case.model import Water as Written
from waterplan.case.values import Reading
from waterplan.case.waters import MainsWater
from waterplan.dose.neutralise import ammonia_from_chloramine_mg_n_per_l
from waterplan.errors import CaseError
from waterplan.published import FloatArray, Numbers
from waterplan.stay.doubts import with_doubts
from waterplan.stay.inputs import Inputs
from waterplan.stay.operations import fill
from waterplan.stay.quantities import KEYS, Q
from waterplan.stay.record import WaterKind
from waterplan.stay.state import Known, State, derived
from waterplan.stay.waters import HOME, MAINS, Place
from waterplan.water.gas import delta_p_of_percent_mmhg, nitrogen_percent, nitrogen_umol_per_kg
from waterplan.water.oxygen import O2_IN_DRY_AIR
from waterplan.water.salinity import nacl_g_per_l

_RANGED = (Q.TEMPERATURE, Q.PH, Q.ALKALINITY, Q.AMMONIA, Q.NITRITE, Q.NITRATE, Q.SALT, Q.CHLORINE)
_PERCENT = 100.0
Readings = Mapping[str, Sequence[Reading]]
_SECTIONS = {HOME: "home_water", MAINS: "mains_water"}


def newest(case: Case, log: Sequence[Logged], place: Place, as_of: datetime | None) -> Readings:
    """The newest readings of a water by the case's key: one, or several of one time, up to the time of the plan."""
    by_path = {HOME: case.vat or case.home_water, MAINS: case.mains_water}
    written = by_path.get(place.id, place.vessel or Written())
    found: dict[str, list[Reading]] = {key: [reading] for key, reading in written.readings.items()}
    if place.transport is not None and place.transport.temperature is not None:
        found["temperature"] = [place.transport.temperature]
    for row in sorted((row for row in log if row.water == place.id), key=lambda row: row.taken):
        there = found.get(row.key, [])
        newest_there = max((one.taken for one in there if one.taken is not None), default=row.taken)
        if newest_there > row.taken or (as_of is not None and row.taken > as_of):
            continue
        of_that_time = [one for one in there if one.taken == row.taken]
        found[row.key] = [*there, row.reading] if of_that_time else [row.reading]
    of_it: dict[str, Any] = {"case": case, "place": place, "written": written, "as_of": as_of}
    return {key: [with_doubts(one, key, **of_it) for one in given] for key, given in found.items()}


def base_state(
    place: Place,
    readings: Readings,
    *,
    new_water: MainsWater,
    hosed: bool = False,
    litres: Known,
    inputs: Inputs,
    air_pressure_kpa: FloatArray,
) -> State:
    """The home pond or a source: as it was read, and anywhere in its defensible range where it was not."""

    def assumed(quantity: Q, what: str = "", *, full: Numbers = 1.0) -> Known:
        path = f"{place.id}/{quantity}"
        kinds: tuple[str, ...] = (WaterKind.HOME,)
        if place.kind is WaterKind.SOURCE:
            kinds = _kinds_of_source(new_water, quantity)
        elif hosed and quantity is Q.CHLORINE:
            kinds = ("tap water ran in",)
        found = (tables.find("defensible_ranges", kind=kind, quantity=what or quantity.value) for kind in kinds)
        row = next(one for one in found if one is not None)
        return Known.not_measured(inputs.over_range(path, row) * full, path, row)

    known: dict[Q, Known] = {Q.VOLUME: litres, **read(place.id, readings, inputs)}
    known |= {quantity: assumed(quantity) for quantity in _RANGED if quantity not in known}
    state = State(known=known, air_pressure_kpa=air_pressure_kpa)
    full = state.saturation_mg_per_l
    oxygen = _oxygen(place.id, readings, full, inputs) or assumed(Q.OXYGEN, "oxygen share", full=full)
    state = replace(state, known={**known, Q.OXYGEN: oxygen})
    full = np.asarray(nitrogen_umol_per_kg(state.gas_temp_c))
    nitrogen = _nitrogen(place.id, readings, state, inputs) or assumed(Q.NITROGEN, "nitrogen share", full=full)
    return derived(replace(state, known={**state.known, Q.NITROGEN: nitrogen}))


def source_kind(new_water: MainsWater) -> tables.Row:
    """What the table says of the kind of the new water; of the tap where nobody said which it is."""
    return tables.row("source_kinds", kind=(new_water.kind or Source.TAP).value)


def _kinds_of_source(new_water: MainsWater, quantity: Q) -> tuple[str, ...]:
    """The kinds of water in whose range a quantity of the new water lies where nobody read it, the first that has one.

    Chlorine is that of chloraminated mains, unless what is stated tells that there is none, or that it has gone.
    """
    kind, disinfectant = source_kind(new_water), new_water.disinfectant
    if quantity is not Q.CHLORINE:
        return (kind["kind"], kind["like"])
    if disinfectant == "none" and not kind["disinfected"]:
        return ("never disinfected",)
    if disinfectant == "none" or (disinfectant is None and not kind["disinfected"]):
        return ("undisinfected",)
    return (kind["kind"] if disinfectant and disinfectant == kind["gone"] else "source",)


def vessel_state(
    place: Place, source: State, readings: Readings, *, litres: Known, inputs: Inputs, aired: bool
) -> State:
    """A tub as it was filled: what was read in it, else what came with its water; aired where air runs in it."""
    came_from, path = f"prepare/fill/{place.id}", f"{place.id}/{Q.TEMPERATURE}"
    own = read(place.id, readings, inputs)
    if Q.TEMPERATURE not in own:
        row = tables.row("defensible_ranges", kind="tub", quantity="temperature step")
        # Water that is hotter than any room gets no hotter in a tub.
        hottest = np.maximum(source[Q.TEMPERATURE], tables.glossary()["water_temp_c"].pond[1])
        stepped = np.minimum(source[Q.TEMPERATURE] + inputs.over_range(path, row), hottest)
        own[Q.TEMPERATURE] = Known.not_measured(stepped, path, row, place.source)
    state = fill(source, litres, came_from=came_from).with_known(own)
    oxygen = _oxygen(place.id, readings, state.saturation_mg_per_l, inputs)
    if oxygen is None and aired:
        share = inputs.value(tables.row("hospital_demands", demand="start of saturation"))
        oxygen = Known.made(share * state.saturation_mg_per_l, came_from)
    if oxygen is not None:
        own[Q.OXYGEN] = oxygen
    if aired:
        own[Q.NITROGEN] = Known.made(nitrogen_umol_per_kg(state.gas_temp_c), came_from)
    state = state.with_known(own)
    nitrogen = _nitrogen(place.id, readings, state, inputs)
    return state if nitrogen is None else state.with_known({**own, Q.NITROGEN: nitrogen})


def chloramine_ammonia(case: Case, state: State) -> FloatArray:
    """Ammonia that is set free when the mains' chlorine is taken out [mg/L as N]: none where that is known to be free chlorine."""
    if case.mains_water.disinfectant == "chlorine":
        return np.zeros(state.size)
    return np.asarray(ammonia_from_chloramine_mg_n_per_l(np.maximum(state[Q.CHLORINE], 0.0)))


def read(water: str, readings: Readings, inputs: Inputs) -> dict[Q, Known]:
    """The readings of a water as quantities; oxygen is left to `_oxygen`, which knows the saturation."""
    found: dict[Q, Known] = {}
    for key, given in readings.items():
        quantity = KEYS.get(key)
        if quantity is not None and quantity not in (Q.OXYGEN, Q.GAS_PRESSURE):
            path = f"{water}/{quantity}"
            found[quantity] = _taken_together(_measured(path, given, inputs), path, quantity, inputs)
    if "conductivity" in readings:
        path = f"{water}/conductivity"
        conductivity = _taken_together(_measured(path, readings["conductivity"], inputs), path, Q.SALT, inputs)
        found[Q.SALT] = _salt(water, found.get(Q.SALT), conductivity, inputs)
    return found


def _oxygen(water: str, readings: Readings, saturation: FloatArray, inputs: Inputs) -> Known | None:
    """Oxygen as it was read in mg/L, in % of saturation, or both; no draw of it above what pure oxygen puts into this water.

    Raises
    ------
    CaseError
        What was read is above that itself.
    """
    given, most = [], saturation / O2_IN_DRY_AIR
    for key in ("oxygen", "oxygen_saturation"):
        own = readings.get(key, ())
        for one, made in zip(own, _measured(f"{water}/{key}", own, inputs), strict=True):
            in_percent = key == "oxygen_saturation" or one.percent
            draws = made.draws / _PERCENT * saturation if in_percent else made.draws
            if draws[0] > most[0]:
                there = f"{most[0]:.0f} mg/L, {_PERCENT / O2_IN_DRY_AIR:.0f} % saturation, is what pure oxygen puts into this water"
                where = f"{_SECTIONS.get(water, water)}.oxygen"
                raise CaseError.of("case", where=where, read=one.text, would_do=f"{there}: read it again, and its unit")
            given.append(replace(made, draws=np.minimum(draws, most)))
    return _taken_together(given, f"{water}/{Q.OXYGEN}", Q.OXYGEN, inputs) if given else None


def _nitrogen(water: str, readings: Readings, state: State, inputs: Inputs) -> Known | None:
    """Nitrogen as a gas pressure meter and the oxygen have it; None where no gas pressure was read."""
    given = readings.get("gas_pressure", ())
    if not given:
        return None
    path, read_over = f"{water}/{Q.GAS_PRESSURE}", []
    for one, made in zip(given, _measured(path, given, inputs), strict=True):
        by_percent = delta_p_of_percent_mmhg(made.draws, air_pressure_kpa=state.air_pressure_kpa)
        read_over.append(replace(made, draws=np.asarray(by_percent)) if one.percent else made)
    total = _taken_together(read_over, path, Q.GAS_PRESSURE, inputs)
    share = nitrogen_percent(
        total.draws,
        do_mg_per_l=np.maximum(state[Q.OXYGEN], 0.0),
        water_temp_c=state[Q.TEMPERATURE],
        salinity_g_per_kg=np.maximum(state[Q.SALT], 0.0),
        air_pressure_kpa=state.air_pressure_kpa,
    )
    full = np.asarray(nitrogen_umol_per_kg(state.gas_temp_c))
    return replace(total, draws=np.maximum(np.asarray(share), 0.0) / _PERCENT * full)


def _salt(water: str, salt: Known | None, conductivity: Known, inputs: Inputs) -> Known:
    """Salt by its own reading or by conductivity; the more of them where what conducts and the salt disagree.

    All that conducts is counted as salt, so that of fresh water may be more than the salt by what tap water holds.
    """
    conducts = replace(conductivity, draws=np.asarray(nacl_g_per_l(np.maximum(conductivity.draws, 0.0))))
    if salt is None:
        return conducts
    hard = tables.row("defensible_ranges", kind="source", quantity="salt").high
    agree = meet(salt.draws, conducts.draws) or meet(salt.draws, conducts.draws - hard)
    between = np.median(conducts.draws) - hard <= np.median(salt.draws) <= np.median(conducts.draws)
    return salt if agree or between else _taken_together([salt, conducts], f"{water}/{Q.SALT}", Q.SALT, inputs)


def _taken_together(given: Sequence[Known], path: str, quantity: Q, inputs: Inputs) -> Known:
    """One reading as it is; of several of one time the worse counts until one is read again, and two whose bands do not
    meet are both named. Where it is not one-sided which is worse, each stands in a share of the draws of its own."""
    if len(given) == 1:
        return given[0]
    ordered = sorted(given, key=lambda one: (float(one.draws[0]), one.text or ""))
    apart = [pair for pair in combinations(ordered, 2) if not meet(pair[0].draws, pair[1].draws)]
    drawn, higher, which = [one.draws for one in ordered], worse_if_higher(quantity), inputs.which(path, len(given))
    worse = ordered[-1 if higher else 0]
    return replace(
        worse,
        draws=np.maximum.reduce(drawn) if higher else np.choose(which, drawn),
        text=apart[0][0].text if apart else worse.text,
        against=apart[0][1].text if apart else None,
        censored=all(one.censored for one in given),
        doubts=worse.doubts.union(*(one.doubts for one in given)),
        either={} if higher else {path: which},
    )


@cache
def worse_if_higher(quantity: Q) -> bool:
    """Whether more of it is worse and never better; of oxygen and alkalinity too much is a danger as well."""
    return any(row["worse"] == f"{quantity}: higher" for row in tables.table("hazards"))


def meet(first: FloatArray, second: FloatArray) -> bool:
    """Whether two readings of one thing may both be right: their 99 % intervals overlap."""
    (a, b), (c, d) = (np.percentile(one[1:] if one.size > 1 else one, [0.5, 99.5]) for one in (first, second))
    return bool(a <= d and c <= b)


def _measured(path: str, given: Sequence[Reading], inputs: Inputs) -> list[Known]:
    """Readings of one time: each at the same place in its own error, since no draw has two of them."""
    each = [(one, Known.of_reading(path, one, inputs)) for one in given]
    if len(given) == 1:
        return [known for _, known in each]
    return [replace(known, draws=inputs.drawn(path, one.measured, meter=one.meter)) for one, known in each]
