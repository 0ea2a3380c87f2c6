"""What is not for the fish: disinfecting solutions with their neutraliser, and the antidote for chlorine."""

import math
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.dose import iodine, neutralise, substances
from waterplan.dose.banded import Purpose, banded_dose
from waterplan.dose.rounding import Safe, round_safely
from waterplan.dose.substances import Kind
from waterplan.errors import Refused, Unanswerable
from waterplan.findings import Caution, Verdict, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.bathing import Task, band_words, capital, keep_told, told_of, told_sentence, told_words
from waterplan.first_plan.bottle_age import check_age
from waterplan.first_plan.desk import MAINS, Desk
from waterplan.first_plan.dose_cards import as_read, digits_of
from waterplan.first_plan.dose_waters import of_water, scale_division
from waterplan.first_plan.far_off import far_above, far_below, require_twice
from waterplan.first_plan.first_case.bottle import Bottle, parse_bottle
from waterplan.first_plan.portions import portion
from waterplan.first_plan.prepare import iodine_stock_percent
from waterplan.published import FloatArray, remark
from waterplan.spread import band
from waterplan.water import ammonia


def things(desk: Desk, task: Task) -> Answer:
    """A solution that disinfects things: for the high end of its volume, rounded up, because it fails by too little."""
    dose, place, draft, unit = task.dose, task.place, task.draft, task.unit
    if task.kind is Kind.IODINE:
        if dose.use == "fish":
            iodine.refuse_iodine_immersion()
        dose = replace(dose, bottle=dose.bottle or _iodine_bottle(desk))
    row = told_of(desk, task)
    assert row is not None  # the tables have a row for every use of these kinds
    if math.isnan(row.high):
        raise Refused(f"no strength of {dose.substance} is worked out for {dose.use}: {row.reason} ({row.cited})")
    wanted = _strength(task, row)
    draft.wanted = wanted
    keep_told(task, row, None)
    old = check_age(desk, dose, task.number)
    worked = banded_dose(place.volume, wanted_mg_per_l=wanted, purpose=Purpose.ANTIDOTE)
    # A share by volume is not a mass: litres x % x 10 are the millilitres of pure spirit.
    active = worked.volume_used_l * wanted * 10.0 if unit == "% v/v" else worked.amount_g
    made = portion(dose, task.number, draft, active=active, wanted=wanted, safe=Safe.UP, into=place.name)
    per_level = 10.0 if unit == "% v/v" else 1e-3
    values = made.given / per_level / place.litres
    draft.level = band(values)
    draft.order.append(f"Make it up to {place.words} with clean water; wash the things first, dirt uses it up.")
    draft.order.append(f"Contact: {row['contact_words']}.")
    rinse = row.keys.get("rinse", "")
    if rinse:
        draft.order.append(f"Afterwards {rinse}.")
    _neutraliser(task, made.given)
    weak = wanted < row.low
    kills = row.keys.get("does_not_kill", "")
    fails = f" It does not kill: {kills}." if kills else ""
    told, watched = conditions(desk, task) if task.kind is Kind.IODINE else ((), False)
    return Answer(
        text=f"{capital(made.words)} made up to {amount(worked.volume_used_l, unit='L')}, the high end of the volume: "
        f"{band_words(values, unit)}; {row['contact_words']}.{fails}{told_sentence(row, unit)}",
        unit=unit,
        values=values,
        limit=Limit(value=row.low, side=Side.AT_LEAST, words=f"told of: {told_words(row, unit)}"),
        verdict=Verdict.WATCH if weak or watched or task.dose.washed == "in doubt" else None,
        method="litres at the high end x level / strength, rounded up: a disinfectant fails by too little",
        cautions=(
            *(
                Caution(text=f"{capital(text)}.")
                for text in (row.reason, row.keys.get("cautions", ""), row.keys.get("notes", ""))
                if text
            ),
            *told,
            *old,
        ),
    )


