"""What stands in and about a water: walls, air stones, heater, filter, room, as the tank's engine takes them."""

from dataclasses import dataclass, replace

import numpy as np

from waterplan import tables
from waterplan.case.choices import Filter
from waterplan.case.model import Case, Vessel
from waterplan.case.tank_choices import BackUp, MadeOf, Stones
from waterplan.published import FloatArray
from waterplan.spread import Measured
from waterplan.stay.inputs import Inputs
from waterplan.stay.volume.found import Found
from waterplan.tank.aeration import Diffuser
from waterplan.tank.biofilter import Biofilter, FilterState, filter_capacity_mg_n_per_h
from waterplan.tank.setup import Heater
from waterplan.tank.water_body import Room, Tank

_WALLS = {MadeOf.PLASTIC: "bare plastic tub", MadeOf.GLASS: "glass 6-10 mm", MadeOf.FOAM: "50 mm foam"}
_STONES = {Stones.ORDINARY: "air stone", Stones.FINE: "fine air stone"}
_STONE_ABOVE_FLOOR, _L_PER_M3, _MIN_PER_DAY = 0.9, 1000.0, 1440.0
# The row `warm` of filter_rates speaks of 20 to 25 °C; grown to what it was fed, a filter holds it at a quarter of its half level.
_GROWS_FROM_C, _TIMES_FED = 20.0, 5.0
AIR, BACK_UP, OXYGEN = "air", "back-up", "oxygen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """The equipment of one vessel, as draws where it was measured; None where there is none."""

    air_l_per_min: FloatArray | None
    stones: int | None
    heater_w: FloatArray | None
    filter: Filter | None
    filter_days: FloatArray
    lid: bool | None
    back_up: BackUp | None
    back_up_l_per_min: FloatArray | None
    stone_depth_m: FloatArray
    fine_stones: bool


def equipment_of(vessel: Vessel | None, water: str, found: Found, inputs: Inputs) -> Equipment:
    """The equipment of a vessel of the case; a pond has none that its tables speak of."""
    if vessel is None:
        none = np.zeros(inputs.size)
        return Equipment(
            air_l_per_min=None,
            stones=None,
            heater_w=None,
            filter=None,
            filter_days=none,
            lid=None,
            back_up=None,
            back_up_l_per_min=None,
            stone_depth_m=none + tables.row("defaults", what="stone depth").value,
            fine_stones=False,
        )
    read = inputs.of_reading
    ran = vessel.filter_ran
    return Equipment(
        air_l_per_min=None if vessel.air is None else read(f"{water}/air", vessel.air),
        stones=vessel.outlets,
        heater_w=None if vessel.heater is None else read(f"{water}/heater", vessel.heater),
        filter=vessel.filter,
        filter_days=np.zeros(inputs.size) if ran is None else read(f"{water}/filter ran", ran) / _MIN_PER_DAY,
        lid=vessel.lid,
        back_up=vessel.back_up,
        back_up_l_per_min=_back_up(vessel, water, inputs),
        stone_depth_m=_stone_depth_m(vessel, water, found, inputs),
        fine_stones=vessel.stones is Stones.FINE,
    )


def of_box(none: Equipment, inputs: Inputs) -> Equipment:
    """A box on the way: the small battery pump that it travels with, through one stone."""
    air = np.full(inputs.size, inputs.value(tables.row("defaults", what="back-up air")))
    return replace(none, air_l_per_min=air, stones=1)


def _back_up(vessel: Vessel, water: str, inputs: Inputs) -> FloatArray | None:
    if vessel.back_up is not BackUp.BATTERY:
        return None
    if vessel.back_up_air is not None:
        return inputs.of_reading(f"{water}/back-up air", vessel.back_up_air)
    return np.full(inputs.size, inputs.value(tables.row("defaults", what="back-up air")))


def _stone_depth_m(vessel: Vessel, water: str, found: Found, inputs: Inputs) -> FloatArray:
    if vessel.air_depth is not None:
        return inputs.of_reading(f"{water}/stone depth", vessel.air_depth)
    if found.depth_m is not None:
        return _STONE_ABOVE_FLOOR * found.depth_m
    return np.full(inputs.size, inputs.value(tables.row("defaults", what="stone depth")))


# -- the engine's parts -----------------------------------------------------------------------------------------------


def tank_of(vessel: Vessel | None, found: Found, free_l: FloatArray, inputs: Inputs) -> Tank:
    """Walls, surface and water; a still surface brings no oxygen that anybody may count on."""
    depth, area = _depth_and_surface(found, inputs)
    walls = found.wall_m2 if found.wall_m2 is not None else area + 2.0 * np.sqrt(np.pi * area) * depth
    made_of = vessel.made_of if vessel is not None and vessel.made_of is not None else MadeOf.PLASTIC
    indoors = vessel is not None
    return Tank(
        volume_l=free_l,
        area_m2=area,
        transfer_m_per_day=tables.row("aeration_rates", device="still surface for safety").value,
        wall_area_m2=walls if indoors else 0.0,
        wall_u_w_per_m2_k=_heat(inputs, _WALLS[made_of], "wall U") if indoors else 0.0,
        surface_u_w_per_m2_k=_heat(inputs, "open surface", "surface U") if indoors else 0.0,
        lid_u_w_per_m2_k=_heat(inputs, "lid", "surface U") if indoors else 0.0,
        evaporation_factor=(
            inputs.value(tables.row("heat_rates", part="quiet water", quantity="evaporation factor"))
            if indoors
            else 0.0
        ),
        lid_evaporation_share=np.minimum(_heat(inputs, "lid", "evaporation share"), 1.0),
    )


def _depth_and_surface(found: Found, inputs: Inputs) -> tuple[FloatArray, FloatArray]:
    depth = found.depth_m
    if depth is None:
        depth = inputs.of_row("ordinary depth", tables.row("defaults", what="water depth"))
    area = found.surface_m2 if found.surface_m2 is not None else found.litres.draws / _L_PER_M3 / depth
    return depth, area


def _heat(inputs: Inputs, part: str, quantity: str) -> FloatArray:
    return inputs.of_row(f"{quantity} of {part}", tables.row("heat_rates", part=part, quantity=quantity))


def stone(equipment: Equipment, inputs: Inputs, *, l_per_min: FloatArray | float, name: str = AIR) -> Diffuser:
    """A stone of the vessel's kind, at its depth, with an air flow."""
    kind = _STONES[Stones.FINE if equipment.fine_stones else Stones.ORDINARY]

    def rate(device: str, quantity: str) -> FloatArray:
        return inputs.of_row(f"{quantity} of {device}", tables.row("aeration_rates", device=device, quantity=quantity))

    return Diffuser(
        name=name,
        air_flow_l_per_min=l_per_min,
        depth_m=equipment.stone_depth_m,
        sote_percent_per_m=rate(kind, "SOTE per metre"),
        alpha=rate("clean tank", "alpha"),
        beta=rate("any", "beta"),
    )


