"""From the desk to the tank through time: a vessel of the case, its water, room, fish and equipment, all as draws."""

from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.errors import Unanswerable
from waterplan.findings import amount
from waterplan.first_plan.desk import HOME, MAINS, Desk
from waterplan.first_plan.first_case.model import Vessel
from waterplan.first_plan.first_case.schema import Filter, Shape
from waterplan.first_plan.first_case.tank_choices import MadeOf, Stones
from waterplan.first_plan.new_water import source_name, source_tan_mg_n_per_l
from waterplan.fish import excretion, uptake
from waterplan.fish.species import species
from waterplan.published import FloatArray, Numbers, remark
from waterplan.spread import Measured
from waterplan.tank.aeration import Diffuser, Gas
from waterplan.tank.biofilter import Biofilter, FilterState, filter_capacity_mg_n_per_h
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Heater, Setup
from waterplan.tank.water_body import Room, Tank, Water
from waterplan.water.oxygen import saturation_mg_per_l

PATIENT = "patient"
_WALLS = {MadeOf.PLASTIC: "bare plastic tub", MadeOf.GLASS: "glass 6-10 mm", MadeOf.FOAM: "50 mm foam"}
_STONES = {Stones.ORDINARY: "air stone", Stones.FINE: "fine air stone"}
_L_PER_M3 = 1000.0
_STONE_ABOVE_FLOOR = 0.9
_Q10_SPAN_C, _MIDDLE_C = 5.0, 20.0
# A meal doubles the uptake; bubbles of oxygen lift the water by 30 mg/L and more at any temperature and altitude.
_FED_AND_MORE, _OXYGEN_LIFT_MG_PER_L = 2.5, 25.0
_MIN_PER_DAY = 1440.0
_GROWS_FROM_C = 20.0  # the row `warm` of filter_rates is told of for 20 to 25 °C


def setup_of(desk: Desk, vessel: Vessel) -> Setup:
    """A vessel of the case as it stands, with the patient in it."""
    temp = desk.temperature_c(vessel.name)
    return Setup(
        tank=tank_of(desk, vessel),
        water=water_of(desk, vessel.name, temp=temp),
        room=room_of(desk),
        fish=(patient(desk, temp),),
        aeration=stones_of(desk, vessel),
        heater=heater_of(desk, vessel),
        filter=filter_of(desk, vessel),
        start_clock_h=clock_h(desk),
    )


def held_at(desk: Desk, vessel: Vessel, *, temp: FloatArray) -> Setup:
    """A vessel held at a temperature and in oxygen by whatever does it, its stones running, its filter counted as none."""
    fish, stones = patient(desk, temp), stones_of(desk, vessel)
    if not stones:
        air = tables.row("defaults", what="air for each kg").value * desk.weight_kg()
        remark(
            f"No air was given for the {vessel.name}: {amount(air[0], unit='L/min')} is assumed, by its weight of fish."
        )
        stones = (stone_of(desk, vessel, air),)
    return Setup(
        tank=Tank(volume_l=desk.free_l(vessel)),
        water=water_of(desk, vessel.name, temp=temp, measured=False),
        room=Room(air_temp_c=temp, air_pressure_kpa=desk.air_pressure_kpa(), co2_in_air_ppm=_room_co2_ppm(desk)),
        fish=(fish,),
        aeration=(*stones, _oxygen_held(fish, temp)),
        start_clock_h=clock_h(desk),
    )


def _oxygen_held(fish: Fish, temp: FloatArray) -> Diffuser:
    """A trickle of oxygen that keeps up with a fed fish and is too small to carry off carbon dioxide."""
    bare = Diffuser(
        air_flow_l_per_min=1.0, depth_m=1.0, sote_percent_per_m=40.0, alpha=1.0, gas=Gas.OXYGEN, name="oxygen held"
    )
    needed = _FED_AND_MORE * fish.uptake_mg_per_h(temp) / _OXYGEN_LIFT_MG_PER_L
    return replace(bare, air_flow_l_per_min=needed / np.asarray(bare.transfer_l_per_h(temp)))


