"""Litres of tank against weight of fish at this temperature: where the tank serves, and what rules."""

from dataclasses import dataclass, replace

import numpy as np

from waterplan.errors import ImpossibleInput, Unanswerable
from waterplan.first_plan.daily_change import ph_shift
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.first_case.values import NOT_STATED, Reading
from waterplan.first_plan.hospital import DEMANDS, demand_l
from waterplan.published import FloatArray, Trail
from waterplan.spread import Draws, Measured, band
from waterplan.tank.answers import SEARCH_DRAWS

_POINTS, _LIGHTEST_KG, _HEAVIEST_KG, _ABOUT = 25, 0.05, 10.0, 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SafeRegion:
    """For each weight the litres that serve by the best figures and at the safe end, and which demand rules."""

    weights_kg: tuple[float, ...]
    best_l: tuple[float, ...]
    safe_l: tuple[float, ...]
    ruled_by: tuple[str, ...]
    not_counted: tuple[str, ...]
    temp_c: float
    here_kg: float
    here_l: float | None


def safe_region(desk: Desk) -> SafeRegion:
    """The smallest tank against the weight of the fish, at the intended temperature and with this water."""
    here = float(desk.weight_kg()[0])
    low, high = max(_LIGHTEST_KG, here / _ABOUT), min(_HEAVIEST_KG, here * _ABOUT)
    weights = np.geomspace(low, max(high, 2.0 * low), _POINTS)
    shift = ph_shift(desk)
    best, safe, ruled = [], [], []
    lacking: dict[str, None] = {}
    for weight in weights:
        other = _with_weight(desk, float(weight), shift)
        needs: dict[str, FloatArray] = {}
        for demand in DEMANDS:
            try:
                needs[demand] = demand_l(other, demand)
            except (Unanswerable, ImpossibleInput):
                lacking[demand] = None
        together = np.maximum.reduce(list(needs.values()))
        best.append(float(together[0]))
        safe.append(band(together).high)
        ruled.append(max(needs, key=lambda demand: band(needs[demand]).high))
    tanks = desk.case.vessels_for(Use.HOSPITAL)
    return SafeRegion(
        weights_kg=tuple(float(weight) for weight in weights),
        best_l=tuple(best),
        safe_l=tuple(safe),
        ruled_by=tuple(ruled),
        not_counted=tuple(lacking),
        temp_c=float(desk.hospital_temperature_c()[0]),
        here_kg=here,
        here_l=float(desk.vessel_l(tanks[0])[0]) if tanks else None,
    )


def _exactly(value: float, unit: str) -> Reading:
    return Reading(text=f"{value:g} {unit}", measured=Measured.exact(value), how=NOT_STATED, trail=Trail())


def _with_weight(desk: Desk, weight_kg: float, shift: float) -> Desk:
    """The same case with a patient of another weight, in the same condition where its length was measured."""
    patient = replace(desk.case.patient, weight=_exactly(weight_kg, "kg"), length=None)
    if desk.case.patient.length is not None:
        grown = float(desk.length_cm()[0]) * (weight_kg / float(desk.weight_kg()[0])) ** (1.0 / 3.0)
        patient = replace(patient, length=_exactly(grown, "cm"))
    return Desk(
        case=replace(desk.case, patient=patient),
        draws=Draws(count=min(desk.draws.count, SEARCH_DRAWS), seed=desk.draws.seed),
        logged=desk.logged,
        as_of=desk.as_of,
        assumed_filter=desk.assumed_filter,
        assumed_ph_shift=shift,
    )
