"""The bottle: what is weighed, drawn up or counted of it, rounded in the safe direction, and whether it may still be used."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from waterplan import tables
from waterplan.actions.doses.draft import Reason, Stopped, reason
from waterplan.case.bottle import Amount, Bottle
from waterplan.case.model import Dose
from waterplan.dose import anaesthesia, substances
from waterplan.dose.rounding import Safe, propose_stock, round_safely
from waterplan.dose.stock import past_keeping
from waterplan.dose.substances import Kind as Sum
from waterplan.stay.contents import active_in

_TABLET_PART, _WHOLE_DROP = 0.25, 1.0
_DILUTIONS = (1.0, 10.0, 100.0)
_MG_PER_G = 1000.0
_STRONG_BLEACH_MG_PER_ML = 100.0
_DRY = "opened powder or tablets"
_DAY_S = 86400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """What is weighed (`mass`), drawn up (`stock`, `mixture`) or counted (`tablets`, `drops`), as its instrument shows it.

    `given` is the active substance in it [g; mL of formalin or of pure spirit]. A mixture is made first: `weigh_g` made
    up to `make_up_ml`, or of a liquid too strong for the syringe `bottle_ml` with `solvent_ml`.
    """

    kind: str
    amount: float
    unit: str
    division: float
    given: float
    weigh_g: float | None = None
    make_up_ml: float | None = None
    bottle_ml: float | None = None
    solvent_ml: float | None = None
    solvent: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """What there is to measure with: the bottle, divisions of scale [g] and syringe [mL], the size of a drop [mL]."""

    row: tables.Row
    bottle: Bottle | None = None
    scale_g: float | None = None
    syringe_ml: float | None = None
    drop_ml: float | None = None

    @property
    def scale_division(self) -> float:
        """The division of the scale; a pocket scale's where nobody said."""
        return self.scale_g or tables.row("defaults", what="fine scale division").value

    @property
    def syringe_division(self) -> float:
        """The division of the syringe; a measuring syringe's where nobody said."""
        return self.syringe_ml or tables.row("defaults", what="syringe division").value

    @property
    def label(self) -> Bottle:
        """The bottle; a powder without a label is taken as pure, anything else stops here."""
        if self.bottle is not None:
            return self.bottle
        if self.row["form"] == "powder":
            return Bottle(text="powder", active_fraction=1.0)
        code = "enter-the-share-of-eugenol" if self.row["form"] == "oil" else "enter-the-strength-on-the-label"
        raise Stopped(reason(code, {"substance": self.row["substance"]}))


def portion(bench: Bench, active: float, *, wanted: float, safe: Safe) -> Portion:
    """What holds an amount of active substance.

    Parameters
    ----------
    bench : Bench
        The bottle and what there is to measure with.
    active : float
        Active substance [g; mL of formalin, mL of pure spirit].
    wanted : float
        The level that it is for, in the unit of the substance: a bottle weaker than that cannot make it.
    safe : Safe
        Down for what harms by overdose, up for an antidote.

    Returns
    -------
    Portion
        As it is read off the instrument.

    Raises
    ------
    Stopped
        The bottle is too weak or not known, or no instrument, stock or dilution shows so little.
    """
    unit = bench.row.unit
    if unit == "uL/L":
        return _drawn(bench, active, 1.0, safe)
    if unit == "% v/v":
        return _spirit(bench, active, wanted, safe)
    bottle = bench.label
    if bottle.tablet_mg is not None:
        return _counted("tablets", active, bottle.tablet_mg / _MG_PER_G, _TABLET_PART, safe)
    if bottle.mg_per_ml is not None:
        per_ml = bottle.mg_per_ml / _MG_PER_G
        if wanted > bottle.mg_per_ml * _MG_PER_G:
            raise _too_weak(bottle, (wanted, unit), (bottle.mg_per_ml, "mg/mL"))
        if bench.drop_ml is not None:
            return _counted("drops", active, bench.drop_ml * per_ml, _WHOLE_DROP, safe)
        return _drawn(bench, active, per_ml, safe)
    if bottle.active_fraction is None:
        raise _no_strength(bench)
    return _weighed(bench, active, bottle, bottle.active_fraction, safe)


