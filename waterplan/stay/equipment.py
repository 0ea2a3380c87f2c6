"""What stands in and about a water: walls, air stones, heater, filter, room, as the tank's engine takes them."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.case.choices import Filter
from waterplan.case.model import Case, Vessel
from waterplan.case.tank_choices import BackUp, MadeOf, Stones
from waterplan.case.values import Reading
from waterplan.published import FloatArray, Numbers
from waterplan.spread import Measured
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import WaterKind
from waterplan.stay.volume.found import Found
from waterplan.stay.waters import Place
from waterplan.tank.aeration import Diffuser
from waterplan.tank.biofilter import Biofilter, FilterState, filter_capacity_mg_n_per_h
from waterplan.tank.setup import Heater
from waterplan.tank.water_body import Room, Tank

_WALLS = {MadeOf.PLASTIC: "bare plastic tub", MadeOf.GLASS: "glass 6-10 mm", MadeOf.FOAM: "50 mm foam"}
_STONE_ABOVE_FLOOR, _L_PER_M3, _MIN_PER_DAY = 0.9, 1000.0, 1440.0
# The row `warm` of filter_rates speaks of 20 to 25 °C; grown to what it was fed, a filter holds it at a quarter of its half level.
_GROWS_FROM_C, _TIMES_FED = 20.0, 5.0
AIR, OXYGEN = "air", "oxygen"
_STILL = "still surface of a tub"


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """The equipment of one vessel, as draws where it was measured; None where there is none."""

    air_l_per_min: FloatArray | None = None
    stones: int | None = None
    heater_w: FloatArray | None = None
    filter: Filter | None = None
    filter_days: Numbers = 0.0
    lid: bool | None = None
    back_up_l_per_min: FloatArray | None = None
    stone_depth_m: Numbers
    fine_stones: bool = False

    @property
    def living_filter(self) -> Filter | None:
        """The filter where it counts: one that was never seeded does not."""
        return None if self.filter is Filter.UNSEEDED else self.filter


def equipment_of(place: Place, found: Found, inputs: Inputs) -> Equipment:
    """The equipment of a vessel of the case; a pond has none that its tables speak of.

    A box on the way travels with a small battery pump, through one stone.
    """
    vessel, depth, pump = place.vessel, tables.row("defaults", what="stone depth"), "back-up air"
    if vessel is None:
        box = place.kind is WaterKind.BOX
        air = inputs.or_value(pump, None, tables.row("defaults", what=pump)) if box else None
        return Equipment(stone_depth_m=depth.value, air_l_per_min=air, stones=1 if box else None)

    def read(what: str, reading: Reading | None) -> FloatArray | None:
        return None if reading is None else inputs.of_reading(f"{place.id}/{what}", reading)

    ran, own_depth = read("filter ran", vessel.filter_ran), read("stone depth", vessel.air_depth)
    if own_depth is None and found.depth_m is not None:
        own_depth = _STONE_ABOVE_FLOOR * found.depth_m
    back_up = None
    if vessel.back_up is BackUp.BATTERY:
        back_up = inputs.or_value(f"{place.id}/{pump}", vessel.back_up_air, tables.row("defaults", what=pump))
    return Equipment(
        air_l_per_min=read("air", vessel.air),
        stones=vessel.outlets,
        heater_w=read("heater", vessel.heater),
        filter=vessel.filter,
        filter_days=0.0 if ran is None else ran / _MIN_PER_DAY,
        lid=vessel.lid,
        back_up_l_per_min=back_up,
        stone_depth_m=inputs.value(depth) if own_depth is None else own_depth,
        fine_stones=vessel.stones is Stones.FINE,
    )


# -- the engine's parts -----------------------------------------------------------------------------------------------


def tank_of(vessel: Vessel | None, found: Found, free_l: FloatArray, inputs: Inputs) -> Tank:
    """Walls, surface and water; the surface of a pond is left out, as what is read of its nights holds it.

    Parameters
    ----------
    vessel : Vessel or None
        The vessel; None for a pond, and for what travels.
    found : Found
        Its litres, with depth and surface where sizes give them.
    free_l : array, shape (draws + 1,)
        Litres of water beside the fish [L].
    inputs : Inputs
        The draws of what is taken of the tables.

    Returns
    -------
    Tank
        Areas in m², heat transfer in W/m²/K; a vessel without sizes is a round one of the usual depth.
    """
    depth, area = found.depth_m, found.surface_m2
    if depth is None:
        depth = inputs.of_row("ordinary depth", tables.row("defaults", what="water depth"))
    if area is None:
        area = found.litres.draws / _L_PER_M3 / depth
    walls: dict[str, Any] = {}
    if vessel is not None:
        evaporation = tables.row("heat_rates", part="quiet water", quantity="evaporation factor")
        walls = {
            "wall_area_m2": area + 2.0 * np.sqrt(np.pi * area) * depth if found.wall_m2 is None else found.wall_m2,
            "wall_u_w_per_m2_k": _heat(inputs, _WALLS[vessel.made_of or MadeOf.PLASTIC], "wall U"),
            "surface_u_w_per_m2_k": _heat(inputs, "open surface", "surface U"),
            "lid_u_w_per_m2_k": _heat(inputs, "lid", "surface U"),
            "evaporation_factor": inputs.value(evaporation),
            "transfer_m_per_day": inputs.of_row("still surface", tables.row("aeration_rates", device=_STILL)),
        }
    return Tank(
        volume_l=free_l,
        area_m2=area,
        lid_evaporation_share=np.minimum(_heat(inputs, "lid", "evaporation share"), 1.0),
        **walls,
    )


def _heat(inputs: Inputs, part: str, quantity: str) -> FloatArray:
    return inputs.of_row(f"{quantity} of {part}", tables.row("heat_rates", part=part, quantity=quantity))


def stone(equipment: Equipment, inputs: Inputs, *, l_per_min: Numbers, name: str = AIR) -> Diffuser:
    """A stone of the vessel's kind, at its depth, with an air flow [L/min]; its transfer by the table `aeration_rates`."""

    def rate(device: str, quantity: str) -> FloatArray:
        return inputs.of_row(f"{quantity} of {device}", tables.row("aeration_rates", device=device, quantity=quantity))

    return Diffuser(
        name=name,
        air_flow_l_per_min=l_per_min,
        depth_m=equipment.stone_depth_m,
        sote_percent_per_m=rate("fine air stone" if equipment.fine_stones else "air stone", "SOTE per metre"),
        alpha=rate("clean tank", "alpha"),
        beta=rate("any", "beta"),
    )


