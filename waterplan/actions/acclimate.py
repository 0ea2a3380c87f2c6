"""The way home by the clock: the water that a fish leaves made into the one that it enters, part by part."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.actions.needs import Need, need_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Action, Instead, Kind
from waterplan.actions.salts.unsalting import salt_must_stay
from waterplan.hazards.levels import as_left, state_of
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Subject, way_of
from waterplan.published import FloatArray
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import Stretch

_MATCHED = (Q.TEMPERATURE, Q.PH, Q.ALKALINITY, Q.SALT)
_MUST_BE_READ = (Q.TEMPERATURE, Q.PH)
_CARRIED = (WaterKind.BAG, WaterKind.BOX)
_MIN_PER_H, _PER_CENT = 60.0, 100.0
_STAYS = (Instead(kind=Kind.WAIT, because=codes("stays-where-it-is-until-matched")),)


def acclimate(context: Context) -> Iterator[Proposal]:
    """Into what carries the fish where that is more than one step from its tank, and into its pond.

    Where one of the ways is refused, none that is still to come is gone by its fish.
    """
    at_home = (
        replace(need_of(context, water), holding=stretch, start_h=stretch.start_h)
        for water in context.stay.waters.values()
        for stretch in water.place.stretches
        if stretch.moment is Moment.HOME
    )
    ways = [(need, tuple(_into(need, need.stretch))) for need in at_home]
    refused = {fish: need.path for need, made in ways for fish in need.stretch.fish if _refused(made)}
    for need, made in ways:
        waits = [refused[fish] for fish in need.stretch.fish if fish in refused]
        if waits and need.ahead and not _refused(made):
            because = (Why(code="does-not-leave-yet", words={"water": waits[0]}),)
            yield need.proposal(Kind.ACCLIMATE, moment=Moment.HOME, refused_because=because, instead=_STAYS)
        else:
            yield from made


def kept_back(ways: Iterable[Proposal], proposals: tuple[Proposal, ...]) -> tuple[Proposal, ...]:
    """The proposals, the packing for a way that is refused refused with it."""
    refused = {one.action.water: one.action.refused_because for one in ways if _refused([one])}
    return tuple(
        Proposal(action=_unpacked(one.action, refused[one.action.water]))
        if one.action.kind is Kind.PACK and one.action.is_open and one.action.water in refused
        else one
        for one in proposals
    )


def _unpacked(packing: Action, because: tuple[Why, ...]) -> Action:
    nothing = dict.fromkeys(("costs", "cautions"), ())
    return packing.model_copy(update={"refused_because": because, "instead": _STAYS, "amounts": {}, **nothing})


def _refused(made: Iterable[Proposal]) -> bool:
    return any(one.action.kind is Kind.ACCLIMATE and one.action.refused_because for one in made)


def _into(need: Need, stretch: Stretch) -> Iterator[Proposal]:
    subject = Subject(stay=need.context.stay, water=need.water, stretch=stretch)
    way = way_of(subject)
    if way is None or way.stretch is None or way.stretch.until_h <= need.ground.clock.now_h:
        return  # it is in no other water, or it is home already
    left = {one: as_left(way, one) for one in _MATCHED}
    found = {one: state_of(subject, subject.begins_h)[one] for one in _MATCHED}
    # By the best estimates: both waters are read again before the first part, and the parts are as many as that shows.
    apart = {one: abs(float(found[one][0] - left[one][0])) for one in _MATCHED}
    count = max(int(np.ceil(apart[one] / _row(one, "per step").value - 1e-9)) for one in _MATCHED)
    carried = need.kind in _CARRIED
    if carried and count <= 1:
        return
    refused = tuple(_too_far(need, way, left, found, count))
    if refused:
        yield need.proposal(Kind.ACCLIMATE, moment=Moment.HOME, refused_because=refused, instead=_STAYS)
        return
    yield _by_the_clock(need, way, left, found, max(count, 1), ends=carried)


def _row(quantity: str, limit: str) -> tables.Row:
    return tables.row("ramp_rates", quantity=quantity, limit=limit)


def _too_far(
    need: Need, way: Subject, left: dict[Q, FloatArray], found: dict[Q, FloatArray], count: int
) -> Iterator[Why]:
    """What cannot be brought about on the day itself."""
    place = way.water.place.id
    # By the best estimates too; what is said of them is the far end of the band, as where the step is judged.
    apart = {one: found[one] - left[one] for one in (Q.TEMPERATURE, Q.SALT)}
    which = "colder step" if apart[Q.TEMPERATURE][0] < 0.0 else "warmer step"
    step = tables.row("temperature_steps", situation="healthy", limit=which)
    falls, salt = float(-apart[Q.SALT][0]), tables.row("dose_rules", rule="salt_lowered")
    warms = float(abs(apart[Q.TEMPERATURE][0]))
    for quantity, far, most, row in ((Q.TEMPERATURE, warms, step.value, step), (Q.SALT, falls, salt.high, salt)):
        if far > most:
            name, between = f"acclimation/{quantity}", np.abs(apart[quantity])
            figures = {
                "apart": need.put(f"{name}-apart", between, row.unit, act_end=ActEnd.HIGH),
                "limit": need.put(f"{name}-step", most, row.unit, act_end=ActEnd.LOW, rows=(row.id,)),
            }
            yield Why(code=f"too-far-apart-in-{quantity}", figures=figures, words={"water": place})
    stays = salt_must_stay(need_of(need.context, way.water)) if falls > _row(Q.SALT, "per step").value else ""
    yield from codes(stays)
    longest = _row("any", "most")
    if count * _row("any", "every").value > longest.value:
        yield Why(code="acclimation-too-long", figures={"most": need.put_row("acclimation/most", longest, "h")})


def _by_the_clock(
    need: Need, way: Subject, left: dict[Q, FloatArray], found: dict[Q, FloatArray], count: int, *, ends: bool
) -> Proposal:
    """The schedule: equal parts of the way, one each time; it ends as the fish leaves, or begins as it arrives."""
    every_h, at = _row("any", "every").value, need.ground.clock.at
    begin_h = need.start_h - count * every_h if ends else need.start_h
    steps = []
    for number in range(1, count + 1):
        path, hour = f"acclimation/{number}", begin_h + (number - 1) * every_h
        figures = {
            one.value: need.put(f"{path}/{one}", left[one] + number / count * (found[one] - left[one]), UNITS[one])
            for one in _MATCHED
        }
        # What is left of the old water goes down in equal parts: of four, a quarter, a third, a half, all.
        figures["share"] = need.put(f"{path}/share", _PER_CENT / (count - number + 1), "%")
        figures["after"] = need.put(f"{path}/after", (number - 1) * every_h * _MIN_PER_H, "min")
        clock = at(hour)
        words = {"into": need.path, "at": "" if clock is None else clock.isoformat()}
        code = "acclimation-step" if number < count else "acclimation-last-step"
        steps.append(Why(code=code, figures=figures, words=words))
    first = "read-both-waters-before-the-first-part" if count > 1 else "read-both-waters-before-it-is-lifted"
    return need.proposal(
        Kind.ACCLIMATE,
        moment=Moment.HOME,
        at=at(begin_h),
        by=at(begin_h),
        until=at(begin_h + count * every_h),
        done=None,
        source=way.water.place.id,
        amounts={"hours": need.put("acclimation/hours", count * every_h, "h", act_end=ActEnd.HIGH)},
        steps=tuple(steps),
        cautions=(*_not_read(need, way), *codes(first, "no-water-of-the-way-into-the-pond")),
    )


def _not_read(need: Need, way: Subject) -> Iterator[Why]:
    """That the parts hang on something that nobody measured, in one line."""
    waters = ((way.water.place.id, state_of(way)), (need.path, need.state))
    lacking = [f"{one} of {path}" for path, state in waters for one in _MUST_BE_READ if not state.known[one].is_known]
    if lacking:
        yield Why(code="acclimation-by-what-is-assumed", words={"what": ", ".join(lacking)})
