"""On the way and on the table: the oxygen cylinder, the transport bag or box, the irrigation water, the steps home."""

import math
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput, Unanswerable
from waterplan.findings import Caution, Moment, Verdict, Who, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.call import oxygen_level
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.first_case.model import Transport, Vessel
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.first_case.tank_choices import Carrier
from waterplan.first_plan.tank_setup import handled, patient, room_of, setup_of, water_of
from waterplan.published import FloatArray, remark
from waterplan.spread import band
from waterplan.tank.aeration import Diffuser
from waterplan.tank.answers import SEARCH_DRAWS, thinned
from waterplan.tank.bag import Bag, BagLimits, bag_after, bag_lasts_h, least_bag_litres
from waterplan.tank.cylinder import cylinder_minutes
from waterplan.tank.irrigation import irrigation_swap
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Tank

# A closed bag is a closed form: more draws than a search through time can afford.
_BAG_DRAWS = 1024
_NO_WATER = "[transport] volume: the litres of water that the fish travels in"


def travel(desk: Desk) -> None:
    """The findings of the way, where the case says how the fish travels, and of the irrigation water."""
    if desk.case.oxygen_cylinder is not None:
        desk.answer(Moment.PREPARE, "cylinder", "Oxygen in the cylinder", cylinder)
    for vessel in desk.case.vessels_for(Use.IRRIGATION):
        title = f"{vessel.name}: swap the water within"
        desk.answer(Moment.PROCEDURE, f"swap: {vessel.name}", title, swap, vessel)
    way = desk.case.transport
    if way is not None:
        lasts = desk.answer(Moment.PREPARE, "transport hours", "How long the fish can travel", transport_hours, way)
        if way.by is not Carrier.BOX:
            desk.answer(Moment.PREPARE, "transport litres", "Water that the way asks for", transport_litres, way)
            desk.answer(Moment.PREPARE, "transport opened", "When the bag is opened", transport_opened, way)
            desk.step(Moment.PREPARE, Who.OWNER, _opening(lasts.low))


def _opening(lasts_h: float | None) -> str:
    """What the owner does with the bag; its hours are rounded down to a half, below one hour to a quarter."""
    lasts_h = lasts_h or 0.0
    parts = 2.0 if lasts_h >= 1.0 else 4.0
    within_h = math.floor(parts * lasts_h) / parts
    if within_h <= 0.0:
        return "Do not set out with the bag before the practice has said how long the fish may stay in it."
    return (
        f"Open the bag within {amount(within_h, unit='h')} of closing it; no airstone in its water; move the fish, throw its "
        "water away."
    )


def cylinder(desk: Desk) -> Answer:
    """Minutes that the oxygen cylinder lasts at its flow, by its low end."""
    held = desk.case.oxygen_cylinder
    assert held is not None  # asked only where there is one
    if held.volume is None or held.pressure is None or held.flow is None:
        lack = [key for key in ("volume", "pressure", "flow") if getattr(held, key) is None]
        raise Unanswerable("[oxygen_cylinder] " + ", ".join(lack))
    flow = desk.drawn_reading("oxygen_cylinder.flow", held.flow)
    values = np.asarray(
        cylinder_minutes(
            desk.drawn_reading("oxygen_cylinder.volume", held.volume),
            gauge_bar=desk.drawn_reading("oxygen_cylinder.pressure", held.pressure),
            oxygen_flow_l_per_min=flow,
        )
    )
    low = band(values).low
    text = f"{amount(low, unit='min')} at {amount(flow[0], unit='L/min')} by the low end, leaving 10 bar in it."
    cautions = (
        Caution(
            text="No flame, no oil or grease on valve and regulator; keep it upright and tied in a vehicle.",
            serious=True,
        ),
        Caution(text="Oxygen alone does not carry off carbon dioxide: keep air bubbling with it."),
    )
    how = "gas over the reserve at the pressure of the air, over the flow"
    if (way := desk.case.transport) is not None and way.hours is not None:
        limit = Limit(value=way.hours.measured.best, side=Side.AT_LEAST, words="the time of the way")
        return Answer(text=text, unit="min", values=values, limit=limit, method=how, cautions=cautions)
    return Answer(text=text, unit="min", values=values, method=how, cautions=cautions)


# -- transport ------------------------------------------------------------------------------------------------------


def _way_temp_c(desk: Desk, way: Transport) -> FloatArray:
    if way.temperature is not None:
        return desk.drawn_reading("transport.temperature", way.temperature)
    remark("The temperature on the way was not given: that of the home water is taken.")
    return desk.temperature_c(HOME)


