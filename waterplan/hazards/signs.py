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
    place, ground, stretch = subject.water.place, subject.stay.ground, subject.stretch
    now_h = ground.clock.now_h
    if stretch is None or stretch is not next((one for one in place.stretches if one.until_h > now_h), None):
        return
    for one in ground.seen(place.id):
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
