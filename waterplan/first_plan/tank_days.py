"""The hospital tank day after day: the air that holds its oxygen, and the heater that cannot cook the fish."""

from dataclasses import replace

from waterplan import tables
from waterplan.errors import Refused
from waterplan.findings import Moment, Verdict, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.first_case.tank_choices import Happens
from waterplan.first_plan.tank_setup import breathing_patient, covered, handled, room_of, still_water, stone_of, tank_of
from waterplan.fish.species import temperature_range_c
from waterplan.published import FloatArray
from waterplan.spread import band, chance
from waterplan.tank.air_needed import AirNeeded, least_air
from waterplan.tank.heater_size import HeaterSize, watts_that_cannot_cook, watts_to_hold
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Room, Tank

_MOMENT = Moment.HOSPITAL


def tank_days(desk: Desk) -> None:
    """What keeps the hospital tank in oxygen and at its temperature."""
    if not desk.case.vessels_for(Use.HOSPITAL):
        return
    desk.answer(_MOMENT, "air needed", "Air that holds the oxygen of the hospital tank", air_needed)
    desk.answer(_MOMENT, "heater least", "Heater that holds the intended temperature", heater_least)
    desk.answer(_MOMENT, "heater most", "Heater that cannot cook the fish if it sticks on", heater_most)
    over = _changes_over(desk)
    if over:
        desk.answer(_MOMENT, "changes over", "Water changes of the stay", changes_over, over)


# -- what cannot happen ---------------------------------------------------------------------------------------------


def _changes_over(desk: Desk) -> str:
    """The water changes of the case's events that are more than the hospital tank holds, each with its time."""
    tank = desk.hospital_tank()
    if not desk.is_known(tank):
        return ""
    holds = float(desk.vessel_l(tank)[0])
    return "; ".join(
        f"{event.volume.text} at {event.at:%a %d %b %Y, %H:%M}"
        for event in desk.case.events
        if event.what is Happens.CHANGE and event.volume is not None and event.volume.measured.best > holds
    )


def changes_over(desk: Desk, named: str) -> Answer:
    """Refuses changes of more water than there is."""
    holds = amount(float(desk.vessel_l(desk.hospital_tank())[0]), unit="L")
    raise Refused(f"More than the tank holds ({holds}): {named}. Put the events right: no course is worked out")


# -- air ------------------------------------------------------------------------------------------------------------


def _air_of_tank(desk: Desk, target: float) -> AirNeeded:
    tank, temp = desk.hospital_tank(), desk.hospital_temperature_c()
    setup = Setup(
        tank=Tank(volume_l=desk.free_l(tank)),
        water=still_water(desk, tank.name, temp=temp),
        room=Room(air_pressure_kpa=desk.air_pressure_kpa()),
        fish=(handled(desk, breathing_patient(desk, temp)),),
    )
    return least_air(
        setup,
        stone=stone_of(desk, tank, 1.0),
        target_do_mg_per_l=target,
        most_l_per_min_per_outlet=tables.row("aeration_rates", device="outlet").value,
        least_outlets=int(tables.row("aeration_rates", device="any tank", quantity="outlets").value),
    )


def air_needed(desk: Desk) -> Answer:
    """The least air and outlets that hold the oxygen wanted in the worst draws, the fish handled."""
    tank = desk.hospital_tank()
    target = tables.row("hospital_demands", demand="oxygen to hold").value
    found = _air_of_tank(desk, target)
    how = "oxygen balance at rest in each draw: air = what the handled fish takes over what a litre of air brings; surface none"
    held = amount(target, unit="mg/L")
    if found.flow.value is None:
        alarm = tables.row("oxygen_levels", group=desk.species.oxygen_group, state="settled", level="alarm").value
        lower = _air_of_tank(desk, alarm).flow
        second = (
            f" {amount(lower.value, unit='L/min')} hold the alarm level of {amount(alarm, unit='mg/L')}."
            if lower.value is not None
            else f" Not even the alarm level of {amount(alarm, unit='mg/L')} can be held by air."
        )
        text = (
            f"No air holds {held} here in 95 % of the draws: bubbles bring this water to "
            f"{amount(found.highest_do_mg_per_l, unit='mg/L')} at most.{second} Cooler water, or oxygen with the air."
        )
        return Answer(text=text, verdict=Verdict.ACT, method=how)
    needed = found.flow.each
    assert needed is not None  # a closed form for every draw
    text = (
        f"{amount(found.flow.value, unit='L/min')} through {_stones(found.outlets or 1)} hold {held} with the fish handled, in "
        f"{100 * found.flow.chance:.0f} % of the draws (best figure {amount(band(needed).best, unit='L/min')})."
    )
    if tank.air is None:
        return Answer(
            text=f"{text} The {tank.name} has no air: give it.",
            unit="L/min",
            values=needed,
            verdict=Verdict.ACT,
            method=how,
        )
    given = desk.drawn_reading(f"vessel {tank.name}.air", tank.air)
    blown = f"the {tank.name} has {amount(given[0], unit='L/min')}"
    few = tank.outlets is not None and found.outlets is not None and tank.outlets < found.outlets
    text += f" The {tank.name} has {amount(given[0], unit='L/min')}"
    text += f" through {_stones(tank.outlets)}: add more." if few and tank.outlets else "."
    return Answer(
        text=text,
        unit="L/min",
        values=needed,
        limit=Limit(value=given, side=Side.AT_MOST, words=blown),
        verdict=Verdict.WATCH if few and band(needed).high <= given[0] else None,
        method=how,
    )