def _bag(desk: Desk, way: Transport) -> Bag:
    if way.volume is None:
        raise Unanswerable(_NO_WATER)
    temp, litres = _way_temp_c(desk, way), desk.drawn_reading("transport.volume", way.volume)
    free = litres - desk.weight_kg()
    if free[0] <= 0.0:
        raise ImpossibleInput(
            "transport: volume", f"{litres[0]:g}", f"more than its fish ({desk.weight_kg()[0]:g} kg)", unit="L"
        )
    if way.oxygen is not None:
        gas = desk.drawn_reading("transport.oxygen", way.oxygen)
    else:
        share = tables.row("defaults", what="bag oxygen").value
        remark(f"The oxygen over the water was not given: {100 * share:.0f} % of the bag is taken to be oxygen.")
        gas = litres * share / (1.0 - share)
    water = water_of(desk, HOME, temp=temp, measured=False)
    fish = patient(desk, temp)
    return Bag(
        volume_l=np.maximum(free, desk.weight_kg() * 1.001),
        gas_l=gas,
        water=water,
        fish=(fish,),
        stress_factor=handled(desk, fish).uptake_mg_per_kg_h / np.asarray(fish.uptake_mg_per_kg_h),
        air_pressure_kpa=desk.air_pressure_kpa(),
    )


def _bag_limits(desk: Desk) -> BagLimits:
    return BagLimits(
        least_do_mg_per_l=oxygen_level(desk, "settled", "alarm"),
        most_co2_mg_per_l=tables.row("defaults", what="carbon dioxide on the way").value,
        most_nh3_mg_n_per_l=tables.row("water_limits", quantity="nh3", group="any", level="harm").value,
    )


def transport_hours(desk: Desk, way: Transport) -> Answer:
    """The longest way in the bag or box as it is, and what ends it."""
    if way.by is Carrier.BOX:
        return _box_hours(desk, way)
    bag, limits = thinned(_bag(desk, way), _BAG_DRAWS), _bag_limits(desk)
    hours = bag_lasts_h(bag, limits=limits)
    low, best, _ = band(hours)
    ruled_by = limits.over(bag_after(bag, np.maximum(hours, 0.1)))[1]
    how = "closed bag: oxygen, carbon dioxide and ammonia of the handled fish, as long as each draw lasts, four days at most"
    if low <= 0.0:
        text = f"Not at all at the short end: {ruled_by} is past its limit as soon as the bag is closed. More water or cooler."
        return Answer(text=text, verdict=Verdict.ACT, method=how)
    text = f"{amount(low, unit='h')} in the bag as it is (the short end; best figure {amount(best, unit='h')}); {ruled_by} ends it."
    if way.hours is None:
        return Answer(text=text, unit="h", values=hours, method=how)
    needed = way.hours.measured.best / 60.0
    words = f"the way takes {amount(needed, unit='h')}"
    return Answer(
        text=f"{text} The way takes {amount(needed, unit='h')}.",
        unit="h",
        values=hours,
        limit=Limit(value=needed, side=Side.AT_LEAST, words=words),
        method=how,
    )


def _box_hours(desk: Desk, way: Transport) -> Answer:
    """An open box with a battery pump: until oxygen, ammonia or carbon dioxide passes its limit."""
    if way.volume is None:
        raise Unanswerable(_NO_WATER)
    temp = _way_temp_c(desk, way)
    free = desk.drawn_reading("transport.volume", way.volume) - desk.weight_kg()
    if free[0] <= 0.0:
        raise ImpossibleInput("transport: volume", f"{free[0]:g}", "more than its fish", unit="L")
    air = tables.row("defaults", what="back-up air").value
    remark(f"A battery pump with {amount(air, unit='L/min')} and one stone is taken for the box.")
    stone = Diffuser(air_flow_l_per_min=air, depth_m=tables.row("defaults", what="stone depth").value)
    box = Setup(
        tank=Tank(volume_l=np.maximum(free, 0.1)),
        water=water_of(desk, HOME, temp=temp, measured=False),
        room=replace(room_of(desk), air_temp_c=temp, daily_swing_c=0.0),
        fish=(handled(desk, patient(desk, temp)),),
        aeration=(stone,),
    )
    limits = _bag_limits(desk)
    found = irrigation_swap(
        thinned(box, SEARCH_DRAWS),
        least_do_mg_per_l=limits.least_do_mg_per_l,
        most_nh3_mg_n_per_l=limits.most_nh3_mg_n_per_l,
        most_co2_mg_per_l=limits.most_co2_mg_per_l,
        most_temp_step_c=40.0,
        horizon_h=12.0,
    )
    how = "open box with a battery pump: the balance of oxygen, carbon dioxide and ammonia of the handled fish; 95 %"
    hours = found.minutes / 60.0
    end = f"{found.trouble.ruled_by} ends it" if not found.longer_than_looked_at else "nothing ends it before"
    return _against_way(f"{amount(hours, unit='h')} in the box with its pump running; {end}.", hours, way, how)


