"""The water that a dose goes into: its litres with their error, its state, its fish, and what cannot be read in it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from types import MappingProxyType

import numpy as np

from waterplan import tables
from waterplan.actions.proposing import Context
from waterplan.case.model import Already, Case, Dose
from waterplan.case.schema import Filter, Use
from waterplan.dose import salt, substances
from waterplan.dose.substances import Kind as Sum
from waterplan.fish.species import Species
from waterplan.published import FloatArray
from waterplan.spread import Band, band
from waterplan.stay.contents import answer, is_here, is_in, stated_litres
from waterplan.stay.effects import SaltIn
from waterplan.stay.operations import fill
from waterplan.stay.quantities import Q
from waterplan.stay.record import Moment, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.waters import HOME, MAINS, Place, hours_of

_ANY_SENSITIVE_G_PER_L, _DAY_H = 1.0, 24.0
_LIVING = (Filter.SEEDED, Filter.MATURING)
_OPERATED = (Use.INDUCTION, Use.IRRIGATION)


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseWater:
    """A water to be dosed; `place` is None for litres that are made up for the dose.

    `state` is the water before the dose. `things` are what a rule of the table `conflicts` may speak of beside what can
    be read; `scheduled_g_per_l` is salt that is to follow by what has been accepted. `at_h` is the hour of a dose into a
    water with its fish in it, None before they go in.
    """

    id: str
    litres: FloatArray
    guessed: bool
    state: State
    place: Place | None = None
    species: tuple[Species, ...] = ()
    fish: tuple[str, ...] = ()
    things: Mapping[str, None] = field(default_factory=lambda: MappingProxyType({}))
    scheduled_g_per_l: FloatArray | float = 0.0
    at_h: float | None = None
    moment: Moment = Moment.PREPARE
    lasting: bool = False

    @property
    def ends(self) -> Band:
        """Low, best and high of its litres."""
        return band(self.litres)

    def holds(self, thing: str) -> Known | None:
        """What it holds of a substance already; None where nothing is known to be in it."""
        return self.state.contents.get(thing)

    def there(self, thing: str) -> FloatArray:
        """The level of a substance that is in it already; nothing where nothing is known to be."""
        if thing == "salt":
            return np.asarray(np.maximum(self.state[Q.SALT], 0.0) + self.scheduled_g_per_l)
        held = self.holds(thing)
        return np.zeros(self.state.size) if held is None else held.draws

    @property
    def alkaline(self) -> tuple[Known, Known]:
        """Its pH and its alkalinity."""
        return self.state.known[Q.PH], self.state.known[Q.ALKALINITY]


def dose_water(context: Context, dose: Dose, number: int) -> DoseWater:
    """The water that a dose of the case goes into, as the actions accepted so far leave it."""
    place = _place(context, dose)
    if place is None:
        return _made_up(context, dose, number)
    ground, water = context.ground, context.stay[place.id]
    at_h, moment = _when(context, dose, place)
    inside = _fish_in(context, place, moment)
    return DoseWater(
        id=place.id,
        litres=water.start[Q.VOLUME],
        guessed=bool(getattr(water.found, "guessed", False)) or not water.start.known[Q.VOLUME].is_known,
        state=water.start,
        place=place,
        fish=inside,
        species=tuple(dict.fromkeys(ground.fish[one].species for one in inside)),
        things=MappingProxyType(dict.fromkeys(_things(context, place, inside, at_h))),
        scheduled_g_per_l=scheduled_salt_g(context, place.id) / water.start[Q.VOLUME],
        at_h=at_h,
        moment=moment,
        lasting=place.kind in (WaterKind.HOSPITAL, WaterKind.HOME),
    )


def scheduled_salt_g(context: Context, water: str) -> float:
    """Salt that accepted actions put into a water later than its start [g]."""
    parts = [part for one in context.effects.on(water) if isinstance(one, SaltIn) for part in one.parts]
    return float(sum(grams for at_h, grams in parts if at_h is not None))


def is_done(case: Case, dose: Dose, water: DoseWater, now: datetime | None) -> datetime | None:
    """When a dose has been given already: by what has been done, or by what is there since a time without its level."""
    past = [
        one.at
        for one in getattr(case, "done", ())
        if getattr(one, "substance", None) == dose.substance
        and (water.place is None or is_here(water.place, one.water))
    ]
    thing = substances.substance(dose.substance)["thing"]
    past += [one.since for one in case.already if _is_given(one, thing, water)]  # type: ignore[misc]
    return max((one for one in past if now is None or one.replace(tzinfo=now.tzinfo) <= now), default=None)


def _is_given(one: Already, thing: str, water: DoseWater) -> bool:
    unknown = one.level is None and getattr(one, "grams", None) is None
    return bool(
        one.what == thing
        and one.since is not None
        and unknown
        and water.place is not None
        and is_here(water.place, one.where)
    )


def _place(context: Context, dose: Dose) -> Place | None:
    if dose.volume is not None:
        return None
    path = getattr(dose.into, "path", None)
    for place in context.ground.places.values():
        if place.id == path or (path is None and is_here(place, str(dose.into)) and str(dose.into)):
            return place
    raise LookupError(f"no water {dose.into}")  # the reading of the case sees to it


def _made_up(context: Context, dose: Dose, number: int) -> DoseWater:
    """Litres made up for a dose from the home water, or from the mains for things; filled to a mark where nobody says."""
    assert dose.volume is not None
    ground = context.ground
    kind = substances.kind_of(dose.substance, use=dose.use)
    path, fish = f"bucket-{number}", kind.with_fish
    source = context.stay[HOME if fish or MAINS not in context.stay.waters else MAINS]
    litres, guessed = stated_litres(ground.inputs, path, dose.volume)
    inside = tuple(one for one in ground.fish if ground.fish[one].patient) if fish else ()
    moment = Moment.PROCEDURE if kind is Sum.ANAESTHETIC else Moment.HOSPITAL if fish else Moment.PREPARE
    things = _fish_things(context, inside, None) if fish else ()
    bench = {one.what: None for one in ground.case.already if one.what in {"acid", "bleach"} and not one.where}
    return DoseWater(
        id=path,
        litres=litres.draws,
        guessed=guessed,
        state=replace(fill(source.start, litres, came_from=f"prepare/fill/{path}"), contents=MappingProxyType({})),
        fish=inside,
        species=tuple(dict.fromkeys(ground.fish[one].species for one in inside)),
        things=MappingProxyType({**dict.fromkeys(things), **bench}),
        moment=moment,
    )


def _when(context: Context, dose: Dose, place: Place) -> tuple[float | None, Moment]:
    """The hour of a dose and its moment: into a tub before its fish, into the pond when the fish is back or as it says."""
    if dose.use == substances.HOSE:
        return None, Moment.CALL
    at = getattr(dose, "at", None)
    at_h = context.ground.clock.hours(at) if at is not None else None
    if place.kind is WaterKind.HOME:
        stretches = [one for one in place.stretches if at_h is None or one.start_h <= at_h]
        last = stretches[-1] if stretches else None
        hour = at_h if at_h is not None else last.start_h if last else None
        return hour, last.moment if last else Moment.HOME
    if at_h is not None and at_h <= (place.stretches[0].start_h if place.stretches else 0.0):
        at_h = None
    return at_h, place.moment


def _fish_in(context: Context, place: Place, moment: Moment) -> tuple[str, ...]:
    known = context.ground.fish
    found = [one for stretch in place.stretches for one in stretch.fish if one in known]
    if place.kind is WaterKind.HOME:
        found += [one for one in known if not known[one].patient or moment is Moment.HOME]
    return tuple(dict.fromkeys(found))


# -- what a rule may speak of ------------------------------------------------------------------------------------------


def _things(context: Context, place: Place, inside: tuple[str, ...], at_h: float | None) -> Iterator[str]:
    case, pond = context.ground.case, context.ground.case.home_pond
    yield from _fish_things(context, inside, at_h if at_h is not None else _begin_h(place))
    state = place.vessel.filter if place.vessel is not None else None
    if place.kind is WaterKind.HOME and pond is not None:
        state = pond.filter
        yield from (name for name in ("zeolite", "plants") if answer(getattr(pond, name)) is True)
    if state in _LIVING:
        yield "biofilter"
    yield from (one.what for one in case.already if is_in(place, one) and one.what not in substance_things())
    hour = at_h if at_h is not None else _begin_h(place)
    if place.kind is WaterKind.HOME and context.ground.clock.zero is not None and hour is not None:
        of_day = context.ground.clock.hour_of_day(hour)
        if of_day >= hours_of("night begins") or of_day < hours_of("night ends"):
            yield "night"


def _begin_h(place: Place) -> float | None:
    return place.stretches[0].start_h if place.stretches else None


def substance_things() -> frozenset[str]:
    """What the rules call the substances that are doses."""
    return frozenset(row["thing"] for row in tables.table("dose_substances") if row["thing"])


def _fish_things(context: Context, inside: tuple[str, ...], at_h: float | None) -> Iterator[str]:
    case, fish = context.ground.case, context.ground.fish
    for kind in dict.fromkeys(fish[one].species for one in inside):
        yield from (row["thing"] for row in tables.rows("species_things", species=kind.name))
        if salt.salt_ceiling(kind.salt_group, salt.Exposure.PROLONGED).value <= _ANY_SENSITIVE_G_PER_L:
            yield "salt_sensitive"
    patients = [one for number, one in enumerate(case.patients, 1) if f"patient-{number}" in inside]
    for patient in patients:
        if patient.condition == "weak":
            yield "weak_fish"
        if patient.wound == "open":
            yield "open_wound"
        if answer(patient.eaten) is True:
            yield "food_fish"
    if patients and is_operated(case) and (at_h is None or at_h < _DAY_H):
        yield "anaesthetised"
    feed = case.intended.feed
    if feed is not None and feed.measured.best > 0.0:
        yield "feeding"
    kinds = {row["drug"]: row["kind"] for row in tables.table("drugs")}
    if any(kinds.get(one.drug.lower()) == "NSAID" for one in case.injections):
        yield "nsaid"


def is_operated(case: Case) -> bool:
    """Whether a fish of the case is anaesthetised: in a vessel for it, or by a dose."""
    by_dose = any(substances.kind_of(one.substance, use=one.use) is Sum.ANAESTHETIC for one in case.doses)
    return by_dose or any(vessel.use in _OPERATED for vessel in case.vessels)
