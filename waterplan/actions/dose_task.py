"""One dose on its way to an action: the case's words, its water, its draft, and what is known around it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from waterplan import tables
from waterplan.actions.dose_water import DoseWater
from waterplan.actions.draft import Draft, Reason, Stopped, reason
from waterplan.actions.portions import Bench, Portion, split, summed
from waterplan.case.model import Dose
from waterplan.case.values import Reading
from waterplan.dose import substances
from waterplan.dose.rounding import Safe, round_safely
from waterplan.dose.substances import Kind as Sum
from waterplan.published import FloatArray, Numbers
from waterplan.stay.contents import thing_of
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd
from waterplan.stay.state import State


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What is known beside the water: the day, the law, the mains, the air; and where states are kept that are not to be.

    `chlorine` is that of the mains, None where nobody measured it; `clock_h` gives the hour of the stay of a time.
    """

    inputs: Inputs
    day: datetime | None = None
    now: datetime | None = None
    eaten: bool | None = None
    wound_said: bool = True
    disinfectant: str = ""
    chlorine: FloatArray | None = None
    mains_ph: FloatArray | None = None
    iodine_percent: Reading | None = None
    co2_in_air_ppm: Numbers = 420.0
    aired_share: float = 1.0
    clock_at: Callable[[float | None], datetime | None] = field(default=lambda _: None)
    hypothetical: list[tuple[str, State]] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A dose, its water and its draft."""

    dose: Dose
    number: int
    water: DoseWater
    draft: Draft
    around: Around

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
        dose = self.dose
        return Bench(
            substance=dose.substance,
            bottle=dose.bottle,
            scale_g=_best(dose.scale),
            syringe_ml=_best(dose.syringe),
            drop_ml=_best(dose.drop),
        )


def _best(reading: Reading | None) -> float | None:
    return None if reading is None else reading.measured.best


def place_portion(
    task: Task,
    made: Portion,
    *,
    need: FloatArray,
    end: str,
    litres: float,
    most: float | None = None,
    rows: tuple[str, ...] = (),
) -> None:
    """Puts a portion among the amounts: what is weighed, drawn or counted, in parts where the rule asks for them.

    `need` is the active substance that is needed over all draws; `most` the most active substance of one part.
    """
    draft, per = task.draft, made.amount / made.given if made.given else 0.0
    parts = split(made.amount, division=made.division, most=None if most is None else most * per)
    unit, safe = made.unit, ActEnd.LOW if end == "low" else ActEnd.HIGH
    draft.amount(
        made.kind,
        np.asarray(need) * per,
        unit,
        act_end=safe,
        act_on=summed(parts),
        rows=rows,
        worked_out_for=f"{litres:.4g} L",
    )
    draft.parts = max(len(parts), 1)
    draft.part_amounts[made.kind] = parts
    if made.weigh_g is not None:
        draft.amount("weigh", made.weigh_g, "g", act_on=made.weigh_g)
        draft.amount("make up to", float(made.make_up_ml or 0.0), "mL", act_on=made.make_up_ml)
    if made.dilution > 1.0:
        draft.amount("dilution", made.dilution, "parts in all", act_on=made.dilution)
        draft.amount("solvent", float(made.solvent_ml or 0.0), "mL")
    draft.words |= {"solvent": made.solvent} if made.solvent else {}
    draft.worked_out_for |= {"volume": end}
    draft.words["label"] = "formalin" if unit == "uL/L" else task.bench.bottle.text if task.bench.bottle else "powder"
    if task.dose.bottle is None and task.unit not in ("uL/L", "% v/v"):
        draft.caution(reason("taken as pure powder", {"substance": task.dose.substance}))


def weigh_beside(
    task: Task, name: str, need: FloatArray | float, grams: float, *, safe: Safe = Safe.UP, rows: tuple[str, ...] = ()
) -> float:
    """Something else that is weighed for a dose, rounded to its scale; what is read off the scale [g]."""
    division = task.bench.scale_division
    rounded = round_safely(grams, division=division, safe=safe)
    end = ActEnd.HIGH if safe is Safe.UP else ActEnd.LOW
    task.draft.amount(name, need, "g", act_end=end, act_on=rounded.amount, rows=rows)
    if rounded.below_resolution and grams > 0.0:
        told = reason("use a stock solution or a finer scale", wanted=(grams, "g"), division=(division, "g"))
        task.draft.caution(told)
    task.draft.part_amounts[name] = (rounded.amount,)
    return rounded.amount


def require_twice(task: Task, code: str, **numbers: tuple[Numbers, str]) -> None:
    """Stops a level that nothing stands beside, unless whoever wants it has written it a second time, the same."""
    written, again = task.dose.strength, task.dose.again
    assert written is not None  # whoever asks has looked
    twice_over(code, written, again, task.dose.substance, task.unit, **numbers)


def twice_over(
    code: str, written: Reading, again: Reading | None, of: str, unit: str, **numbers: tuple[Numbers, str]
) -> None:
    """As `require_twice`, of any two readings."""
    first = {"first": (written.measured.best, unit)}
    if again is None:
        raise Stopped(reason(code, {"substance": of}, **numbers), reason("write it a second time", **first))
    if again.measured.best != written.measured.best:
        raise Stopped(
            reason(code, {"substance": of}, **numbers),
            reason("written twice and not the same", **first, second=(again.measured.best, unit)),
        )


def far_above(value: float, highest: float) -> bool:
    """Whether a level is so far above the highest that is printed that it looks like a slip of the decimal point."""
    return value > highest * tables.row("dose_rules", rule="slip").value


def far_below(value: float, lowest: float) -> bool:
    """Whether a level is so far below the lowest that is printed that it looks like a slip of the decimal point."""
    return value < lowest / tables.row("dose_rules", rule="slip").value


def printed(row: tables.Row) -> Reason:
    """What the tables print for a use, as a reason with its row."""
    numbers: dict[str, tuple[Numbers, str]] = {"highest": (row.high, row.unit)} if np.isfinite(row.high) else {}
    numbers |= {"lowest": (row.low, row.unit)} if np.isfinite(row.low) else {}
    return reason("printed range", {"row": row.id, "status": row.status}, **numbers)
