"""What was seen at a water: a sign is acted upon before anything is read, and stays a suspicion until it is."""

from collections.abc import Iterator

import numpy as np

from waterplan import tables
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q

_QUANTITIES = {one.value: one for one in Q}


def hazards(subject: Subject) -> Iterator[Assessed]:
    """One judgement for each sign that was seen at the water by the time of the plan, on the stretch of that time."""
    if not subject.is_now:
        return
    for one in subject.stay.ground.seen(subject.water.place.id):
        row = tables.row("signs", sign=one.sign)
        if row["severity"]:
            words = {"sign": one.sign, **({"number": one.fish.value} if one.fish else {})}
            said = (Why(code="seen-noted", words={"said": one.words}),) if one.words else ()
            yield Assessed(
                quantity=f"sign/{one.sign}",
                part=one.sign,
                passed=np.zeros(subject.state.size, dtype=bool),
                clocks={"harm": np.zeros(subject.state.size)},
                severity=row["severity"],
                limit=row,
                quantities=tuple(_QUANTITIES[name.strip()] for name in row["quantities"].split(";")),
                why=(Why(code="seen", words=words), *said),
            )
