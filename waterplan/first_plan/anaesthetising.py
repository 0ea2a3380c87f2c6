"""The water of an anaesthetic bath: bicarbonate for its acid, pH and gases closed and aired, oxygen and temperature."""

import math

import numpy as np

from waterplan import tables
from waterplan.dose import anaesthesia, tricaine
from waterplan.dose.rounding import Safe, round_safely
from waterplan.dose.tricaine import TricaineWater
from waterplan.errors import Unanswerable
from waterplan.findings import Caution, Verdict, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.bathing import Task
from waterplan.first_plan.call import oxygen_level
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.dose_cards import Portion, as_read, digits_of
from waterplan.first_plan.dose_waters import of_water, scale_division
from waterplan.fish.breathing import goldfish_breaths_per_min
from waterplan.published import FloatArray, relay, watch
from waterplan.spread import band

# The rules of the table `tricaine_buffer`, by what a case file calls them.
_RATIOS = {"one to one": "one to one", "two to one": "soft water"}
_WHAT_IS_NEEDED, _NONE = "what the water needs", "none"


def buffer_mg_per_l(desk: Desk, task: Task, how: str) -> FloatArray:
    """Sodium bicarbonate for a rule: by mass beside the tricaine, or what leaves the water its least alkalinity."""
    level = _tricaine(task)
    if how == _NONE:
        return np.zeros_like(level)
    if how in _RATIOS:
        return np.asarray(tricaine.buffer_ratio(_RATIOS[how]).value * level)
    kept = tables.row("water_limits", quantity="alkalinity", group="any", level="watch").value
    alkalinity = desk.water(task.place.water, "alkalinity")
    return np.asarray(
        tricaine.bicarbonate_needed_mg_per_l(
            level, alkalinity_mg_caco3_per_l=alkalinity, end_alkalinity_mg_caco3_per_l=kept
        )
    )


def _tricaine(task: Task) -> FloatArray:
    """The level of tricaine over the error of the volume."""
    if task.dose.strength is None or not task.draft.portions:
        raise Unanswerable(f"doses[{task.number}] strength, and what keeps the dose from being worked out")
    level = task.draft.level
    assert level is not None  # a bath with portions has one
    return np.asarray(level.best * task.place.litres[0] / task.place.litres)


def buffer(desk: Desk, task: Task) -> Answer:
    """Grams of bicarbonate: what this water needs and what the trade puts in, for the high end of the volume."""
    alkalinity = desk.water(task.place.water, "alkalinity")
    used = np.asarray(tricaine.tricaine_acid_mg_caco3_per_l(_tricaine(task)))
    litres = task.place.volume.high_l
    division = scale_division(task.dose)
    kept = tables.row("water_limits", quantity="alkalinity", group="any", level="watch").value

    def grams(how: str) -> float:
        needed = band(buffer_mg_per_l(desk, task, how)).high * litres / 1000.0
        return round_safely(needed, division=division, safe=Safe.UP).amount

    asked = task.dose.buffer
    needs, equal = grams(_WHAT_IS_NEEDED), grams("one to one")
    digits = digits_of(division)
    text = (
        f"The acid takes {amount(used[0], unit='mg/L as CaCO3')} of this water's {amount(alkalinity[0], unit='mg/L as CaCO3')}. "
        f"To keep {amount(kept, unit='mg/L as CaCO3')} this water needs sodium bicarbonate, {_grams(needs, digits)}; the usual "
        f"gram for gram is {_grams(equal, digits)}."
    )
    if not asked:
        text += f" The veterinarian chooses: give doses[{task.number}] buffer."
    elif asked == _NONE:
        text += " None is meant to go in."
    else:
        chosen = grams(asked)
        text += f" Chosen, {asked}: {_grams(chosen, digits)}."
        if chosen > 0.0:
            made = Portion(what="sodium bicarbonate", amount=chosen, unit="g", digits=digits, into=task.place.name)
            task.draft.portions.append(made)
            task.draft.order.insert(
                0, f"Weigh {made.counted} of sodium bicarbonate: it is dissolved and poured in first."
            )
    values = buffer_mg_per_l(desk, task, asked or _WHAT_IS_NEEDED)
    bare = asked == _NONE and band(alkalinity - used).low < kept
    return Answer(
        text=text,
        unit="mg/L",
        values=values,
        verdict=Verdict.QUESTION if not asked else Verdict.WATCH if bare else None,
        method="acid of the tricaine against the alkalinity, high end of the volume, rounded up",
    )


