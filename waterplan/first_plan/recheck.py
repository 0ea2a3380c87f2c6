"""Moment 7, recheck: when to look, and the window for taking the stitches out."""

from datetime import timedelta

import numpy as np

from waterplan import tables
from waterplan.findings import Caution, Moment, Who, amount
from waterplan.first_plan.answers import Answer
from waterplan.first_plan.desk import HOME, Desk
from waterplan.fish.healing import days_to_degree_days
from waterplan.fish.quarantine import quarantine_days
from waterplan.fish.species import temperature_range_c
from waterplan.published import FloatArray, remark
from waterplan.spread import band

_MOMENT = Moment.RECHECK
# Beyond this no date is written: the water is so cold that nothing heals.
_LONGEST_DAYS = 36_500.0
_MIN_PER_DAY = 1440.0
_AT_HOME = (
    "After the stay the days are counted at the temperature that the home pond has now; log it, and the date follows. The "
    "degrees on the way up and down are not counted apart."
)
_BEARERS = frozenset({"koi", "common carp"})
_VISITS = ((1, "call"), (3, "look, or a photo: the days of most risk"), (7, "look"), (14, "look"))


def recheck(desk: Desk) -> None:
    """The dates that the water's temperature decides."""
    desk.answer(_MOMENT, "healing so far", "Degree-days logged so far", logged_so_far)
    desk.answer(_MOMENT, "inspect", "First look whether the stitches may come out", removal_day, "inspect")
    desk.answer(_MOMENT, "removal", "Stitches out, as expected", removal_day, "expect")
    desk.answer(_MOMENT, "removal range", "Earliest and latest that is printed", removal_range)
    if desk.case.patient.species in _BEARERS and _daily_means(desk):
        desk.answer(_MOMENT, "quarantine", "Days that say something of koi herpesvirus", quarantine)
    operation = desk.case.intended.operation_at
    for days, what in _VISITS:
        at = operation + timedelta(days=days) if operation else None
        desk.step(_MOMENT, Who.VET, f"Day {days}: {what}.", at)
    desk.step(
        _MOMENT, Who.VET, "Stitches come out only where the edge is closed and bears tension, under light sedation."
    )
    desk.step(_MOMENT, Who.OWNER, "Bring the temperature log and the fish's own aerated water to the recheck.")
    desk.caution(
        _MOMENT,
        "Degree-days are an estimate: no trial has printed a sum for taking stitches out of a pond fish. The wound decides. "
        "Stitches called absorbable do not go by themselves in a pond fish.",
    )


def _daily_means(desk: Desk) -> dict[int, float]:
    """Mean temperature of each logged day since the operation, by day number, in the water that the patient is in."""
    operation = desk.case.intended.operation_at
    if operation is None:
        return {}
    tank = desk.hospital_water()
    found: dict[int, list[float]] = {}
    for logged in desk.logged:
        late = desk.as_of is not None and logged.taken > desk.as_of
        if logged.key != "temperature" or logged.water != tank or logged.taken < operation or late:
            continue
        found.setdefault((logged.taken - operation).days, []).append(logged.reading.measured.best)
    return {day: float(np.mean(values)) for day, values in sorted(found.items())}


def logged_so_far(desk: Desk) -> Answer:
    """Degree-days since the operation from the logged temperatures; the days between two are filled in straight."""
    means = _daily_means(desk)
    if not means:
        return Answer(text="Nothing logged since the operation: the dates below go by the intended temperature.")
    days = np.arange(max(means) + 1)
    filled = np.interp(days, list(means), list(means.values()))
    total = float(filled.sum())
    return Answer(
        text=f"{amount(total, unit='°C days')} in {len(days)} {'day' if len(days) == 1 else 'days'}, {len(means)} of "
        "them logged.",
        unit="°C days",
        values=total,
        method="sum of daily means; days without a reading lie on a straight line between their neighbours",
    )


def quarantine(desk: Desk) -> Answer:
    """Logged days in the range of temperature in which koi herpesvirus shows itself; a count, never a release."""
    means = _daily_means(desk)
    counted = quarantine_days(np.asarray(list(means.values())))
    warm, cool = (tables.row("quarantine", rule=rule) for rule in ("warm", "cool"))
    wanted, alone = (tables.row("quarantine", rule=rule).value for rule in ("warm days", "cool days"))
    text = (
        f"{counted.warm} of the {wanted:g} logged days that are asked for lay in {amount(warm.low, warm.high, unit='°C')}; "
        f"{counted.cool} lay in {amount(cool.low, cool.high, unit='°C')} (by themselves more than {alone:g} are asked for); "
        f"{counted.outside} did not count. New fish begin it anew. It is a count and releases no fish."
    )
    cautions = (
        Caution(
            text="Warm days do not show what breaks out in cool water, such as spring viraemia or carp oedema virus; "
            "survivors may carry herpesvirus. These are notifiable in many countries: the veterinarian tests and reports."
        ),
    )
    return Answer(text=text, unit="days", values=float(counted.warm), method="days by their mean", cautions=cautions)


