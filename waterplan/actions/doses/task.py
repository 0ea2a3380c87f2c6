"""One dose on its way to an action: the case's words, its water, its draft, and what is known around it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import Draft, Reason, Stopped, reason
from waterplan.actions.doses.portions import Bench, Portion, portion, split, summed, too_little
from waterplan.actions.doses.sums import Needed
from waterplan.actions.doses.water import DoseWater, told
from waterplan.actions.record import Kind
from waterplan.case.bottle import parse_bottle
from waterplan.case.model import Dose
from waterplan.case.values import Reading
from waterplan.dose import substances
from waterplan.dose.conflicts import Conflict
from waterplan.dose.rounding import Safe, round_safely
from waterplan.dose.substances import Kind as Sum
from waterplan.published import FloatArray, Numbers
from waterplan.stay.contents import thing_of
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd
from waterplan.stay.state import State

_MG_PER_G = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What is known beside the water: the day, the law, the mains, the air; and where states are kept that are not to be.

    `chlorine` is that of the mains, None where nobody measured it.
    """

    inputs: Inputs
    day: datetime | None
    now: datetime | None = None
    eaten: bool | None
    wound_said: bool
    disinfectant: str
    chlorine: FloatArray | None
    several: bool = False  # fish that are counted and treated together
    out_into: str = ""  # the water that a fish comes out into
    iodine_percent: Reading | None = None
    co2_in_air_ppm: Numbers
    aired_share: float
    hypothetical: list[tuple[str, State]] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A dose, its water and its draft."""

    dose: Dose
    water: DoseWater
    draft: Draft
    around: Around
    asks: bool = False  # what went in before, where nobody said
    waits: Reason | None = None  # for what the fish has to get over first
    went_in: float = 0.0  # of the substance before, by what was done; no reading shows it

    @property
    def row(self) -> tables.Row:
        """What the tables call the substance."""
        return substances.substance(self.dose.substance)

    @property
    def kind(self) -> Sum:
        """Which arithmetic it asks for."""
        return substances.kind_of(self.dose.substance, use=self.dose.use)

    @property
    def unit(self) -> str:
        """The unit of its level."""
        return self.row.unit

    @property
    def thing(self) -> str:
        """What the water's contents call it."""
        return thing_of(self.dose.substance)

    @property
    def bench(self) -> Bench:
        """What there is to measure it with."""
        scale, syringe, drop = (
            None if one is None else one.measured.best for one in (self.dose.scale, self.dose.syringe, self.dose.drop)
        )
        bottle = self.dose.bottle
        if bottle is None and self.kind is Sum.IODINE:  # the case's own, or the usual one
            said = self.around.iodine_percent
            percent = tables.row("defaults", what="povidone-iodine stock").value if said is None else said.measured.best
            bottle = parse_bottle(f"{percent:g} % PVP-I")
        return Bench(row=self.row, bottle=bottle, scale_g=scale, syringe_ml=syringe, drop_ml=drop)

    def tell_clashes(self, found: Iterable[Conflict]) -> None:
        """Stops a dose that a rule forbids, with the rule's own way out; what a rule only warns of is told."""
        stopping = [one for one in found if one.stops_a_dose]
        if stopping:
            ways = {one.row["instead"]: told(one) for one in stopping if one.row["instead"]}
            raise Stopped(*map(told, stopping), instead=[(Kind(way), why) for way, why in ways.items()])
        self.draft.caution(*(told(one) for one in found))

    def measure_out(
        self, need: Needed, *, wanted: float, most: float | None = None, rows: tuple[str, ...] = ()
    ) -> Portion:
        """Puts what is needed among the amounts: weighed, drawn or counted, in parts where the rule asks for them.

        `most` is the most active substance of one part.
        """
        made = portion(self.bench, need.amount, wanted=wanted, safe=need.safe)
        draft, dose, per = self.draft, self.dose, made.amount / made.given if made.given else 0.0
        parts = split(made.amount, division=made.division, most=None if most is None else most * per)
        draft.amount(
            made.kind,
            need.draws * per,
            made.unit,
            act_end=need.end,
            act_on=summed(parts),
            rows=rows,
            worked_out_for=f"{need.litres:.4g} L",
        )
        draft.parts = max(len(parts), 1)
        draft.part_amounts[made.kind] = parts
        for name, value, unit in (
            ("weigh", made.weigh_g, "g"),
            ("make up to", made.make_up_ml, "mL"),
            ("bottle", made.bottle_ml, "mL"),
            ("diluent", made.solvent_ml, "mL"),
        ):
            if value is not None:
                draft.amount(name, value, unit, act_on=value)
        if made.solvent:
            draft.words["solvent"] = made.solvent
            held = made.given / made.amount  # in a mL of the mixture
            strength, unit = (100.0 * held, "% v/v") if self.unit == "uL/L" else (_MG_PER_G * held, "mg/mL")
            draft.amount("strength diluted", strength, unit, act_on=float(f"{strength:.3g}"))
        draft.worked_out_for["volume"] = need.end.value
        bottle = self.bench.bottle
        draft.words["label"] = bottle.text if bottle is not None else self.row["form"]
        if dose.bottle is None and self.kind is Sum.IODINE:
            draft.caution(reason("taken-as-the-usual-bottle", {"label": draft.words["label"]}))
        elif dose.bottle is None and self.unit not in ("uL/L", "% v/v"):
            draft.caution(reason("taken-as-pure-powder", {"substance": dose.substance}))
        return made

    def weigh_beside(self, name: str, need: FloatArray | float, grams: float, *, rows: tuple[str, ...] = ()) -> float:
        """Something that must not fall short, weighed for a dose and rounded up; what is read off the scale [g]."""
        rounded = round_safely(grams, division=self.bench.scale_division, safe=Safe.UP)
        self.draft.amount(name, need, "g", act_end=ActEnd.HIGH, act_on=rounded.amount, rows=rows)
        if rounded.below_resolution and grams > 0.0:
            self.draft.caution(too_little(grams, "g", rounded.division))
        self.draft.part_amounts[name] = (rounded.amount,)
        return rounded.amount


