"""What is in a water from the start: what the case says is there already, what has gone in, the salt of a tracer test."""

from collections.abc import Iterator
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from waterplan import tables
from waterplan.case.bottle import Amount, Bottle
from waterplan.case.model import Already
from waterplan.case.values import NOT_STATED, Reading
from waterplan.dose import substances
from waterplan.published import FloatArray
from waterplan.spread import Measured
from waterplan.stay.inputs import Inputs
from waterplan.stay.quantities import KEYS, Q
from waterplan.stay.record import Origin, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.waters import Place
from waterplan.vessel.volume import relative_sd

if TYPE_CHECKING:
    from waterplan.stay.volumes import Found
    from waterplan.stay.whole import Ground

_HOME_POND, _MARKED = "home pond", "marked tub"
_GUESSES = frozenset({"owner's word", "estimate", "guess"})
_PER_UNIT = 1000.0
_NAMES = {"salt": Q.SALT} | {key: quantity for key, quantity in KEYS.items() if key not in ("salinity", "chloride")}


def with_contents(ground: "Ground", place: Place, found: "Found", state: State) -> State:
    """A water as it was found, with what is in it already."""
    state = _with_quantities(ground, place, state)
    state = _with_tracer(found, state)
    contents = dict(state.contents)
    contents |= dict(_already(ground, place, state))
    for name, known in _gone_in(ground, place, state):
        there = contents.get(name)
        contents[name] = known if there is None else known.worked_out(there.draws + known.draws, known.came_from, there)
    return replace(state, contents=MappingProxyType(contents))


def is_here(place: Place, name: str) -> bool:
    """Whether a name or path of the case is that of a water; "" is any."""
    if not name:
        return True
    by_name = name == _HOME_POND if place.kind is WaterKind.HOME else name == place.name
    return name == place.id or by_name


def is_in(place: Place, one: Already) -> bool:
    """Whether something that is there already is in a water; without a place it is in every one that holds fish."""
    return is_here(place, one.where) and place.kind not in (WaterKind.SOURCE, WaterKind.BAG, WaterKind.BOX)


def answer(said: object) -> bool | None:
    """A yes or a no of the case; None where it is not known."""
    return {"yes": True, "no": False, True: True, False: False}.get(said)  # type: ignore[call-overload, no-any-return]


def stated_litres(inputs: Inputs, path: str, reading: Reading) -> tuple[Known, bool]:
    """Litres that somebody makes up for a purpose, and whether they are only a guess: filled to a mark, they have its error."""
    unsaid = reading.how == NOT_STATED and "±" not in reading.text and "+/-" not in reading.text
    if unsaid:
        drawn = inputs.of(f"{path}/volume", Measured.within_factor(reading.measured.best, relative_sd(_MARKED)))
    else:
        drawn = inputs.of_reading(f"{path}/volume", reading)
    how = _MARKED if unsaid else reading.how
    known = Known(draws=drawn, origin=Origin.MEASURED, measured_with=how, text=reading.text)
    return known, reading.how in _GUESSES


def thing_of(substance: str) -> str:
    """What the contents of a water call a substance, so that one substance has one name whatever product it came in."""
    return substances.substance(substance)["thing"] or substance


def active_in(substance: str, went_in: Amount, bottle: Bottle | None, drop_ml: float | None) -> float | None:
    """The active substance in what has gone in [g; mL of formalin]; None where the label does not tell."""
    row = substances.substance(substance)
    if row.unit == "uL/L":
        return went_in.value if went_in.unit == "mL" else None
    if bottle is None:
        return went_in.value if row["form"] == "powder" and went_in.unit == "g" else None
    if went_in.unit == "tablets":
        return None if bottle.tablet_mg is None else went_in.value * bottle.tablet_mg / _PER_UNIT
    if went_in.unit == "g":
        return None if bottle.active_fraction is None else went_in.value * bottle.active_fraction
    per_one = 1.0 if went_in.unit == "mL" else drop_ml
    if per_one is None or bottle.mg_per_ml is None:
        return None
    return went_in.value * per_one * bottle.mg_per_ml / _PER_UNIT