def heater(watts: FloatArray | float, target_temp_c: FloatArray | float, inputs: Inputs) -> Heater:
    """A heater with its thermostat."""
    return Heater(heater_w=watts, target_temp_c=target_temp_c, band_c=_heat(inputs, "thermostat", "band"))


def biofilter(equipment: Equipment, *, fed_mg_n_per_h: float, warm_c: float, inputs: Inputs) -> Biofilter | None:
    """The filter, taken as grown to its fish's own ammonia; None where there is none that counts."""
    if equipment.filter is None or equipment.filter is Filter.UNSEEDED:
        return None

    def rate(kind: str, quantity: str) -> FloatArray:
        return inputs.of_row(f"{quantity} of filter", tables.row("filter_rates", filter=kind, quantity=quantity))

    areal = tables.row("filter_rates", filter="submerged", quantity="areal TAN rate")
    inputs.rows[areal.id] = None
    drawn = inputs.of("areal TAN rate of filter", Measured.between(areal.low, areal.high, best=areal.value))
    media_m2 = (
        _TIMES_FED * fed_mg_n_per_h / float(filter_capacity_mg_n_per_h(1.0, areal_rate_g_n_per_m2_day=areal.value))
    )
    season = "warm" if warm_c >= _GROWS_FROM_C else "cold"
    maturing = equipment.filter is Filter.MATURING
    return Biofilter(
        state=FilterState(equipment.filter.value),
        capacity_mg_n_per_h=filter_capacity_mg_n_per_h(media_m2, areal_rate_g_n_per_m2_day=drawn),
        half_tan_mg_n_per_l=rate("any", "half level TAN"),
        half_nitrite_mg_n_per_l=rate("any", "half level nitrite"),
        filter_theta=rate("any", "theta"),
        days_running=equipment.filter_days if maturing else 0.0,
        days_to_full=rate(season, "days to full"),
    )


def room_of(case: Case, air_pressure_kpa: FloatArray, inputs: Inputs) -> Room:
    """The room that the tubs stand in: as the case says, or an unheated room of any season."""
    intended = case.intended
    if intended.room is not None:
        temp = inputs.of_reading("room temperature", intended.room)
    else:
        temp = inputs.of_row("room temperature", tables.row("defaults", what="room temperature"))
    if intended.room_swing is not None:
        swing = inputs.of_reading("room swing", intended.room_swing)
    else:
        swing = inputs.of_row("room swing", tables.row("defaults", what="room swing"))
    return Room(
        air_temp_c=temp,
        daily_swing_c=np.maximum(swing, 0.0),
        relative_humidity=np.minimum(_heat(inputs, "room", "relative humidity"), 1.0),
        air_speed_m_per_s=_heat(inputs, "room", "air speed"),
        air_pressure_kpa=air_pressure_kpa,
        co2_in_air_ppm=room_co2_ppm(inputs),
    )


def room_co2_ppm(inputs: Inputs) -> FloatArray:
    """Carbon dioxide in the air of a closed room."""
    return inputs.of_row("room carbon dioxide", tables.row("defaults", what="room carbon dioxide"))
