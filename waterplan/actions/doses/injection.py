"""Drugs by body weight as actions: what is drawn up of the vial, or of a dilution that the syringe can measure."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from waterplan import tables
from waterplan.actions.doses.bath import not_eaten
from waterplan.actions.doses.draft import Draft, Reason, Stopped, all_in, forbidden, reason
from waterplan.actions.doses.given import given_before, lately, withdrawals
from waterplan.actions.doses.portions import date_passed, split, summed
from waterplan.actions.doses.task import far_from, level_wanted, printed, twice_over
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind, Who
from waterplan.case.model import Case, Injection
from waterplan.case.values import states_error
from waterplan.dose import drugs
from waterplan.dose.injection import WeightFrom, injection_ml
from waterplan.dose.rounding import Safe, round_safely
from waterplan.published import FloatArray
from waterplan.stay.figures import Figures
from waterplan.stay.fish import FishAtHand
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, Origin, WaterKind

_DILUTIONS = (10.0, 5.0, 2.0, 20.0, 50.0, 100.0)
# Where an operation and its waking take place.
_OPERATED = (WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL)
_GUESSES = frozenset({"owner's word", "estimate", "guess", "not stated"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What is drawn up: of the vial (`dilution` 1) or of a mixture, 1 part of it in `dilution` parts in all.

    `vial_ml` is what leaves the vial; `sites` add up to the draw.
    """

    draw_ml: float
    vial_ml: float
    dilution: float
    given_mg: float
    sites: tuple[float, ...]
    few_divisions: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """A fish that is injected: its weight in draws, and where that comes from; `lately` drugs of before with days since.

    `slip` where its weight and its length do not go together.
    """

    id: str
    weight_kg: FloatArray
    found: WeightFrom
    eaten: bool | None
    dehydrated: bool = False
    steroid: bool = False
    temp_c: FloatArray | None = None
    lately: tuple[tuple[str, float], ...] = ()
    slip: bool = False


def draw(weight_kg: float, *, dose_mg_per_kg: float, stock_mg_per_ml: float, division_ml: float) -> Drawn:
    """What to draw up for a dose by body weight: of the vial where the syringe shows it, else of a dilution that fits a site.

    Parameters
    ----------
    weight_kg : float
        Weight of the fish [kg].
    dose_mg_per_kg : float
        Dose by weight [mg/kg].
    stock_mg_per_ml : float
        The same form of the drug in the vial [mg/mL].
    division_ml : float
        Smallest division of the syringe [mL].

    Returns
    -------
    Drawn
        Millilitres, and the sites that they are shared out over: each whole divisions, their sum the draw.

    Raises
    ------
    Stopped
        Nothing is to be given, no dilution can be measured and fits one site, or too many sites would be filled.

    Notes
    -----
    Rounded down to the division. From ten divisions on the vial itself is drawn; from the rule `syringe_divisions` on
    too, where the nearest division is within the rule `rounding_error`. A dilution is taken only where it is ten
    divisions or more and fits one site (0.5 mL/kg, from memory). It is drawn from a mixture of ten divisions out of
    the vial with diluent, for less of the vial cannot be measured; the rest of the mixture is thrown away.
    """
    vial_ml = float(injection_ml(weight_kg, dose_mg_per_kg=dose_mg_per_kg, stock_mg_per_ml=stock_mg_per_ml))
    if vial_ml <= 0.0:
        raise Stopped(reason("nothing-is-to-be-given"))
    site_ml = weight_kg * _rule("site_volume")
    draw_ml, dilution, few = _measured(vial_ml, division_ml, site_ml)
    fits = math.floor(site_ml / division_ml * (1.0 + 1e-9)) * division_ml
    if fits <= 0.0:
        raise Stopped(reason("use-a-finer-syringe", wanted=(site_ml, "mL"), division=(division_ml, "mL")))
    # A volume that reaches the ceiling of a site is split.
    fewest = math.floor(draw_ml / site_ml * (1.0 + 1e-9)) + 1
    sites = split(draw_ml, division=division_ml, parts=fewest, most=fits)
    if len(sites) > int(_rule("most_sites")):
        count = (float(len(sites)), "pieces")
        raise Stopped(reason("too-many-sites", draw=(draw_ml, "mL"), site=(site_ml, "mL"), sites=count))
    given_mg = draw_ml / dilution * stock_mg_per_ml
    vial_ml = draw_ml if dilution == 1.0 else round(division_ml * _rule("smallest_divisions"), 9)
    return Drawn(
        draw_ml=summed(sites), vial_ml=vial_ml, dilution=dilution, given_mg=given_mg, sites=sites, few_divisions=few
    )


