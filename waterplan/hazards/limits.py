"""A course held against a limit, on one side or between two."""

from typing import Any

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.record import Side
from waterplan.hazards.subject import Assessed, Subject
from waterplan.published import FloatArray, Numbers
from waterplan.spread import Measured
from waterplan.stay.quantities import Q

# Statuses of a row whose range was printed, and not thought of here.
_PRINTED = frozenset({"published", "as quoted", "derived"})


def in_draws(subject: Subject, row: tables.Row) -> Numbers:
    """A level, in draws where print puts it anywhere between two others; the same in every water.

    Where the value is an end of its range, the careful end answers for all of it, or the other end is a level of its own.
    """
    if row.status not in _PRINTED or not row.low < row.value < row.high:
        return row.value
    inputs = subject.stay.ground.inputs
    return inputs.of(row.id, Measured.between(row.low, row.high, best=inputs.value(row)))


def at_most(subject: Subject, *quantities: Q, **more: Any) -> Assessed:
    """The most of a quantity over a stretch against the rows `limit` and `harm`; `more` stands in place of what follows."""
    return _one_sided(subject, Side.AT_MOST, *quantities, **more)


def at_least(subject: Subject, *quantities: Q, **more: Any) -> Assessed:
    """The least of a quantity over a stretch against the rows `limit` and `harm`; `more` stands in place of what follows."""
    return _one_sided(subject, Side.AT_LEAST, *quantities, **more)


def _one_sided(subject: Subject, side: Side, *quantities: Q, harm: tables.Row | None = None, **more: Any) -> Assessed:
    falls, quantity = side is Side.AT_LEAST, quantities[0]
    if "values" not in more:
        more["values"] = (levels.least if falls else levels.most)(subject, quantity)
    if harm is not None:
        level = in_draws(subject, harm)
        more.setdefault("harm_at", level)
        if "clocks" not in more:
            more["clocks"] = {"harm": levels.until(subject, quantity, np.asarray(level), falls=falls)}
    more.setdefault("quantities", quantities)
    return Assessed(quantity=quantity, side=side, harm=harm, **more)


Ends = tuple[float, float] | tuple[FloatArray, FloatArray]


def between(subject: Subject, *quantities: Q, within: Ends, harmless: Ends, **more: Any) -> Assessed:
    """What lies farthest out of a band over a stretch, against the band that is wanted and the one out of which harm begins."""
    quantity = quantities[0]
    below = levels.until(subject, quantity, harmless[0], falls=True)
    above = levels.until(subject, quantity, harmless[1], falls=False)
    return Assessed(
        quantity=quantity,
        values=farthest(subject, quantity, within),
        side=Side.BETWEEN,
        limit_at=within[0],
        upper=within[1],
        harm_at=harmless[0],
        harm_upper=harmless[1],
        clocks={"harm": np.minimum(below, above)},
        quantities=quantities,
        **more,
    )


def farthest(subject: Subject, quantity: Q, within: Ends) -> FloatArray:
    """Of the least and the most of each draw over a stretch the one that lies farther out of a band."""
    least, most = levels.least(subject, quantity), levels.most(subject, quantity)
    return np.where(most - within[1] > within[0] - least, most, least)
