"""Moment 5, hospital: the tank, its oxygen, its ammonia."""

import numpy as np

from waterplan import tables
from waterplan.errors import Unanswerable
from waterplan.findings import Moment, Verdict, Who, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.call import nitrite, oxygen_level, unionised_ammonia
from waterplan.first_plan.daily_change import advised_change_l, daily_change, ph_shift, scheduled_change_l
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.model import Vessel
from waterplan.first_plan.first_case.schema import Filter, Use
from waterplan.first_plan.new_water import source_tan_mg_n_per_l
from waterplan.first_plan.procedure import times_of
from waterplan.first_plan.salting import nitrite_guard, salt_dip, salt_of_changes, salt_to_level, unsalting
from waterplan.published import FloatArray
from waterplan.spread import band
from waterplan.tank import hospital_size

_MOMENT = Moment.HOSPITAL
DEMANDS = ("turning room", "litres by length", "stocking", "oxygen", "ammonia")


def hospital(desk: Desk) -> None:
    """The tank that this patient needs, and what keeps its water fit."""
    for demand in DEMANDS:
        desk.answer(_MOMENT, f"tank by {demand}", f"Smallest tank by {demand}", tank_by, demand)
    desk.answer(_MOMENT, "tank", "Smallest tank that serves", smallest_tank)
    tanks = desk.case.vessels_for(Use.HOSPITAL)
    for tank in tanks:
        desk.answer(_MOMENT, f"density: {tank.name}", f"Stocking of the {tank.name}", tank_density, tank)
        times_of(desk, _MOMENT, tank, state="settled")
        if desk.latest(tank.name, "tan") is not None:
            title = f"Un-ionised ammonia in the {tank.name}"
            desk.answer(_MOMENT, f"ammonia: {tank.name}", title, unionised_ammonia, tank.name)
        else:
            desk.not_measured(
                _MOMENT, f"ammonia: {tank.name}", f"Ammonia in the {tank.name}", f"ammonia in the {tank.name}"
            )
        if desk.latest(tank.name, "nitrite") is not None:
            desk.answer(_MOMENT, f"nitrite: {tank.name}", f"Nitrite in the {tank.name}", nitrite, tank.name)
    desk.answer(_MOMENT, "daily change", "Water to change each day", daily_change)
    desk.answer(_MOMENT, "salt", "Salt to reach the intended level", salt_to_level)
    desk.answer(_MOMENT, "salt dip", "Salt dip", salt_dip)
    desk.answer(_MOMENT, "salt of changes", "Salt that each change of water takes", salt_of_changes)
    desk.answer(_MOMENT, "unsalting", "Bringing the salt down again", unsalting)
    desk.answer(_MOMENT, "nitrite guard", "Chloride against nitrite", nitrite_guard)
    _steps(desk)


def demand_l(desk: Desk, demand: str) -> FloatArray:
    """Litres that one demand asks of the hospital tank, as draws."""
    number = {name: tables.row("hospital_demands", demand=name).value for name in _NUMBERS[demand]}
    if demand == "turning room":
        litres = hospital_size.volume_for_turning_l(
            desk.length_cm(),
            lengths_long=number["lengths long"],
            lengths_wide=number["lengths wide"],
            lengths_deep=number["lengths deep"],
            least_depth_m=number["least depth"],
        )
    elif demand == "litres by length":
        litres = hospital_size.volume_by_length_l(desk.length_cm())
    elif demand == "stocking":
        density = tables.row("hospital_demands", demand=f"density {desk.filter_state()}").value
        litres = hospital_size.volume_for_density_l(desk.weight_kg(), density_kg_per_m3=density)
    elif demand == "oxygen":
        temp = desk.hospital_temperature_c()
        start = desk.start_oxygen_mg_per_l(desk.hospital_water(), water_temp_c=temp)
        litres = hospital_size.volume_for_oxygen_l(
            desk.demand_mg_per_h(temp, state="handled"),
            hours=number["hours without air"],
            start_do_mg_per_l=start,
            level_do_mg_per_l=oxygen_level(desk, "settled", "alarm"),
            biomass_kg=desk.weight_kg(),
        )
    else:
        temp = desk.hospital_temperature_c()
        # A working filter that stops must leave a day; without one the daily change must hold it.
        share = 1.0 if desk.filter_state() is Filter.SEEDED else number["daily change at most"]
        litres = hospital_size.volume_for_ammonia_l(
            desk.ammonia_mg_n_per_day(temp),
            limit_tan_mg_n_per_l=desk.tan_limit_mg_n_per_l(
                desk.hospital_water(), water_temp_c=temp, ph_shift=ph_shift(desk)
            ),
            source_tan_mg_n_per_l=source_tan_mg_n_per_l(desk),
            daily_change_fraction=share,
        )
    return np.asarray(litres)


