"""The antidote for the chlorine in a water, or for what a hose brought into a stocked pond."""

import numpy as np

from waterplan import tables
from waterplan.actions.bottle_age import age_of
from waterplan.actions.dose_task import Task, place_portion
from waterplan.actions.draft import Stopped, reason
from waterplan.actions.portions import portion
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
    row = tables.row("neutralisers", oxidant="chlorine", neutraliser=task.row["agent"])
    hose = task.dose.use == substances.HOSE
    if hose and row["stocked"] == "no":
        raise Stopped(reason("not into water with fish", {"substance": task.dose.substance, "row": row.id}))
    if task.around.disinfectant == "chloramine" and task.row["thing"] == "ascorbic_acid":
        rule = tables.row("conflicts", rule="ascorbic acid and chloramine")
        raise Stopped(reason("must not meet", {"rule": rule["rule"], "row": rule.id}))
    task.draft.caution(*age_of(task.dose, task.around.day))
    chlorine = _chlorine(task, hose)
    strongest = max(band(chlorine).high, float(chlorine[0]))
    if strongest <= 0.0:
        raise Stopped(reason("nothing to add", there=(chlorine, "mg/L")))
    litres = _litres(task, hose)
    most_l = band(litres).high
    need = np.asarray(
        neutralise.neutraliser_g(litres * chlorine / 1000.0, oxidant="chlorine", neutraliser=task.row["agent"])
    )
    most_g = float(
        neutralise.neutraliser_g(most_l * strongest / 1000.0, oxidant="chlorine", neutraliser=task.row["agent"])
    )
    made = portion(task.bench, most_g, wanted=0.0, safe=Safe.UP)
    place_portion(task, made, need=need, end="high", litres=most_l, rows=(row.id,))
    draft = task.draft
    draft.amount("chlorine", chlorine, "mg/L", act_end=ActEnd.HIGH)
    draft.amount("volume", litres, "L", act_end=ActEnd.HIGH)
    draft.worked_out_for["chlorine"] = "high"
    draft.words["neutraliser test"] = row.id
    draft.caution(reason("the label comes first", {"substance": task.dose.substance}))
    reached = _after_hose(task, litres, chlorine) if hose else chlorine
    if task.around.disinfectant == "chloramine":
        _ammonia(task, reached)
    if task.water.place is not None:
        draft.effects.append(Neutralised(action=draft.id, water=task.water.id))
        if hose and "biofilter" in task.water.things:
            lost = FilterLost(action=draft.id, water=task.water.id, at_h=task.water.at_h, treatment="chlorine")
            draft.effects.append(lost)


def _litres(task: Task, hose: bool) -> FloatArray:
    if not hose:
        return task.water.litres
    if task.dose.added is None:
        raise Stopped(reason("enter the water that the hose brought"))
    return task.around.inputs.of_reading(f"{task.water.id}/hose", task.dose.added)


def _chlorine(task: Task, hose: bool) -> FloatArray:
    """Total chlorine of the new water: as read in it, of the mains, or the worst that is plausible."""
    if not hose and task.water.state.has(Q.CHLORINE):
        known = task.water.state.known[Q.CHLORINE]
        if known.is_known:
            return np.maximum(known.draws, 0.0)
    if task.around.chlorine is not None:
        return np.maximum(task.around.chlorine, 0.0)
    worst = tables.row("mains_chlorine", what="worst plausible")
    task.draft.caution(reason("worst plausible chlorine", {"row": worst.id}, chlorine=(worst.value, "mg/L")))
    return np.full(task.water.litres.size, worst.value)


def _after_hose(task: Task, added: FloatArray, chlorine: FloatArray) -> FloatArray:
    """The chlorine that the hose may have made of the pond: where nobody said whether as much ran over, the worse."""
    overflowed = {"yes": True, "no": False, True: True, False: False}.get(task.dose.overflowed)  # type: ignore[call-overload]
    volume = task.water.litres
    shares = {True: 1.0 - np.exp(-added / volume), False: added / (volume + added)}
    share = np.maximum(shares[True], shares[False]) if overflowed is None else shares[overflowed]
    reached = np.asarray(share * chlorine)
    task.draft.amount("chlorine reached", reached, "mg/L", act_end=ActEnd.HIGH)
    damage = tables.rows("filter_damage", agent="chlorine")[0]
    words = {"effect": damage["effect"], "row": damage.id}
    task.draft.cost(reason("filter harmed", words, days=(float(damage["days"]), "d"), level=(reached, "mg/L")))
    return reached


def _ammonia(task: Task, chlorine: FloatArray) -> None:
    """What chloramine leaves behind, with the ammonia that is there, at the water's pH and temperature."""
    state = task.water.state
    left = np.asarray(neutralise.ammonia_from_chloramine_mg_n_per_l(chlorine))
    total = left + np.maximum(state[Q.AMMONIA], 0.0)
    nh3 = np.asarray(ammonia.nh3_mg_n_per_l(total, ph=state[Q.PH], water_temp_c=state[Q.TEMPERATURE]))
    task.draft.cost(
        reason(
            "chloramine leaves ammonia",
            left=(left, "mg/L as N"),
            total=(total, "mg/L as N"),
            unionised=(nh3, "mg/L as N"),
        )
    )