def _days_to(desk: Desk, degree_days: float) -> FloatArray:
    """Days from the operation to a sum of degree-days: by the log, then as intended to the end of the stay, then at home."""
    temp = desk.hospital_temperature_c()
    means = _daily_means(desk)
    logged_days = max(means) + 1 if means else 0
    so_far = np.cumsum(np.interp(np.arange(logged_days), list(means), list(means.values()))) if means else np.zeros(1)
    if so_far[-1] >= degree_days:
        day = np.interp(degree_days, np.concatenate([[0.0], so_far]), np.arange(logged_days + 1.0))
        return np.full(desk.draws.count + 1, day)
    left = degree_days - so_far[-1]
    in_tank = np.asarray(days_to_degree_days(left, water_temp_c=temp))
    stay, home = desk.case.intended.days, desk.latest(HOME, "temperature")
    if stay is None or home is None:
        return logged_days + in_tank
    stays = max(stay.measured.best / _MIN_PER_DAY - logged_days, 0.0)
    if np.all(in_tank <= stays):
        return logged_days + in_tank
    remark(_AT_HOME)
    at_home = np.asarray(
        days_to_degree_days(np.maximum(left - stays * temp, 0.0), water_temp_c=desk.temperature_c(HOME))
    )
    return logged_days + np.where(in_tank <= stays, in_tank, stays + at_home)


def _cautions(desk: Desk) -> tuple[Caution, ...]:
    temp = float(desk.hospital_temperature_c()[0])
    cold = tables.row("healing", milestone="cold").value
    low, high = temperature_range_c(desk.species.name, "preferred")
    found = (
        []
        if _daily_means(desk)
        else [Caution(text="Provisional: it goes by the intended temperature until logged ones replace it.")]
    )
    if temp < cold:
        found.append(
            Caution(text=f"Below {amount(cold, unit='°C')} healing is far slower than the sum says.", serious=True)
        )
    elif not low <= temp <= high:
        text = f"Outside the {amount(low, high, unit='°C')} that suits {desk.species.words}: expect it to differ."
        found.append(Caution(text=text))
    return tuple(found)


def removal_day(desk: Desk, milestone: str) -> Answer:
    """Days after the operation, and the date, at which a milestone of healing is reached."""
    row = tables.row("healing", milestone=milestone)
    values = _days_to(desk, row.value)
    return Answer(
        text=f"{_days_words(desk, values)}, at {amount(row.value, unit='°C days')}.",
        unit="days",
        values=values,
        method="degree-days logged, then at the intended temperature, then at home; an estimate",
        cautions=_cautions(desk),
    )


def removal_range(desk: Desk) -> Answer:
    """From the shortest to the longest that is printed."""
    row = tables.row("healing", milestone="range")
    first, last = band(_days_to(desk, row.low)).low, band(_days_to(desk, row.high)).high
    # The two ends are those of two sums and not of one: no number stands for them.
    dates = ""
    if desk.case.intended.operation_at is not None and last < _LONGEST_DAYS:
        dates = f": {_date(desk, first)} to {_date(desk, last)}"
    days = f"Day {first:.0f} to day {last:.0f}{dates}"
    if not last < _LONGEST_DAYS:
        days = f"From day {first:.0f}, at the cold end never" if first < _LONGEST_DAYS else "Never at this temperature"
    return Answer(
        text=f"{days}, at {amount(row.low, row.high, unit='°C days')}.",
        method="printed range of degree-days at the intended temperature",
    )


def _days_words(desk: Desk, values: FloatArray) -> str:
    low, best, high = band(values)
    date = _date(desk, best)
    if not best < _LONGEST_DAYS:
        return "Never at this temperature"
    latest = f"{high:.0f}" if high < _LONGEST_DAYS else "never"
    words = f"Day {best:.0f} (day {low:.0f} to {latest})"
    return f"{words}, {date}" if date else f"{words}; give [intended] operation_at for the date"


def _date(desk: Desk, days: float) -> str:
    operation = desk.case.intended.operation_at
    if operation is None or not days < _LONGEST_DAYS:
        return ""
    return f"{operation + timedelta(days=float(days)):%a %d %b %Y}"
