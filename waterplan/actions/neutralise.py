"""Chlorine taken out: grams for the high end of the litres and of the chlorine, and the ammonia that is left."""

from collections.abc import Iterator

import numpy as np

from waterplan import tables
from waterplan.actions.needs import Need, high, needs, rule, up
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Action, Kind
from waterplan.dose.neutralise import neutraliser_g
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.published import FloatArray
from waterplan.stay.effects import Neutralised
from waterplan.stay.prepare import chloramine_ammonia
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.state import State

NEUTRALISER = "thiosulphate pentahydrate"
_MG_PER_G = 1000.0


def neutralise(context: Context) -> Iterator[Proposal]:
    """Thiosulphate for every water in which chlorine was measured or may be."""
    for need in needs(context, Hazard.CHLORINE):
        if _from_tap(need) or need.worst is not Verdict.NOT_KNOWN or need.kind is WaterKind.HOME:
            yield _one(need)


def _from_tap(need: Need) -> bool:
    """Whether the water is of a source that may be disinfected, or filled from one."""
    source = need.water.source
    return need.kind is WaterKind.SOURCE or (source is not None and source.place.kind is WaterKind.SOURCE)


def _one(need: Need) -> Proposal:
    context, state = need.context, need.water.start
    batch = need.kind is WaterKind.SOURCE
    litres = np.full(state.size, rule("source batch")) if batch else state[Q.VOLUME]
    chlorine = np.maximum(state[Q.CHLORINE], 0.0)
    path = need.id(Kind.NEUTRALISE)
    if_hose = need.kind is WaterKind.HOME and need.worst is Verdict.NOT_KNOWN
    amounts = {
        "thiosulphate": put_thiosulphate(context, f"{need.path}/neutralise/thiosulphate", litres, chlorine),
        "litres": context.figures.put(f"{need.path}/neutralise/litres", litres, unit="L", act_end=ActEnd.HIGH),
        "chlorine": context.figures.put(
            f"{need.path}/neutralise/chlorine",
            chlorine,
            unit="mg/L",
            act_end=ActEnd.HIGH,
            rows=state.known[Q.CHLORINE].rows,
        ),
    }
    action = Action(
        **need.action(
            Kind.NEUTRALISE,
            key="chlorine",
            amounts=amounts,
            substance=NEUTRALISER,
            worked_out_for={} if batch else {"volume": "high"},
            costs=tuple(_costs(need, state)),
            cautions=tuple(_cautions(need, state, if_hose=if_hose)),
            words={"per": "batch"} if batch else {},
        )
    )
    effects = () if if_hose else (Neutralised(action=path, water=need.path),)
    return Proposal(action=action, effects=effects)


def put_thiosulphate(context: Context, path: str, litres: FloatArray, chlorine: FloatArray) -> str:
    """Grams for litres of a water with a chlorine, those of both high ends rounded up, as a figure."""
    ends = high(litres) * high(chlorine) / _MG_PER_G
    grams = litres * chlorine / _MG_PER_G
    per_g = float(neutraliser_g(1.0, oxidant="chlorine", neutraliser=NEUTRALISER))
    return context.figures.put(
        path,
        grams * per_g,
        unit="g",
        act_end=ActEnd.HIGH,
        act_on=up(ends * per_g, "g"),
        rows=(tables.row("neutralisers", oxidant="chlorine", neutraliser=NEUTRALISER).id,),
        equations=(neutraliser_g,),
        worked_out_for="high",
    )


def _costs(need: Need, state: State) -> Iterator[Why]:
    left = chloramine_ammonia(need.context.ground.case, state)
    if high(left) > 0.0:
        figure = need.context.figures.put(
            f"{need.path}/neutralise/ammonia-left", left, unit="mg/L as N", act_end=ActEnd.HIGH
        )
        yield Why(code="chloramine-leaves-ammonia", figures={"ammonia": figure})
    if need.stretch is not None and not need.ahead:
        yield Why(code="thiosulphate-takes-oxygen")


def _cautions(need: Need, state: State, *, if_hose: bool) -> Iterator[Why]:
    if if_hose:
        yield Why(code="only-if-tap-water-ran-in")
    if not need.context.ground.case.mains_water.disinfectant and _from_tap(need):
        yield Why(code="disinfectant-unknown-worst-assumed")
    if not state.known[Q.CHLORINE].is_known:
        yield Why(code="chlorine-not-measured-worst-assumed")
    yield Why(code="test-total-chlorine-until-none")
    yield Why(code="kit-zero-is-not-none")
