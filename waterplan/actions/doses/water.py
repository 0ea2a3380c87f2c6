"""The water that a dose goes into: its litres with their error, its state and its fish, and what must not meet in it."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import Reason, reason
from waterplan.actions.needs import POWER_OFF
from waterplan.actions.proposing import Context
from waterplan.case.model import Case, Dose
from waterplan.case.tank_choices import Happens
from waterplan.case.times import Tonight
from waterplan.case.values import Reading
from waterplan.dose import substances
from waterplan.dose.conflicts import Conflict, Level, conflict_things, conflicts
from waterplan.dose.drugs import nsaids
from waterplan.dose.substances import Kind as Sum
from waterplan.fish.species import Species
from waterplan.hazards import levels
from waterplan.hazards.conflict import blooms, fish_things
from waterplan.hazards.record import Hazard, Verdict
from waterplan.hazards.subject import Subject, way_of
from waterplan.published import FloatArray, Numbers
from waterplan.spread import Band, band
from waterplan.stay.effects import SaltIn
from waterplan.stay.operations import fill
from waterplan.stay.quantities import Q
from waterplan.stay.record import Moment, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.volume.found import volume_as_stated
from waterplan.stay.waters import HOME, MAINS, Place, is_in

_DAY_H, _G_PER_KG = 24.0, 1000.0
# What a rule may speak of and a reading may tell.
_READ: Mapping[str, Q] = {
    "salt": Q.SALT,
    "tan": Q.AMMONIA,
    "nitrite": Q.NITRITE,
    "ph": Q.PH,
    "alkalinity": Q.ALKALINITY,
    "oxygen": Q.OXYGEN,
    "temperature": Q.TEMPERATURE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseWater:
    """A water to be dosed; `place` is None for litres that are made up for the dose.

    `state` is the water before the dose. `things` are what a rule of the table `conflicts` may speak of beside what can
    be read; `scheduled_g_per_l` is salt that is to follow by what has been accepted. `at_h` is the hour of a dose into a
    water with its fish in it, or the stated one of litres that are made up; None before they go in. `left_ph` is that of
    the water that its fish come out of, where they come out of another.
    """

    id: str
    litres: FloatArray
    guessed: bool
    state: State
    place: Place | None = None
    species: tuple[Species, ...] = ()
    fish: tuple[str, ...] = ()
    things: frozenset[str] = frozenset()
    scheduled_g_per_l: FloatArray | float = 0.0
    at_h: float | None = None
    moment: Moment = Moment.PREPARE
    left_ph: Known | None = None

    def there(self, thing: str) -> FloatArray:
        """The level of a substance that is in it already; nothing where nothing is known to be."""
        if thing == "salt":
            return np.asarray(np.maximum(self.state[Q.SALT], 0.0) + self.scheduled_g_per_l)
        held = self.state.contents.get(thing)
        return np.zeros(self.state.size) if held is None else held.draws

    @property
    def lasting(self) -> bool:
        """Whether fish live in it, and a filter with them."""
        return self.place is not None and self.place.kind in (WaterKind.HOSPITAL, WaterKind.HOME)

    @property
    def hour(self) -> float | None:
        """The hour of the stay of a dose into it: with its fish in it, or when the first of them goes in."""
        return self.at_h if self.at_h is not None or self.place is None else begin_h(self.place)


def begin_h(place: Place) -> float | None:
    """The hour at which the first fish goes into a water; None where none does."""
    return place.stretches[0].start_h if place.stretches else None


def dose_water(context: Context, dose: Dose, number: int) -> DoseWater:
    """The water that a dose of the case goes into, as the actions accepted so far leave it."""
    if dose.volume is not None:
        return _made_up(context, dose, dose.volume, number)
    ground, place = context.ground, context.ground.places[dose.into.path]
    water = context.stay[place.id]
    at_h, moment = _when(context, dose, place)
    inside = _fish_in(context, place, moment)
    before = [one for one in water.later if at_h is not None and one.at_h is not None and one.at_h <= at_h]
    return DoseWater(
        id=place.id,
        litres=water.start[Q.VOLUME],
        guessed=water.found.guessed,
        state=before[-1] if before else water.start,
        place=place,
        fish=inside,
        species=tuple(dict.fromkeys(ground.fish[one].species for one in inside)),
        things=frozenset(_things(context, place, inside, at_h, dose.at)),
        scheduled_g_per_l=_scheduled_salt_g(context, place.id) / water.start[Q.VOLUME],
        at_h=at_h,
        moment=moment,
        left_ph=None if at_h is not None else _left_ph(context, place),
    )


def _left_ph(context: Context, place: Place) -> Known | None:
    """The pH of the water that the fish come out of before they go into another; None where they are in it already."""
    stretch = place.stretches[0] if place.stretches else None
    way = way_of(Subject(stay=context.stay, water=context.stay[place.id], stretch=stretch))
    return None if way is None else replace(levels.state_of(way).known[Q.PH], draws=levels.as_left(way, Q.PH))


def _scheduled_salt_g(context: Context, water: str) -> Numbers:
    """Salt that accepted actions, and events of the case to come, put into a water later than its start [g]."""
    parts = [part for one in context.effects.on(water) if isinstance(one, SaltIn) for part in one.parts]
    to_come = sum(
        event.weight.measured.best * _G_PER_KG
        for at_h, event in context.ground.events_in(water)
        if event.what is Happens.SALT and event.weight is not None and at_h > context.ground.clock.now_h
    )
    return sum((grams for at_h, grams in parts if at_h is not None), start=np.asarray(to_come))


def _made_up(context: Context, dose: Dose, litres: Reading, number: int) -> DoseWater:
    """Litres made up for a dose from the home water, or from the mains for things; filled to a mark where nobody says."""
    ground = context.ground
    kind = substances.kind_of(dose.substance, use=dose.use)
    path, fish = f"bucket-{number}", kind.with_fish
    source = context.stay[HOME if fish or MAINS not in context.stay.waters else MAINS]
    found = volume_as_stated(ground.inputs, ground.figures, water=path, reading=litres, made_up=True)
    filled = fill(source.start, found.litres, came_from=f"prepare/fill/{path}")
    inside = tuple(one for one in ground.fish if ground.fish[one].patient) if fish else ()
    bench = {one.what for one in ground.case.already if one.what in {"acid", "bleach"} and not one.where}
    at_h = ground.clock.hours(dose.at) if dose.at is not None else None
    held = max((one.until_h for one in ground.stretches_of(Moment.HOSPITAL)), default=np.inf)
    bathed = Moment.HOSPITAL if at_h is None or at_h < held else Moment.HOME
    return DoseWater(
        id=path,
        litres=found.litres.draws,
        guessed=found.guessed,
        state=replace(filled, contents={}),
        fish=inside,
        species=tuple(dict.fromkeys(ground.fish[one].species for one in inside)),
        things=frozenset(bench.union(_fish_things(context, inside, at_h) if fish else ())),
        at_h=at_h,
        moment=Moment.PROCEDURE if kind is Sum.ANAESTHETIC else bathed if fish else Moment.PREPARE,
    )


def _when(context: Context, dose: Dose, place: Place) -> tuple[float | None, Moment]:
    """The hour of a dose and its moment: into a tub before its fish, into the pond when the fish is back or as it says."""
    if dose.use == substances.HOSE:
        return None, Moment.CALL
    at_h = context.ground.clock.hours(dose.at) if dose.at is not None else None
    if place.kind is WaterKind.HOME:
        at_h = None if at_h is None else max(at_h, context.ground.clock.now_h)  # what was due and is not done
        stretches = [one for one in place.stretches if at_h is None or one.start_h <= at_h]
        if not stretches:
            return at_h, Moment.HOME
        return stretches[-1].start_h if at_h is None else at_h, stretches[-1].moment
    if at_h is not None and at_h <= (begin_h(place) or 0.0):
        at_h = None
    return at_h, place.moment


def _fish_in(context: Context, place: Place, moment: Moment) -> tuple[str, ...]:
    known = context.ground.fish
    found = [one for stretch in place.stretches for one in stretch.fish if one in known]
    if place.kind is WaterKind.HOME:
        found += [one for one in known if not known[one].patient or moment is Moment.HOME]
    return tuple(dict.fromkeys(found))


# -- what a rule may speak of, and what it says ----------------------------------------------------------------------


def _things(
    context: Context, place: Place, inside: tuple[str, ...], at_h: float | None, at: datetime | Tonight | None
) -> Iterator[str]:
    case, pond = context.ground.case, context.ground.case.home_pond
    hour = at_h if at_h is not None else begin_h(place)
    yield from _fish_things(context, inside, hour)
    if context.ground.living_filter(place):
        yield "biofilter"
    yield from (one.what for one in case.already if is_in(place, one) and one.what not in substance_things())
    if _is_short_of_oxygen(context, place):
        yield "short_oxygen"
    if blooms(context.ground, context.stay[place.id]):
        yield "algae"
    if place.kind is not WaterKind.HOME:
        return
    if pond is not None:
        yield from (name for name in ("zeolite", "plants") if getattr(pond, name))
    clock = context.ground.clock
    if hour is not None and (clock.zero is not None or isinstance(at, Tonight)) and clock.is_night(hour):
        yield "night"


def _is_short_of_oxygen(context: Context, place: Place) -> bool:
    """Whether a water's oxygen is too low, now or before dawn, before anything is done about it."""
    oxygen = context.calling(Hazard.OXYGEN, least=Verdict.ACT_NOW)
    return any(one.water == place.id and POWER_OFF not in one.id for one in oxygen)