def _room_co2_ppm(desk: Desk) -> FloatArray:
    return desk.drawn_row("room carbon dioxide", tables.row("defaults", what="room carbon dioxide"))


def clock_h(desk: Desk) -> float:
    """The hour of the clock at which the stay begins; noon where no time was given."""
    begin = desk.start()
    return 12.0 if begin is None else begin.hour + begin.minute / 60.0


# -- the vessel -----------------------------------------------------------------------------------------------------


def tank_of(desk: Desk, vessel: Vessel) -> Tank:
    """The vessel as walls, surface and water (the fish's own litres taken off)."""
    litres = desk.vessel_l(vessel)
    area, wall = _surfaces(desk, vessel, litres)
    return Tank(
        volume_l=desk.free_l(vessel),
        area_m2=area,
        transfer_m_per_day=tables.row("aeration_rates", device="still surface for safety").value,
        wall_area_m2=wall,
        wall_u_w_per_m2_k=_heat(desk, _WALLS[vessel.made_of or MadeOf.PLASTIC], "wall U"),
        surface_u_w_per_m2_k=_heat(desk, "open surface", "surface U"),
        lid_u_w_per_m2_k=_heat(desk, "lid", "surface U"),
        evaporation_factor=tables.row("heat_rates", part="quiet water", quantity="evaporation factor").value,
        lid_evaporation_share=np.minimum(_heat(desk, "lid", "evaporation share"), 1.0),
    )


def covered(tank: Tank) -> Tank:
    """The tank with its lid on, for sums that know of no lid."""
    return replace(
        tank,
        surface_u_w_per_m2_k=tank.lid_u_w_per_m2_k,
        evaporation_factor=np.asarray(tank.evaporation_factor) * tank.lid_evaporation_share,
    )


def _heat(desk: Desk, part: str, quantity: str) -> FloatArray:
    return desk.drawn_row(f"{quantity} {part}", tables.row("heat_rates", part=part, quantity=quantity))