def _against_way(text: str, hours: float, way: Transport, how: str) -> Answer:
    if way.hours is None:
        return Answer(text=text, unit="h", values=hours, method=how)
    needed = way.hours.measured.best / 60.0
    verdict = Verdict.PASS if hours >= needed else Verdict.ACT
    text += f" The way takes {amount(needed, unit='h')}."
    return Answer(text=text, unit="h", values=hours, verdict=verdict, method=how)


def transport_litres(desk: Desk, way: Transport) -> Answer:
    """The least water for the way, with oxygen over it in the same proportion."""
    if way.hours is None:
        raise Unanswerable("[transport] hours: the time from closing to opening")
    bag, hours = thinned(_bag(desk, way), _BAG_DRAWS), way.hours.measured.best / 60.0
    found = least_bag_litres(bag, hours=hours, limits=_bag_limits(desk))
    how = "closed bag, gas in the same proportion; 95 % of the draws; and no denser than a patient travels"
    if found.value is None:
        return Answer(text=f"None: {found.none_because}; {found.ruled_by} rules.", verdict=Verdict.ACT, method=how)
    density = tables.row("bag_loading", stage="patient").value
    by_density = float(band(desk.weight_kg()).high) / density * 1000.0
    needed, ruled = max((found.value, found.ruled_by), (by_density, "room for a patient"))
    text = f"{amount(needed, unit='L')} for {amount(hours, unit='h')}; {ruled} rules."
    assert way.volume is not None  # a bag has been made of it
    given = way.volume.measured.best
    text += f" The bag holds {amount(given, unit='L')}."
    return Answer(
        text=text, unit="L", values=needed, verdict=Verdict.PASS if given >= needed else Verdict.ACT, method=how
    )


def transport_opened(desk: Desk, way: Transport) -> Answer:
    """What the fish and its water are in when the bag is opened, and what airing that water would do."""
    if way.hours is None:
        raise Unanswerable("[transport] hours: the time from closing to opening")
    after = bag_after(_bag(desk, way), way.hours.measured.best / 60.0)
    harm = tables.row("water_limits", quantity="nh3", group="any", level="harm").value
    co2, closed, aired = band(after.co2_mg_per_l), band(after.nh3_mg_n_per_l), band(after.aired_nh3_mg_n_per_l)
    text = (
        f"Carbon dioxide {amount(co2.best, unit='mg/L')} (up to {amount(co2.high, unit='mg/L')}), pH "
        f"{amount(band(after.ph).best, unit='')}, un-ionised ammonia {amount(closed.best, unit='mg/L as N')}. If its water "
        f"were aired: pH {amount(band(after.aired_ph).best, unit='')} and {amount(aired.best, unit='mg/L as N')} (up to "
        f"{amount(aired.high, unit='mg/L as N')}; harm begins at {amount(harm, unit='mg/L as N')})."
    )
    caution = Caution(
        text="Do not air the bag's water with the fish in it: mix in matched water, move the fish, throw the bag's water away.",
        serious=aired.high > harm,
    )
    how = "closed bag at equilibrium with its gas; then the same water at equilibrium with the air"
    return Answer(
        text=text,
        unit="mg/L as N",
        values=after.aired_nh3_mg_n_per_l,
        limit=Limit(value=harm, side=Side.AT_MOST),
        verdict=Verdict.PASS if aired.high <= harm else Verdict.WATCH,
        method=how,
        cautions=(caution,),
    )


# -- irrigation -----------------------------------------------------------------------------------------------------


def swap(desk: Desk, vessel: Vessel) -> Answer:
    """When the irrigation water must be swapped: the first of oxygen, ammonia, carbon dioxide and temperature."""
    step = tables.row("temperature_steps", situation="after anaesthesia", limit="step").low
    setup = replace(setup_of(desk, vessel), heater=None, filter=None)
    found = irrigation_swap(
        thinned(replace(setup, fish=tuple(handled(desk, fish) for fish in setup.fish)), SEARCH_DRAWS),
        least_do_mg_per_l=oxygen_level(desk, "anaesthetised", "alarm"),
        most_nh3_mg_n_per_l=tables.row("water_limits", quantity="nh3", group="any", level="harm").value,
        most_co2_mg_per_l=tables.row("defaults", what="carbon dioxide over the gills").value,
        most_temp_step_c=step,
    )
    values = found.trouble.hours * 60.0
    low, best, _ = band(values)
    least = tables.row("defaults", what="time to work in").value
    text = (
        f"{amount(low, unit='min')} (the short end; best figure {amount(best, unit='min')}); {found.trouble.ruled_by} rules."
        if not found.longer_than_looked_at
        else "Two hours hold; look at its oxygen and temperature all the same."
    )
    return Answer(
        text=text,
        unit="min",
        values=values,
        limit=Limit(value=least, side=Side.AT_LEAST, words=f"at least {amount(least, unit='min')} to work in"),
        method="the reservoir's balance, the handled fish breathing from it: the water's time, not the drug's; 95 %",
    )
