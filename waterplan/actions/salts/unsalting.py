"""Salt let out of a tank over the last days before its fish go home: when, how much is changed, and with water of which salt."""

import math
from dataclasses import dataclass
from itertools import count

from waterplan import tables
from waterplan.actions.amounts import high, low, rule
from waterplan.actions.needs import Need
from waterplan.actions.salts.salt import intended_salt_g_per_l
from waterplan.hazards.levels import state_of
from waterplan.hazards.record import Verdict
from waterplan.hazards.subject import Subject
from waterplan.stay.happenings import first_change_h
from waterplan.stay.quantities import Q
from waterplan.stay.waters import HOME

_DAY_H, _TO_SPARE_H, _MOST_DAYS, _FIRST_WITHIN_H = 24.0, 12.0, 30, 36.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsalting:
    """Changes at the same hour of the last days; `days` is how many are needed, `last_h` the last that there is time for."""

    begin_h: float
    last_h: float
    days: int
    share: float
    new_water_g_per_l: float
    from_g_per_l: float
    to_g_per_l: float
    pond_g_per_l: float

    @property
    def in_time(self) -> bool:
        """Whether the stay is long enough for them."""
        return self.last_h - self.begin_h > (self.days - 1.5) * _DAY_H


def unsalting(need: Need, *, source_g_per_l: float, daily_share: float) -> Unsalting | None:
    """What brings the salt of a tank to within a step of the pond's, no step greater than the rule's; None where it is.

    Parameters
    ----------
    need : Need
        The tank.
    source_g_per_l : float
        Salt of the new water [g/L].
    daily_share : float
        The share of the tank that is changed each day anyhow; the changes are no smaller.

    Returns
    -------
    Unsalting or None
        The fewest days of equal changes that do, with their share and the salt of what is poured in; unsalted water alone, in
        smaller changes, where none of fewer than the most days does. None where the tank is near enough, or no change is left.

    Notes
    -----
    A change takes out the share that its parts leave of what was there: 1 - (1 - s / n)^n for a share s in n parts.
    """
    step = tables.row("dose_rules", rule="salt_lowered").value
    level = intended_salt_g_per_l(need) or high(need.state[Q.SALT])
    home = need.context.later[HOME]
    last = Subject(stay=need.context.later, water=home, stretch=home.place.stretches[-1])
    pond = max(low(state_of(last, last.begins_h)[Q.SALT]), 0.0)
    floor = max(source_g_per_l, 0.0)
    aim = max(pond, floor) + step
    hours = _hours(need)
    if level <= aim or not hours:
        return None
    days, share, new = next(
        (found for days in range(1, _MOST_DAYS) if (found := _over(days, level, aim, floor, daily_share, step))),
        _gently(level, aim, floor, step),
    )
    used = hours[-days:]
    left = new + (level - new) * (1.0 - _mixed(share)) ** len(used)
    return Unsalting(
        begin_h=used[0],
        last_h=used[-1],
        days=days,
        share=share,
        new_water_g_per_l=new,
        from_g_per_l=level,
        to_g_per_l=left,
        pond_g_per_l=pond,
    )


def _over(
    days: int, level: float, aim: float, floor: float, daily_share: float, step: float
) -> tuple[int, float, float] | None:
    """So many equal changes, of the daily litres at least: with unsalted water, or salted so that the fall is no greater."""
    share = max(daily_share, _poured(1.0 - ((aim - floor) / (level - floor)) ** (1.0 / days)))
    stays = (1.0 - _mixed(share)) ** days
    new = (aim - level * stays) / (1.0 - stays)
    return (days, share, max(new, floor)) if _mixed(share) * (level - new) <= step + 1e-9 else None


def _gently(level: float, aim: float, floor: float, step: float) -> tuple[int, float, float]:
    """Unsalted water alone, its first change one step at most: less than the daily litres."""
    remains = (aim - floor) / (level - floor)
    days = math.ceil(math.log(remains) / math.log(1.0 - step / (level - floor)) - 1e-9)
    return days, _poured(1.0 - remains ** (1.0 / days)), floor


def _mixed(share: float) -> float:
    """The share of what was there that a change takes out: less than what is poured, where it is poured in parts."""
    parts = max(math.ceil(share / rule("change part") - 1e-9), 1)
    return float(1.0 - (1.0 - share / parts) ** parts)


def _poured(mixed: float) -> float:
    """The share to pour for a share to take out, in as few parts as the rule allows."""
    each = ((parts, parts * (1.0 - (1.0 - mixed) ** (1.0 / parts))) for parts in count(1))
    return float(next(share for parts, share in each if share <= parts * rule("change part") + 1e-9))


def _hours(need: Need) -> list[float]:
    """The hours of the daily change, but for the first of the stay, and none on the day on which the fish leaves."""
    first, last = first_change_h(need.water, need.stretch), need.stretch.until_h - _TO_SPARE_H
    is_first = first < need.stretch.went_in_h + _FIRST_WITHIN_H
    return [first + _DAY_H * day for day in range(int(is_first), int((last - first) // _DAY_H) + 1)]


def salt_must_stay(need: Need) -> str:
    """Why salt may not be let out yet: nitrite, or gills that were seen to suffer from it; "" where nothing speaks against it."""
    records = (one.record for one in need.context.judged.values() if one.record.water == need.path)
    if any(one.hazard.value == Q.NITRITE.value and one.verdict.rank >= Verdict.ACT_NOW.rank for one in records):
        return "salt-stays-while-nitrite-is-high"
    seen = {one.sign for one in (*need.ground.seen(need.path), *need.ground.seen(HOME))}
    suffer = any({Q.NITRITE, Q.SALT} <= set(tables.row("signs", sign=one)["quantities"].split("; ")) for one in seen)
    return "salt-stays-while-gills-suffer" if suffer else ""