def _grams(grams: float, digits: int) -> str:
    return f"{as_read(grams, digits)} g" if grams > 0.0 else "none"


def _waters(desk: Desk, task: Task) -> tuple[str, TricaineWater]:
    """The bath with the bicarbonate that was chosen, or with what the water needs where none was."""
    how = task.dose.buffer or _WHAT_IS_NEEDED
    if task.draft.bath is None:
        with watch() as trail:
            worked = _solve(desk, task, how)
        task.draft.bath = (worked, trail)
    else:
        worked, trail = task.draft.bath
        relay(trail)
    words = {_WHAT_IS_NEEDED: "with the bicarbonate that it needs", _NONE: "without bicarbonate"}
    return words.get(how, f"with bicarbonate {how}"), worked


def _solve(desk: Desk, task: Task, how: str) -> TricaineWater:
    place = task.place.water
    tan = of_water(desk, task.place, "tan")
    return tricaine.tricaine_water(
        desk.water(place, "ph"),
        alkalinity_mg_caco3_per_l=desk.water(place, "alkalinity"),
        water_temp_c=desk.temperature_c(place),
        tricaine_mg_per_l=_tricaine(task),
        bicarbonate_mg_per_l=buffer_mg_per_l(desk, task, how),
        tan_mg_n_per_l=0.0 if tan is None else tan,
        air_pressure_kpa=desk.air_pressure_kpa(),
    )


def bath_ph(desk: Desk, task: Task) -> Answer:
    """pH and carbon dioxide of the bath when it is made, and when it has aired."""
    how, worked = _waters(desk, task)
    before = desk.water(task.place.water, "ph")
    closed, aired = np.asarray(worked.closed_ph), np.asarray(worked.aired_ph)
    co2, later = np.asarray(worked.closed_co2_mg_per_l), np.asarray(worked.aired_co2_mg_per_l)
    watch = tables.row("water_limits", quantity="ph", group="any", level="watch")
    inside = watch.low <= closed[0] <= watch.high and watch.low <= aired[0] <= watch.high
    return Answer(
        text=f"{how[0].upper()}{how[1:]}: pH {before[0]:.1f} before, {closed[0]:.1f} when it is mixed and "
        f"{aired[0]:.1f} once it has aired; carbon dioxide {amount(co2[0], unit='mg/L')} at first, "
        f"{amount(later[0], unit='mg/L')} when aired. Air it for some minutes before the fish goes in.",
        values=closed,
        limit=Limit(value=watch.low, side=Side.AT_LEAST, words=f"{watch.low:g} to {watch.high:g}"),
        verdict=None if inside else Verdict.WATCH,
        method="alkalinity and carbonate balance: closed, before gas is lost, and in balance with the air",
    )


def bath_nh3(desk: Desk, task: Task) -> Answer:
    """Un-ionised ammonia of the bath, closed and aired: it is at its worst when the bath has aired."""
    if of_water(desk, task.place, "tan") is None:
        raise Unanswerable(f"total ammonia of the {task.place.name}")
    how, worked = _waters(desk, task)
    closed, aired = np.asarray(worked.closed_nh3_mg_n_per_l), np.asarray(worked.aired_nh3_mg_n_per_l)
    limit = tables.row("water_limits", quantity="nh3", group=desk.species.law_group, level="limit").value
    harm = tables.row("water_limits", quantity="nh3", group="any", level="harm").value
    return Answer(
        text=f"{how[0].upper()}{how[1:]}: {amount(closed[0], unit='mg/L as N')} when it is mixed, "
        f"{amount(aired[0], unit='mg/L as N')} once it has aired, which takes hours. "
        "Above the limit: cleaner water first, or less bicarbonate.",
        unit="mg/L as N",
        values=aired,
        limit=Limit(value=limit, side=Side.AT_MOST, worst=harm),
        method="share of NH3 at the aired pH, the worse of the two",
    )