# -- heat -----------------------------------------------------------------------------------------------------------


def _heaters(desk: Desk) -> tuple[HeaterSize, float, float]:
    """Watts with the lid as it lies, the ceiling and the time unattended.

    Where nobody said whether there is a lid, the least is that of the open tank and the most that of the covered one.
    """

    def make() -> tuple[HeaterSize, float, float]:
        vessel, temp = desk.hospital_tank(), desk.hospital_temperature_c()
        low, high = temperature_range_c(desk.species.name, "tolerated")
        step = tables.row("temperature_steps", situation="healthy", limit="warmer step").value
        target = float(temp[0])
        if not low < target < high:
            raise Refused(
                f"{amount(target, unit='°C')} is outside what {desk.species.words} tolerates, "
                f"{amount(low, high, unit='°C')}: no heater is sized for it"
            )
        ceiling, hours = min(high, target + step), unattended_h(desk)
        open_tank = tank_of(desk, vessel)
        factor = tables.row("heat_rates", part="open surface", quantity="evaporation factor").value
        setup = Setup(
            tank=replace(open_tank, evaporation_factor=factor),
            water=still_water(desk, vessel.name, temp=temp),
            room=room_of(desk),
        )
        closed = replace(setup, tank=covered(open_tank))
        size = HeaterSize(
            least=watts_to_hold(closed if vessel.lid == "yes" else setup, target_temp_c=target),
            most=watts_that_cannot_cook(
                setup if vessel.lid == "no" else closed,
                target_temp_c=target,
                ceiling_temp_c=ceiling,
                unattended_h=hours,
                most_rise_c_per_h=_rise_c_per_h(),
            ),
        )
        return size, ceiling, hours

    return desk.kept("heaters", make)


def _rise_c_per_h() -> float:
    """How fast a patient's water may warm."""
    return tables.row("temperature_steps", situation="convalescent", limit="per hour").value


def unattended_h(desk: Desk) -> float:
    """Longest time that nobody looks [h]."""
    said = desk.case.intended.unattended
    return (said.measured.best if said else tables.row("defaults", what="unattended").value) / 60.0


def heater_least(desk: Desk) -> Answer:
    """The least watts that hold the intended temperature at the room's coldest hour."""
    vessel = desk.hospital_tank()
    size, _, _ = _heaters(desk)
    needed = size.least.each
    assert needed is not None  # a closed form for every draw
    temp = amount(desk.hospital_temperature_c()[0], unit="°C")
    how = "heat lost through walls, surface and evaporation at the coldest hour of the room; 95 % of the draws"
    value = size.least.value or 0.0
    if value == 0.0:
        return Answer(text=f"None: the room keeps {temp} by itself.", unit="W", values=needed, method=how)
    text = f"{amount(value, unit='W')} hold {temp} (best figure {amount(band(needed).best, unit='W')}); two halves fail less."
    if vessel.heater is None:
        return Answer(
            text=f"{text} The {vessel.name} has no heater.",
            unit="W",
            values=needed,
            verdict=_unheated(needed),
            method=how,
        )
    given = desk.drawn_reading(f"vessel {vessel.name}.heater", vessel.heater)
    words = f"the {vessel.name} has {amount(given[0], unit='W')}"
    return Answer(
        text=f"{text} {_upper(words)}.",
        unit="W",
        values=needed,
        limit=Limit(value=given, side=Side.AT_MOST, words=words),
        method=how,
    )


def _unheated(needed: FloatArray) -> Verdict:
    """A tank without a heater is to be watched where it would often need one, and acted on where it would at best."""
    return Verdict.ACT if needed[0] > 0.0 else Verdict.WATCH if chance(needed > 0.0) > 0.05 else Verdict.FIGURE


def heater_most(desk: Desk) -> Answer:
    """The most watts that cannot bring the water past its ceiling with the thermostat stuck on."""
    vessel = desk.hospital_tank()
    size, ceiling, hours = _heaters(desk)
    top = size.most
    until = f"{amount(ceiling, unit='°C')} within the {amount(hours, unit='h')} that nobody looks"
    how = "the tank warmed by a heater that never switches off, from the intended temperature; 95 % of the draws"
    if top.value is None:
        return Answer(
            text=f"None is safe: the room alone may warm the water too fast, or past {until}. Cool the room.",
            verdict=Verdict.ACT,
            method=how,
        )
    rise = amount(_rise_c_per_h(), unit="°C/h")
    text = f"{amount(top.value, unit='W')} at most: stuck on, it stays under {until}, and warms by no more than {rise}."
    if vessel.heater is None:
        return Answer(text=text, unit="W", values=top.value, method=how)
    given = desk.drawn_reading(f"vessel {vessel.name}.heater", vessel.heater)
    words = f"the {vessel.name} has {amount(given[0], unit='W')}"
    safe = bool(given[0] <= top.value)
    if not safe:
        text += f" {_upper(words)}: it could cook the fish. Two smaller ones, or a second thermostat that cuts it off."
    elif not size.fits:
        text += " It is less than holds the temperature in the worst draws: line the walls, cover the tank, or warm the room."
    return Answer(
        text=text,
        unit="W",
        values=top.value,
        verdict=Verdict.PASS if safe else Verdict.ACT,
        method=how,
    )


def _stones(count: int) -> str:
    return f"{count} stone{'s' if count > 1 else ''}"


def _upper(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
