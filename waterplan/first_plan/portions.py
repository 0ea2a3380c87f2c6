"""From an amount of active substance to what is weighed, drawn up or counted, rounded in the safe direction."""

from dataclasses import dataclass

from waterplan.dose import anaesthesia, dilution, substances
from waterplan.dose.rounding import Safe, propose_stock, round_safely
from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.first_plan.dose_cards import CardDraft, Portion, digits_of
from waterplan.first_plan.dose_waters import scale_division, syringe_division
from waterplan.first_plan.first_case.bottle import Bottle
from waterplan.first_plan.first_case.model import Dose
from waterplan.published import remark

_QUARTER = 0.25
_DILUTIONS = (10.0, 100.0)
_MG_PER_G = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What was made of an amount: the portions, and the active substance [g] that is in them after rounding."""

    words: str
    given: float


def portion(dose: Dose, number: int, draft: CardDraft, *, active: float, wanted: float, safe: Safe, into: str) -> Made:
    """The portion that holds an amount of active substance [g; mL for formalin and ethanol], added to the card.

    `wanted` is the level, in the unit of the substance; more than the bottle holds is impossible.
    """
    row = substances.substance(dose.substance)
    if row.unit == "uL/L":
        return _formalin(dose, draft, active, safe, into)
    if row.unit == "% v/v":
        return _spirit(dose, number, draft, active, safe, into)
    bottle = dose.bottle or _unsaid(dose, number, row["form"])
    if bottle.tablet_mg is not None:
        return _tablets(dose, draft, active, bottle.tablet_mg, safe, into)
    if bottle.mg_per_ml is not None:
        if wanted > bottle.mg_per_ml * _MG_PER_G:
            raise ImpossibleInput("strength", f"{wanted:g} mg/L", f"at most what the bottle holds ({bottle.text})")
        if dose.drop is not None:
            return _drops(dose, draft, active, bottle.mg_per_ml, safe, into)
        return _drawn(dose, draft, active, bottle.mg_per_ml, safe, into, f"{dose.substance}, {bottle.text}")
    assert bottle.active_fraction is not None  # a bottle is one of the four
    return _weighed(dose, draft, active, bottle, safe, into)


def active_in(dose: Dose, number: int) -> float:
    """The active substance in what has gone in [g; mL for formalin]."""
    went_in, row = dose.went_in, substances.substance(dose.substance)
    assert went_in is not None  # asked for only then
    if row.unit == "uL/L":
        if went_in.unit != "mL":
            raise Unanswerable(f"doses[{number}] went_in: formalin goes by volume, such as '15 mL'")
        return went_in.value
    bottle = dose.bottle or _unsaid(dose, number, row["form"])
    millilitres = went_in.value if went_in.unit == "mL" else None
    if went_in.unit == "drops":
        if dose.drop is None:
            raise Unanswerable(f"doses[{number}] drop: a drop has no size of its own; count the drops of 1 mL")
        millilitres = went_in.value * dose.drop.measured.best
    if went_in.unit == "tablets" and bottle.tablet_mg is not None:
        return went_in.value * bottle.tablet_mg / _MG_PER_G
    if went_in.unit == "g" and bottle.active_fraction is not None:
        return went_in.value * bottle.active_fraction
    if millilitres is not None and bottle.mg_per_ml is not None:
        return millilitres * bottle.mg_per_ml / _MG_PER_G
    raise Unanswerable(f"doses[{number}] bottle: a label that tells what is in {went_in.text}, not “{bottle.text}”")


def _unsaid(dose: Dose, number: int, form: str) -> Bottle:
    if form == "powder":
        remark(f"The label of the {dose.substance} was not given: it is taken as pure powder. Read the label.")
        return Bottle(text="pure powder", active_fraction=1.0)
    if form == "oil":
        raise Unanswerable(
            f"doses[{number}] bottle: the share of eugenol ('85 % eugenol'), or the strength of the stock in mg/mL"
        )
    raise Unanswerable(f"doses[{number}] bottle: the strength on the label of the {dose.substance}")


def _add(draft: CardDraft, what: str, amount: float, unit: str, division: float, into: str) -> Portion:
    made = Portion(what=what, amount=amount, unit=unit, digits=digits_of(division), into=into)
    draft.portions.append(made)
    return made


def _weighed(dose: Dose, draft: CardDraft, active: float, bottle: Bottle, safe: Safe, into: str) -> Made:
    assert bottle.active_fraction is not None
    share, what = bottle.active_fraction, f"{dose.substance}, {bottle.text}"
    product = active / share
    if bottle.of_eugenol:
        what = f"clove oil with {bottle.text}"
        product = float(anaesthesia.clove_oil_mg_per_l(active, eugenol_fraction=share))
    division = scale_division(dose)
    rounded = round_safely(product, division=division, safe=safe)
    if not rounded.below_resolution:
        made = _add(draft, what, rounded.amount, "g", division, into)
        draft.order.append(f"Weigh {made.counted} of {what}.")
        return Made(words=f"{made.counted} of {what}", given=rounded.amount * share)
    division_ml = syringe_division(dose)
    stock = propose_stock(product, division_g=division, division_ml=division_ml)
    drawn = round_safely(stock.draw_ml, division=division_ml, safe=safe)
    weighed = Portion(what=what, amount=stock.weigh_g, unit="g", digits=digits_of(division), into="a measuring jug")
    made = _add(draft, f"the stock ({what})", drawn.amount, "mL", division_ml, into)
    jug = f"{stock.make_up_ml:,.0f} mL"
    draft.order.append(
        f"{product:.2g} g is too little for this scale. Make a stock: weigh {weighed.counted} of {what}, make it up to "
        f"{jug} with the tub's own water, and see that it has dissolved."
    )
    draft.order.append(f"Draw up {made.counted} of that stock.")
    few = f"too few divisions of {division:g} g to read {product:.2g} g"
    words = f"{made.counted} of a stock of {weighed.counted} made up to {jug} ({few})"
    return Made(words=words, given=drawn.amount / stock.make_up_ml * stock.weigh_g * share)


def _drawn(dose: Dose, draft: CardDraft, active: float, mg_per_ml: float, safe: Safe, into: str, what: str) -> Made:
    drawn = _by_syringe(dose, draft, active * _MG_PER_G / mg_per_ml, safe, into, what)
    return Made(words=drawn.words, given=drawn.given * mg_per_ml / _MG_PER_G)


def _by_syringe(
    dose: Dose, draft: CardDraft, millilitres: float, safe: Safe, into: str, what: str, *, how: str = ""
) -> Made:
    """What is drawn up of a liquid, or of a dilution of it where the syringe cannot show so little; given in mL of it."""
    division = syringe_division(dose)
    rounded = round_safely(millilitres, division=division, safe=safe)
    if not rounded.below_resolution:
        made = _add(draft, what, rounded.amount, "mL", division, into)
        draft.order.append(f"Draw up {made.counted} of {what}{how}.")
        return Made(words=f"{made.counted} of {what}", given=rounded.amount)
    solvent = "ethanol" if substances.substance(dose.substance)["form"] == "oil" else "water"
    for times in _DILUTIONS:
        rounded = round_safely(millilitres * times, division=division, safe=safe)
        if not rounded.below_resolution:
            made = _add(draft, f"the 1 in {times:g} dilution ({what})", rounded.amount, "mL", division, into)
            draft.order.append(f"Dilute it first with {solvent}: 1 part of {what} in {times:g} parts in all{how}.")
            draft.order.append(f"Draw up {made.counted} of that dilution; what is left of it is not kept.")
            words = (
                f"{made.counted} of 1 part {what} in {times:g} parts in all (too few divisions of {division:g} mL to read "
                f"{millilitres:.2g} mL)"
            )
            return Made(words=words, given=rounded.amount / times)
    raise Refused(
        f"{millilitres:.2g} mL cannot be drawn with a division of {division:g} mL, nor a hundredfold dilution of it: "
        "a finer syringe is needed"
    )


def _tablets(dose: Dose, draft: CardDraft, active: float, tablet_mg: float, safe: Safe, into: str) -> Made:
    rounded = round_safely(active * _MG_PER_G / tablet_mg, division=_QUARTER, safe=safe, counted=True)
    if rounded.below_resolution:
        raise Refused(
            f"{rounded.wanted:.2g} tablets of {tablet_mg:g} mg is not a number of quarters: crush and dissolve one in a "
            "measured volume, or weigh the powder"
        )
    made = _add(draft, f"{dose.substance}, {tablet_mg:g} mg each", rounded.amount, "tablets", _QUARTER, into)
    draft.order.append(f"Count {made.counted} of {made.what}, crush them.")
    return Made(words=f"{made.counted} of {made.what}", given=rounded.amount * tablet_mg / _MG_PER_G)


def _drops(dose: Dose, draft: CardDraft, active: float, mg_per_ml: float, safe: Safe, into: str) -> Made:
    assert dose.drop is not None
    size = dose.drop.measured.best
    # The level is asked for in one litre, so that the litres of the dose are in `active` already.
    count = float(dilution.drops(1.0, wanted_mg_per_l=active * _MG_PER_G, stock_mg_per_ml=mg_per_ml, drop_ml=size))
    rounded = round_safely(count, division=1.0, safe=safe, counted=True)
    if rounded.below_resolution:
        raise Refused(f"{count:.2g} drops cannot be counted to a tenth: draw it up with a syringe, or dilute the stock")
    made = _add(draft, f"{dose.substance}, drops of {size:g} mL", rounded.amount, "drops", 1.0, into)
    draft.order.append(f"Count {made.counted} of {made.what}.")
    return Made(words=f"{made.counted} of {made.what}", given=rounded.amount * size * mg_per_ml / _MG_PER_G)


def _formalin(dose: Dose, draft: CardDraft, millilitres: float, safe: Safe, into: str) -> Made:
    remark("Formalin is counted as its 37 % solution taken as pure, and not as formaldehyde.")
    what = "formalin (37 % solution)"
    return _by_syringe(dose, draft, millilitres, safe, into, what, how=", with gloves, in moving air")


def _spirit(dose: Dose, number: int, draft: CardDraft, pure_ml: float, safe: Safe, into: str) -> Made:
    if dose.bottle is None or dose.bottle.percent_vv is None:
        raise Unanswerable(f"doses[{number}] bottle: the strength on the label, such as '96 % v/v'")
    division = syringe_division(dose)
    rounded = round_safely(pure_ml / (dose.bottle.percent_vv / 100.0), division=division, safe=safe)
    if rounded.below_resolution:
        raise Refused(f"{rounded.wanted:.2g} mL cannot be measured with a division of {division:g} mL: make more of it")
    made = _add(draft, f"ethanol, {dose.bottle.text}", rounded.amount, "mL", division, into)
    draft.order.append(f"Measure {made.counted} of {made.what}.")
    return Made(words=f"{made.counted} of {made.what}", given=rounded.amount * dose.bottle.percent_vv / 100.0)