def gone_in(bench: Bench, went_in: Amount) -> float:
    """The active substance in what has gone in [g; mL of formalin]; Stopped where that cannot be told."""
    active = active_in(bench.row["substance"], went_in, bench.bottle, bench.drop_ml)
    if active is not None:
        return active
    if bench.row.unit == "uL/L":
        raise Stopped(reason("enter-millilitres", {"substance": bench.row["substance"]}))
    if went_in.unit == "drops" and bench.drop_ml is None:
        raise Stopped(reason("enter-the-size-of-a-drop"))
    raise _no_strength(bench)


def split(amount: float, *, division: float, parts: int = 1, most: float | None = None) -> tuple[float, ...]:
    """A whole number of divisions shared out over parts: each is whole, none passes `most`, and their sum is the amount.

    Parameters
    ----------
    amount : float
        What is shared out, a whole number of divisions.
    division : float
        Smallest division of the instrument.
    parts : int
        The fewest parts.
    most : float, optional
        The most that one part may be; more parts are made where that is needed.

    Returns
    -------
    tuple of float
        The parts, the larger ones first; empty where there is nothing to share out.

    Raises
    ------
    Stopped
        Not even one division fits into a part.
    """
    count = round(amount / division)
    if count <= 0:
        return ()
    if most is not None:
        fit = math.floor(most / division * (1.0 + 1e-9))
        if fit < 1:
            raise Stopped(too_little(most, "g", division))
        parts = max(parts, math.ceil(count / fit))
    parts = min(parts, count)
    whole, more = divmod(count, parts)
    digits = min(max(0, 12 - math.floor(math.log10(division)) - 1), 12)
    return tuple(round((whole + (number < more)) * division, digits) for number in range(parts))


def summed(parts: Sequence[float]) -> float:
    """The sum of some parts as it is read: without the dust of binary fractions."""
    return round(math.fsum(parts), 9)


def too_little(wanted: float, unit: str, division: float) -> Reason:
    """An amount that a scale [g] or a syringe [mL] of such a division does not show."""
    code = "use-a-stock-solution-or-a-finer-scale" if unit == "g" else "use-a-finer-syringe"
    return reason(code, wanted=(wanted, unit), division=(division, unit))


def _too_weak(bottle: Bottle, wanted: tuple[float, str], holds: tuple[float, str]) -> Stopped:
    return Stopped(reason("bottle-too-weak", {"label": bottle.text}, wanted=wanted, holds=holds))


def _no_strength(bench: Bench) -> Stopped:
    return Stopped(reason("enter-the-strength-on-the-label", {"substance": bench.row["substance"]}))


def _weighed(bench: Bench, active: float, bottle: Bottle, share: float, safe: Safe) -> Portion:
    product = active / share
    if bottle.of_eugenol:
        product = float(anaesthesia.clove_oil_mg_per_l(active, eugenol_fraction=share))
    division, syringe = bench.scale_division, bench.syringe_division
    found = round_safely(product, division=division, safe=safe)
    if not found.below_resolution:
        given = found.amount * share
        return Portion(kind="mass", amount=found.amount, unit="g", division=found.division, given=given)
    stock = propose_stock(product, division_g=division, division_ml=syringe)
    if stock is None:
        raise Stopped(too_little(product, "g", division))
    drawn = round_safely(stock.draw_ml, division=syringe, safe=safe).amount
    return Portion(
        kind="mixture",
        amount=drawn,
        unit="mL",
        division=syringe,
        given=drawn / stock.make_up_ml * stock.weigh_g * share,
        weigh_g=stock.weigh_g,
        make_up_ml=stock.make_up_ml,
        solvent="water",
    )


def _spirit(bench: Bench, pure_ml: float, wanted: float, safe: Safe) -> Portion:
    holds = bench.bottle.percent_vv if bench.bottle is not None else None
    if bench.bottle is None or holds is None:
        raise _no_strength(bench)
    if wanted > holds:
        raise _too_weak(bench.bottle, (wanted, "% v/v"), (holds, "% v/v"))
    return _drawn(bench, pure_ml, holds / 100.0, safe, as_it_is=True)