def _surfaces(desk: Desk, vessel: Vessel, litres: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Water surface, and wall and floor under water [m2]; a tub of which only the litres are known is taken as round."""
    name, body = f"vessel {vessel.name}", vessel.body
    if not body.has_surface:
        depth = _depth_m(desk, vessel)
        area = litres / _L_PER_M3 / depth
        return area, area + 2.0 * np.sqrt(np.pi * area) * depth
    area = desk.area_m2(name, body)
    depth = litres / _L_PER_M3 / area
    if body.shape is Shape.RECTANGLE and body.length is not None and body.width is not None:
        length = desk.drawn_reading(f"{name}.length", body.length)
        width = desk.drawn_reading(f"{name}.width", body.width)
        return area, area + 2.0 * (length + width) * depth
    return area, area + 2.0 * np.sqrt(np.pi * area) * depth


def _depth_m(desk: Desk, vessel: Vessel) -> FloatArray:
    if vessel.body.depth is not None:
        return desk.drawn_reading(f"vessel {vessel.name}.depth", vessel.body.depth)
    remark(f"The shape of the {vessel.name} was not given: its surface is reckoned from an ordinary depth.")
    return desk.drawn_row("water depth", tables.row("defaults", what="water depth"))


# -- air, heat, filter ----------------------------------------------------------------------------------------------


def stone_of(desk: Desk, vessel: Vessel, air_l_per_min: FloatArray | float) -> Diffuser:
    """A stone of the vessel's kind, at its depth, with an air flow."""
    kind = _STONES[vessel.stones or Stones.ORDINARY]
    return Diffuser(
        air_flow_l_per_min=air_l_per_min,
        depth_m=_stone_depth_m(desk, vessel),
        sote_percent_per_m=desk.drawn_row(f"SOTE {kind}", _air_row(kind, "SOTE per metre")),
        alpha=desk.drawn_row("alpha", _air_row("clean tank", "alpha")),
        beta=desk.drawn_row("beta", _air_row("any", "beta")),
    )


def _air_row(device: str, quantity: str) -> tables.Row:
    return tables.row("aeration_rates", device=device, quantity=quantity)


def _stone_depth_m(desk: Desk, vessel: Vessel) -> FloatArray:
    if vessel.air_depth is not None:
        return desk.drawn_reading(f"vessel {vessel.name}.air_depth", vessel.air_depth)
    if vessel.body.depth is not None:
        return _STONE_ABOVE_FLOOR * desk.drawn_reading(f"vessel {vessel.name}.depth", vessel.body.depth)
    remark(f"How deep the air stones of the {vessel.name} hang was not said: a shallow tub is assumed.")
    return np.full(desk.draws.count + 1, tables.row("defaults", what="stone depth").value)


def stones_of(desk: Desk, vessel: Vessel) -> tuple[Diffuser, ...]:
    """The air stones that are running in a vessel; none where no air is put into it."""
    if vessel.air is None:
        return ()
    return (stone_of(desk, vessel, desk.drawn_reading(f"vessel {vessel.name}.air", vessel.air)),)


def heater_of(desk: Desk, vessel: Vessel) -> Heater | None:
    """The heater of a vessel, set to the intended temperature; None where there is none."""
    if vessel.heater is None:
        return None
    return Heater(
        heater_w=desk.drawn_reading(f"vessel {vessel.name}.heater", vessel.heater),
        target_temp_c=desk.hospital_temperature_c(),
        band_c=_heat(desk, "thermostat", "band"),
    )


def filter_of(desk: Desk, vessel: Vessel) -> Biofilter | None:
    """The vessel's filter; one that is seeded is taken to be as large as the fish's own ammonia asks for."""
    if vessel.filter is None or vessel.filter is Filter.UNSEEDED:
        return None
    row = _filter_row("submerged", "areal TAN rate")
    rate = desk.drawn("filter rate", Measured.between(row.low, row.high, best=row.value))
    half = desk.drawn_row("filter half", _filter_row("any", "half level TAN"))
    # Grown to what it was fed with, a filter holds what it is fed at a quarter of its half level.
    fed = desk.ammonia_mg_n_per_day(desk.hospital_temperature_c())[0] / 24.0
    media_m2 = 5.0 * fed / float(filter_capacity_mg_n_per_h(1.0, areal_rate_g_n_per_m2_day=float(rate[0])))
    remark("The size of the filter is not known: it is taken as grown to this fish's ammonia.")
    return Biofilter(
        state=FilterState(vessel.filter.value),
        capacity_mg_n_per_h=filter_capacity_mg_n_per_h(media_m2, areal_rate_g_n_per_m2_day=rate),
        half_tan_mg_n_per_l=half,
        half_nitrite_mg_n_per_l=desk.drawn_row("filter half nitrite", _filter_row("any", "half level nitrite")),
        filter_theta=desk.drawn_row("filter theta", _filter_row("any", "theta")),
        days_running=_days_run(desk, vessel),
        days_to_full=desk.drawn_row("filter days", _filter_row(_season(desk), "days to full")),
    )


def _days_run(desk: Desk, vessel: Vessel) -> FloatArray | float:
    """How long a maturing filter has run at the start: none where nobody said."""
    if vessel.filter is not Filter.MATURING:
        return 0.0
    if vessel.filter_ran is None:
        remark("How long the maturing filter has run was not said: it is taken as begun with the stay.")
        return 0.0
    return desk.drawn_reading(f"vessel {vessel.name}.filter_ran", vessel.filter_ran) / _MIN_PER_DAY


def _season(desk: Desk) -> str:
    """The row of how fast a filter grows: the slow one below what the quick one is told of for."""
    return "warm" if float(desk.hospital_temperature_c()[0]) >= _GROWS_FROM_C else "cold"


def _filter_row(kind: str, quantity: str) -> tables.Row:
    return tables.row("filter_rates", filter=kind, quantity=quantity)


# -- the fish -------------------------------------------------------------------------------------------------------


def patient(desk: Desk, temp_c: FloatArray) -> Fish:
    """The patient as what it takes and gives at rest, with the same spread as everywhere in the plan."""
    base = desk.drawn_row("excretion", tables.row("excretion", state=desk.fed_state()))
    q10 = desk.drawn_row("excretion q10", tables.row("temperature_effect", process="ammonia excretion Q10"))
    given_off = excretion.excretion_at_temperature_mg_n_per_kg_h(base, water_temp_c=temp_c, q10=q10)
    return replace(
        breathing_patient(desk, temp_c), excretion_mg_n_per_kg_h=np.asarray(given_off), excretion_q10=np.asarray(q10)
    )


def breathing_patient(desk: Desk, temp_c: FloatArray) -> Fish:
    """The patient as what it takes at rest, for sums that ask nothing of its ammonia."""
    model = desk.species.uptake_model
    scatter = desk.drawn_row("uptake spread", tables.row("oxygen_uptake", model=model))
    weight = desk.weight_kg()
    return _breathing(model, PATIENT, weight, weight, scatter * stress(desk, "at rest"), temp_c)


def stress(desk: Desk, state: str) -> FloatArray:
    """How many times its equation's uptake the patient takes, "at rest" or "handled"."""
    return desk.drawn_row(f"stress factor {state}", tables.row("stress_factors", state=state))


def handled(desk: Desk, fish: Fish) -> Fish:
    """A fish that takes what a handled one does, its ammonia as before."""
    times = stress(desk, "handled") / stress(desk, "at rest")
    return replace(fish, uptake_mg_per_kg_h=fish.uptake_mg_per_kg_h * times)


def home_fish(desk: Desk, temp_c: FloatArray) -> tuple[Fish, ...]:
    """All fish of the home pond, the patient back among them, each sort by the equation of its own species."""
    desk.other_fish_kg()  # says what to give where the case names none
    found = [breathing_patient(desk, temp_c)]
    for number, sort in enumerate(desk.case.other_fish, 1):
        if sort.count == 0:
            continue
        together = desk.sort_kg(number, sort)
        model = species(sort.species).uptake_model
        scatter = desk.drawn_row(f"uptake spread {model}", tables.row("oxygen_uptake", model=model))
        found.append(_breathing(model, f"other fish {number}", together, together / sort.count, scatter, temp_c))
    return tuple(found)


def _breathing(
    model: str, name: str, together_kg: FloatArray, each_kg: FloatArray, factor: FloatArray, temp_c: FloatArray
) -> Fish:
    """Fish of a kind at a temperature, warming as their species' own equation does about it."""
    takes = uptake.UPTAKE_MODELS[model]
    here = np.asarray(takes(each_kg, water_temp_c=temp_c))
    span = _Q10_SPAN_C if float(temp_c[0]) < _MIDDLE_C else -_Q10_SPAN_C
    ratio = np.asarray(takes(each_kg, water_temp_c=temp_c + span)) / here
    return Fish(
        name=name,
        biomass_kg=together_kg,
        uptake_mg_per_kg_h=here * factor,
        excretion_mg_n_per_kg_h=0.0,
        rates_at_temp_c=temp_c,
        uptake_q10=ratio ** (10.0 / span),
    )


# -- room and waters ------------------------------------------------------------------------------------------------


def room_of(desk: Desk) -> Room:
    """The room of the hospital tank: as the case says, or an unheated room of unknown season, said as a remark."""
    intended = desk.case.intended
    if intended.room is not None:
        temp = desk.drawn_reading("intended.room", intended.room)
    else:
        row = tables.row("defaults", what="room temperature")
        remark(
            f"The room's temperature was not given: {amount(row.low, row.high, unit='°C')} is assumed. Give [intended] room."
        )
        temp = desk.drawn("room temperature", Measured.from_range(row.low, row.value, row.high))
    if intended.room_swing is not None:
        swing = desk.drawn_reading("intended.room_swing", intended.room_swing)
    else:
        swing = desk.drawn_row("room swing", tables.row("defaults", what="room swing"))
    return Room(
        air_temp_c=temp,
        daily_swing_c=np.maximum(swing, 0.0),
        relative_humidity=np.minimum(_heat(desk, "room", "relative humidity"), 1.0),
        air_speed_m_per_s=_heat(desk, "room", "air speed"),
        air_pressure_kpa=desk.air_pressure_kpa(),
        co2_in_air_ppm=_room_co2_ppm(desk),
    )


def water_of(desk: Desk, name: str, *, temp: FloatArray, measured: bool = True) -> Water:
    """A water of the case at a temperature; what was not measured in it or before it is assumed and said."""
    oxygen = desk.start_oxygen_mg_per_l(name, water_temp_c=None if measured else temp)
    return Water(
        water_temp_c=temp,
        do_mg_per_l=np.maximum(oxygen, 0.0),
        tan_mg_n_per_l=_or_none(desk, name, "tan"),
        nitrite_mg_no2_per_l=_or_none(desk, name, "nitrite"),
        nitrate_mg_no3_per_l=_or_none(desk, name, "nitrate", said=False),
        salinity_g_per_l=np.maximum(desk.salinity_g_per_l(name), 0.0),
        alkalinity_mg_caco3_per_l=alkalinity_of(desk, name),
        ph=desk.water(name, "ph"),
    )


def still_water(desk: Desk, name: str, *, temp: FloatArray) -> Water:
    """A water for sums of oxygen and heat alone, which ask nothing of its chemistry."""
    oxygen = desk.start_oxygen_mg_per_l(name)
    salt = np.maximum(desk.salinity_g_per_l(name), 0.0)
    return Water(water_temp_c=temp, do_mg_per_l=np.maximum(oxygen, 0.0), salinity_g_per_l=salt)


def alkalinity_of(desk: Desk, name: str) -> FloatArray:
    """Alkalinity of a water, an ordinary one where it was not measured."""
    try:
        return np.maximum(desk.water(name, "alkalinity"), 1.0)
    except Unanswerable:
        remark(f"The alkalinity of the {name} was not measured: that of ordinary fresh water is assumed. Measure it.")
        return desk.drawn_row("alkalinity", tables.row("defaults", what="alkalinity"))


def _or_none(desk: Desk, name: str, key: str, *, said: bool = True) -> FloatArray:
    try:
        return np.maximum(desk.water(name, key), 0.0)
    except Unanswerable:
        if said:
            word = {"tan": "ammonia"}.get(key, key)
            remark(f"The {word} of the {name} was not measured: none is counted. Measure it.")
        return np.zeros(desk.draws.count + 1)


def new_water(desk: Desk, *, temp: FloatArray, salt_g_per_l: Numbers) -> Water:
    """The water that the hospital tank is changed with: treated, brought to its temperature and salt, and aired."""
    name = source_name(desk)
    share = tables.row("hospital_demands", demand="start of saturation").value
    pressure = desk.air_pressure_kpa()
    full = saturation_mg_per_l(temp, salinity_g_per_kg=salt_g_per_l, air_pressure_kpa=pressure)
    return Water(
        water_temp_c=temp,
        do_mg_per_l=share * np.asarray(full),
        tan_mg_n_per_l=np.maximum(source_tan_mg_n_per_l(desk), 0.0),
        nitrite_mg_no2_per_l=_or_none(desk, name, "nitrite", said=name != MAINS),
        nitrate_mg_no3_per_l=_or_none(desk, name, "nitrate", said=False),
        salinity_g_per_l=salt_g_per_l,
        alkalinity_mg_caco3_per_l=alkalinity_of(desk, name),
        ph=desk.water(name, "ph") if desk.latest(name, "ph") is not None else desk.water(_ph_from(desk, name), "ph"),
    )


def _ph_from(desk: Desk, name: str) -> str:
    stand_in = desk.hospital_water() if desk.latest(desk.hospital_water(), "ph") is not None else HOME
    remark(f"The pH of the {name} was not measured: that of the {stand_in} is taken. Measure it.")
    return stand_in
