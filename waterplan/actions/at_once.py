"""What is done at once: a hose and food stopped, which may be doing the harm, and fish moved to a water that is fit."""

from collections.abc import Iterator
from functools import partial

from waterplan import tables
from waterplan.actions.amounts import rule
from waterplan.actions.needs import Need, disease_stops, need_of, needs
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.spread import band
from waterplan.stay.effects import NotFed, TakenOut
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import HOME

_BY_HOSE = (Hazard.CHLORINE, Hazard.OXYGEN, Hazard.GAS_PRESSURE, Hazard.SUBSTANCE)
_BY_FOOD = (Hazard.OXYGEN, Hazard.AMMONIA, Hazard.NITRITE, Hazard.TEMPERATURE)
_FROM = (*_BY_HOSE, Hazard.AMMONIA, Hazard.NITRITE, Hazard.TEMPERATURE, Hazard.SALT, Hazard.STOCKING)
_UNDER = (WaterKind.INDUCTION, WaterKind.IRRIGATION)
_INTO = (WaterKind.HOSPITAL, WaterKind.REVIVAL)


def source_off(context: Context) -> Iterator[Proposal]:
    """The hose off at a pond where something must be done that tap water may have brought."""
    for need in needs(context, *_BY_HOSE, least=Verdict.ACT_NOW, kind=Kind.SOURCE_OFF):
        if need.path == HOME:
            yield need.proposal(Kind.SOURCE_OFF, cautions=codes("any-hose-off", "dosing-pumps-off"))


def stop_feeding(context: Context) -> Iterator[Proposal]:
    """Feeding stopped in the pond and in the tank where something must be done, or where meals are what drives it."""
    fed = context.ground.case.intended.feeding is not None
    for need in needs(context, *_BY_FOOD, kind=Kind.STOP_FEEDING):
        if need.urgent and (need.path == HOME or (need.kind is WaterKind.HOSPITAL and fed)):
            until = codes("until-two-readings-are-good")
            yield need.proposal(Kind.STOP_FEEDING, done=None, cautions=until, effects=[NotFed(at_h=need.at_h)])


def move_nothing(context: Context) -> Iterator[Proposal]:
    """No fish, water or net leaves a pond where a notifiable disease may be at work; whoever must know is called."""
    for need in needs(context, Hazard.DISEASE, least=Verdict.ACT_NOW):
        if need.path == HOME:
            authority = need.ground.case.place.authority
            call = Why(code="stop-call-the-authority", words={"authority": authority} if authority else {})
            yield need.proposal(
                Kind.MOVE_NOTHING,
                done=None,
                steps=(*codes("stop-no-fish-water-net"), call, *codes("stop-no-warming", "stop-keep-water-in")),
                cautions=tuple(why for one in need.judged for why in one.why),
            )


def move(context: Context) -> Iterator[Proposal]:
    """The patients out of a water that harms sooner than it can be put right, into a tub that is fit; refused where none is."""
    for need in needs(context, *_FROM, least=Verdict.ACT_NOW, kind=Kind.MOVE):
        soon = need.soonest_harm_h
        at_once = soon is None or soon <= rule("move within") or need.calls(Hazard.SUBSTANCE, Hazard.STOCKING)
        if at_once and not need.ahead and need.kind in (WaterKind.HOME, WaterKind.HOSPITAL):
            yield _moved(need)
    yield from _abort(context)


def _abort(context: Context) -> Iterator[Proposal]:
    """Where the patients wake if the water of the anaesthetic fails: decided before the first is lifted."""
    waters = context.stay.waters.values()
    under = [one for one in waters if one.place.kind in _UNDER and one.place.stretches]
    if not under:
        return
    need = need_of(context, min(under, key=lambda one: one.place.stretches[0].start_h))
    if need.past:
        return
    made = partial(need.proposal, Kind.MOVE, "abort", moment=Moment.PREPARE, answers=(), done=None)
    told = {"abort": "yes"}
    wakes = next((one for one in waters if one.place.kind is WaterKind.REVIVAL and one.place.stretches), None)
    if wakes is None:
        first = (Instead(kind=Kind.MEASURE, because=codes("fill-one-first")),)
        yield made(words=told, refused_because=codes("no-tub-to-wake-in"), instead=first)
    else:
        told |= {"into": wakes.place.id, "fish": ", ".join(wakes.place.stretches[0].fish)}
        yield made(words=told, cautions=codes("who-wakes-it"))


def _moved(need: Need) -> Proposal:
    if need.path == HOME and disease_stops(need.context):
        stay = (Instead(kind=Kind.AIR, because=codes("air-where-it-is")),)
        return need.proposal(Kind.MOVE, refused_because=disease_stops(need.context), instead=stay)
    patients = [one for one in need.stretch.fish if one.startswith("patient-")]
    waters = need.context.stay.waters.values()
    tubs = {water.place.id: tuple(_unfit(need, water)) for water in waters if _may_hold(need, water, patients)}
    into = next((path for path, reasons in tubs.items() if not reasons), None)
    if into is None:
        # What another kind of action puts right within the time there is.
        put_right = need.calls(Hazard.OXYGEN, Hazard.CHLORINE)
        return need.proposal(
            Kind.MOVE,
            refused_because=sum(tubs.values(), ()) or codes("no-other-water-named"),
            instead=(Instead(kind=Kind.AIR, because=codes("air-where-it-is")),) if put_right else (),
        )
    step = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
    return need.proposal(
        Kind.MOVE,
        amounts={"within": need.put_row("move/temperature-step", step, step.unit, ActEnd.LOW)},
        # The rest of the pond's fish stay: what answers for them is done to the water.
        answers=need.answers if set(patients) >= set(need.stretch.fish) else (),
        words={"into": into, "fish": ", ".join(patients)},
        cautions=codes("water-of-its-own-net-of-its-own"),
        effects=[TakenOut(at_h=need.at_h, fish=patients)],
    )


def _may_hold(need: Need, water: WaterStay, fish: list[str]) -> bool:
    meant = {one for stretch in water.place.stretches for one in stretch.fish}
    return water.place.kind in _INTO and water.place.id != need.path and set(fish) <= meant


def _unfit(need: Need, water: WaterStay) -> Iterator[Why]:
    """Why a tub is not fit now: a judgement that is open or worse, or a step of temperature."""
    into = {"into": water.place.id}
    for one in need.context.judged.values():
        record = one.record
        if record.water == water.place.id and record.verdict.rank >= Verdict.NOT_KNOWN.rank:
            words = {**into, "hazard": record.hazard.value, "verdict": record.verdict.value}
            yield Why(code="tub-not-fit", words=words)
            return
    step = tables.row("temperature_steps", situation="healthy", limit="colder step")
    here, there = need.state[Q.TEMPERATURE], water.start[Q.TEMPERATURE]
    if abs(band(there).best - band(here).best) > step.value:
        figures = {
            "here": need.put("move/here", here, "°C"),
            "there": need.context.figures.put(f"{water.place.id}/move/there", there, unit="°C"),
        }
        yield Why(code="tub-too-far-in-temperature", figures=figures, words=into)
