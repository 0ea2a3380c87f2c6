"""What a water needs of a kind of action: the judgements that call for it, when, and what was done already."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import high, low, rule
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Action, Kind, Who
from waterplan.fish.species import Species
from waterplan.hazards.record import Hazard, Judgement, Verdict, Why
from waterplan.published import FloatArray, Numbers
from waterplan.stay.clock import HOURS
from waterplan.stay.effects import Effect
from waterplan.stay.figures import ALL, Parts
from waterplan.stay.fish import FishAtHand
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.state import State, parts
from waterplan.stay.waters import HOME, Place, Stretch

POWER_OFF = "power off"
_CHECK_BY_SHARE = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What one water needs: the judgements that call for something, the worst first, and the first stretch of them.

    `holding` is None for a source, which holds no fish. `start_h` is when its fish go in, or when it is first poured
    where they are.
    """

    context: Context
    water: WaterStay
    holding: Stretch | None
    judged: tuple[Judgement, ...]
    start_h: float

    @property
    def path(self) -> str:
        """The water's path."""
        return self.water.place.id

    @property
    def kind(self) -> WaterKind:
        """What the water is for."""
        return self.water.place.kind

    @property
    def ground(self) -> Ground:
        """What the stay stands on."""
        return self.context.ground

    @property
    def state(self) -> State:
        """The water that its fish go into."""
        return self.water.start

    @property
    def is_batch(self) -> bool:
        """Whether grams are given for so many litres: of a source, and of a pond of which nobody knows how much there is."""
        return self.kind is WaterKind.SOURCE or (
            self.kind is WaterKind.HOME and not self.state.known[Q.VOLUME].is_known
        )

    @property
    def litres(self) -> Numbers:
        """The water that grams are given for: a batch, else all that there is."""
        if self.is_batch:
            return rule("source batch" if self.kind is WaterKind.SOURCE else "pond batch")
        return self.state[Q.VOLUME]

    def in_all(self, grams: float) -> Numbers:
        """What goes into all the water, by as much for each batch."""
        return grams * self.state[Q.VOLUME] / self.litres if self.is_batch else grams

    @property
    def stretch(self) -> Stretch:
        """The stretch of a water that holds fish."""
        assert self.holding is not None
        return self.holding

    @property
    def fish(self) -> list[FishAtHand]:
        """The fish of which the size is known: those of the stretch, or those that a source is poured to."""
        return self.water.fish(self.holding)

    @property
    def species(self) -> tuple[Species, ...]:
        """The species by which it is judged."""
        return self.water.species(self.holding)

    @property
    def kept_c(self) -> FloatArray:
        """The temperature that it is meant to be kept at; where none is meant, as it is."""
        meant = self.ground.kept_temp_c(self.path)
        return self.state[Q.TEMPERATURE] if meant is None else meant

    @property
    def worst(self) -> Verdict:
        """The worst verdict of those that call."""
        return self.judged[0].verdict if self.judged else Verdict.WITHIN_LIMIT

    @property
    def urgent(self) -> bool:
        """Whether something must be done."""
        return self.worst.rank >= Verdict.ACT_NOW.rank

    @property
    def answers(self) -> tuple[str, ...]:
        """The judgements that are answered."""
        return tuple(one.id for one in self.judged)

    @property
    def ahead(self) -> bool:
        """Whether its fish go in only later than now."""
        return self.start_h > self.ground.clock.now_h

    @property
    def past(self) -> bool:
        """Whether its stretch is over at the time of the plan: what was due then is done, not due."""
        return self.holding is not None and self.ground.is_over(self.holding)

    @property
    def from_h(self) -> float:
        """When it can begin with the fish in it: as they go in, or now."""
        return max(self.start_h, self.ground.clock.now_h)

    @property
    def at_h(self) -> float | None:
        """When an effect that is done soon happens: before the fish, or now."""
        return None if self.ahead or self.holding is None else self.from_h

    @property
    def moment(self) -> Moment:
        """Prepare where the fish are still to come, else that of the stretch."""
        if self.holding is None or (self.ahead and self.kind is not WaterKind.HOME):
            return Moment.PREPARE
        return self.holding.moment

    @property
    def by_h(self) -> float:
        """Before the fish go in; else half of the worst case of the time until harm from now."""
        if self.ahead or self.past:
            return self.start_h
        soonest, now_h = self.soonest_harm_h, self.ground.clock.now_h
        if self.calls(Hazard.SIGN):
            return now_h
        within = rule("act within") if soonest is None else _CHECK_BY_SHARE * soonest
        last = np.inf if self.holding is None else self.holding.until_h
        return float(min(now_h + within, max(last, now_h)))

    @property
    def soonest_harm_h(self) -> float | None:
        """Hours from now until the first harm, in the worst case; None where it never comes or is not known."""
        paths = [one.until_harm for one in self.judged if one.until_harm is not None]
        figures = [self.context.figures.record(path) for path in paths]
        return min((one.low * HOURS.get(one.unit, 1.0) for one in figures if one.low is not None), default=None)

    def id(self, kind: Kind, *more: str, moment: Moment | None = None) -> str:
        """The path of an action of a kind on this water."""
        return "/".join((moment or self.moment, kind, self.path, *more))

    def proposal(
        self, kind: Kind, *more: str, effects: Iterable[Effect] = (), key: str = "", **others: Any
    ) -> Proposal:
        """The action that follows from the need, with others of its keys in their place; a refused one has no effects.

        `key` is the reading that shows it: what was done before that was read is in the reading, and is due again.
        """
        at = self.ground.clock.at
        made: dict[str, Any] = {
            "id": self.id(kind, *more, moment=others.get("moment")),
            "kind": kind,
            "moment": self.moment,
            "water": self.path,
            "who": Who.OWNER if self.kind is WaterKind.HOME else Who.NURSE,
            "by": at(self.by_h),
            "answers": self.answers,
            "done": _done_at(self, kind, key, others.get("substance")),
            **others,
        }
        if self.past and made["done"] is None:
            made |= {"done": at(self.start_h), "was_due": True}
        action = Action(**made)
        does = () if action.refused_because else effects
        return Proposal(action=action, effects=tuple(replace(one, action=action.id, water=self.path) for one in does))

    def put(self, name: str, draws: Numbers, unit: str, **more: Any) -> str:
        """Puts a figure of the water under its path: `name` is what follows the water's."""
        return self.context.figures.put(f"{self.path}/{name}", draws, unit=unit, **{"parts": self._parts(draws)} | more)

    def _parts(self, draws: Numbers) -> Parts:
        return parts(self.state.known.values()) if np.size(draws) == self.state.size else ALL

    def least(self, draws: Numbers) -> float:
        """The low end of a figure of the water, of whichever of several readings of one time."""
        return min(low(np.atleast_1d(draws)[one]) for one in self._parts(draws))

    def most(self, draws: Numbers) -> float:
        """The high end of such a figure."""
        return max(high(np.atleast_1d(draws)[one]) for one in self._parts(draws))

    def put_row(self, name: str, row: tables.Row, unit: str, act_end: ActEnd = ActEnd.BEST) -> str:
        """Puts the value of a table row under the water's path."""
        return self.put(name, row.value, unit, act_end=act_end, rows=(row.id,))

    def limits(self, hazard: Hazard) -> tuple[float, ...]:
        """The limits of the judgements of a hazard that call."""
        found = (one.limit.value for one in self.calls(hazard) if one.limit is not None)
        return tuple(one for one in found if one is not None)

    def calls(self, *hazards: Hazard) -> tuple[Judgement, ...]:
        """Those of some hazards."""
        return tuple(one for one in self.judged if one.hazard in hazards)


