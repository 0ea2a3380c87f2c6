"""Drugs by body weight as actions: what is drawn up of the vial, or of a dilution that the syringe can measure."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from waterplan import tables
from waterplan.actions.bath import not_eaten
from waterplan.actions.bottle_age import date_passed
from waterplan.actions.dose_task import far_above, far_below, twice_over
from waterplan.actions.draft import Draft, Reason, Stopped, reason
from waterplan.actions.portions import split, summed
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind, Who
from waterplan.case.model import Case, Injection
from waterplan.dose.injection import WeightFrom, injection_ml
from waterplan.dose.rounding import Safe, round_safely
from waterplan.fish.species import Species
from waterplan.published import FloatArray
from waterplan.stay.contents import answer
from waterplan.stay.figures import Figures
from waterplan.stay.fish import FishAtHand
from waterplan.stay.record import ActEnd, Moment, Origin

_DILUTIONS = (10.0, 5.0, 2.0, 20.0, 50.0, 100.0)
_GUESSES = frozenset({"owner's word", "estimate", "guess", "not stated"})
_NSAID = "NSAID"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What is drawn up: of the vial (`dilution` 1) or of 1 part of it in `dilution` parts in all; `sites` add up to it."""

    vial_ml: float
    draw_ml: float
    dilution: float
    given_mg: float
    sites: tuple[float, ...]
    few_divisions: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """A fish that is injected: its weight in draws, and where that comes from."""

    id: str
    species: Species
    weight_kg: FloatArray
    found: WeightFrom
    eaten: bool | None
    dehydrated: bool = False
    steroid: bool = False


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
    divisions or more and fits one site (0.5 mL/kg, from memory).
    """
    vial_ml = float(injection_ml(weight_kg, dose_mg_per_kg=dose_mg_per_kg, stock_mg_per_ml=stock_mg_per_ml))
    if vial_ml <= 0.0:
        raise Stopped(reason("nothing is to be given"))
    site_ml = weight_kg * _rule("site_volume")
    draw_ml, dilution, few = _measured(vial_ml, division_ml, site_ml)
    fits = math.floor(site_ml / division_ml * (1.0 + 1e-9)) * division_ml
    if fits <= 0.0:
        raise Stopped(reason("use a finer syringe", wanted=(site_ml, "mL"), division=(division_ml, "mL")))
    # A volume that reaches the ceiling of a site is split.
    fewest = math.floor(draw_ml / site_ml * (1.0 + 1e-9)) + 1
    sites = split(draw_ml, division=division_ml, parts=fewest, most=fits)
    if len(sites) > int(_rule("most_sites")):
        raise Stopped(
            reason("too many sites", draw=(draw_ml, "mL"), site=(site_ml, "mL"), sites=(float(len(sites)), "pieces"))
        )
    given = draw_ml / dilution * stock_mg_per_ml
    return Drawn(
        vial_ml=vial_ml, draw_ml=summed(sites), dilution=dilution, given_mg=given, sites=sites, few_divisions=few
    )


def injections(context: Context) -> Iterator[Proposal]:
    """Every injection of the case, for each patient that it is meant for.

    Parameters
    ----------
    context : Context
        The stay with what was accepted so far.

    Yields
    ------
    Proposal
        The action, refused or not; an injection changes no water.
    """
    ground = context.ground
    patients = [one for one in ground.fish.values() if one.patient]
    day = ground.clock.zero if ground.case.intended.operation_at is not None else ground.as_of
    for number, injection in enumerate(ground.case.injections, 1):
        same = [one for one in ground.case.injections[: number - 1] if one.drug.lower() == injection.drug.lower()]
        more = f"/{len(same) + 1}" if same else ""
        for fish in _meant_for(injection, patients):
            yield one_injection(
                injection,
                weighed(ground.case, fish),
                figures=context.figures,
                day=day,
                at=ground.clock.at(0.0),
                given=_given(ground.case, injection, ground.as_of),
                others=tuple(one.drug for one in ground.case.injections if one is not injection),
                more=more,
            )


def one_injection(
    injection: Injection,
    fish: Weighed,
    *,
    figures: Figures,
    day: datetime | None,
    at: datetime | None = None,
    given: datetime | None = None,
    others: tuple[str, ...] = (),
    more: str = "",
) -> Proposal:
    """One drug for one fish as an action."""
    drug = injection.drug.lower()
    draft = Draft(
        id=f"{Moment.PROCEDURE}/{Kind.INJECTION}/{fish.id}/{drug}{more}",
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
    if given is not None:
        draft.done = given
        return draft.proposal()
    try:
        _work_out(draft, injection, fish, day, others)
    except Stopped as stopped:
        return draft.proposal(stopped)
    return draft.proposal()


def weighed(case: Case, fish: FishAtHand) -> Weighed:
    """A patient with its weight, and how that was found."""
    patient = case.patients[int(fish.id.rpartition("-")[2]) - 1]
    found = WeightFrom.WEIGHED
    if fish.weight_kg.origin is not Origin.MEASURED:
        found = WeightFrom.LENGTH
    elif fish.weight_kg.measured_with in _GUESSES and not _has_error(fish.weight_kg.text):
        found = WeightFrom.GUESSED
    return Weighed(
        id=fish.id,
        species=fish.species,
        weight_kg=fish.weight_kg.draws,
        found=found,
        eaten=answer(patient.eaten),
        dehydrated=any(one.what == "dehydrated" for one in case.already),
        steroid=any(one.what == "steroid" for one in case.already),
    )


def printed_doses(drug: str) -> tuple[tables.Row, ...]:
    """The doses that the tables print for a drug; Stopped where all of them are withheld."""
    rows = tables.rows("drugs", drug=drug)
    if rows and all(row["withheld"] for row in rows):
        raise Stopped(reason("dose withheld", {"substance": drug, "row": rows[0].id}))
    return tuple(row for row in rows if not row["withheld"] and not math.isnan(row.high))


def _work_out(draft: Draft, injection: Injection, fish: Weighed, day: datetime | None, others: tuple[str, ...]) -> None:
    drug = injection.drug.lower()
    not_eaten(fish.eaten, drug)
    rows = printed_doses(drug)
    _no_clash(draft, drug, fish, others)
    told = tuple(_printed(row) for row in rows)
    if injection.dose is None:
        raise Stopped(reason("enter the dose", {"substance": drug}), *told)
    if injection.stock is None:
        raise Stopped(reason("enter the strength on the vial", {"substance": drug}), *told)
    dose, stock = injection.dose.measured.best, injection.stock.measured.best
    if dose <= 0.0:
        raise Stopped(reason("nothing is to be given"))
    _require_near(rows, injection)
    draft.caution(*date_passed(injection.expires, day, drug))
    if fish.found is not WeightFrom.WEIGHED and answer(injection.weight_confirmed) is not True:
        raise Stopped(reason("weigh the fish", {"found": fish.found.value}, weight=(fish.weight_kg, "kg")))
    division = injection.syringe.measured.best if injection.syringe is not None else _usual("injection syringe")
    made = draw(float(fish.weight_kg[0]), dose_mg_per_kg=dose, stock_mg_per_ml=stock, division_ml=division)
    _amounts(draft, fish, made, dose, stock)
    _words(draft, injection, made, division)
    draft.caution(*_beside(rows, dose), *told, *_cautions(made))


def _amounts(draft: Draft, fish: Weighed, made: Drawn, dose: float, stock: float) -> None:
    need = np.asarray(injection_ml(fish.weight_kg, dose_mg_per_kg=dose, stock_mg_per_ml=stock / made.dilution))
    draft.amount("draw", need, "mL", act_on=made.draw_ml, equations=(injection_ml,))
    draft.amount("vial", made.draw_ml / made.dilution, "mL", act_on=_significant(made.draw_ml / made.dilution))
    draft.amount("given", made.given_mg, "mg", act_on=_significant(made.given_mg))
    draft.amount("dose", dose, "mg/kg", act_on=dose)
    draft.amount("strength", stock, "mg/mL", act_on=stock)
    draft.amount("dose reached", made.given_mg / fish.weight_kg, "mg/kg", act_end=ActEnd.HIGH)
    draft.amount("weight", fish.weight_kg, "kg", act_end=ActEnd.BEST)
    draft.amount("sites", float(len(made.sites)), "pieces", act_on=float(len(made.sites)))
    draft.part_amounts["draw"], draft.parts = made.sites, len(made.sites)
    if made.dilution > 1.0:
        draft.amount("dilution", made.dilution, "parts in all", act_on=made.dilution)
        diluted = stock / made.dilution
        draft.amount("strength diluted", diluted, "mg/mL", act_on=_significant(diluted))
    draft.worked_out_for["weight"] = "best"


def _words(draft: Draft, injection: Injection, made: Drawn, division: float) -> None:
    assert injection.stock is not None  # asked for before
    draft.words |= {"label": injection.stock.text, "from": "dilution" if made.dilution > 1.0 else "vial"}
    draft.amount("division", division, "mL", act_on=division)


def _cautions(made: Drawn) -> Iterator[Reason]:
    yield reason("same form of the drug")
    if made.dilution > 1.0:
        yield reason("dilution is the veterinarian's")
    if made.few_divisions:
        yield reason("few divisions of the syringe")


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
    raise Stopped(
        reason(
            "no dilution fits",
            vial=(vial_ml, "mL"),
            least=(least, "mL"),
            site=(site_ml, "mL"),
            division=(division, "mL"),
        )
    )


def _no_clash(draft: Draft, drug: str, fish: Weighed, others: tuple[str, ...]) -> None:
    kinds = {row["drug"]: row["kind"] for row in tables.table("drugs")}
    if kinds.get(drug) != _NSAID:
        return
    other = next((one for one in others if kinds.get(one.lower()) == _NSAID and one.lower() != drug), None)
    if fish.steroid or other is not None:
        rule = tables.row("conflicts", rule="two anti-inflammatories")
        raise Stopped(reason("must not meet", {"rule": rule["rule"], "row": rule.id, "with": other or "steroid"}))
    if fish.dehydrated:
        rule = tables.row("conflicts", rule="anti-inflammatory in a dehydrated fish")
        raise Stopped(reason("must not meet", {"rule": rule["rule"], "row": rule.id}))


def _require_near(rows: tuple[tables.Row, ...], injection: Injection) -> None:
    """Stops a dose far above all that are printed, or one of which nothing is, until it is written twice."""
    assert injection.dose is not None  # asked for before
    drug = injection.drug.lower()
    if not rows:
        twice_over("no printed level to set beside it", injection.dose, injection.again, drug, "mg/kg")
    elif far_above(injection.dose.measured.best, _ends(rows)[1]):
        highest = (_ends(rows)[1], "mg/kg")
        twice_over("far above the printed range", injection.dose, injection.again, drug, "mg/kg", highest=highest)


def _beside(rows: tuple[tables.Row, ...], dose: float) -> Iterator[Reason]:
    if not rows:
        yield reason("no printed level to set beside it")
        return
    lowest, highest = _ends(rows)
    if not lowest <= dose <= highest:
        slip = far_above(dose, highest) or far_below(dose, lowest)
        code = "far from the printed range" if slip else "outside the printed range"
        yield reason(code, lowest=(lowest, "mg/kg"), highest=(highest, "mg/kg"))


def _printed(row: tables.Row) -> Reason:
    low = row.high if math.isnan(row.low) else row.low
    words = {"row": row.id, "status": row.status}
    return reason("printed range", words, lowest=(low, row.unit), highest=(row.high, row.unit))


def _ends(rows: tuple[tables.Row, ...]) -> tuple[float, float]:
    return min(row.high if math.isnan(row.low) else row.low for row in rows), max(row.high for row in rows)


def _meant_for(injection: Injection, patients: list[FishAtHand]) -> list[FishAtHand]:
    named = getattr(injection, "patients", ())
    return [one for number, one in enumerate(patients, 1) if not named or number in named]


def _given(case: Case, injection: Injection, now: datetime | None) -> datetime | None:
    """When a drug has been given already, as the case tells it among what has been done."""
    past = [
        one.at
        for one in getattr(case, "done", ())
        if injection.drug.lower() in str(one.what).lower() and (now is None or one.at <= now)
    ]
    return max(past, default=None)


def _has_error(text: str | None) -> bool:
    return text is not None and ("±" in text or "+/-" in text)


def _significant(value: float) -> float:
    return float(f"{value:.3g}")


def _rule(name: str) -> float:
    return tables.row("dose_rules", rule=name).value


def _usual(what: str) -> float:
    return tables.row("defaults", what=what).value
