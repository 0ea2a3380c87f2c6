"""From an amount of active substance to what is weighed, drawn up or counted, rounded in the safe direction."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from waterplan import tables
from waterplan.actions.draft import Stopped, reason
from waterplan.case.bottle import Amount, Bottle
from waterplan.dose import anaesthesia, dilution, substances
from waterplan.dose.rounding import Rounded, Safe, propose_stock, round_safely
from waterplan.errors import Refused
from waterplan.stay.contents import active_in

_QUARTER, _WHOLE_DROP = 0.25, 1.0
_DILUTIONS = (1.0, 10.0, 100.0)
_MG_PER_G = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """What is weighed (`substance`), drawn up (`stock`) or counted (`tablets`, `drops`), as its instrument shows it.

    `given` is the active substance in it [g; mL of formalin or of pure spirit]. Of a stock that is made first, `weigh_g`
    is made up to `make_up_ml`; of a liquid too strong for the syringe, 1 part is taken in `dilution` parts in all.
    """

    kind: str
    amount: float
    unit: str
    division: float
    given: float
    weigh_g: float | None = None
    make_up_ml: float | None = None
    dilution: float = 1.0
    solvent: str = ""

    @property
    def solvent_ml(self) -> float | None:
        """Solvent for a dilution of which what is drawn up is all that is made, or for a stock."""
        if self.make_up_ml is not None:
            return self.make_up_ml
        return self.amount * (1.0 - 1.0 / self.dilution) if self.dilution > 1.0 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """What there is to measure with: the bottle, divisions of scale [g] and syringe [mL], the size of a drop [mL]."""

    substance: str
    bottle: Bottle | None = None
    scale_g: float | None = None
    syringe_ml: float | None = None
    drop_ml: float | None = None

    @property
    def row(self) -> tables.Row:
        """What the tables call the substance."""
        return substances.substance(self.substance)

    @property
    def scale_division(self) -> float:
        """The division of the scale; a pocket scale's where nobody said."""
        return self.scale_g if self.scale_g is not None else _usual("fine scale division")

    @property
    def syringe_division(self) -> float:
        """The division of the syringe; a measuring syringe's where nobody said."""
        return self.syringe_ml if self.syringe_ml is not None else _usual("syringe division")

    @property
    def label(self) -> Bottle:
        """The bottle; a powder without a label is taken as pure, anything else stops here."""
        if self.bottle is not None:
            return self.bottle
        if self.row["form"] == "powder":
            return Bottle(text="powder", active_fraction=1.0)
        code = "enter the share of eugenol" if self.row["form"] == "oil" else "enter the strength on the label"
        raise Stopped(reason(code, {"substance": self.substance}))


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
        return _tablets(active, bottle.tablet_mg, safe)
    if bottle.mg_per_ml is not None:
        if wanted > bottle.mg_per_ml * _MG_PER_G:
            raise Stopped(
                reason(
                    "bottle too weak",
                    {"label": bottle.text},
                    wanted=(wanted, unit),
                    holds=(bottle.mg_per_ml, "mg/mL"),
                )
            )
        if bench.drop_ml is not None:
            return _drops(active, bench.drop_ml, bottle.mg_per_ml, safe)
        return _drawn(bench, active, bottle.mg_per_ml / _MG_PER_G, safe)
    if bottle.active_fraction is None:
        raise Stopped(reason("enter the strength on the label", {"substance": bench.substance}))
    return _weighed(bench, active, bottle, safe)


def gone_in(bench: Bench, went_in: Amount) -> float:
    """The active substance in what has gone in [g; mL of formalin]; Stopped where that cannot be told."""
    active = active_in(bench.substance, went_in, bench.bottle, bench.drop_ml)
    if active is not None:
        return active
    if bench.row.unit == "uL/L":
        raise Stopped(reason("enter millilitres", {"substance": bench.substance}))
    if went_in.unit == "drops" and bench.drop_ml is None:
        raise Stopped(reason("enter the size of a drop"))
    raise Stopped(reason("enter the strength on the label", {"substance": bench.substance}))


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
            raise Stopped(reason("use a stock solution or a finer scale", division=(division, "g"), wanted=(most, "g")))
        parts = max(parts, math.ceil(count / fit))
    parts = min(parts, count)
    whole, more = divmod(count, parts)
    digits = max(0, 12 - math.floor(math.log10(division)) - 1)
    return tuple(round((whole + (1 if number < more else 0)) * division, min(digits, 12)) for number in range(parts))


