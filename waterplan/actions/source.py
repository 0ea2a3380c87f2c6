"""The new water of a change: the best of the sources, what must be done to it, and what is to be diluted by it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import bicarbonate_g, high, low
from waterplan.actions.needs import Need, sign_of
from waterplan.actions.proposing import Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.actions.treating import put_thiosulphate
from waterplan.hazards.levels import most
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.hazards.salts import BEFORE_ANAESTHETIC, GUARDED, SIGN_STOPS
from waterplan.hazards.subject import Subject
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Changed
from waterplan.stay.filling import drawn, source_for, start_temp_c
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.salted import zeolite_in
from waterplan.stay.state import State
from waterplan.stay.waters import HOME, MAINS
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

_SUSPECTS = (Hazard.AMMONIA, Hazard.NITRITE, Hazard.SUBSTANCE, Hazard.PH, Hazard.CONFLICT)
# What a change dilutes, by the hazard that calls for it.
DILUTED = {
    Hazard.AMMONIA: Q.UNIONISED_AMMONIA,
    Hazard.NITRITE: Q.NITRITE,
    Hazard.SALT: Q.SALT,
    Hazard.CARBON_DIOXIDE: Q.CARBON_DIOXIDE,
}
_TOTAL, _UNLIKE = "water_limits/tan/", 1.01


# -- where the new water comes from ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class NewWater:
    """A source: a change of no litres from it, its water as it is poured in, and why it may not be, if it may not.

    From `dosed_h` on something is in it that is not to come into the tank.
    """

    pours: Changed
    state: State
    refused: tuple[Why, ...]
    dosed_h: float = np.inf


def source_of(need: Need) -> NewWater | None:
    """The best of the sources: one that is under the limits itself, that which the water was filled from first of those;
    never one under suspicion, and rather one that nothing is weighed into.
    """
    kept_c = start_temp_c(need.water, Scenario.POWER_OFF)
    found: list[NewWater] = []
    for path in dict.fromkeys((need.water.place.source, MAINS, HOME)):
        if path is not None and path != need.path and path in need.context.stay.waters:
            pours = Changed(litres=0.0, source=path, buffered_mg_caco3_per_l=_buffered(need, path))
            made = source_for(need.ground, kept_c, pours, drawn(need.context.later[path], need.from_h))
            refused = tuple(suspected(need, path)) or tuple(_worse(need, path, made))
            found.append(NewWater(pours=pours, state=made, refused=refused, dosed_h=_dosed_h(need, path)))
    put_in_h, until_h = need.context.later.effects.put_in_h, need.stretch.until_h
    fit = sorted((one for one in found if not one.refused), key=lambda one: put_in_h(one.pours.source) < until_h)
    return next((one for one in fit if not is_over(need, one.state)), (*fit, *found, None)[0])


def _dosed_h(need: Need, path: str) -> float:
    """The hour from which none of a source is poured: of a dose that is not salt, or of salt beside zeolite in the tank."""
    effects, zeolite = need.context.later.effects, any(zeolite_in(need.ground, need.water.place))
    return min(effects.dosed_h(path), effects.salted_h(path) if zeolite else np.inf)


def salt_of(need: Need, source: str, at_h: float) -> FloatArray:
    """The salt of a source as its water is drawn at an hour."""
    water = need.context.later[source]
    return (drawn(water, at_h) or water.as_found)[Q.SALT]


def dosed(need: Need, path: str) -> Why:
    """That a source is dosed, and when: from then on none of its water is poured."""
    return Why(code="source-dosed", words=_when(need, path, _dosed_h(need, path)))


def _when(need: Need, source: str, at_h: float) -> dict[str, str]:
    at = need.ground.clock.at(at_h)
    return {"source": source, "dosed": "" if at is None else at.isoformat()}


def suspected(need: Need, path: str) -> Iterator[Why]:
    """A source with something in it that treating and airing does not take out."""
    if _dosed_h(need, path) <= need.from_h:
        yield dosed(need, path)
    for one in need.context.judged.values():
        record = one.record
        if record.hazard is Hazard.SIGN and path == MAINS and tables.row("signs", sign=sign_of(record))["tap"]:
            yield Why(code="source-seen-as-cause", words={"source": path, "sign": sign_of(record)})
            return
        stops = record.id.endswith(BEFORE_ANAESTHETIC) and all(why.code != SIGN_STOPS for why in record.why)
        if stops and need.kind is WaterKind.HOSPITAL:  # what an anaesthetic asks is no limit of a tank
            continue
        if record.water == path and record.hazard in _SUSPECTS and record.verdict.rank >= Verdict.ACT_NOW.rank:
            words = {"source": path, "hazard": record.hazard.value, "judgement": record.id}
            yield Why(code="source-suspected", words=words)
            return


def _worse(need: Need, path: str, made: State) -> Iterator[Why]:
    """A source that holds as much of what is too high, as its hazards read it before any action: both numbers are shown.

    Of what nobody has read in it nothing is said but that it is to be read.
    """
    before = need.context.before
    here = Subject(stay=before, water=before[need.path], stretch=need.stretch)
    for quantity, limit in dict(over_limits(need)).items():
        if made.has(quantity) and high(made[quantity]) >= max(high(there := most(here, quantity)), limit):
            read = Q.AMMONIA if quantity is Q.UNIONISED_AMMONIA else quantity
            if read in (Q.AMMONIA, Q.NITRITE) and not before[path].as_found.known[read].is_known:
                yield Why(code="source-not-read", words={"source": path, "quantity": read.value})
                return
            unit = UNITS[quantity]
            figures = {
                "here": need.put(f"change/{quantity}/here", there, unit, act_end=ActEnd.HIGH),
                "source": need.put(f"change/{quantity}/{path}", made[quantity], unit, act_end=ActEnd.HIGH),
            }
            yield Why(code="source-worse", figures=figures, words={"source": path, "quantity": quantity.value})


def _buffered(need: Need, source: str) -> float | None:
    """The alkalinity that new water is brought up to where it is short, as measured or whatever it is; else None."""
    known = need.context.stay[source].as_found.known[Q.ALKALINITY]
    watch = water_limit("alkalinity", "watch").value
    short = (low if known.is_known else high)(known.draws) < watch
    return watch if short and need.kind is WaterKind.HOSPITAL else None


def no_source(need: Need, found: NewWater | None, *which: str, **keys: Any) -> Proposal:
    """A change that is refused, and what else there is."""
    others = {Kind.STOP_FEEDING: "less-ammonia-comes"}
    if need.kind is WaterKind.HOME:
        others[Kind.MOVE] = "to-water-that-is-fit"
    unread = found is not None and any(why.code == "source-not-read" for why in found.refused)
    others[Kind.MEASURE] = "read-the-source-first" if unread else "another-source-tested-first"
    return need.proposal(
        Kind.CHANGE,
        *which,
        source=found.pours.source if found else None,
        refused_because=found.refused if found else codes("no-source-known"),
        instead=tuple(Instead(kind=kind, because=codes(code)) for kind, code in others.items()),
        **keys,
    )


# -- what it is for, and what goes into it ---------------------------------------------------------------------------


def over_limits(need: Need) -> Iterator[tuple[Q, float]]:
    """What is to be diluted and the level that it is not to pass, of each judgement that calls.

    Chloride is diluted with the nitrite: where it does not guard now, it will not then.
    """
    for one in (one for one in need.calls(*DILUTED) if not one.id.endswith(BEFORE_ANAESTHETIC)):
        limit = one.limit
        most = None if limit is None else limit.value if limit.upper is None else limit.upper
        if one.hazard is Hazard.NITRITE and not any(why.code == GUARDED for why in one.why):
            most = water_limit("nitrite", "watch").value
        if limit is not None and most is not None:
            yield Q.AMMONIA if limit.row.startswith(_TOTAL) else DILUTED[one.hazard], most


def is_over(need: Need, state: State) -> bool:
    """Whether a limit is passed in a state; what a change does to a substance that calls is not known."""
    over = any(state.has(quantity) and high(state[quantity]) > limit for quantity, limit in over_limits(need))
    return over or bool(need.calls(Hazard.SUBSTANCE))


def is_helped(need: Need) -> bool:
    """Whether a water is over a limit that new water brings it nearer to: none does of which it was just filled."""
    found, here = source_of(need), need.state
    if found is None or found.refused or need.calls(Hazard.SUBSTANCE):
        return is_over(need, here)
    both = (one for one, _ in over_limits(need) if here.has(one) and found.state.has(one))
    return is_over(need, here) and any(high(here[one]) > _UNLIKE * high(found.state[one]) for one in both)


def amounts_of(need: Need, pours: Changed, litres: float, name: str) -> dict[str, str]:
    """Litres, and the neutraliser and the bicarbonate that they take."""
    raw, buffered = need.context.stay[pours.source].as_found, pours.buffered_mg_caco3_per_l
    given = {"act_end": ActEnd.HIGH, "act_on": litres, "worked_out_for": "low"}
    amounts = {"litres": need.put(f"{name}/litres", litres, "L", **given)}
    known = raw.known[Q.CHLORINE]
    chlorine = np.maximum(known.draws, 0.0)
    # Fish live in a pond where it was read as none; of the tap a kit that shows none is not believed.
    read = known.is_known and (pours.source == HOME or not known.censored)
    shown = chlorine[0] if known.censored else high(chlorine)
    if high(chlorine) > 0.0 and not (read and shown <= water_limit("chlorine", "limit").value):
        amounts["thiosulphate"] = put_thiosulphate(need, f"{name}/thiosulphate", litres, chlorine)
    if buffered is not None:
        # What is missing fails by too little.
        grams = bicarbonate_g(litres, wanted=buffered, there=raw[Q.ALKALINITY])
        used = {"act_end": ActEnd.HIGH, "equations": (bicarbonate_for_alkalinity_mg_per_l,)}
        amounts["bicarbonate"] = need.put(f"{name}/bicarbonate", grams, "g", **used)
    # The fish travels from the tubs to its pond.
    ways = [one.hours.measured.best for one in need.ground.case.transports if one.hours is not None]
    if ways and pours.source == HOME:
        amounts["away"] = need.put(f"{name}/away", max(ways), "min")
    return amounts


def cautions_of(need: Need, source: str, until_h: float) -> tuple[Why, ...]:
    """What is to be seen to with new water before it goes in, and the salt that it brings by an hour."""
    salted_h = need.context.later.effects.salted_h(source)
    salted: tuple[Why, ...] = ()
    if salted_h <= until_h:
        level = need.put(f"change/{source}/salted", salt_of(need, source, until_h), "g/L", act_end=ActEnd.HIGH)
        salted = (Why(code="source-salted", figures={"level": level}, words=_when(need, source, salted_h)),)
    match = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
    step = need.put_row("change/temperature-step", match, match.unit, ActEnd.LOW)
    matched = Why(code="match-treat-and-air-new-water", figures={"step": step})
    return (*salted, matched, *codes("test-new-water-before-it-goes-in"))