_NUMBERS = {
    "turning room": ("lengths long", "lengths wide", "lengths deep", "least depth"),
    "litres by length": (),
    "stocking": (),
    "oxygen": ("hours without air",),
    "ammonia": ("daily change at most",),
}
_WHY = {
    "turning room": "room to turn, in body lengths",
    "litres by length": "litres for each cm of fish, as the Swiss ordinance asks of ponds",
    "stocking": "weight of the fish at the stocking that the filter's state allows",
    "oxygen": "oxygen for the time until somebody acts, air off, handled, to the alarm level",
    "ammonia": "the daily change at most (or, with a working filter, one day without it) holds ammonia at the pH of the aired tank",
}


def _turning_words() -> str:
    """The body lengths behind the turning room, as the table has them."""
    number = {name: tables.row("hospital_demands", demand=name).value for name in _NUMBERS["turning room"]}
    least = amount(number["least depth"], unit="m")
    return (
        f"{number['lengths long']:g} body lengths long, {number['lengths wide']:g} wide and {number['lengths deep']:g} deep, "
        f"{least} of water at least"
    )


def tank_by(desk: Desk, demand: str) -> Answer:
    """The smallest tank by one demand."""
    values = demand_l(desk, demand)
    why = _turning_words() if demand == "turning room" else _WHY[demand]
    low, best, high = band(values)
    if not np.isfinite(best):
        return Answer(
            text="No tank of any size: the water itself is at or past the limit. Other water, cooler water, or oxygen.",
            verdict=Verdict.ACT,
            method=_WHY[demand],
        )
    return Answer(
        text=f"{amount(best, unit='L')} ({amount(low, high, unit='L')}): {why}.",
        unit="L",
        values=values,
        method=_WHY[demand],
    )


def smallest_tank(desk: Desk) -> Answer:
    """The largest of the demands, which one rules, and whether the tank at hand passes."""
    needs: dict[str, FloatArray] = {}
    lacking: list[str] = []
    for demand in DEMANDS:
        try:
            needs[demand] = demand_l(desk, demand)
        except Unanswerable as error:
            lacking.append(f"{demand} (give {error.give})")
    values = np.maximum.reduce(list(needs.values()))
    ruling = max(needs, key=lambda demand: float(needs[demand][0]))
    open_question = f" Not counted: {', '.join(lacking)}." if lacking else ""
    best = float(values[0])
    if not np.isfinite(best):
        text = f"No tank of any size: {ruling} rules, and the water itself is at or past the limit.{open_question}"
        return Answer(text=text, verdict=Verdict.ACT, method="largest of the demands")
    text = f"{amount(best, unit='L')}; {ruling} rules.{open_question}"
    tanks = desk.case.vessels_for(Use.HOSPITAL)
    if not tanks:
        return Answer(text=text, unit="L", values=values, method="largest of the demands")
    at_hand = desk.vessel_l(tanks[0])
    fits = bool(at_hand[0] >= best)
    holds = amount(at_hand[0], unit="L")
    text += f" The {tanks[0].name} holds {holds}: {'it passes' if fits else 'too small by the best figures'}."
    return Answer(
        text=text,
        unit="L",
        values=values,
        limit=Limit(value=at_hand, side=Side.AT_MOST, words=f"the {tanks[0].name} holds {holds}"),
        verdict=Verdict.QUESTION if lacking and fits else None,
        method="largest of the demands",
    )


def tank_density(desk: Desk, tank: Vessel) -> Answer:
    """Stocking of a hospital tank with the patient in it."""
    values = desk.weight_kg() / desk.vessel_l(tank) * 1000.0
    allowed = tables.row("hospital_demands", demand=f"density {desk.filter_state()}").value
    return Answer(
        text=f"{amount(values[0], unit='kg/m3')} with the patient alone; nothing before it comes.",
        unit="kg/m3",
        values=values,
        limit=Limit(value=allowed, side=Side.AT_MOST),
        method="weight over volume",
    )


def _steps(desk: Desk) -> None:
    desk.step(
        _MOMENT, Who.NURSE, "Temperature and oxygen twice a day for three days, one of them before dawn; then daily."
    )
    desk.step(_MOMENT, Who.NURSE, "Ammonia, nitrite and pH daily for a week; twice a day without a working filter.")
    desk.step(_MOMENT, Who.NURSE, "Salt before and after each change of water.")
    litres = advised_change_l(desk)
    if litres is not None:
        what = f"Change {amount(litres, unit='L')} a day with treated water of the same temperature and salt."
        desk.step(_MOMENT, Who.NURSE, what)
    elif (half := scheduled_change_l(desk)) is not None:
        what = f"Until the vet has found a way: {amount(half, unit='L')} a day in two parts, with water that was tested first."
        desk.step(_MOMENT, Who.NURSE, what)
    desk.caution(
        _MOMENT,
        "A filter that met an antibiotic, peroxide or a disinfectant counts as none until two clean paired tests.",
    )
