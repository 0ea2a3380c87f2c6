"""What is in a water from the start: what the case says is there already, what has gone in, the salt of a tracer test."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

import numpy as np

from waterplan import tables
from waterplan.case.bottle import Amount, Bottle
from waterplan.case.model import Case
from waterplan.case.treatments import DRUGS
from waterplan.dose import substances
from waterplan.published import FloatArray
from waterplan.spread import Measured
from waterplan.stay.ground import Ground
from waterplan.stay.quantities import KEYS, Q
from waterplan.stay.record import Origin
from waterplan.stay.salted import with_salt
from waterplan.stay.state import Known, State
from waterplan.stay.waters import Place, is_here, is_in

_PER_UNIT = 1000.0
_NAMES = {"salt": Q.SALT} | {key: quantity for key, quantity in KEYS.items() if key not in ("salinity", "chloride")}


def with_contents(ground: Ground, place: Place, state: State) -> State:
    """A water as it was found, with what is in it already."""
    state = _with_tracer(ground, place, _with_quantities(ground, place, state))
    state = with_salt(ground, place, state, counted=_known_salt_g_per_l(ground, place, state))
    contents = {**state.contents, **dict(_already(ground, place, state))}
    for path, substance, active, at in _gone_in(ground.case, place):
        if active is None:
            continue
        level = active * _PER_UNIT / state[Q.VOLUME]
        if substances.substance(substance)["oxidant"] == "chlorine":  # is judged as the chlorine that it is
            if at is not None and ground.read_since(place.id, at, "chlorine"):
                continue
            held = state.known[Q.CHLORINE]
            state = state.with_known({Q.CHLORINE: held.worked_out(np.maximum(held.draws, 0.0) + level, path)})
        else:
            name = thing_of(substance)
            gone_in, there = Known.made(level, path), contents.get(name)
            contents[name] = gone_in if there is None else gone_in.worked_out(there.draws + level, path, there)
    return replace(state, contents=contents)


def thing_of(substance: str) -> str:
    """What the contents of a water call a substance, so that one substance has one name whatever product it came in."""
    return substances.substance(substance)["thing"] or substance


def active_in(substance: str, went_in: Amount, bottle: Bottle | None, drop_ml: float | None) -> float | None:
    """The active substance in what has gone in [g; mL of formalin]; None where the label does not tell."""
    row, unit = substances.substance(substance), went_in.unit
    if row.unit == "uL/L":
        return went_in.value if unit == "mL" else None
    if bottle is None:
        return went_in.value if row["form"] == "powder" and unit == "g" else None
    if unit == "g":
        return None if bottle.active_fraction is None else went_in.value * bottle.active_fraction
    strength = bottle.tablet_mg if unit == "tablets" else bottle.mg_per_ml
    each = drop_ml if unit == "drops" else 1.0
    return None if each is None or strength is None else went_in.value * each * strength / _PER_UNIT


def _with_quantities(ground: Ground, place: Place, state: State) -> State:
    """A level of salt, ammonia and the like that is written as being there already, where it was not read."""
    own: dict[Q, Known] = {}
    for number, one in enumerate(ground.case.already, 1):
        quantity = _NAMES.get(one.what)
        if quantity is None or one.level is None or not is_in(place, one):
            continue
        if not state.has(quantity) or state.known[quantity].origin is not Origin.MEASURED:
            path = f"already/{number}"
            own[quantity] = Known.of_reading(path, one.level, ground.inputs, path)
    return state.with_known(own) if own else state


def _with_tracer(ground: Ground, place: Place, state: State) -> State:
    """The salt that a tracer test of the volume has left in the water."""
    added, salt = ground.found[place.id].salt_added_g, state.known[Q.SALT]
    if added is None:
        return state
    more = np.maximum(salt.draws, 0.0) + added.draws / state[Q.VOLUME]
    return state.with_known({Q.SALT: salt.worked_out(more, added.came_from)})


def _known_salt_g_per_l(ground: Ground, place: Place, state: State) -> FloatArray:
    """Salt that the case says is there, whatever a meter reads, with that of a tracer test."""
    added, inputs = ground.found[place.id].salt_added_g, ground.inputs
    known = np.zeros(inputs.size) if added is None else added.draws / state[Q.VOLUME]
    for number, one in enumerate(ground.case.already, 1):
        if one.what == "salt" and is_in(place, one) and one.level is not None:
            known = known + np.maximum(inputs.of_reading(f"already/{number}", one.level), 0.0)
    return np.asarray(known)


def _already(ground: Ground, place: Place, state: State) -> Iterator[tuple[str, Known]]:
    named = {row["thing"] for row in tables.table("dose_substances")} - {"", "salt"}
    for number, one in enumerate(ground.case.already, 1):
        if one.what not in named or not is_in(place, one):
            continue
        path = f"already/{number}"
        if one.level is not None:
            yield one.what, Known.of_reading(path, one.level, ground.inputs, path)
        elif one.grams is not None:
            level = ground.inputs.of_reading(path, one.grams) * _PER_UNIT / state[Q.VOLUME]
            yield one.what, Known.made(level, path)
        else:
            yield one.what, _anything(ground, path, one.what)


def _anything(ground: Ground, path: str, thing: str) -> Known:
    """A level that nobody knows: anything up to the highest that is printed for a bath of it."""
    agents = {row["agent"] for row in tables.table("dose_substances") if row["thing"] == thing}
    printed = [
        row.high
        for name in ("bath_limits", "anaesthetics")
        for row in tables.table(name)
        if row["agent"] in agents and np.isfinite(row.high)
    ]
    most = max(printed, default=0.0)
    drawn = ground.inputs.of(path, Measured.between(0.0, most)) if most > 0.0 else np.zeros(ground.inputs.size)
    return Known(
        draws=drawn,
        origin=Origin.ASSUMED,
        came_from=path,
        why="level not known",
        assumed=frozenset({f"{path}/{thing}"}),
    )


def _gone_in(case: Case, place: Place) -> Iterator[tuple[str, str, float | None, datetime | None]]:
    """What has been put in by a dose that is written as gone in, or that has been done: where told, which, how much, when."""
    for number, dose in enumerate(case.doses, 1):
        if dose.went_in is not None and dose.volume is None and is_here(place, dose.into.path):
            drop_ml = dose.drop.measured.best if dose.drop else None
            active = active_in(dose.substance, dose.went_in, dose.bottle, drop_ml)
            yield f"doses/{number}", dose.substance, active, dose.went_in_at
    for number, one in enumerate(case.done, 1):
        if one.substance is None or one.substance in ("salt", *DRUGS) or one.amount is None:
            continue
        if not one.water or not is_here(place, one.water):
            continue
        bottle = next((dose.bottle for dose in case.doses if dose.substance == one.substance), None)
        yield f"done/{number}", one.substance, active_in(one.substance, one.amount, bottle, None), one.at
