"""A fish that does not breathe: from when to act and for how long to go on, with the rows and sources of the steps."""

from waterplan import tables
from waterplan.plan.quick import Values
from waterplan.plan.record import Plan
from waterplan.stay.record import ActEnd

FIRST, LONG_ENOUGH = "time/first", "time/least"


def no_breathing() -> Plan:
    """The times of the steps that bring a fish round.

    Returns
    -------
    Plan
        Figures `FIRST`, after which to act at the latest, and `LONG_ENOUGH`, before which nobody stops; the rows of all steps.
    """
    values = Values()
    values.inputs.rows |= dict.fromkeys(row.id for row in tables.table("revival_steps"))
    out = next(row for row in tables.rows("anaesthesia_times", when="out", phase="revival"))
    go_on = tables.row("revival_steps", step="6")
    values.figures.put(FIRST, out.value, unit="min", act_end=ActEnd.LOW, rows=[out.id])
    values.figures.put(LONG_ENOUGH, go_on.value, unit="min", act_end=ActEnd.HIGH, rows=[go_on.id])
    return values.plan("no breathing")