def injections(context: Context) -> Iterator[Proposal]:
    """Every injection of the case, for each patient that it is meant for; and what is left of those given before.

    Parameters
    ----------
    context : Context
        The stay with what was accepted so far.

    Yields
    ------
    Proposal
        The action, refused or not; an injection changes no water.
    """
    ground, case = context.ground, context.ground.case
    day = ground.clock.zero if case.intended.operation_at is not None else ground.as_of
    for number, injection in enumerate(case.injections, 1):
        same = [one for one in case.injections[: number - 1] if one.drug.lower() == injection.drug.lower()]
        for fish in ground.fish.values():
            if fish.patient:
                yield one_injection(
                    injection,
                    _weighed(context, fish),
                    figures=context.figures,
                    day=day,
                    at=ground.clock.at(0.0),
                    given=_given_at(case, injection, ground.as_of),
                    due=_when_it_was_over(context, fish.id),
                    others=tuple(one.drug for one in case.injections if one is not injection),
                    more=f"/{len(same) + 1}" if same else "",
                )
    for fish in (one for one in ground.fish.values() if one.patient):
        yield from withdrawals(context, fish, _weighed(context, fish).temp_c)


def _when_it_was_over(context: Context, fish: str) -> datetime | None:
    """When a drug of the operation was due that is over by the time of the plan: past, and not due a second time."""
    ground = context.ground
    stretches = [one for place in ground.places.values() if place.kind in _OPERATED for one in place.stretches]
    return ground.clock.at(0.0) if ground.is_over(*(one for one in stretches if fish in one.fish)) else None


def one_injection(
    injection: Injection,
    fish: Weighed,
    *,
    figures: Figures,
    day: datetime | None,
    at: datetime | None = None,
    given: datetime | None = None,
    due: datetime | None = None,
    others: tuple[str, ...] = (),
    more: str = "",
) -> Proposal:
    """One drug for one fish as an action; `others` are the drugs of the others, `due` when it was due where that is past."""
    drug = injection.drug.lower()
    draft = Draft(
        kind=Kind.INJECTION,
        moment=Moment.PROCEDURE,
        water=None,
        who=Who.VET,
        path=f"{fish.id}/{drug}{more}",
        figures=figures,
        at=at,
        substance=drug,
        words={"fish": fish.id},
    )
    draft.done_or_due(given, due)
    if draft.done is None:
        try:
            _work_out(draft, injection, fish, day, others)
        except Stopped as stopped:
            return draft.proposal(stopped)
    return draft.proposal()


def _weighed(context: Context, fish: FishAtHand) -> Weighed:
    """A patient with its weight, how that was found, and the temperature of the water that it is kept in."""
    case = context.ground.case
    waters = [one for one in context.stay.waters.values() if any(fish.id in part.fish for part in one.place.stretches)]
    kept = next((one for one in waters if one.place.kind is WaterKind.HOSPITAL), waters[0] if waters else None)
    temp = None
    if kept is not None:
        meant = context.ground.kept_temp_c(kept.place.id)
        temp = kept.start[Q.TEMPERATURE] if meant is None else meant
    weight, there = fish.weight_kg, {one.what for one in case.already}
    measured = weight.origin is Origin.MEASURED
    return Weighed(
        id=fish.id,
        weight_kg=weight.draws,
        found=weight_from(weight.measured_with, weight.text or "") if measured else WeightFrom.LENGTH,
        eaten=case.patients_among((fish.id,))[0].eaten,
        dehydrated="dehydrated" in there,
        steroid="steroid" in there,
        temp_c=temp,
        lately=lately(context.ground, fish),
        slip=any(path.endswith(f"/weight-of-{fish.id}") for path in context.judged),
    )