def _with_quantities(ground: "Ground", place: Place, state: State) -> State:
    """A level of salt, ammonia and the like that is written as being there already, where it was not read."""
    own: dict[Q, Known] = {}
    for number, one in enumerate(ground.case.already, 1):
        quantity = _NAMES.get(one.what)
        if quantity is None or one.level is None or not is_in(place, one):
            continue
        if state.has(quantity) and state.known[quantity].origin is Origin.MEASURED:
            continue
        own[quantity] = _level(ground, f"already/{number}", one.level)
    return state.with_known(own) if own else state


def _with_tracer(found: "Found", state: State) -> State:
    """The salt that a tracer test of the volume has left in the water."""
    added = getattr(found, "salt_added_g", None)
    if added is None:
        return state
    grams = added.draws if isinstance(added, Known) else np.asarray(added)
    came_from = added.came_from if isinstance(added, Known) else "tracer"
    salt = state.known[Q.SALT]
    more = salt.worked_out(np.maximum(salt.draws, 0.0) + grams / state[Q.VOLUME], came_from)
    return state.with_known({Q.SALT: more})


def _already(ground: "Ground", place: Place, state: State) -> Iterator[tuple[str, Known]]:
    named = {row["thing"] for row in tables.table("dose_substances") if row["thing"] and row["thing"] != "salt"}
    for number, one in enumerate(ground.case.already, 1):
        if one.what not in named or not is_in(place, one):
            continue
        path, grams = f"already/{number}", getattr(one, "grams", None)
        if one.level is not None:
            yield one.what, _level(ground, path, one.level)
        elif grams is not None:
            drawn = ground.inputs.of_reading(path, grams) * _PER_UNIT / state[Q.VOLUME]
            yield one.what, Known(draws=drawn, origin=Origin.WORKED_OUT, came_from=path)
        else:
            yield one.what, _anything(ground, path, one.what)


def _level(ground: "Ground", path: str, level: object) -> Known:
    if isinstance(level, Reading):
        return Known(
            draws=ground.inputs.of_reading(path, level),
            origin=Origin.MEASURED,
            measured_with=level.how,
            taken=level.taken,
            came_from=path,
            text=level.text,
        )
    return Known(draws=np.full(ground.inputs.size, float(str(level))), origin=Origin.MEASURED, came_from=path)


def _anything(ground: "Ground", path: str, thing: str) -> Known:
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


def _gone_in(ground: "Ground", place: Place, state: State) -> Iterator[tuple[str, Known]]:
    """What has been put in by a dose that is written as gone in, or that has been done."""
    case = ground.case
    for number, dose in enumerate(case.doses, 1):
        into = getattr(dose.into, "path", None) or str(dose.into)
        if dose.went_in is None or dose.volume is not None or not is_here(place, into):
            continue
        active = active_in(dose.substance, dose.went_in, dose.bottle, dose.drop.measured.best if dose.drop else None)
        if active is not None:
            yield thing_of(dose.substance), _of_grams(active, f"doses/{number}", state)
    for number, one in enumerate(getattr(case, "done", ()), 1):
        if one.substance in (None, "salt") or one.amount is None or not (one.water and is_here(place, one.water)):
            continue
        bottle = next((dose.bottle for dose in case.doses if dose.substance == one.substance), None)
        active = active_in(one.substance, one.amount, bottle, None)
        if active is not None:
            yield thing_of(one.substance), _of_grams(active, f"done/{number}", state)


def _of_grams(active: float, path: str, state: State) -> Known:
    levels: FloatArray = active * _PER_UNIT / state[Q.VOLUME]
    return Known(draws=levels, origin=Origin.WORKED_OUT, came_from=path)
