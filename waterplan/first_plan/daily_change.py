"""Water to change each day: by the balance of the tank through time, with the pH that its water airs to."""

from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.findings import Verdict, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.schema import Filter
from waterplan.first_plan.new_water import source_name, source_tan_mg_n_per_l
from waterplan.first_plan.tank_setup import held_at, new_water
from waterplan.published import FloatArray
from waterplan.spread import Band, band
from waterplan.tank.answers import SEARCH_DRAWS, thinned
from waterplan.tank.changes_needed import NitrogenLimits, daily_change_litres, hours_between_changes
from waterplan.tank.events import Event, WaterChange
from waterplan.tank.fish_events import Fed
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Water
from waterplan.tank.water_change import litres_per_day_to_hold

# The time looked at: a water changed daily has settled by then.
_DAYS, _SHARE_OFTEN = 7.0, 0.25
_AIRED_H, _STEP_H = 48.0, 4.0
_MEAL_HOURS = (9.0, 18.0, 13.5, 21.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What a daily change of water can do.

    `litres` are what each of a part of the draws would need by itself (infinite where nothing would do), `safe_l` what
    holds in 95 % of all draws, `measured_ph_l` what would do if the pH stayed as measured, `aired_ph` the pH that the
    water comes to, `every_h` the hours between changes of a quarter where one change a day is not enough,
    `half_nh3_mg_n_per_l` the highest un-ionised ammonia with half of the tank changed each day, and `advised_l` the
    litres to change each day: none where it cannot be done.
    """

    litres: FloatArray
    safe_l: float | None
    ruled_by: str
    chance: float
    measured_ph_l: float
    aired_ph: Band
    holds_l: FloatArray
    half_l: float
    source_tan_mg_n_per_l: FloatArray
    source_nitrite_mg_no2_per_l: FloatArray
    half_nh3_mg_n_per_l: Band
    every_h: float | None
    advised_l: float | None


def nitrogen_limits(desk: Desk) -> NitrogenLimits:
    """The levels of un-ionised ammonia, total ammonia and nitrite that the tank is not to pass."""
    return NitrogenLimits(
        nh3_mg_n_per_l=tables.row("water_limits", quantity="nh3", group=desk.species.law_group, level="limit").value,
        tan_mg_n_per_l=tables.row("water_limits", quantity="tan", group="any", level="cap").value,
        nitrite_mg_no2_per_l=tables.row("water_limits", quantity="nitrite", group="any", level="watch").value,
    )


def meals(desk: Desk, *, days: float, start_clock_h: float) -> tuple[Event, ...]:
    """The meals that the case intends, at ordinary hours of the clock."""
    feed = desk.case.intended.feed
    if feed is None or feed.measured.best <= 0.0:
        return ()
    count = max(desk.case.intended.meals or 1, 1)
    grams = desk.drawn_reading("intended.feed", feed) / 100.0 * desk.weight_kg() * 1000.0 / count
    nitrogen = desk.drawn_row("feed nitrogen", tables.row("feed_nitrogen", basis="ammonia nitrogen per feed"))
    hours = sorted(_MEAL_HOURS[:count] if count <= len(_MEAL_HOURS) else np.linspace(7.0, 21.0, count))
    times = sorted(
        24.0 * day + float(hour) - start_clock_h
        for day in range(int(days) + 2)
        for hour in hours
        if 0.0 <= 24.0 * day + float(hour) - start_clock_h <= 24.0 * days
    )
    return tuple(Fed(at_h=at, feed_g=np.maximum(grams, 0.0), ammonia_kg_n_per_kg_feed=nitrogen) for at in times)


def change_needed(desk: Desk) -> Change:
    """The daily change that holds ammonia and nitrite with no filter, worked out once for a plan.

    The safe end is advised as long as it is half of the tank or less; where only the best figures fit into half of the
    tank, half of it is, beside tests twice a day.
    """
    return desk.kept("daily change", lambda: _change_needed(desk))


def _change_needed(desk: Desk) -> Change:
    tank, temp = desk.hospital_tank(), desk.hospital_temperature_c()
    setup, limits = held_at(desk, tank, temp=temp), nitrogen_limits(desk)
    source = new_water(desk, temp=temp, salt_g_per_l=setup.water.salinity_g_per_l)
    fed = meals(desk, days=_DAYS, start_clock_h=setup.start_clock_h)
    found = daily_change_litres(setup, source=source, limits=limits, events=fed, days=_DAYS, progress=desk.progress)
    assert found.each is not None  # a search for litres says what each draw needs
    few = thinned(setup, SEARCH_DRAWS)
    aired = course(few, until_h=_AIRED_H, every_h=_AIRED_H, step_h=_STEP_H)
    at_measured = litres_per_day_to_hold(
        desk.ammonia_mg_n_per_day(temp),
        limit_tan_mg_n_per_l=desk.tan_limit_mg_n_per_l(tank.name, water_temp_c=temp),
        source_tan_mg_n_per_l=source_tan_mg_n_per_l(desk),
    )
    holds = desk.vessel_l(tank)
    half = tables.row("hospital_demands", demand="daily change at most").value * band(holds).low
    best, safe = float(found.each[0]), found.value
    advised = safe if safe is not None and safe <= half else half if best <= half else None
    every = None
    if safe is not None and safe > half:
        often = hours_between_changes(
            setup, share_changed=_SHARE_OFTEN, source=source, limits=limits, events=fed, days=_DAYS
        )
        every = None if often.value is None else float(np.floor(often.value))
    return Change(
        litres=found.each,
        safe_l=safe,
        ruled_by=found.ruled_by,
        chance=found.chance,
        measured_ph_l=float(np.asarray(at_measured)[0]),
        aired_ph=band(aired.states["ph"][-1]),
        holds_l=holds,
        half_l=half,
        source_tan_mg_n_per_l=source_tan_mg_n_per_l(desk),
        source_nitrite_mg_no2_per_l=np.asarray(source.nitrite_mg_no2_per_l),
        half_nh3_mg_n_per_l=_with_half(few, source, fed),
        every_h=every if every else None,
        advised_l=advised,
    )


def _with_half(setup: Setup, source: Water, fed: tuple[Event, ...]) -> Band:
    """The highest un-ionised ammonia in a week with half of the tank changed each day."""
    water = thinned(source, SEARCH_DRAWS)
    made = [WaterChange(at_h=24.0 * day, share_changed=0.5, source=water) for day in range(1, int(_DAYS))]
    events = sorted([*made, *thinned(fed, SEARCH_DRAWS)], key=lambda event: event.at_h)
    done = course(setup, events, until_h=24.0 * _DAYS, every_h=_STEP_H, step_h=_STEP_H)
    return band(done.highest("nh3_mg_n_per_l"))


def daily_change(desk: Desk) -> Answer:
    """Litres a day that hold ammonia and nitrite, or "impossible" and what would make it possible."""
    change = change_needed(desk)
    best = band(change.litres).best
    holds = float(change.holds_l[0])
    half = amount(change.half_l, unit="L/day")
    safe = amount(change.safe_l, unit="L/day") if change.safe_l is not None else "more than the whole tank"
    often = (
        f" A quarter of the tank every {amount(change.every_h, unit='h')} holds it in 95 % of the draws."
        if change.every_h is not None
        else ""
    )
    verdict = None
    if not np.isfinite(best):
        text = (
            f"Impossible: not even a full change every day holds {change.ruled_by}{_brought(desk, change)}. {_half_does(change)} "
            "Next: a larger tank, a proven filter, no food, water without ammonia, or a lower pH by the vet's word."
        )
        verdict = Verdict.ACT
    elif change.advised_l is None:
        text = (
            f"{amount(best, unit='L/day')} by the best figures, more than half of the tank ({half}): hard on the fish; the "
            f"safe end is {safe}. {_half_does(change)} Next: a larger tank, a proven filter or no food; until then change "
            f"in parts and test twice a day.{often}"
        )
        verdict = Verdict.ACT
    elif change.safe_l is None or change.advised_l < change.safe_l:
        text = (
            f"{half}, half of the tank, in two parts. The best figure is {amount(best, unit='L/day')}, the safe end {safe}: "
            f"test twice a day and change more as soon as {change.ruled_by} nears its limit.{often}"
        )
    else:
        text = (
            f"{safe} (the safe end; best figure {amount(best, unit='L/day')}, {100 * best / holds:.0f} % of the tank) holds "
            f"ammonia and nitrite in 95 % of the draws without a filter; {change.ruled_by} rules."
        )
    text += _of_ph(desk, change)
    if desk.filter_state() is Filter.SEEDED and verdict is None:
        text += " With the seeded filter proven by two clean paired tests, less will do."
    how = "the tank's balance over a week, what each draw needs by itself; the filter counted as none; 95 % checked with all"
    if not np.isfinite(best):
        return Answer(text=text, verdict=verdict, method=how)
    return Answer(
        text=text,
        unit="L/day",
        values=change.litres,
        limit=Limit(value=change.half_l, side=Side.AT_MOST, words=f"half of the tank, {half}"),
        verdict=verdict,
        method=how,
    )


def _brought(desk: Desk, change: Change) -> str:
    """What the new water itself brings of what rules."""
    if change.ruled_by == "nitrite":
        brings, unit, key = band(change.source_nitrite_mg_no2_per_l), "mg/L as NO2", "nitrite"
    else:
        brings, unit, key = band(change.source_tan_mg_n_per_l), "mg/L as N", "tan"
    if brings.best <= 0.0:
        return ""
    reading = desk.latest(source_name(desk), key)
    if reading is not None and reading.measured.censored:
        return (
            f" (the kit sees none in the new water, but none under {amount(reading.measured.ceiling, unit=unit)} either: "
            f"{amount(brings.best, unit=unit)} is counted)"
        )
    return f" (the new water itself brings {amount(brings.best, unit=unit)})"


def _half_does(change: Change) -> str:
    """What the largest change that is advised would do."""
    _, best, high = change.half_nh3_mg_n_per_l
    harm = tables.row("water_limits", quantity="nh3", group="any", level="harm").value
    return (
        f"Half of the tank each day keeps un-ionised ammonia under {amount(best, unit='mg/L as N')} by the best figures, "
        f"{amount(high, unit='mg/L as N')} at the safe end; harm to gills begins at {amount(harm, unit='mg/L as N')}."
    )


def _of_ph(desk: Desk, change: Change) -> str:
    """What the pH has to do with it, where it moves as the water airs."""
    measured, aired = float(desk.water(desk.hospital_water(), "ph")[0]), change.aired_ph
    if abs(aired.best - measured) < 0.1:
        return ""
    would = (
        f"{amount(change.measured_ph_l, unit='L/day')} would do"
        if np.isfinite(change.measured_ph_l)
        else "no change would do either"
    )
    word = "rise" if aired.best > measured else "fall"
    return (
        f" As the water airs, pH {amount(measured, unit='')} is expected to {word} to pH {amount(aired.best, unit='')}, which "
        f"is counted; if it stayed, {would}. Measure it daily."
    )


def advised_change_l(desk: Desk) -> float | None:
    """Litres to change each day, or None where it cannot be said or done."""
    try:
        return change_needed(desk).advised_l
    except (Unanswerable, ImpossibleInput, Refused):
        return None


def scheduled_change_l(desk: Desk) -> float | None:
    """Litres to change each day: as advised, or half of the tank meanwhile where no change holds the limits."""
    try:
        change = change_needed(desk)
    except (Unanswerable, ImpossibleInput, Refused):
        return None
    return change.half_l if change.advised_l is None else change.advised_l


def ph_shift(desk: Desk) -> float:
    """How far the hospital tank's pH moves from what was measured as its water airs; none where it cannot be said."""
    if desk.assumed_ph_shift is not None:
        return desk.assumed_ph_shift
    try:
        return change_needed(desk).aired_ph.best - float(desk.water(desk.hospital_water(), "ph")[0])
    except (Unanswerable, ImpossibleInput, Refused):
        return 0.0
