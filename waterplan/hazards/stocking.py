"""Stocking: the weight of all fish of a stretch over the water that they have."""

import numpy as np

from waterplan import tables
from waterplan.case.choices import Filter
from waterplan.hazards import levels
from waterplan.hazards.limits import water_limit
from waterplan.hazards.record import Hazard, Side, Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Origin, WaterKind
from waterplan.stay.state import Known

_L_PER_M3 = 1000.0


def hazard(subject: Subject) -> Assessed:
    """Kilograms in a cubic metre against what the kind of water carries: pond, tank by its filter, bag."""
    limit, harm = _rows(subject)
    fish = subject.fish
    together: FloatArray = sum((one.together_kg for one in fish), start=np.zeros(subject.state.size))
    litres = np.maximum(levels.least(subject, Q.VOLUME), 1e-6)
    unweighed = _unweighed(subject)
    return Assessed(
        quantity="stocking",
        which="all",
        values=together / litres * _L_PER_M3,
        unit="kg/m3",
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=limit.value,
        limit_row=limit,
        harm=None if harm is None else harm.value,
        rests=(*levels.rests(subject, Hazard.STOCKING, Q.VOLUME), *unweighed),
        rows=(harm.id,) if harm is not None else (),
        why=(Why(code="fish-without-size"),) if unweighed else (),
    )


def _rows(subject: Subject) -> tuple[tables.Row, tables.Row | None]:
    if subject.kind is WaterKind.HOME:
        watch, act = (water_limit("density_pond", level) for level in ("watch", "act"))
        return watch, act
    if subject.kind in (WaterKind.BAG, WaterKind.BOX):
        return tables.row("bag_loading", stage="patient"), None
    state = subject.water.equipment.filter or Filter.UNSEEDED
    return tables.row("hospital_demands", demand=f"density {state.value}"), None


def _unweighed(subject: Subject) -> tuple[Rests, ...]:
    """Fish of the pond that the case names without any size: they are not counted."""
    case = subject.stay.ground.case
    if subject.kind is not WaterKind.HOME:
        return ()
    some = [
        f"other-{number}"
        for number, one in enumerate(case.other_fish, 1)
        if one.count > 0 and one.weight is None and one.length is None
    ]
    nothing = np.zeros(subject.state.size)
    return tuple(
        Rests(
            water=path,
            quantity="weight",
            known=Known(
                draws=nothing,
                origin=Origin.ASSUMED,
                why="not measured",
                assumed=frozenset({f"{path}/weight"}),
            ),
        )
        for path in some
    )
