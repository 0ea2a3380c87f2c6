"""Feed for a patient that is to be fed: grams a day and a meal, from when, and how much a convalescent is given at this warmth."""

from collections.abc import Iterator

from waterplan import tables
from waterplan.actions.amounts import down, high
from waterplan.actions.needs import Need, need_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Kind
from waterplan.hazards.record import Why
from waterplan.published import FloatArray
from waterplan.stay.happenings import meal_hours, ration_g_per_day, ration_percent
from waterplan.stay.record import ActEnd, Moment, WaterKind

_DAY_H = 24.0


def feed(context: Context) -> Iterator[Proposal]:
    """The ration that the case intends in each hospital tank, where nothing stops the food."""
    stopped = {one.action.water for one in context.accepted if one.action.kind is Kind.STOP_FEEDING}
    for water in context.stay.waters.values():
        if water.place.kind is WaterKind.HOSPITAL and water.place.stretches and water.place.id not in stopped:
            need = need_of(context, water)
            percent = None if need.past else ration_percent(need.ground)
            if percent is not None:
                yield _fed(need, percent)


def _fed(need: Need, share: FloatArray) -> Proposal:
    at, times = need.ground.clock.at, meal_hours(need.water, need.stretch)
    grams = ration_g_per_day(need.ground, need.stretch, share)
    total = down(need.least(grams), "g")
    row = _ration(float(need.kept_c[0]))
    most = need.put("feed/most", row.high, "%/day", act_end=ActEnd.LOW, rows=(row.id,))
    wanted = need.put("feed/wanted", share, "%/day")
    more = Why(code="more-feed-than-a-patient-is-given", figures={"most": most, "wanted": wanted})
    meal, each = grams / len(times), down(total / len(times), "g")
    return need.proposal(
        Kind.FEED,
        moment=Moment.HOSPITAL,
        by=at(times[0]),
        at=at(times[0]),
        until=at(need.stretch.until_h),
        every_h=_DAY_H / len(times),
        done=None,
        answers=(),
        amounts={
            "feed": need.put("feed/day", grams, "g", act_end=ActEnd.LOW, act_on=total),
            "meal": need.put("feed/meal", meal, "g", act_end=ActEnd.LOW, act_on=each),
        },
        costs=(more,) if high(share) > row.high else (),
        cautions=codes("take-out-what-is-left", "no-feed-while-ammonia-is-over-its-limit"),
    )


def _ration(temp_c: float) -> tables.Row:
    """The row of the table `feeding` for a temperature of the water."""
    return next(row for row in tables.table("feeding") if temp_c < float(row["below_c"] or "inf"))