def _drawn(bench: Bench, active: float, per_ml: float, safe: Safe, *, as_it_is: bool = False) -> Portion:
    """What is drawn up of a liquid with so much in a mL, or of a mixture of it where the syringe cannot show so little.

    Ten divisions of the bottle go into the mixture, which is more than is drawn from it. An oil is mixed with ethanol, which
    is not thinned a hundredfold: so much of it would go in with the oil that it acts by itself.
    """
    millilitres = active / per_ml
    division = bench.syringe_division
    solvent = "ethanol" if bench.row["form"] == "oil" else "water"
    fewest = tables.row("dose_rules", rule="smallest_divisions").value
    for times in _DILUTIONS[: 1 if as_it_is else 2 if solvent == "ethanol" else None]:
        rounded = round_safely(millilitres * times, division=division, safe=safe)
        if rounded.below_resolution:
            continue
        made = Portion(
            kind="stock",
            amount=rounded.amount,
            unit="mL",
            division=rounded.division,
            given=rounded.amount / times * per_ml,
        )
        if times == 1.0:
            return made
        bottle = round(fewest * division, 9)
        rest = round(bottle * (times - 1.0), 9)
        return replace(made, kind="mixture", bottle_ml=bottle, solvent_ml=rest, solvent=solvent)
    raise Stopped(too_little(millilitres, "mL", division))


def _counted(kind: str, active: float, per_one: float, division: float, safe: Safe) -> Portion:
    """What is counted out, with so much in each piece."""
    count = active / per_one
    rounded = round_safely(count, division=division, safe=safe, counted=True)
    if rounded.below_resolution:
        raise Stopped(reason(f"cannot-be-counted-in-{kind}", wanted=(count, "pieces")))
    given = rounded.amount * per_one
    return Portion(kind=kind, amount=rounded.amount, unit="pieces", division=division, given=given)


# -- whether the bottle may still be used ------------------------------------------------------------------------------


def date_passed(
    expires: datetime | None, day: datetime | None, what: str, *, antidote: bool = False
) -> Iterator[Reason]:
    """A bottle past the date on its label: Stopped, or where an antidote is all that there is, a reason to be told."""
    if expires is None or day is None or day.date() <= expires.date():
        return
    past = reason("past-its-date", {"substance": what, "date": expires.date().isoformat()})
    if not antidote:
        raise Stopped(past)
    yield past


def age_of(dose: Dose, day: datetime | None) -> Iterator[Reason]:
    """What is to be said of the age of a dose's bottle; Stopped where the table says that such a stock is not used."""
    antidote = substances.kind_of(dose.substance, use=dose.use) is Sum.DECHLORINATE
    yield from date_passed(dose.expires, day, dose.substance, antidote=antidote)
    stock, of = _stock_name(dose.substance, dose.bottle), {"substance": dose.substance}
    if not stock:
        return
    if dose.opened is None or day is None:
        if dose.expires is None:
            yield reason("age-of-stock-not-known", of)
        return
    age_d = (day.replace(tzinfo=None) - dose.opened.replace(tzinfo=None)).total_seconds() / _DAY_S
    if age_d < 0.0:
        raise Stopped(reason("opened-after-the-day-of-the-plan", of))
    kept = past_keeping(stock, age_d=age_d)
    if kept is None:
        return
    old = reason("stock-too-old", of | {"table": kept.id}, age=(float(int(age_d)), "d"), kept=(kept.value, "d"))
    if kept["then"] == "refuse" and not antidote:
        raise Stopped(old)
    yield old


def _stock_name(substance: str, bottle: Bottle | None) -> str:
    """What the table `stock_keeping` calls a bottle; empty where it says nothing of it."""
    row = substances.substance(substance)
    if row["agent"] == "salt":
        return ""
    strength = bottle.mg_per_ml if bottle is not None else None
    if strength is None and row.unit not in {"uL/L", "% v/v"}:
        return _DRY if row["form"] == "powder" or (bottle is not None and bottle.tablet_mg is not None) else ""
    if row["stock"] == "hypochlorite household" and strength is not None and strength >= _STRONG_BLEACH_MG_PER_ML:
        return "hypochlorite strong"
    return row["stock"]
