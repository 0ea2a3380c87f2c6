"""A drug by body weight: what is told of for it, and what to draw up for the dose that the veterinarian chose."""

import math

import numpy as np

from waterplan import tables
from waterplan.dose import drugs
from waterplan.dose.drugs import FishUse
from waterplan.dose.injection import Injection as Drawn
from waterplan.dose.injection import WeightFrom, draw_up, injection_ml
from waterplan.errors import Refused, Unanswerable
from waterplan.findings import Caution, Moment, Verdict, amount
from waterplan.first_plan.answers import Answer
from waterplan.first_plan.bathing import capital
from waterplan.first_plan.bottle_age import check_expiry
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.dose_cards import InjectionCard, InjectionDraft, as_read, digits_of
from waterplan.first_plan.dose_waters import is_guess
from waterplan.first_plan.far_off import far_above, far_below, require_twice
from waterplan.first_plan.first_case.model import Injection
from waterplan.published import remark
from waterplan.spread import band

_USUAL_C = 20.0


def require_not_eaten(desk: Desk) -> None:
    """Refuses a drug for a fish that may be eaten, and asks where the case does not say."""
    said = desk.case.patient.eaten
    if not said:
        raise Unanswerable("[patient] eaten: whether the fish, or a fish from its water, may be eaten")
    drugs.require_ornamental(FishUse.MAY_BE_EATEN if said == "yes" else FishUse.ORNAMENTAL)


def told_rows(drug: str) -> tuple[tables.Row, ...]:
    """The doses that are told of for a drug; none where the table does not know it."""
    try:
        return tuple(row for row in drugs.drug_doses(drug.lower()) if not row["withheld"] and not math.isnan(row.high))
    except LookupError:
        return ()


def told_of(rows: tuple[tables.Row, ...]) -> str:
    """The doses that are told of, each with its fish, its status and its evidence."""
    if not rows:
        return "The tables hold no dose of it."
    told = [
        f"{_range(row)} {row.unit} {row['route']} in {row['fish'].replace('_', ' ')} ({row.status}"
        f"{': ' + row['evidence'] if row['evidence'] else ''})"
        for row in rows
    ]
    return f"Told of: {'; '.join(told)}. None is chosen."


def _range(row: tables.Row) -> str:
    return f"{row.high:g}" if math.isnan(row.low) or row.low == row.high else f"{row.low:g} to {row.high:g}"


def weight_from(desk: Desk) -> WeightFrom:
    """How the patient's weight was found."""
    weight = desk.case.patient.weight
    if weight is None:
        return WeightFrom.LENGTH
    return WeightFrom.GUESSED if is_guess(weight) else WeightFrom.WEIGHED


def draw(desk: Desk, injection: Injection, number: int, draft: InjectionDraft) -> Answer:
    """What to draw up, into which syringe, and for how many sites."""
    require_not_eaten(desk)
    rows = told_rows(injection.drug)
    told = told_of(rows)
    if injection.dose is None:
        text = f"Give injections[{number}] dose: the veterinarian chooses it. {told}"
        return Answer(text=text, verdict=Verdict.QUESTION)
    if injection.stock is None:
        raise Unanswerable(
            f"injections[{number}] stock: the strength on the vial, such as '5 mg/mL'. {told.rstrip('.')}"
        )
    dose, stock = injection.dose.measured.best, injection.stock.measured.best
    if dose <= 0.0:
        raise Refused("nothing is to be given: the dose is 0")
    _require_near(rows, injection, number)
    old = check_expiry(injection.expires, desk.start(), injection.drug, refuse=True)
    division = _division(injection)
    weights = desk.weight_kg()
    made = draw_up(
        float(weights[0]),
        dose_mg_per_kg=dose,
        stock_mg_per_ml=stock,
        division_ml=division,
        weight_from=weight_from(desk),
        weight_confirmed=injection.weight_confirmed == "yes",
    )
    gets = band(made.given_mg / weights)
    thin = (
        f"dilute 1 part of the vial in {made.dilution:g} parts in all ({made.strength_mg_per_ml:.4g} mg/mL), then "
        * (made.dilution > 1.0)
    )
    sites = f", in {made.sites} sites of {made.site_ml:.2g} mL" if made.sites > 1 else ""
    small = (
        f" The vial itself would be {made.stock_ml:.2g} mL, which no syringe of this division measures." if thin else ""
    )
    fish = amount(weights[0], unit="kg")
    text = (
        f"{thin}draw up {_ml(made.draw_ml, division)}{sites}: {made.given_mg:.3g} mg of the {made.wanted_mg:.3g} mg that "
        f"{dose:g} mg/kg asks for at {fish}. By the error of the weight the fish gets {gets.low:.3g} to {gets.high:.3g} "
        f"mg/kg.{small} {told}"
    )
    verdict, said = _judged(rows, dose)
    values = np.asarray(injection_ml(weights, dose_mg_per_kg=dose, stock_mg_per_ml=made.strength_mg_per_ml))
    _fill(draft, injection, made, division)
    return Answer(
        text=f"{text[0].upper()}{text[1:]}",
        unit="mL",
        values=values,
        verdict=verdict,
        method="mg/kg x kg / (mg/mL), rounded down to the division",
        cautions=(
            *said,
            *old,
            Caution(
                text="Dose and vial must count the same form of the drug: the base or its salt, as the label says."
            ),
            *_of_dilution(made.dilution),
        ),
    )