def weight_from(how: str | None, text: str) -> WeightFrom:
    """Where a weight that was written comes from: a guess is one unless its error is stated."""
    return WeightFrom.GUESSED if how in _GUESSES and not states_error(text) else WeightFrom.WEIGHED


def _printed_doses(drug: str) -> tuple[tables.Row, ...]:
    """The doses that the tables print for a drug; Stopped where all of them are withheld."""
    rows = tables.rows("drugs", drug=drug)
    if rows and all(row["withheld"] for row in rows):
        raise Stopped(reason("dose-withheld", {"substance": drug, "table": rows[0].id}))
    return tuple(row for row in rows if not row["withheld"] and not math.isnan(row.high))


def _work_out(draft: Draft, injection: Injection, fish: Weighed, day: datetime | None, others: tuple[str, ...]) -> None:
    drug = injection.drug.lower()
    not_eaten(fish.eaten, drug)
    rows = _printed_doses(drug)
    _no_clash(drug, fish, others)
    told = tuple(printed(row) for row in rows)
    if injection.dose is not None and injection.stock is None:
        raise Stopped(reason("enter-the-strength-on-the-vial", {"substance": drug}), *told)
    dose = level_wanted(injection.dose, drug, *told)
    assert injection.dose is not None  # they are wanted
    assert injection.stock is not None
    beside = tuple(_beside(rows, dose, injection))
    draft.caution(*date_passed(injection.expires, day, drug), *given_before(fish.lately))
    if fish.slip:
        raise Stopped(reason("weigh-and-measure-again", weight=(float(fish.weight_kg[0]), "kg")))
    if fish.found is not WeightFrom.WEIGHED and injection.weight_confirmed is not True:
        raise Stopped(reason("weigh-the-fish", {"found": fish.found.value}, weight=(fish.weight_kg, "kg")))
    usual = tables.row("defaults", what="injection syringe").value
    division = injection.syringe.measured.best if injection.syringe is not None else usual
    stock = injection.stock.measured.best
    made = draw(float(fish.weight_kg[0]), dose_mg_per_kg=dose, stock_mg_per_ml=stock, division_ml=division)
    _amounts(draft, fish, made, dose, stock)
    draft.amount("division", division, "mL", act_on=division)
    draft.words |= {"label": injection.stock.text, "from": "dilution" if made.dilution > 1.0 else "vial"}
    # What is done at the table comes before what is reported: a card has room for the first few.
    draft.caution(*beside)
    if made.dilution > 1.0:
        draft.caution(reason("dilution-by-the-veterinarian"))
    if made.few_divisions:
        draft.caution(reason("few-divisions-of-the-syringe"))
    draft.caution(reason("same-form-of-the-drug"), *told)