def summed(parts: Sequence[float]) -> float:
    """The sum of some parts as it is read: without the dust of binary fractions."""
    return round(math.fsum(parts), 9)


def _usual(what: str) -> float:
    return tables.row("defaults", what=what).value


def _too_little(wanted: float, unit: str, division: float, at: str = "scale") -> Stopped:
    code = "use a stock solution or a finer scale" if at == "scale" else "use a finer syringe"
    return Stopped(reason(code, wanted=(wanted, unit), division=(division, unit)))


def _weighed(bench: Bench, active: float, bottle: Bottle, safe: Safe) -> Portion:
    share = bottle.active_fraction
    assert share is not None  # whoever asks has looked
    product = active / share
    if bottle.of_eugenol:
        product = float(anaesthesia.clove_oil_mg_per_l(active, eugenol_fraction=share))
    division = bench.scale_division
    rounded = round_safely(product, division=division, safe=safe)
    if not rounded.below_resolution:
        return Portion(
            kind="substance", amount=rounded.amount, unit="g", division=division, given=rounded.amount * share
        )
    try:
        stock = propose_stock(product, division_g=division, division_ml=bench.syringe_division)
    except Refused:
        raise _too_little(product, "g", division) from None
    drawn = round_safely(stock.draw_ml, division=bench.syringe_division, safe=safe)
    return Portion(
        kind="stock",
        amount=drawn.amount,
        unit="mL",
        division=bench.syringe_division,
        given=drawn.amount / stock.make_up_ml * stock.weigh_g * share,
        weigh_g=stock.weigh_g,
        make_up_ml=stock.make_up_ml,
        solvent="water",
    )


def _drawn(bench: Bench, active: float, per_ml: float, safe: Safe) -> Portion:
    """What is drawn up of a liquid with so much in a mL, or of a dilution of it where the syringe cannot show so little."""
    division, millilitres = bench.syringe_division, active / per_ml
    for times in _DILUTIONS:
        rounded = round_safely(millilitres * times, division=division, safe=safe)
        if not rounded.below_resolution:
            solvent = "ethanol" if bench.row["form"] == "oil" else "water"
            made = Portion(kind="stock", amount=rounded.amount, unit="mL", division=division, given=0.0)
            given = rounded.amount / times * per_ml
            return replace(made, given=given, dilution=times, solvent=solvent if times > 1.0 else "")
    raise _too_little(millilitres, "mL", division, at="syringe")


def _counted(kind: str, count: float, division: float, per_one: float, safe: Safe) -> Portion:
    rounded: Rounded = round_safely(count, division=division, safe=safe, counted=True)
    if rounded.below_resolution:
        raise Stopped(reason(f"cannot be counted in {kind}", wanted=(count, "pieces")))
    given = rounded.amount * per_one
    return Portion(kind=kind, amount=rounded.amount, unit="pieces", division=division, given=given)


def _tablets(active: float, tablet_mg: float, safe: Safe) -> Portion:
    return _counted("tablets", active * _MG_PER_G / tablet_mg, _QUARTER, tablet_mg / _MG_PER_G, safe)


def _drops(active: float, drop_ml: float, mg_per_ml: float, safe: Safe) -> Portion:
    # The level is asked for in one litre, so that the litres of the dose are in `active` already.
    count = float(dilution.drops(1.0, wanted_mg_per_l=active * _MG_PER_G, stock_mg_per_ml=mg_per_ml, drop_ml=drop_ml))
    return _counted("drops", count, _WHOLE_DROP, drop_ml * mg_per_ml / _MG_PER_G, safe)


def _spirit(bench: Bench, pure_ml: float, wanted: float, safe: Safe) -> Portion:
    if bench.bottle is None or bench.bottle.percent_vv is None:
        raise Stopped(reason("enter the strength on the label", {"substance": bench.substance}))
    holds = bench.bottle.percent_vv
    if wanted > holds:
        words = {"label": bench.bottle.text}
        raise Stopped(reason("bottle too weak", words, wanted=(wanted, "% v/v"), holds=(holds, "% v/v")))
    rounded = round_safely(pure_ml * 100.0 / holds, division=bench.syringe_division, safe=safe)
    if rounded.below_resolution:
        raise _too_little(rounded.wanted, "mL", bench.syringe_division, at="syringe")
    return Portion(
        kind="stock",
        amount=rounded.amount,
        unit="mL",
        division=bench.syringe_division,
        given=rounded.amount * holds / 100.0,
    )
