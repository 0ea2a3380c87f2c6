"""Moment 4, revival: clean, aerated, matched water, and the step to the next one."""

from datetime import timedelta
from itertools import pairwise

import numpy as np

from waterplan import tables
from waterplan.errors import Unanswerable
from waterplan.findings import Moment, Verdict, Who, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.procedure import times_of
from waterplan.tank.temperature_ramp import temperature_ramp

_MOMENT = Moment.REVIVAL


def revival(desk: Desk) -> None:
    """How long the revival tub lasts and whether its temperature matches."""
    tubs = desk.case.vessels_for(Use.REVIVAL)
    if not tubs:
        desk.answer(_MOMENT, "revival tub", "Revival tub", _no_tub)
    for vessel in tubs:
        times_of(desk, _MOMENT, vessel, state="anaesthetised")
    for first, second in _pairs(desk):
        step = desk.answer(
            _MOMENT,
            f"step: {first} to {second}",
            f"Temperature step, {first} to {second}",
            step_after_anaesthesia,
            first,
            second,
        )
        if step.verdict is Verdict.ACT:
            what = f"Bring the {second} to the temperature of the {first} before the fish goes in; one thermometer for both."
            desk.step(Moment.PREPARE, Who.NURSE, what)
    ramp_steps(desk)
    desk.step(
        _MOMENT,
        Who.NURSE,
        "Drug-free, aerated water over the gills until it breathes by itself; never drag it backwards.",
    )
    desk.step(_MOMENT, Who.NURSE, "No breathing for one minute: more flow and call the vet; write the time down.")
    desk.step(
        _MOMENT,
        Who.NURSE,
        "Watch until it swims upright and for 30 minutes after; then look every hour for 4 to 6 hours.",
    )
    desk.caution(
        _MOMENT,
        "Pure oxygen does not carry off carbon dioxide: keep air bubbling with it. No flame, no oil on the regulator.",
        serious=True,
    )


def _no_tub(_: Desk) -> Answer:
    raise Unanswerable('a vessel with use = "revival"')


def _pairs(desk: Desk) -> list[tuple[str, str]]:
    path = [HOME] if desk.latest(HOME, "temperature") is not None else []
    for use in (Use.INDUCTION, Use.REVIVAL, Use.HOSPITAL):
        path += [vessel.name for vessel in desk.case.vessels_for(use)[:1]]
    return list(pairwise(path))


def step_after_anaesthesia(desk: Desk, first: str, second: str) -> Answer:
    """Difference between two waters that the patient goes through on the day."""
    values = np.abs(desk.temperature_on_the_day_c(second) - desk.temperature_on_the_day_c(first))
    row = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
    exact = bool(values[0] <= row.low)
    warmer = desk.temperature_on_the_day_c(second)[0] > desk.temperature_on_the_day_c(first)[0]
    side = (
        "at the same temperature"
        if values[0] < 0.05
        else f"{'warmer' if warmer else 'colder'} by {amount(values[0], unit='°C step')}"
    )
    return Answer(
        text=f"The {second} is {side}; match within {amount(row.low, unit='°C step')} on the day of an anaesthetic, "
        f"{amount(row.high, unit='°C step')} at the most.",
        unit="°C step",
        values=values,
        limit=Limit(value=row.value, side=Side.AT_MOST),
        verdict=Verdict.ACT if values[0] > row.value else Verdict.PASS if exact else Verdict.WATCH,
        method="difference of the two readings",
    )


def ramp_steps(desk: Desk) -> None:
    """The clock times at which the hospital tank may be warmer or colder, where that is intended."""
    desk.answer(Moment.HOSPITAL, "ramp", "Bringing the hospital tank to the intended temperature", ramp)


def ramp(desk: Desk) -> Answer:
    """The ramp of the hospital tank under an hourly and a daily cap."""
    tank = desk.hospital_tank()
    if desk.case.intended.temperature is None:
        raise Unanswerable("[intended] temperature")
    now, target = desk.temperature_c(tank.name), desk.hospital_temperature_c()
    hour = tables.row("temperature_steps", situation="convalescent", limit="per hour").value
    day = tables.row("temperature_steps", situation="convalescent", limit="per day").value
    steps = temperature_ramp(float(now[0]), target_temp_c=float(target[0]), per_hour_c=hour, per_day_c=day)
    if not steps:
        return Answer(text="Nothing to change: it is there.", unit="h", values=0.0, method="ramp under two caps")
    schedule(desk, Moment.HOSPITAL, [(step.at_h, step.water_temp_c) for step in steps], tank.name)
    hours = steps[-1].at_h
    return Answer(
        text=f"From {amount(now[0], unit='°C')} to {amount(target[0], unit='°C')} in {amount(hours, unit='h')}: at "
        f"most {amount(hour, unit='°C step')} an hour and {amount(day, unit='°C step')} a day.",
        unit="h",
        values=hours,
        method="steps that keep the hourly and the daily cap",
    )


def schedule(desk: Desk, moment: Moment, points: list[tuple[float, float]], where: str) -> None:
    """Adds the clock times of a ramp as steps; without a start time, the hours after it begins."""
    begin = desk.start()
    for at_h, temp in points[1:]:
        what = f"{where}: {amount(temp, unit='°C')}"
        if begin is None:
            desk.step(moment, Who.NURSE, f"{at_h:g} h after the ramp begins, {what} and no further.")
        else:
            desk.step(moment, Who.NURSE, f"{what} and no further.", begin + timedelta(hours=at_h))
