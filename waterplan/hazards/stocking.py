"""Stocking: the weight of all fish of a stretch over the water that they have."""

from collections.abc import Iterator

import numpy as np

from waterplan import tables
from waterplan.case.choices import Filter
from waterplan.hazards import levels
from waterplan.hazards.limits import water_limit
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin, WaterKind
from waterplan.stay.state import Known

_L_PER_M3 = 1000.0


def hazard(subject: Subject) -> Assessed:
    """Kilograms in a cubic metre against what the kind of water carries: pond, tank by its filter, bag."""
    limit, harm = _rows(subject)
    together: FloatArray = sum((one.together_kg for one in subject.fish), start=np.zeros(subject.state.size))
    litres = np.maximum(levels.least(subject, Q.VOLUME), 1e-6)
    unweighed = tuple(_unweighed(subject)) if subject.kind is WaterKind.HOME else ()
    return Assessed(
        quantity="stocking",
        which="all",
        values=together / litres * _L_PER_M3,
        unit="kg/m3",
        limit=limit,
        harm=harm,
        quantities=(Q.VOLUME,),
        rests=unweighed,
        why=(Why(code="fish-without-size"),) if unweighed else (),
    )


def _rows(subject: Subject) -> tuple[tables.Row, tables.Row | None]:
    if subject.kind is WaterKind.HOME:
        return water_limit("density_pond", "watch"), water_limit("density_pond", "act")
    if subject.kind in (WaterKind.BAG, WaterKind.BOX):
        return tables.row("bag_loading", stage="patient"), None
    state = subject.water.equipment.filter or Filter.UNSEEDED
    return tables.row("hospital_demands", demand=f"density {state.value}"), None


def _unweighed(subject: Subject) -> Iterator[Rests]:
    """Fish of the pond that the case names without any size: they are not counted."""
    nothing = np.zeros(subject.state.size)
    for number, one in enumerate(subject.stay.ground.case.other_fish, 1):
        if one.count > 0 and one.weight is None and one.length is None:
            path = f"other-{number}"
            assumed = frozenset({f"{path}/weight"})
            known = Known(draws=nothing, origin=Origin.ASSUMED, why="not measured", assumed=assumed)
            yield Rests(water=path, quantity="weight", known=known)
