"""What a water needs of a kind of action: the judgements that call for it, when, and what was done already."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.actions.already import done_at
from waterplan.actions.amounts import rule
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Action, Kind, Who
from waterplan.hazards.record import Hazard, Verdict
from waterplan.hazards.subject import Judged
from waterplan.published import Numbers
from waterplan.stay.effects import Effect
from waterplan.stay.ground import WaterStay
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import Place, Stretch

POWER_OFF = "power off"
_CHECK_BY_SHARE = 0.5
_HOURS = {"h": 1.0, "min": 1.0 / 60.0, "d": 24.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What one water needs: the judgements that call for something, the worst first, and the first stretch of them.

    `stretch` is None for a source, which holds no fish. `start_h` is when its fish go in, or when it is first poured
    where they are.
    """

    context: Context
    water: WaterStay
    stretch: Stretch | None
    judged: tuple[Judged, ...]
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
    def worst(self) -> Verdict:
        """The worst verdict of those that call."""
        return self.judged[0].record.verdict if self.judged else Verdict.WITHIN_LIMIT

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
        return self.start_h > self.context.ground.clock.now_h

    @property
    def past(self) -> bool:
        """Whether its stretch is over at the time of the plan: what was due then is done, not due."""
        return self.stretch is not None and self.stretch.until_h <= self.context.ground.clock.now_h

    @property
    def at_h(self) -> float | None:
        """When an effect that is done soon happens: before the fish, or now."""
        return (
            None if self.ahead or self.stretch is None else max(self.stretch.start_h, self.context.ground.clock.now_h)
        )

    @property
    def moment(self) -> Moment:
        """Prepare where the fish are still to come, else that of the stretch."""
        if self.stretch is None or (self.ahead and self.kind is not WaterKind.HOME):
            return Moment.PREPARE
        return self.stretch.moment

    @property
    def who(self) -> Who:
        """The owner at the pond, else the nurse."""
        return Who.OWNER if self.kind is WaterKind.HOME else Who.NURSE

    @property
    def by_h(self) -> float:
        """Before the fish go in; else half of the worst case of the time until harm from now."""
        now_h = self.context.ground.clock.now_h
        if self.ahead or self.past:
            return self.start_h
        until = [one for one in map(self._until_h, self.judged) if one is not None]
        within = _CHECK_BY_SHARE * min(until) if until else rule("act within")
        last = self.stretch.until_h if self.stretch is not None else np.inf
        return float(min(now_h + within, max(last, now_h)))

    @property
    def soonest_harm_h(self) -> float | None:
        """Hours from now until the first harm, in the worst case; None where it never comes or is not known."""
        until = [one for one in map(self._until_h, self.judged) if one is not None]
        return min(until) if until else None

    def _until_h(self, one: Judged) -> float | None:
        if one.record.until_harm is None:
            return None
        figure = self.context.figures.record(one.record.until_harm)
        return None if figure.low is None else figure.low * _HOURS.get(figure.unit, 1.0)

    def id(self, kind: Kind, *more: str) -> str:
        """The path of an action of a kind on this water."""
        return "/".join((self.moment.value, kind.value, self.path, *more))

    def action(self, kind: Kind, *more: str, key: str = "", **others: Any) -> dict[str, Any]:
        """The keys of an action that follow from the need, with others in their place.

        `key` is the reading that shows it: what was done before that was read is in the reading, and is due again.
        """
        at = self.context.ground.clock.at
        made: dict[str, Any] = {
            "id": self.id(kind, *more),
            "kind": kind,
            "moment": self.moment,
            "water": self.path,
            "who": self.who,
            "by": at(self.by_h),
            "answers": self.answers,
            "done": done_at(self.context, kind, self.water.place, key=key),
        }
        made |= others
        return {**made, "done": at(self.start_h)} if self.past else made

    def proposal(self, kind: Kind, *more: str, effects: Iterable[Effect] = (), **others: Any) -> Proposal:
        """The action with its effects; a refused one has none."""
        action = Action(**self.action(kind, *more, **others))
        return Proposal(action=action, effects=() if action.refused_because else tuple(effects))

    def put(self, name: str, draws: Numbers, unit: str, **more: Any) -> str:
        """Puts a figure of the water under its path: `name` is what follows the water's."""
        return self.context.figures.put(f"{self.path}/{name}", draws, unit=unit, **more)

    def put_row(self, name: str, row: tables.Row, unit: str, act_end: ActEnd = ActEnd.BEST) -> str:
        """Puts the value of a table row under the water's path."""
        return self.put(name, row.value, unit, act_end=act_end, rows=(row.id,))

    def limits(self, hazard: Hazard) -> tuple[float, ...]:
        """The limits of the judgements of a hazard that call."""
        return tuple(
            one.record.limit.value
            for one in self.judged
            if one.record.hazard is hazard and one.record.limit is not None and one.record.limit.value is not None
        )

    def calls(self, *hazards: Hazard) -> tuple[Judged, ...]:
        """Those of some hazards."""
        return tuple(one for one in self.judged if one.record.hazard in hazards)


def needs(
    context: Context,
    *hazards: Hazard,
    least: Verdict = Verdict.WATCH,
    when: Callable[[Judged], bool] = lambda one: POWER_OFF not in one.id,
) -> Iterator[Need]:
    """What each water needs against some hazards, in the order of the waters.

    Parameters
    ----------
    context : Context
        The judgements and the stay.
    *hazards : Hazard
        Which hazards call.
    least : Verdict
        The mildest verdict that calls.
    when : callable, optional
        Which judgements count; those of a power cut only where this says so.

    Yields
    ------
    Need
        One for each water that needs something.
    """
    calling = [one for one in context.calling(*hazards, least=least) if when(one)]
    for path, water in context.stay.waters.items():
        here = tuple(one for one in calling if one.record.water == path)
        if here:
            yield need_of(context, water, here)


def need_of(context: Context, water: WaterStay, judged: Iterable[Judged]) -> Need:
    """The need of one water that some judgements make."""
    here = tuple(judged)
    stretches = [found for one in here if (found := stretch_of(one, water.place)) is not None]
    first = min(stretches or water.place.stretches, key=lambda one: one.start_h, default=None)
    return Need(context=context, water=water, stretch=first, judged=here, start_h=_start_h(context, water.place, first))


def _start_h(context: Context, place: Place, stretch: Stretch | None) -> float:
    if stretch is not None:
        return stretch.start_h
    into = [one for path in place.pours_into for one in context.ground.places[path].stretches]
    return min((one.start_h for one in into), default=context.ground.clock.now_h)


def stretch_of(one: Judged, place: Place) -> Stretch | None:
    """The stretch that a judgement is of."""
    named = [stretch for stretch in place.stretches if stretch.name in one.id.split("/")[2:]]
    of_moment = [stretch for stretch in place.stretches if stretch.moment is one.record.moment]
    return next(iter((*named, *of_moment, *place.stretches)), None)