def needs(
    context: Context,
    *hazards: Hazard,
    least: Verdict = Verdict.WATCH,
    sources: bool = False,
    kind: Kind | None = None,
) -> Iterator[Need]:
    """What each water needs against some hazards, in the order of the waters; judgements of a power cut do not count.

    Parameters
    ----------
    context : Context
        The judgements and the stay.
    *hazards : Hazard
        Which hazards call.
    least : Verdict
        The mildest verdict that calls.
    sources : bool
        Also waters that hold no fish themselves.
    kind : Kind, optional
        Signs for which the table `first_aid` names this kind of action call for it too.

    Yields
    ------
    Need
        One for each water that needs something.
    """
    signs = [one for one in context.calling(Hazard.SIGN, least=least) if kind and aid_rows(sign_of(one), kind)]
    calling = [*signs, *(one for one in context.calling(*hazards, least=least) if POWER_OFF not in one.id)]
    calling.sort(key=lambda one: -one.verdict.rank)
    for path, water in context.stay.waters.items():
        here = tuple(one for one in calling if one.water == path)
        named = context.only is None or path in context.only
        if here and named and (sources or water.place.stretches):
            yield need_of(context, water, here)


def disease_stops(context: Context) -> tuple[Why, ...]:
    """Why no fish is moved and no water warmed: a notifiable disease may be at work in the pond; nothing where none may."""
    suspected = any(one.water == HOME for one in context.calling(Hazard.DISEASE, least=Verdict.ACT_NOW))
    return (Why(code="nothing-moves"),) if suspected else ()


