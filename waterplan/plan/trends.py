"""What the readings of a log show over time: from first to last, against their limit, and against the last plan's course."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from waterplan.actions.amounts import rule
from waterplan.case.model import Logged
from waterplan.hazards.limit_rows import nh3_limit, strictest, water_limit
from waterplan.hazards.record import Judgement, Limit, Side
from waterplan.plan.record import Direction, Gap, Plan, Trend
from waterplan.spread import HIGH_PERCENT, LOW_PERCENT
from waterplan.stay.figures import rounded
from waterplan.stay.ground import Ground
from waterplan.stay.prepare import worse_if_higher
from waterplan.stay.quantities import KEYS, UNITS, Q
from waterplan.stay.record import ActEnd, Figure, Series
from waterplan.water.ammonia import tan_giving_nh3_mg_n_per_l

_H_S = 3600.0
_LEAST = 2
_ENDS = np.array([LOW_PERCENT, HIGH_PERCENT]) / 100.0


def trends(ground: Ground, judgements: Sequence[Judgement]) -> tuple[Trend, ...]:
    """The trend of every quantity of every water that was read twice or more often, in the order of the record."""
    found: dict[tuple[str, Q], list[Logged]] = defaultdict(list)
    for row in sorted(ground.log, key=lambda row: row.taken):
        past = ground.as_of is None or row.taken <= ground.as_of
        if row.key in KEYS and KEYS[row.key] is not Q.GAS_PRESSURE and past and not row.reading.percent:
            found[row.water, KEYS[row.key]].append(row)
    return tuple(
        _trend(ground, judgements, water, quantity, rows)
        for (water, quantity), rows in found.items()
        if len({row.taken for row in rows}) >= _LEAST
    )


def _trend(ground: Ground, judgements: Iterable[Judgement], water: str, quantity: Q, rows: Sequence[Logged]) -> Trend:
    def put(name: str, row: Logged, *beside: Logged) -> str:
        # Two draws carry the band: a figure's ends are the nearest draws.
        draws = np.array([row.reading.measured.best, *_ends(row, *beside)])
        return ground.figures.put(f"{water}/{quantity}/read/{name}", draws, unit=UNITS[quantity], rows=row.reading.rows)

    by_value = sorted(rows, key=lambda row: row.reading.measured.best)
    # Of several of one minute the worse is told, and the band is that of all.
    told = reversed(by_value) if worse_if_higher(quantity) else by_value
    by_time = sorted(told, key=lambda row: row.taken)
    began, ended = ([row for row in by_time if row.taken == rows[end].taken] for end in (0, -1))
    limit = _limit(ground, judgements, water, quantity)
    return Trend(
        water=water,
        quantity=quantity.value,
        count=len(rows),
        began=rows[0].taken,
        ended=rows[-1].taken,
        first=put("first", *began),
        last=put("last", *ended),
        lowest=put("lowest", by_value[0]),
        highest=put("highest", by_value[-1]),
        texts=(began[0].reading.text, ended[0].reading.text),
        direction=direction(_ends(*began), _ends(*ended)),
        limit=limit,
        outside=sum(_is_outside(row.reading.measured.best, limit) for row in rows),
        gaps=tuple(_gaps([row.taken for row in rows])),
    )


def _ends(*rows: Logged) -> tuple[float, float]:
    """The ends of the bands of all readings of one minute."""
    ends = [row.reading.measured.at(_ENDS) for row in rows]
    return float(np.min(ends)), float(np.max(ends))


def direction(before: Sequence[float], after: Sequence[float]) -> Direction:
    """Where one band lies to another: above or below where they do not meet, else no change that the errors show."""
    if after[0] > before[-1]:
        return Direction.RISES
    return Direction.FALLS if after[-1] < before[0] else Direction.STEADY


def _gaps(times: Sequence[datetime]) -> Iterator[Gap]:
    least = timedelta(days=rule("log gap") + 1.0)  # so many days without a reading between two that have one
    yield from (Gap(start=first, until=second) for first, second in pairwise(times) if second - first >= least)


def _limit(ground: Ground, judgements: Iterable[Judgement], water: str, quantity: Q) -> Limit | None:
    """The strictest limit by which the hazard of a quantity is judged; of total ammonia, at this pH and temperature.

    Where the papers of the ward have a stricter one for a kit, it is that.
    """
    own = (one.limit for one in judgements if one.water == water and one.hazard.value == quantity.value)
    judged = strictest(one for one in own if one is not None and one.unit == UNITS[quantity])
    limit = _of_total_ammonia(ground, water) if quantity is Q.AMMONIA else judged
    path = f"{water}/{quantity}/limit"
    if limit is None or limit.value is None or path not in ground.figures.sums:
        return limit
    figure = ground.figures.record(path)
    least = rounded(figure.low or 0.0, unit=figure.unit, end=ActEnd.LOW)
    return limit.model_copy(update={"value": least, "row": figure.rows[0]}) if least < limit.value else limit


def _of_total_ammonia(ground: Ground, water: str) -> Limit | None:
    """Total ammonia at which the un-ionised part is at its limit, at most its own cap, at the pH and temperature that were read."""
    fish, readings = ground.fish_in(*ground.places[water].stretches), ground.readings[water]
    if not fish or not {"ph", "temperature"} <= readings.keys():
        return None
    ph, temp = (max(one.measured.best for one in readings[key]) for key in ("ph", "temperature"))
    law, cap = nh3_limit(one.species.law_group for one in fish), water_limit("tan", "cap")
    level = float(min(tan_giving_nh3_mg_n_per_l(law.value, ph=ph, water_temp_c=temp), cap.value))
    row, unit = cap if level == cap.value else law, UNITS[Q.AMMONIA]
    return Limit.of_row(row, value=rounded(level, unit=unit, end=ActEnd.LOW), unit=unit, side=Side.AT_MOST)


def _is_outside(value: float, limit: Limit | None) -> bool:
    if limit is None or limit.value is None:
        return False
    under = limit.side is not Side.AT_MOST and value < limit.value
    most = limit.value if limit.side is Side.AT_MOST else limit.upper
    return under or (most is not None and value > most)


# -- against the last plan ------------------------------------------------------------------------------------------


def against_course(now: Plan, last: Plan) -> tuple[tuple[Trend, ...], Mapping[str, Figure]]:
    """The trends of a plan held against what the course of the last plan had for the time of the last reading."""
    figures: dict[str, Figure] = {}
    found = []
    for trend in now.trends:
        own = (one for one in last.series.values() if (one.water, one.quantity) == (trend.water, trend.quantity))
        expected = next(filter(None, (_at(one, trend.ended) for one in own)), None)
        if expected is None:
            found.append(trend)
            continue
        read, path = now.figures[trend.last], f"{trend.water}/{trend.quantity}/read/expected"
        figures[path] = expected
        bands = [(one.low or 0.0, one.high or 0.0) for one in (expected, read)]
        found.append(trend.model_copy(update={"expected": path, "against_plan": direction(*bands)}))
    return tuple(found), figures


def _at(series: Series, time: datetime) -> Figure | None:
    """What a course has for a time; None where it does not reach that far."""
    if series.start is None or not series.hours:
        return None
    hour = (time - series.start).total_seconds() / _H_S
    if not series.hours[0] <= hour <= series.hours[-1]:
        return None
    low, best, high = (float(np.interp(hour, series.hours, one)) for one in (series.low, series.best, series.high))
    acted = rounded(best, unit=series.unit, end=ActEnd.BEST)
    return Figure(best=best, low=low, high=high, unit=series.unit, act_on=acted, act_end=ActEnd.BEST)