def _strength(task: Task, row: tables.Row) -> float:
    """The level as the case gives it, else the table's: its upper one where the things may not be clean."""
    dose, unit = task.dose, task.unit
    if dose.washed == "no":
        raise Refused(f"wash the things first: dirt uses {dose.substance} up, and no figure tells how much")
    if dose.strength is None:
        dirty = dose.washed == "in doubt"
        remark(
            f"The strength is the table's{', its upper one because it is in doubt that the things are clean' if dirty else ''}"
            f", {told_words(row, unit)}: the label comes first."
        )
        return row.high if dirty else row.value
    wanted = dose.strength.measured.best
    if far_above(wanted, row.high) or far_below(wanted, row.low):
        why = f"{dose.strength.text} is far from what is told of for this use, {told_words(row, unit)}"
        require_twice(dose.strength, dose.again, key=f"doses[{task.number}] again", why=why)
    return wanted


def conditions(desk: Desk, task: Task) -> tuple[tuple[Caution, ...], bool]:
    """What pH and dirt do to povidone-iodine, and what trials found; and whether the pH is one to look at."""
    use = substances.table_name(task.dose.use)
    wanted = iodine.iodine_ph(use)
    said, outside = [], False
    water = next((name for name in (task.place.water, MAINS) if desk.latest(name, "ph") is not None), None)
    span = f"{wanted.low:g} to {wanted.high:g} ({wanted.status})"
    if water is None:
        said.append(Caution(text=f"pH of the water that it is made up with: {span} is wanted, and none was measured."))
    else:
        ph = band(desk.water(water, "ph"))
        outside = ph.high > wanted.high or ph.low < wanted.low
        where = f"pH {ph.best:.1f} of the {water}"
        if outside:
            text = f"{where} may lie outside the {span} that is wanted: iodine weakens in alkaline water. Use another water."
            said.append(Caution(text=text, serious=True))
        else:
            said.append(
                Caution(text=f"{capital(where)} is within the {span} that is wanted, if it is made up with that.")
            )
    clean, _, rich = iodine.iodine_in_dirt()
    said.append(
        Caution(
            text=f"Dirt: what {clean.value:g} {clean.unit} did in the water of a tank took {rich.value:,.0f} in a broth "
            f"({rich.cited}). No figure tells what a given dirt takes: wash first, and mix afresh when amber turns to straw."
        )
    )
    if use in {"wound", "eggs"}:
        about = [
            row for row in iodine.antiseptic_evidence("povidone-iodine") if ("eggs" in row["fish"]) == (use == "eggs")
        ]
        said += [Caution(text=f"{capital(row['fish'])}, {row['finding']} ({row.cited}).") for row in about]
    return tuple(said), outside


def _iodine_bottle(desk: Desk) -> Bottle:
    return parse_bottle(f"{iodine_stock_percent(desk):g} % PVP-I")


def _neutraliser(task: Task, given: float) -> None:
    """What takes the oxidant out of the solution before it is thrown away."""
    oxidant = task.row["oxidant"]
    if not oxidant:
        return
    pairs = [row for row in tables.table("neutralisers") if row["oxidant"] == oxidant]
    name = pairs[0]["neutraliser"]
    grams = float(neutralise.neutraliser_g(given, oxidant=oxidant, neutraliser=name))
    division = scale_division(task.dose)
    up = round_safely(grams, division=division, safe=Safe.UP).amount
    test = tables.row("neutralisers", oxidant=oxidant, neutraliser=name)["test"]
    task.draft.after.append(
        f"To neutralise it: {as_read(up, digits_of(division))} g of {name} (rounded up), stir, wait 10 minutes; then {test}."
    )


