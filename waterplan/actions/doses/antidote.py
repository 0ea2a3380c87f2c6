"""The antidote for the chlorine in a water, or for what a hose brought into a stocked pond."""

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import Stopped, all_in, forbidden, reason
from waterplan.actions.doses.portions import age_of
from waterplan.actions.doses.sums import Needed
from waterplan.actions.doses.task import Task, filter_harmed
from waterplan.actions.record import Kind
from waterplan.dose import neutralise, substances
from waterplan.dose.rounding import Safe
from waterplan.published import FloatArray
from waterplan.spread import band
from waterplan.stay.effects import FilterLost, Neutralised
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd
from waterplan.water import ammonia


def dechlorinated(task: Task) -> None:
    """Works out the antidote, chlorine and litres at their high ends, rounded up: it fails by too little."""
    dose, draft, water = task.dose, task.draft, task.water
    agent = task.row["agent"]
    row = tables.row("neutralisers", oxidant="chlorine", neutraliser=agent)
    hose, chloramine = dose.use == substances.HOSE, task.around.disinfectant == "chloramine"
    if hose and row["stocked"] == "no":
        raise Stopped(reason("not-into-water-with-fish", {"substance": dose.substance, "table": row.id}))
    if chloramine and task.row["thing"] == "ascorbic_acid":
        raise forbidden("ascorbic acid and chloramine")
    draft.caution(*age_of(dose, task.around.day))
    chlorine = _chlorine(task, hose)
    strongest = max(band(chlorine).high, float(chlorine[0]))
    if strongest <= 0.0:
        test = reason("dose-what-a-test-shows")
        raise Stopped(reason("nothing-to-neutralise", there=(chlorine, "mg/L")), instead=[(Kind.MEASURE, test)])
    litres = water.litres
    if hose:
        if dose.added is None:
            raise Stopped(reason("enter-the-water-that-the-hose-brought"))
        litres = task.around.inputs.of_reading(f"{water.id}/hose", dose.added)
    most_l = band(litres).high
    draws, most_g = (
        neutralise.neutraliser_g(mg / 1000.0, oxidant="chlorine", neutraliser=agent)
        for mg in (litres * chlorine, most_l * strongest)
    )
    need = Needed(draws=np.asarray(draws), amount=float(most_g), litres=most_l, safe=Safe.UP)
    task.measure_out(need, wanted=0.0, rows=(row.id,))
    draft.amount("chlorine", chlorine, "mg/L", act_end=ActEnd.HIGH)
    draft.amount("volume", litres, "L", act_end=ActEnd.HIGH)
    draft.worked_out_for["chlorine"] = "high"
    draft.words["neutraliser test"] = row.id
    draft.caution(reason("the-label-comes-first", {"substance": dose.substance}))
    reached = _after_hose(task, litres, chlorine) if hose else chlorine
    if chloramine:
        _ammonia(task, reached)
    if water.place is not None:
        draft.effects.append(Neutralised(action=draft.id, water=water.id))
        if hose and "biofilter" in water.things:
            draft.effects.append(FilterLost(action=draft.id, water=water.id, at_h=water.at_h, treatment="chlorine"))


def _chlorine(task: Task, hose: bool) -> FloatArray:
    """Total chlorine of the new water: as read in it, of the mains, or the worst that is plausible."""
    known = task.water.state.known.get(Q.CHLORINE)
    if known is not None and not hose:
        if "/neutralise/" in (known.came_from or ""):
            raise Stopped(reason("ordered-already", {"action": known.came_from or ""}))
        if known.is_known:
            return np.maximum(known.draws, 0.0)
    if task.around.chlorine is not None:
        return np.maximum(task.around.chlorine, 0.0)
    worst = tables.row("mains_chlorine", what="worst plausible")
    task.draft.caution(reason("worst-plausible-chlorine", {"table": worst.id}, chlorine=(worst.value, "mg/L")))
    return np.full(task.water.litres.size, worst.value)


def _after_hose(task: Task, added: FloatArray, chlorine: FloatArray) -> FloatArray:
    """The chlorine that the hose may have made of the pond: where nobody said whether as much ran over, the worse."""
    overflowed, volume = task.dose.overflowed, task.water.litres
    shares = {True: 1.0 - np.exp(-added / volume), False: added / (volume + added)}
    share = np.maximum(shares[True], shares[False]) if overflowed is None else shares[overflowed]
    reached = np.asarray(share * chlorine)
    task.draft.amount("chlorine reached", reached, "mg/L", act_end=ActEnd.HIGH)
    task.draft.cost(filter_harmed(tables.rows("filter_damage", agent="chlorine")[0], reached, "mg/L", of="chlorine"))
    return reached


def _ammonia(task: Task, chlorine: FloatArray) -> None:
    """What chloramine leaves behind, with the ammonia that is there, at the water's pH and temperature."""
    state = task.water.state
    left = np.asarray(neutralise.ammonia_from_chloramine_mg_n_per_l(chlorine))
    total = left + np.maximum(state[Q.AMMONIA], 0.0)
    unionised = ammonia.nh3_mg_n_per_l(total, ph=state[Q.PH], water_temp_c=state[Q.TEMPERATURE])
    levels = all_in("mg/L as N", left=left, total=total, unionised=unionised)
    task.draft.cost(reason("ammonia-that-chloramine-leaves", **levels))