def level_wanted(strength: Reading | None, substance: str, *printed_levels: Reason) -> float:
    """The level or the dose that is wanted; Stopped where nobody said, or where nothing is."""
    if strength is None:
        raise Stopped(reason("enter-the-dose", {"substance": substance}), *printed_levels)
    if strength.measured.best <= 0.0:
        raise Stopped(reason("nothing-is-to-be-given"))
    return strength.measured.best


def filter_harmed(damage: tables.Row, levels: FloatArray, unit: str, *, of: str = "") -> Reason:
    """What a level does to a living filter, and for how many days it counts as nothing; `of` what is not the dose itself."""
    words = {"effect": damage["effect"], "table": damage.id} | ({"of": of} if of else {})
    return reason("filter-harmed", words, days=(float(damage["days"]), "d"), level=(levels, unit))


def twice_over(
    code: str, written: Reading, again: Reading | None, of: str, unit: str, **numbers: tuple[Numbers, str]
) -> None:
    """Stops a level that nothing stands beside, unless whoever wants it has written it a second time, the same."""
    first = {"first": (written.measured.best, unit)}
    if again is None:
        raise Stopped(reason(code, {"substance": of}, **numbers), reason("write-it-a-second-time", **first))
    if again.measured.best != written.measured.best:
        second = {"second": (again.measured.best, unit)}
        not_the_same = reason("written-twice-and-not-the-same", **first, **second)
        raise Stopped(reason(code, {"substance": of}, **numbers), not_the_same)


def far_from(value: float, lowest: float, highest: float) -> bool:
    """Whether a level is so far from all that are printed that it looks like a slip of the decimal point."""
    slip = tables.row("dose_rules", rule="slip").value
    return value > highest * slip or value < lowest / slip


def printed(row: tables.Row, code: str = "") -> Reason:
    """What the tables print for a use and the fish that it was tried in, as a reason with its row."""
    single = row.low == row.high
    ends = {"highest": row.high} if single else {"highest": row.high, "lowest": row.low}
    numbers = {name: (end, row.unit) for name, end in ends.items() if np.isfinite(end)}
    fish = row.keys.get("fish") or "any"
    words = {"table": row.id, "status": row.status} | ({"of fish": fish} if fish != "any" else {})
    return reason(code or ("printed-level" if single else "printed-range"), words, **numbers)
