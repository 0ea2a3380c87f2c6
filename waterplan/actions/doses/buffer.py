"""Bicarbonate for a bath of tricaine: by mass beside what was weighed, or what leaves the water its least alkalinity."""

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import reason
from waterplan.actions.doses.task import Task, weigh_beside
from waterplan.case.choices import Buffer
from waterplan.dose import tricaine
from waterplan.dose.rounding import Safe, round_safely
from waterplan.hazards.limits import water_limit
from waterplan.spread import band
from waterplan.stay.quantities import Q


def acid_mmol(tricaine_g: float) -> float:
    """The strong acid of a mass of tricaine [mmol]."""
    return float(tricaine.tricaine_acid_mmol_per_l(tricaine_g * 1000.0))


def buffered(task: Task, tricaine_g: float) -> float:
    """The bicarbonate that goes with what was weighed [g], among the amounts of its dose; 0 where none goes in.

    Gram for gram is by the grams that were weighed. What the water needs is an antidote to the acid: by the high end of
    its need over the draws, rounded up. Where nobody chose, it is what the water needs, and that is told.
    """
    how, water = task.dose.buffer, task.water
    level = tricaine_g * 1000.0 / water.litres
    task.draft.amount("alkalinity taken", tricaine.tricaine_acid_mg_caco3_per_l(level), "mg/L as CaCO3")
    row = tables.row("tricaine_buffer", how="soft water" if how is Buffer.TWO else "one to one")
    equal = row.value * tricaine_g
    if how in (Buffer.ONE, Buffer.TWO):
        return weigh_beside(task, "bicarbonate", equal, equal, rows=(row.id,))
    if how is Buffer.NONE:
        return 0.0
    per_litre = tricaine.bicarbonate_needed_mg_per_l(
        level,
        alkalinity_mg_caco3_per_l=np.maximum(water.state[Q.ALKALINITY], 0.0),
        end_alkalinity_mg_caco3_per_l=water_limit("alkalinity", "watch").value,
    )
    need = np.asarray(per_litre) * water.litres / 1000.0
    most = band(need).high
    grams = weigh_beside(task, "bicarbonate", need, most) if most > 0.0 else 0.0
    if how is None:
        rounded = round_safely(equal, division=task.bench.scale_division, safe=Safe.UP).amount
        numbers = {"needed": (grams, "g"), "equal": (rounded, "g")}
        task.draft.caution(reason("choose-the-bicarbonate", {"table": row.id}, **numbers))
    return grams