def heater(watts: Numbers, target_temp_c: Numbers, inputs: Inputs) -> Heater:
    """A heater [W] with its thermostat [°C]."""
    return Heater(heater_w=watts, target_temp_c=target_temp_c, band_c=_heat(inputs, "thermostat", "band"))


def biofilter(equipment: Equipment, *, fed_mg_n_per_h: float, warm_c: float, inputs: Inputs) -> Biofilter | None:
    """The filter, taken as grown to its fish's own ammonia; None where there is none that counts.

    Parameters
    ----------
    equipment : Equipment
        The filter's state, and the days that it has run.
    fed_mg_n_per_h : float
        Ammonia that its fish give off [mg/h as N].
    warm_c : float
        Temperature of the water, for how fast it grows [°C].
    inputs : Inputs
        The draws of the table `filter_rates`.

    Returns
    -------
    Biofilter or None
        Its capacity is five times what it is fed, at the areal rate of the table and with that rate's range.
    """
    living = equipment.living_filter
    if living is None:
        return None

    def rate(kind: str, quantity: str) -> FloatArray:
        return inputs.of_row(f"{quantity} of filter", tables.row("filter_rates", filter=kind, quantity=quantity))

    areal = tables.row("filter_rates", filter="submerged", quantity="areal TAN rate")
    inputs.rows[areal.id] = None
    drawn = inputs.of("areal TAN rate of filter", Measured.between(areal.low, areal.high, best=areal.value))
    by_its_area = float(filter_capacity_mg_n_per_h(1.0, areal_rate_g_n_per_m2_day=areal.value))
    media_m2 = _TIMES_FED * fed_mg_n_per_h / by_its_area
    return Biofilter(
        state=FilterState(living.value),
        capacity_mg_n_per_h=filter_capacity_mg_n_per_h(media_m2, areal_rate_g_n_per_m2_day=drawn),
        half_tan_mg_n_per_l=rate("any", "half level TAN"),
        half_nitrite_mg_n_per_l=rate("any", "half level nitrite"),
        filter_theta=rate("any", "theta"),
        days_running=equipment.filter_days if living is Filter.MATURING else 0.0,
        days_to_full=rate("warm" if warm_c >= _GROWS_FROM_C else "cold", "days to full"),
    )


def room_of(case: Case, air_pressure_kpa: FloatArray, inputs: Inputs) -> Room:
    """The room that the tubs stand in: as the case says, or an unheated room of any season."""
    return Room(
        air_temp_c=inputs.or_default("room temperature", case.intended.room),
        daily_swing_c=np.maximum(inputs.or_default("room swing", case.intended.room_swing), 0.0),
        relative_humidity=np.minimum(_heat(inputs, "room", "relative humidity"), 1.0),
        air_speed_m_per_s=_heat(inputs, "room", "air speed"),
        air_pressure_kpa=air_pressure_kpa,
        co2_in_air_ppm=room_co2_ppm(inputs),
    )


def room_co2_ppm(inputs: Inputs) -> FloatArray:
    """Carbon dioxide in the air of a closed room [ppm]."""
    return inputs.of_row("room carbon dioxide", tables.row("defaults", what="room carbon dioxide"))
