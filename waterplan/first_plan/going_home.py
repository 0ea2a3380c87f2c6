"""The tank brought to the pond before the fish goes home: temperature and pH in steps with clock times."""

from datetime import datetime, timedelta

from waterplan import tables
from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.findings import Moment, Who, amount
from waterplan.first_plan.answers import Answer
from waterplan.first_plan.daily_change import change_needed
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.first_case.schema import Use
from waterplan.tank.ramps import at_clock, rungs
from waterplan.tank.temperature_ramp import temperature_ramp

_MOMENT = Moment.HOME


def going_home(desk: Desk) -> None:
    """The ramps of the last days in hospital."""
    if not desk.case.vessels_for(Use.HOSPITAL):
        return
    desk.answer(_MOMENT, "ramp home", "Bringing the tank to the temperature of the pond", ramp_home)
    desk.answer(_MOMENT, "ph ramp home", "Bringing the tank to the pH of the pond", ph_ramp_home)


def _leaves_at(desk: Desk) -> datetime | None:
    """When the fish is to go home."""
    intended = desk.case.intended
    if intended.operation_at is None or intended.days is None:
        return None
    return intended.operation_at + timedelta(minutes=intended.days.measured.best)


def ramp_home(desk: Desk) -> Answer:
    """Steps from the hospital's temperature to the pond's as it was measured, ending when the fish leaves."""
    start, target = float(desk.hospital_temperature_c()[0]), float(desk.temperature_c(HOME)[0])
    hour = tables.row("temperature_steps", situation="convalescent", limit="per hour").value
    day = tables.row("temperature_steps", situation="convalescent", limit="per day").value
    steps = temperature_ramp(start, target_temp_c=target, per_hour_c=hour, per_day_c=day)
    how = "steps that keep the hourly and the daily cap, to the pond as last measured"
    if not steps:
        return Answer(text="Nothing to change: they are alike.", unit="h", values=0.0, method=how)
    hours = steps[-1].at_h
    leaves = _leaves_at(desk)
    tank = desk.hospital_tank().name
    for step in steps[1:]:
        at = leaves - timedelta(hours=hours - step.at_h) if leaves else None
        before = "" if at else f"{hours - step.at_h:g} h before the fish leaves: "
        what = (
            f"{before}{tank} to {amount(step.water_temp_c, unit='°C')} and no further (measure the pond again first)."
        )
        desk.step(_MOMENT, Who.NURSE, what, at)
    return Answer(
        text=f"From {amount(start, unit='°C')} to {amount(target, unit='°C')} in {amount(hours, unit='h')} before it leaves.",
        unit="h",
        values=hours,
        method=how,
    )


def ph_ramp_home(desk: Desk) -> Answer:
    """Steps from the tank's pH, as its water airs to, to the pond's, by mixing in pond water."""
    try:
        start = change_needed(desk).aired_ph.best
    except (Unanswerable, ImpossibleInput, Refused):
        start = float(desk.water(desk.hospital_water(), "ph")[0])
    target = float(desk.water(HOME, "ph")[0])
    most = tables.row("ramp_rates", quantity="ph", limit="per step").value
    every = tables.row("ramp_rates", quantity="ph", limit="every").value
    how = "equal steps of pH under a cap, the tank as it is expected to be, the pond as last measured"
    if abs(target - start) <= most:
        text = (
            f"No steps: {amount(start, unit='')} in the tank and {amount(target, unit='')} in the pond are near enough."
        )
        return Answer(text=text, unit="h", values=0.0, method=how)
    ladder = rungs(start, target, most_per_step=most, every_h=every)
    leaves = _leaves_at(desk)
    tank = desk.hospital_tank().name
    if leaves is None:
        for rung in ladder:
            what = (
                f"{rung.at_h:g} h after the mixing begins: {tank} at pH {amount(rung.level, unit='')} with pond water."
            )
            desk.step(_MOMENT, Who.NURSE, what)
    else:
        for at, level in at_clock(ladder, leaves - timedelta(hours=ladder[-1].at_h + every)):
            desk.step(
                _MOMENT,
                Who.NURSE,
                f"Pond water into the {tank} until its pH is {amount(level, unit='')}, no further.",
                at,
            )
    hours = ladder[-1].at_h + every
    return Answer(
        text=f"From pH {amount(start, unit='')} to pH {amount(target, unit='')}: {len(ladder)} steps of at most "
        f"{amount(most, unit='')}, {amount(60.0 * every, unit='min')} apart: {amount(hours, unit='h')}. Slower where it rises "
        "and there is ammonia in the water.",
        unit="h",
        values=hours,
        method=how,
    )
