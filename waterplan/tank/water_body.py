"""What is looked at: the water, the vessel that holds it, the room it stands in."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from waterplan.errors import ImpossibleInput, Refused
from waterplan.published import Numbers
from waterplan.tank.checked import check

# Nitrogen set free by breaking monochloramine, NH2Cl stated as Cl2: 14.007/70.906 (IUPAC standard atomic weights).
_MG_N_PER_MG_CL2 = 14.007 / 70.906


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """A water by what is in it: the one in the tank at the start, or the one that is poured in.

    `chloramine_mg_cl2_per_l` is what the mains carry; after dechlorination its nitrogen is in the water as ammonia.
    `solutes_per_l` are levels of whatever else stays in the water until it is let out, by name, in units of its own.
    """

    water_temp_c: Numbers
    do_mg_per_l: Numbers
    tan_mg_n_per_l: Numbers = 0.0
    nitrite_mg_no2_per_l: Numbers = 0.0
    nitrate_mg_no3_per_l: Numbers = 0.0
    salinity_g_per_l: Numbers = 0.0
    alkalinity_mg_caco3_per_l: Numbers = 100.0
    ph: Numbers = 7.5
    chloramine_mg_cl2_per_l: Numbers = 0.0
    dechlorinated: bool = True
    solutes_per_l: Mapping[str, Numbers] = field(default_factory=dict)

    def __post_init__(self) -> None:
        check(self)
        if not self.dechlorinated and np.any(np.asarray(self.chloramine_mg_cl2_per_l) > 0.0):
            raise Refused("water with chloramine that has not been neutralised: it kills fish at a few hundredths mg/L")

    @property
    def tan_with_chloramine_mg_n_per_l(self) -> Numbers:
        """Total ammonia once the chloramine has been broken [mg/L as N]."""
        return self.tan_mg_n_per_l + _MG_N_PER_MG_CL2 * np.asarray(self.chloramine_mg_cl2_per_l)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """The vessel: the water it holds, where it touches air and room, and what breathes in it beside the fish.

    `volume_l` is the water without the fish. `transfer_m_per_day` is the gas transfer of the still surface: 0 is the
    safe figure. `other_demand_mg_per_h` is what plankton, mud and film take at `rates_at_temp_c`.
    """

    volume_l: Numbers
    area_m2: Numbers = 0.0
    transfer_m_per_day: Numbers = 0.0
    wall_area_m2: Numbers = 0.0
    wall_u_w_per_m2_k: Numbers = 0.0
    surface_u_w_per_m2_k: Numbers = 0.0
    lid_u_w_per_m2_k: Numbers = 0.0
    evaporation_factor: Numbers = 0.0
    lid_evaporation_share: Numbers = 0.1
    other_demand_mg_per_h: Numbers = 0.0
    other_q10: Numbers = 2.0
    rates_at_temp_c: Numbers = 20.0

    def __post_init__(self) -> None:
        check(self, called="tank", above_zero=("volume_l",))


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The air about the tank: its temperature through the day, its moisture, movement and pressure.

    The temperature is a mean and a cosine of half-range `daily_swing_c` that is highest at `warmest_hour` of the clock.
    """

    air_temp_c: Numbers = 20.0
    daily_swing_c: Numbers = 0.0
    warmest_hour: float = 15.0
    relative_humidity: Numbers = 0.6
    air_speed_m_per_s: Numbers = 0.1
    air_pressure_kpa: Numbers = 101.325
    co2_in_air_ppm: Numbers = 420.0

    def __post_init__(self) -> None:
        check(self, called="room")
        if not 0.0 <= self.warmest_hour < 24.0:
            raise ImpossibleInput("room: warmest_hour", self.warmest_hour, "0 to below 24", unit="h")

    def temp_c(self, clock_h: float) -> Numbers:
        """Air temperature at an hour of the clock [°C]."""
        daily = np.cos(2.0 * np.pi * (clock_h - self.warmest_hour) / 24.0)
        return np.asarray(self.air_temp_c + np.asarray(self.daily_swing_c) * daily)