def substance_things() -> frozenset[str]:
    """What the rules call the substances that are doses."""
    return frozenset(row["thing"] for row in tables.table("dose_substances") if row["thing"])


def _fish_things(context: Context, inside: Collection[str], at_h: float | None) -> Iterator[str]:
    case, fish = context.ground.case, context.ground.fish
    patients = case.patients_among(inside)
    yield from fish_things((fish[one].species for one in inside), patients)
    if patients and _is_operated(case) and (at_h is None or at_h < _DAY_H):
        yield "anaesthetised"
    if case.intended.feeding is not None:
        yield "feeding"
    if not nsaids().isdisjoint(one.drug.lower() for one in case.injections):
        yield "nsaid"


def _is_operated(case: Case) -> bool:
    """Whether a fish of the case is anaesthetised: in a vessel for it, or by a dose."""
    by_dose = any(substances.kind_of(one.substance, use=one.use) is Sum.ANAESTHETIC for one in case.doses)
    return by_dose or bool(case.is_operated_in)


def clashes_of(
    water: DoseWater, put_in: Mapping[str, float | None], *, without: frozenset[str] = frozenset()
) -> tuple[tuple[Conflict, ...], tuple[Conflict, ...]]:
    """The rules that hold for what a dose puts into a water.

    Parameters
    ----------
    water : DoseWater
        The water before the dose.
    put_in : mapping of str to float or None
        What the dose puts in, by the names of the table `conflict_things`, with its level.
    without : frozenset of str
        What is left out of account, as the alkalinity where a bath is buffered and its own pH is worked out.

    Returns
    -------
    tuple of tuple of Conflict
        Those that hold as far as is known, the gravest first; and those that hold only if a quantity that nobody
        measured lies where it might.

    Notes
    -----
    A measured level counts with its band: a rule fires where it holds anywhere in it. What is only assumed fires a rule
    where it holds whatever it is.
    """
    sure: dict[str, Level] = dict.fromkeys((*water.things, *(("guessed_volume",) if water.guessed else ())))
    low: dict[str, Level] = {}
    high: dict[str, Level] = {}
    for thing, quantity in _READ.items():
        known = water.state.known.get(quantity)
        if known is not None and known.is_known:
            sure[thing] = _rounded(known)
        elif known is not None:
            low[thing], _, high[thing] = band(known.draws)
    for name, held in water.state.contents.items():
        if name in conflict_things():
            sure[name] = _rounded(held) if held.is_known else None
    sure |= put_in

    def speaking(things: Mapping[str, Level]) -> dict[str, Conflict]:
        counted = {name: level for name, level in things.items() if name not in without}
        return {one.rule: one for one in conflicts(counted) if {one.row["first"], one.row["second"]} & put_in.keys()}

    least, most = speaking(sure | low), speaking(sure | high)
    firm = speaking(sure) | {rule: one for rule, one in least.items() if rule in most}
    gravest = sorted(firm.values(), key=lambda one: one.severity.rank)
    return tuple(gravest), tuple(one for rule, one in (least | most).items() if rule not in firm)


def told(conflict: Conflict) -> Reason:
    """A rule as a reason: its row holds the words."""
    return reason("forbidden-by-rule", {"rule": conflict.rule, "table": conflict.row.id})


def _rounded(known: Known) -> Band:
    """The band of a reading without the dust of floats, so that what was read as 5 is not below 5."""
    return Band(*(float(np.round(end, 9)) for end in band(known.draws)))
