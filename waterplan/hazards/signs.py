"""What was seen at a water, and whether it points to the water or to one fish: a suspicion until the water is read."""

from collections.abc import Iterator

import numpy as np

from waterplan import tables
from waterplan.case.choices import HowMany
from waterplan.case.seen import Seen
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.ground import Ground
from waterplan.stay.quantities import Q

_QUANTITIES = {one.value: one for one in Q}


def hazards(subject: Subject) -> Iterator[Assessed]:
    """One judgement for each sign that was seen at the water by the time of the plan, on the stretch of that time."""
    if not subject.is_now:
        return
    ground, water = subject.stay.ground, subject.water.place.id
    for one in ground.seen(water):
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
                why=(Why(code="seen", words=words), *points(ground, water), *said),
            )


def points(ground: Ground, water: str) -> tuple[Why, ...]:
    """Which way the signs of a water point, to the water or to one fish: a suspicion, and one fish never clears a water."""
    seen = ground.seen(water)
    if not any(_shows(one) for one in seen):
        return ()
    told = [row for row in tables.table("sign_clues") if any(_tells(row, one, ground) for one in seen)]
    to_water = [row["clue"] for row in told if row["points"] == "water"]
    code = "points-to-the-water" if to_water else "points-to-that-fish" if told else "points-nowhere-yet"
    clues = ", ".join(to_water or [row["clue"] for row in told])
    return (Why(code=code, words={"clues": clues} if clues else {}),)


def _shows(seen: Seen) -> str:
    """What a sign is of: a fish, many fish; empty for one of the water itself."""
    return tables.row("signs", sign=seen.sign)["shows"]


def _tells(row: tables.Row, seen: Seen, ground: Ground) -> bool:
    """Whether a sign has a clue of the table."""
    many = seen.fish in (HowMany.SEVERAL, HowMany.MOST) or _shows(seen) == "many fish"
    at_h = None if seen.at is None else ground.clock.hours(seen.at)
    hour = ground.clock.hour_of_day(ground.clock.now_h if at_h is None else at_h)
    clues = {
        "several fish": many,
        "one fish": seen.fish is HowMany.ONE and not many,
        "before dawn": row.low <= hour < row.high,
        "seen at the water itself": not _shows(seen) and bool(tables.row("signs", sign=seen.sign)["severity"]),
    }
    return clues.get(row["clue"], seen.where == row["clue"])