def dechlorinate(desk: Desk, task: Task) -> Answer:
    """The antidote for the chlorine in a water, or for what a hose brought into a stocked pond."""
    dose, place, draft = task.dose, task.place, task.draft
    agent = task.row["agent"]
    old = check_age(desk, dose, task.number)
    chlorine = _chlorine(desk, task)
    strongest = max(band(chlorine).high, float(chlorine[0]))
    row = tables.row("neutralisers", oxidant="chlorine", neutraliser=agent)
    if dose.use == substances.HOSE:
        if row["stocked"] == "no":
            raise Refused(f"{dose.substance} does not go into water with fish in it: {row.reason} ({row.cited})")
        if dose.added is None:
            raise Unanswerable(f"doses[{task.number}] added: the most water that the hose can have brought")
        if not dose.overflowed:
            raise Unanswerable(f"doses[{task.number}] overflowed: whether as much ran over as came in")
        added = band(desk.drawn_reading(f"doses[{task.number}].added", dose.added)).high
        after = neutralise.after_hose(
            place.volume.low_l,
            added_l=added,
            overflowed=dose.overflowed == "yes",
            chlorine_mg_per_l=strongest,
        )
        draft.chlorine = after.chlorine_mg_per_l
        litres, oxidant = added, added * chlorine / 1000.0
        said = (
            f"for all of the {amount(added, unit='L')} that came in; the pond may hold "
            f"{after.chlorine_mg_per_l:.2g} mg/L of chlorine, {100 * after.share_new:.0f} % of it new water"
        )
    else:
        litres, oxidant = place.volume.high_l, place.litres * chlorine / 1000.0
        said = f"for {amount(place.volume.high_l, unit='L')}, the high end of the volume"
    grams = np.asarray(neutralise.neutraliser_g(oxidant, oxidant="chlorine", neutraliser=agent))
    # Both at their high ends: an antidote fails by too little.
    most = float(neutralise.neutraliser_g(litres * strongest / 1000.0, oxidant="chlorine", neutraliser=agent))
    made = portion(dose, task.number, draft, active=most, wanted=0.0, safe=Safe.UP, into=place.name)
    draft.order += [f"Dissolve it in a jug of water of the {place.name} and pour it in where the water moves. Air on."]
    test = row["test"]
    draft.order.append(f"Wait 10 minutes, then test: {test}.")
    text = f"{capital(made.words)} {said}, at {strongest:.2g} mg/L of total chlorine. Then test: {test}."
    if desk.case.mains_water.disinfectant == "chloramine":
        left = float(neutralise.ammonia_from_chloramine_mg_n_per_l(strongest))
        text += f" Chloramine leaves {amount(left, unit='mg/L as N')} of ammonia behind in the new water."
    return Answer(
        text=text,
        unit="g ",
        values=grams,
        verdict=Verdict.ACT if dose.use == substances.HOSE else None,
        method="chlorine at its high end x litres at their high end x the table's factor, rounded up",
        cautions=(
            Caution(text="A product's label comes before this sum. Nothing is safe until the test reads none."),
            *((Caution(text=f"{capital(row.reason)}."),) if row.reason else ()),
            *old,
        ),
    )


def chloramine_ammonia(desk: Desk, task: Task) -> Answer:
    """Un-ionised ammonia from what chloramine leaves and what the water holds already, at its pH and temperature."""
    place = task.place
    chlorine = _chlorine(desk, task) if task.draft.chlorine is None else np.asarray(task.draft.chlorine)
    left = np.asarray(neutralise.ammonia_from_chloramine_mg_n_per_l(chlorine))
    held = of_water(desk, place, "tan")
    total = left + (0.0 if held is None else held)
    if held is None:
        remark(f"The ammonia that the {place.name} holds already was not measured: none is counted.")
    nh3 = np.asarray(
        ammonia.nh3_mg_n_per_l(
            np.broadcast_to(total, place.litres.shape).copy(),
            ph=desk.water(place.water, "ph"),
            water_temp_c=desk.temperature_c(place.water),
        )
    )
    limit = tables.row("water_limits", quantity="nh3", group=desk.species.law_group, level="limit").value
    harm = tables.row("water_limits", quantity="nh3", group="any", level="harm").value
    leaves, in_all = (amount(band(one).best, unit="mg/L as N") for one in (left, total))
    return Answer(
        text=f"{leaves} of ammonia from the chloramine, {in_all} with what is there: "
        f"{amount(nh3[0], unit='mg/L as N')} of it un-ionised at this pH. Neither thiosulphate nor time takes it out: "
        "water without it, zeolite before any salt, or a filter that works.",
        unit="mg/L as N",
        values=nh3,
        limit=Limit(value=limit, side=Side.AT_MOST, worst=harm),
        method="one N for each Cl2 of chloramine; share of NH3 at pH and temperature",
    )


def _chlorine(desk: Desk, task: Task) -> FloatArray:
    """Total chlorine of the new water: of the mains, or as measured in the vessel, or the worst that is plausible."""
    known = of_water(desk, task.place, "chlorine") if task.dose.use != substances.HOSE else None
    if known is None and desk.latest(MAINS, "chlorine") is not None:
        known = desk.water(MAINS, "chlorine")
    if known is not None:
        return known
    worst = tables.row("mains_chlorine", what="worst plausible")
    remark(f"The chlorine was not measured: {worst.value:g} mg/L, the worst that is plausible, is taken.")
    return np.full(desk.draws.count + 1, worst.value)