def _fill(draft: InjectionDraft, injection: Injection, made: Drawn, division: float) -> None:
    """What is done, in its order, for the card."""
    assert injection.stock is not None
    draft.draw_ml, draft.division_ml, draft.sites = made.draw_ml, division, made.sites
    draft.strength = f"{made.strength_mg_per_ml:.4g} mg/mL"
    draft.order.append(f"Read the vial: {injection.drug}, {injection.stock.text}. Two people read it and the syringe.")
    if made.dilution > 1.0:
        draft.order.append(
            f"Dilute 1 part of the vial in {made.dilution:g} parts in all, with what the veterinarian says: "
            f"{draft.strength}. Label it."
        )
    drawn = _ml(made.draw_ml, division)
    draft.order.append(
        f"Draw up {drawn} of {'the dilution' if made.dilution > 1.0 else 'the vial'}: {made.given_mg:.3g} mg."
    )
    if made.sites > 1:
        draft.order.append(f"Split it over {made.sites} sites, {made.site_ml:.2g} mL each.")
    draft.order.append("Slowly, into the muscle or as the veterinarian says; hold the place for a moment.")


def injection_card(desk: Desk, injection: Injection, number: int) -> InjectionCard:
    """The finding of an injection, and its card."""
    draft, patient = InjectionDraft(), desk.case.patient
    key, title = f"injection {number}: {injection.drug}", f"{capital(injection.drug)} by weight"
    finding = desk.answer(Moment.PROCEDURE, key, title, draw, injection, number, draft)
    try:
        weight = amount(desk.weight_kg()[0], unit="kg")
    except Unanswerable:
        weight = "weight not known"
    name = f"{patient.name}, " if patient.name else ""
    return InjectionCard(
        number=number,
        drug=injection.drug,
        title=title,
        patient=f"{name}{desk.species.words}, {weight}",
        finding=finding,
        draw_ml=draft.draw_ml,
        division_ml=draft.division_ml,
        strength=draft.strength,
        order=tuple(draft.order),
        sites=draft.sites,
    )


def _division(injection: Injection) -> float:
    if injection.syringe is not None:
        return injection.syringe.measured.best
    usual = tables.row("defaults", what="injection syringe").value
    remark(f"The syringe was not described: one that shows {usual:g} mL is assumed.")
    return usual


def _ml(millilitres: float, division: float) -> str:
    return f"{as_read(millilitres, digits_of(division))} mL"


def _of_dilution(dilution: float) -> tuple[Caution, ...]:
    if dilution <= 1.0:
        return ()
    text = "With what it may be diluted, its pH and its sterility are the veterinarian's to know; label the syringe."
    return (Caution(text=text),)


def _judged(rows: tuple[tables.Row, ...], dose: float) -> tuple[Verdict | None, tuple[Caution, ...]]:
    """A dose beside all that are told of: outside them it is to be looked at again."""
    if not rows:
        return Verdict.WATCH, (Caution(text="No dose of it is in the tables: it goes by what was written twice."),)
    lowest, highest = _ends(rows)
    if lowest <= dose <= highest:
        return None, ()
    side = f"above the highest ({highest:g}" if dose > highest else f"below the lowest ({lowest:g}"
    slip = far_above(dose, highest) or far_below(dose, lowest)
    text = f"{dose:g} mg/kg is {side} mg/kg) that is told of{': look for a slip of the decimal point' if slip else ''}."
    return Verdict.ACT if slip else Verdict.WATCH, (Caution(text=text, serious=True),)


def _ends(rows: tuple[tables.Row, ...]) -> tuple[float, float]:
    return min(row.high if math.isnan(row.low) else row.low for row in rows), max(row.high for row in rows)


def _require_near(rows: tuple[tables.Row, ...], injection: Injection, number: int) -> None:
    """Refuses a dose far above all that are told of, or one of which nothing is told, until it is written twice."""
    assert injection.dose is not None  # asked for before
    if not rows:
        why = f"the tables hold no dose of {injection.drug} to set beside it, and nothing stands against a slip of ten"
    elif far_above(injection.dose.measured.best, _ends(rows)[1]):
        why = (
            f"{injection.dose.text} is far above the highest that is told of for {injection.drug}, {_ends(rows)[1]:g} mg/kg: "
            "it looks like a slip of the decimal point"
        )
    else:
        return
    require_twice(injection.dose, injection.again, key=f"injections[{number}] again", why=why)


def withdrawal(desk: Desk) -> Answer:
    """Days of the default withdrawal at this water's temperature, where the law counts the species as food."""
    try:
        temps = desk.hospital_temperature_c()
    except Unanswerable:
        remark(f"The water's temperature is not known: {_USUAL_C:g} °C is taken for the days.")
        temps = np.full(desk.draws.count + 1, _USUAL_C)
    values = np.asarray(drugs.withdrawal_days(temps))
    asked = " ".join(row["question"] for row in drugs.withdrawal_questions())
    return Answer(
        text=f"Where the law counts this species as food, the European default of 500 degree-days is "
        f"{amount(values[0], unit='days')} at {amount(temps[0], unit='°C')}. To settle and to write down: {asked}",
        unit="days",
        values=values,
        method="degree-days over the mean temperature; which rule holds is a question of law",
    )
