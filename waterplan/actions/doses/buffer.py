"""Bicarbonate for a bath of tricaine: by mass beside what was weighed, or what leaves the water its least alkalinity."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import reason
from waterplan.actions.doses.task import Task, weigh_beside
from waterplan.dose import tricaine
from waterplan.dose.rounding import Safe, round_safely
from waterplan.hazards.limits import water_limit
from waterplan.published import FloatArray
from waterplan.spread import band
from waterplan.stay.quantities import Q

NEEDED, NONE = "what the water needs", "none"
# The rules of the table `tricaine_buffer`, by what a case calls them.
_RATIOS: Mapping[str, str] = MappingProxyType({"one to one": "one to one", "two to one": "soft water"})


def acid_mmol(tricaine_g: float) -> float:
    """The strong acid of a mass of tricaine [mmol]."""
    return float(tricaine.tricaine_acid_mmol_per_l(tricaine_g * 1000.0))


def chosen(task: Task) -> str:
    """Which bicarbonate was asked for; "" where nobody chose."""
    return str(task.dose.buffer or "")


def buffered(task: Task, tricaine_g: float) -> float:
    """The bicarbonate that goes with what was weighed [g], among the amounts of its dose; 0 where none goes in.

    Gram for gram is by the grams that were weighed. What the water needs is an antidote to the acid: by the high end of
    its need over the draws, rounded up. Where nobody chose, it is what the water needs, and that is told.
    """
    how = chosen(task)
    need = _needed_g(task, tricaine_g)
    row = tables.row("tricaine_buffer", how=_RATIOS.get(how, "one to one"))
    used = tricaine.tricaine_acid_mg_caco3_per_l(tricaine_g * 1000.0 / task.water.litres)
    task.draft.amount("alkalinity taken", np.asarray(used), "mg/L as CaCO3")
    if how in _RATIOS:
        return weigh_beside(task, "bicarbonate", row.value * tricaine_g, row.value * tricaine_g, rows=(row.id,))
    if how == NONE:
        return 0.0
    most = band(need).high
    grams = weigh_beside(task, "bicarbonate", need, most) if most > 0.0 else 0.0
    if not how:
        equal = round_safely(row.value * tricaine_g, division=task.bench.scale_division, safe=Safe.UP).amount
        told = reason("choose-the-bicarbonate", {"table": row.id}, needed=(grams, "g"), equal=(equal, "g"))
        task.draft.caution(told)
    return grams


def _needed_g(task: Task, tricaine_g: float) -> FloatArray:
    kept = water_limit("alkalinity", "watch").value
    per_litre = tricaine.bicarbonate_needed_mg_per_l(
        tricaine_g * 1000.0 / task.water.litres,
        alkalinity_mg_caco3_per_l=np.maximum(task.water.state[Q.ALKALINITY], 0.0),
        end_alkalinity_mg_caco3_per_l=kept,
    )
    return np.asarray(per_litre) * task.water.litres / 1000.0