def gas_stops(need: Need) -> tuple[Why, ...]:
    """Why a water is not warmed: gas disease was seen in it or at home, and its total gas is not known to be well."""
    seen = (tables.row("signs", sign=one.sign) for one in (*need.ground.seen(need.path), *need.ground.seen(HOME)))
    gassed = any(Q.GAS_PRESSURE in row["quantities"] for row in seen)
    calls = any(one.water == need.path for one in need.context.calling(Hazard.GAS_PRESSURE))
    is_well = need.state.known[Q.GAS_PRESSURE].is_known and not calls
    return (Why(code="gas-out-before-warming"),) if gassed and not is_well else ()


def sign_of(judgement: Judgement) -> str:
    """The sign that a judgement is of."""
    return judgement.id.rpartition("/")[2]


@cache
def aid_rows(sign: str, kind: str) -> tuple[tables.Row, ...]:
    """The rows of the table `first_aid` of one sign and one kind of action, in their order."""
    return tuple(row for row in tables.rows("first_aid", sign=sign) if row["kind"] == kind)


def need_of(context: Context, water: WaterStay, judged: Iterable[Judgement] = ()) -> Need:
    """The need of one water that some judgements make."""
    place, here = water.place, tuple(judged)
    called = [_stretch_of(one, place) for one in here] if place.stretches else []
    first = min(called or place.stretches, key=lambda one: one.start_h, default=None)
    into = [one for path in place.pours_into for one in context.ground.places[path].stretches]
    start_h = min((one.start_h for one in ([first] if first else into)), default=context.ground.clock.now_h)
    return Need(context=context, water=water, holding=first, judged=here, start_h=start_h)


def _stretch_of(one: Judgement, place: Place) -> Stretch:
    """The stretch that a judgement is of."""
    named = [stretch for stretch in place.stretches if stretch.name in one.id.split("/")[2:]]
    of_moment = [stretch for stretch in place.stretches if stretch.moment is one.moment]
    return (*named, *of_moment, *place.stretches)[0]


# -- what was done already ------------------------------------------------------------------------------------------


def _done_at(need: Need, kind: Kind, key: str, substance: str | None) -> datetime | None:
    """When an action of a kind was done already; None where it was not, or where `key` was read since."""
    ground = need.ground
    dosed = (one for one in ground.done(Kind.DOSE, need.path) if substance and one.substance == substance)
    time = max((one.at for one in (*ground.done(kind, need.path), *dosed)), default=None)
    return None if time is None or ground.read_since(need.path, time, key) else time