def bath_fit(desk: Desk, task: Task) -> Answer:
    """Whether oxygen and temperature of the tub are such that the fish may go in."""
    place = task.place
    level = oxygen_level(desk, "anaesthetised", "alarm")
    step = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
    temps = desk.temperature_on_the_day_c(place.water)
    values = desk.start_oxygen_mg_per_l(place.water)
    share = 100.0 * values[0] / desk.saturation_mg_per_l(place.water)[0]
    apart, verdict = "", None
    if place.water != HOME and desk.latest(HOME, "temperature") is not None:
        differs = abs(float(temps[0] - desk.temperature_on_the_day_c(HOME)[0]))
        within = amount(step.low, unit="°C step")
        apart = (
            f" Its temperature is {amount(differs, unit='°C step')} from the home water's; within {within} is wanted."
        )
        verdict = Verdict.ACT if differs > step.value else Verdict.WATCH if differs > step.low else None
    return Answer(
        text=f"Oxygen {amount(values[0], unit='mg/L')}, {share:.0f} % of saturation, at {amount(temps[0], unit='°C')}; "
        f"{amount(level, unit='mg/L')} or more before the fish goes in.{apart}",
        unit="mg/L",
        values=values,
        limit=Limit(value=level, side=Side.AT_LEAST),
        verdict=verdict,
        method="readings of the tub, or what stands in for them",
    )


def times_told(desk: Desk, task: Task) -> tuple[str, ...]:
    """The minutes that trials tell of for this anaesthetic in fish of this group, in words."""
    rows = anaesthesia.expected_times(task.row["agent"], group=desk.species.salt_group)
    told = []
    if not rows:
        told.append("No times of this anaesthetic in fish of this kind are in the tables: the fish and the clock tell.")
    for row in rows:
        ends = "" if math.isnan(row.low) or math.isnan(row.high) else f"{row.low:g} to {row.high:g}"
        best = ends if math.isnan(row.value) else f"{row.value:g}{f' ({ends})' if ends else ''}"
        told.append(f"{row['level_mg_per_l']} mg/L: {row['event']} at {best} min; {row.reason} ({row.cited})")
    if desk.species.salt_group == "goldfish":
        told += _breathing(desk, task)
    return tuple(told)


def _breathing(desk: Desk, task: Task) -> list[str]:
    """What goldfish breathe at rest at the temperature of the bath; nothing where that is not known."""
    try:
        temp = float(desk.temperature_c(task.place.water)[0])
    except Unanswerable:
        return []
    beats = float(goldfish_breaths_per_min(temp))
    return [
        f"At rest goldfish of 9 to 13 cm took {beats:.0f} gill beats a minute at {amount(temp, unit='°C')} (published, Hirama & "
        "Kitano 1997); larger ones fewer: the patient's own count before is what it comes back to"
    ]


def not_proof_of_death(_: Desk, agent: str) -> Answer:
    """The fish that lived through an overdose: a still fish is not a dead one."""
    lived = anaesthesia.overdose_survivals(agent)
    told = "; ".join(
        f"{row['fish'].capitalize()}, {row['exposure']}: {row.value:.0f} {row.unit} {row.reason}" for row in lived
    )
    told = f" {told}." if told else ""
    return Answer(
        text=f"No level and no time in a bath proves death.{told} A second step and a check are the veterinarian's.",
        standing=True,
    )


def if_breathing_stops(_: Desk) -> Answer:
    """What is done, in order, when the fish stops breathing."""
    steps = anaesthesia.revival_steps()
    text = " ".join(f"{number}. {row['words'][0].upper()}{row['words'][1:]}." for number, row in enumerate(steps, 1))
    return Answer(
        text=text, cautions=(Caution(text="No breathing: act within a minute.", serious=True),), standing=True
    )
