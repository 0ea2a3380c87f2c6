"""One tub for several patients, one after the other: what each leaves to the next, and whether the bath is made fresh."""

from collections.abc import Iterator, Mapping
from itertools import pairwise

from waterplan import tables
from waterplan.actions.amounts import high, low
from waterplan.actions.needs import Need, need_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Kind
from waterplan.hazards.limit_rows import nh3_limit, oxygen_level, water_limit
from waterplan.hazards.record import Why
from waterplan.published import FloatArray
from waterplan.stay.course import Course
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, FishState
from waterplan.stay.waters import Presence

_LEFT = {
    Q.OXYGEN: ActEnd.LOW,
    Q.CARBON_DIOXIDE: ActEnd.HIGH,
    Q.AMMONIA: ActEnd.HIGH,
    Q.UNIONISED_AMMONIA: ActEnd.HIGH,
}
_MIN_PER_H = 60.0


def bath_again(context: Context) -> Iterator[Proposal]:
    """For each patient that comes into a bath in which another was: what is in it by then, and what is done about it."""
    for water in context.stay.waters.values():
        for stretch in water.place.stretches:
            under = [one for one in stretch.present if one.state is FishState.ANAESTHETISED]
            need = need_of(context, water)
            for first, following in pairwise(under):
                if following.start_h > first.start_h and not need.past:
                    yield _before(need, water.course(stretch), first, following, begun_h=under[0].start_h)


def _before(need: Need, course: Course, first: Presence, following: Presence, *, begun_h: float) -> Proposal:
    at_h, path = following.start_h, f"again/{following.fish}"
    left = {quantity: course.at(quantity, at_h) for quantity in _LEFT}
    figures = {
        quantity.value: need.put(f"{path}/{quantity}", draws, quantity.unit, act_end=_LEFT[quantity])
        for quantity, draws in left.items()
    }
    age, limit = _MIN_PER_H * (at_h - begun_h), tables.row("action_rules", rule="anaesthetic bath age")
    figures["age"] = need.put(f"{path}/age", age, "min", act_end=ActEnd.HIGH)
    told = Why(code="bath-as-the-first-leaves-it", figures=figures, words={"first": first.fish})
    fresh = tuple(_too_bad(need, path, left, following)) + tuple(_too_old(need, path, at_h - begun_h, limit))
    return need.proposal(
        Kind.MEASURE,
        following.fish,
        answers=(),
        at=need.ground.clock.at(at_h),
        by=None,
        done=None,
        words={"fish": following.fish},
        steps=(told, *(fresh or codes("read-the-bath-first")), *codes("make-it-fresh" if fresh else "")),
        cautions=codes("drug-is-carried-out-never-topped-up-by-guess"),
    )


def _too_bad(need: Need, path: str, left: Mapping[Q, FloatArray], following: Presence) -> Iterator[Why]:
    """What the first leaves that is beyond a limit of the one that follows."""
    kind = need.ground.fish[following.fish].species
    alarm = oxygen_level([kind.oxygen_group], state="anaesthetised", level="alarm")
    if low(left[Q.OXYGEN]) < alarm.value:
        limit = need.put_row(f"{path}/oxygen-limit", alarm, Q.OXYGEN.unit)
        yield Why(code="bath-short-of-oxygen", figures={"limit": limit})
    for quantity, row in (
        (Q.CARBON_DIOXIDE, water_limit("carbon_dioxide", "limit")),
        (Q.UNIONISED_AMMONIA, nh3_limit([kind.law_group])),
        (Q.AMMONIA, water_limit("tan", "cap")),
    ):
        if high(left[quantity]) > row.value:
            limit = need.put_row(f"{path}/{quantity}-limit", row, quantity.unit)
            yield Why(code="bath-beyond-its-limit", figures={"limit": limit}, words={"quantity": quantity.value})


def _too_old(need: Need, path: str, hours: float, limit: tables.Row) -> Iterator[Why]:
    """The age of the drug's solution beyond which it is made again."""
    if hours > limit.value:
        yield Why(code="bath-too-old", figures={"limit": need.put_row(f"{path}/age-limit", limit, "h")})