def _amounts(draft: Draft, fish: Weighed, made: Drawn, dose: float, stock: float) -> None:
    diluted = stock / made.dilution
    need = injection_ml(fish.weight_kg, dose_mg_per_kg=dose, stock_mg_per_ml=diluted)
    sites = float(len(made.sites))
    draft.amount("draw", need, "mL", act_end=ActEnd.BEST, act_on=made.draw_ml, equations=(injection_ml,))
    draft.amount("vial", made.vial_ml, "mL", act_on=made.vial_ml)
    draft.amount("given", made.given_mg, "mg", act_on=_significant(made.given_mg))
    draft.amount("dose", dose, "mg/kg", act_on=dose)
    draft.amount("strength", stock, "mg/mL", act_on=stock)
    draft.amount("dose reached", made.given_mg / fish.weight_kg, "mg/kg", act_end=ActEnd.HIGH)
    draft.amount("weight", fish.weight_kg, "kg", act_end=ActEnd.BEST)
    draft.amount("sites", sites, "pieces", act_on=sites)
    draft.part_amounts["draw"], draft.parts = made.sites, len(made.sites)
    if fish.temp_c is not None:
        days = drugs.withdrawal_days(np.maximum(fish.temp_c, 0.0))
        draft.amount("withdrawal", days, "d", act_end=ActEnd.HIGH, equations=(drugs.withdrawal_days,))
    if made.dilution > 1.0:
        diluent = round(made.vial_ml * (made.dilution - 1.0), 9)
        draft.amount("diluent", diluent, "mL", act_on=diluent)
        draft.amount("dilution", made.dilution, "parts in all", act_on=made.dilution)
        draft.amount("strength diluted", diluted, "mg/mL", act_on=_significant(diluted))
    draft.worked_out_for["weight"] = "best"


def _measured(vial_ml: float, division: float, site_ml: float) -> tuple[float, float, bool]:
    """What is drawn, the dilution, and whether it is read from few divisions."""
    least = division * _rule("smallest_divisions") * (1.0 - 1e-9)
    if vial_ml >= least:
        return round_safely(vial_ml, division=division, safe=Safe.DOWN).amount, 1.0, False
    near = max(round(vial_ml / division), 1) * division
    if vial_ml >= division * _rule("syringe_divisions") and abs(near - vial_ml) <= vial_ml * _rule("rounding_error"):
        return round(near, 9), 1.0, True
    for dilution in _DILUTIONS:
        if least <= vial_ml * dilution <= site_ml:
            return round_safely(vial_ml * dilution, division=division, safe=Safe.DOWN).amount, dilution, False
    numbers = all_in("mL", vial=vial_ml, least=least, site=site_ml, division=division)
    raise Stopped(reason("no-dilution-fits", **numbers))


def _no_clash(drug: str, fish: Weighed, others: tuple[str, ...]) -> None:
    clashing = drugs.nsaids()
    if drug not in clashing:
        return
    before = tuple(name for name, _ in fish.lately)
    other = next((one for one in (*others, *before) if one.lower() in clashing and one.lower() != drug), None)
    if fish.steroid or other is not None:
        raise forbidden("two anti-inflammatories", **{"with": other or "steroid"})
    if fish.dehydrated:
        raise forbidden("anti-inflammatory in a dehydrated fish")


def _beside(rows: tuple[tables.Row, ...], dose: float, injection: Injection) -> Iterator[Reason]:
    """A dose beside those that are printed; far above all of them it is stopped until it is written twice."""
    assert injection.dose is not None  # it is wanted
    drug, unit = injection.drug.lower(), "mg/kg"
    if not rows:
        twice_over("no-printed-level-to-set-beside-it", injection.dose, injection.again, drug, unit)
        yield reason("no-printed-level-to-set-beside-it", {"substance": drug})
        return
    lowest = min(row.high if math.isnan(row.low) else row.low for row in rows)
    highest = max(row.high for row in rows)
    if far_from(dose, 0.0, highest):
        most = {"highest": (highest, unit)}
        twice_over("far-above-the-printed-range", injection.dose, injection.again, drug, unit, **most)
    if not lowest <= dose <= highest:
        code = "far-from-the-printed-range" if far_from(dose, lowest, highest) else "outside-the-printed-range"
        yield reason(code, lowest=(lowest, unit), highest=(highest, unit))


def _given_at(case: Case, injection: Injection, now: datetime | None) -> datetime | None:
    """When a drug has been given already, as the case tells it among what has been done."""
    drug = injection.drug.lower()
    told = (one for one in case.done if drug in (one.substance, *one.what.lower().split()))
    return max((one.at for one in told if now is None or one.at <= now), default=None)


def _significant(value: float) -> float:
    return float(f"{value:.3g}")


def _rule(name: str) -> float:
    return tables.row("dose_rules", rule=name).value
