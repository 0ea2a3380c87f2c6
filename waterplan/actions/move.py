"""Fish moved to a water that is judged fit for them."""

from collections.abc import Iterator

from waterplan import tables
from waterplan.actions.amounts import rule
from waterplan.actions.needs import Need, needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Instead, Kind
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.spread import band
from waterplan.stay.effects import TakenOut
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, WaterKind

_FROM = (
    Hazard.OXYGEN,
    Hazard.AMMONIA,
    Hazard.NITRITE,
    Hazard.CHLORINE,
    Hazard.GAS_PRESSURE,
    Hazard.TEMPERATURE,
    Hazard.SALT,
    Hazard.SUBSTANCE,
    Hazard.STOCKING,
)
_INTO = (WaterKind.HOSPITAL, WaterKind.REVIVAL)
# What another kind of action puts right within the time there is.
_PUT_RIGHT = (Hazard.OXYGEN, Hazard.CHLORINE)


def move(context: Context) -> Iterator[Proposal]:
    """The patients out of a water that harms sooner than it can be put right, into a tub that is fit; refused where none is."""
    for need in needs(context, *_FROM, least=Verdict.ACT_NOW):
        if need.stretch is None or need.ahead or need.kind not in (WaterKind.HOME, WaterKind.HOSPITAL):
            continue
        soon = need.soonest_harm_h
        if soon is not None and soon > rule("move within") and not need.calls(Hazard.SUBSTANCE, Hazard.STOCKING):
            continue
        yield _one(need)


def _one(need: Need) -> Proposal:
    patients = [one for one in need.stretch.fish if one.startswith("patient-")] if need.stretch is not None else []
    tubs = [water for water in need.context.stay.waters.values() if _may_hold(need, water, patients)]
    fit = [water for water in tubs if not list(_unfit(need, water))]
    if not fit:
        reasons = tuple(why for water in tubs for why in _unfit(need, water)) or (Why(code="no-other-water-named"),)
        instead = tuple(
            Instead(kind=Kind.AIR, because=(Why(code="air-where-it-is"),)) for _ in need.calls(*_PUT_RIGHT)[:1]
        )
        return need.proposal(Kind.MOVE, refused_because=reasons, instead=instead)
    into, path = fit[0].place.id, need.id(Kind.MOVE)
    step = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
    within = need.put_row("move/temperature-step", step, "°C", ActEnd.LOW)
    # The rest of the pond's fish stay: what answers for them is done to the water.
    answered = need.answers if set(patients) >= set(need.stretch.fish if need.stretch else ()) else ()

    return need.proposal(
        Kind.MOVE,
        amounts={"within": within},
        answers=answered,
        words={"into": into, "fish": ", ".join(patients)},
        cautions=(Why(code="water-of-its-own-net-of-its-own"),),
        effects=(TakenOut(action=path, water=need.path, at_h=need.at_h, fish=patients),),
    )


def _may_hold(need: Need, water: WaterStay, fish: list[str]) -> bool:
    meant = {one for stretch in water.place.stretches for one in stretch.fish}
    return water.place.kind in _INTO and water.place.id != need.path and set(fish) <= meant


def _unfit(need: Need, water: WaterStay) -> Iterator[Why]:
    """Why a tub is not fit now: a judgement that is open or worse, or a step of temperature."""
    for one in need.context.judged.values():
        record = one.record
        if record.water == water.place.id and record.verdict.rank >= Verdict.NOT_KNOWN.rank:
            yield Why(
                code="tub-not-fit",
                words={"into": water.place.id, "hazard": record.hazard.value, "verdict": record.verdict.value},
            )
            return
    step = tables.row("temperature_steps", situation="healthy", limit="colder step")
    here, there = need.water.start[Q.TEMPERATURE], water.start[Q.TEMPERATURE]
    if abs(band(there).best - band(here).best) > step.value:
        put = need.context.figures.put
        figures = {
            "here": need.put("move/here", here, "°C"),
            "there": put(f"{water.place.id}/move/there", there, unit="°C"),
        }
        yield Why(code="tub-too-far-in-temperature", figures=figures, words={"into": water.place.id})
