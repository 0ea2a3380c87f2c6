"""The water as it is at one moment of its course: amounts and settings."""

import functools
from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray, Numbers
from waterplan.tank.aeration import Diffuser, Gas, surface_transfer_l_per_h
from waterplan.tank.balance import carbonate
from waterplan.tank.balance.warmth import Warmth
from waterplan.tank.biofilter import FilterState
from waterplan.tank.checked import over_draws
from waterplan.tank.heat import KJ_PER_WH, air_vapour_kpa, evaporation_kg_per_h_m2_kpa
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Tank, Water

# mg/L as NO2 -> as N, as NO3 -> as N; mg/L as CaCO3 -> meq/L (IUPAC standard atomic weights).
N_PER_NO2, N_PER_NO3, MEQ_PER_MG_CACO3 = 14.007 / 46.005, 14.007 / 62.004, 1.0 / 50.043
_INSIDE = 1.0 - 1e-9  # a limit is not passed by rounding


@dataclass(slots=True, kw_only=True)
class Effect:
    """Something that lasts from one time to another: a digested meal, a disturbed or a sedated fish."""

    start_h: float
    end_h: float
    fish: str | None = None
    uptake_factor: Numbers = 1.0
    nitrogen_mg_per_h: Numbers = 0.0


class Body:
    """The running state: amounts as arrays of draws, and the settings in force.

    Amounts are masses, not concentrations, so that evaporation concentrates and nothing is lost to rounding by volume.
    """

    salt_g: FloatArray
    tan_mg: FloatArray
    nitrite_mg: FloatArray
    nitrate_mg: FloatArray
    oxygen_mg: FloatArray
    alkalinity_meq: FloatArray
    carbon_mmol: FloatArray

    def __init__(self, setup: Setup, draws: int) -> None:
        self.setup, self.tank, self.room, self.draws = setup, setup.tank, setup.room, draws
        self.oxygen_fall_mg_per_h: FloatArray | None = None
        self.ph_drift_per_h: FloatArray | None = None
        self.nitrogen_rise: tuple[FloatArray, FloatArray] | None = None
        self.none, self.full = np.zeros(draws), np.ones(draws)
        self._factors: dict[str, Numbers] = {}
        self._digested: Numbers | None = None
        self.saturated: tuple[tuple[FloatArray, ...], FloatArray] | None = None
        self.now_h = 0.0
        self.fish = {one.name: one for one in setup.fish}
        self.effects: list[Effect] = []
        self.heater, self.filter = setup.heater, setup.filter
        self.target_temp_c = over_draws(setup.heater.target_temp_c, draws) if setup.heater else np.zeros(draws)
        self.heater_stuck, self.heater_cut, self.lid_on = False, False, False
        self.power_on, self.air_on = True, True
        self.clean_tests = 0
        self.air_vapour_kpa = air_vapour_kpa(self.room.relative_humidity, air_temp_c=self.room.air_temp_c)
        self.vapour_kg_per_h_kpa = _vapour_kg_per_h_kpa(setup)
        self.surface_l_per_h = _surface_l_per_h(setup.tank, draws)
        # What each stone moves at 20 °C, and the gas that it blows [L/h].
        self.blown_l_per_h = {
            stone.name: (over_draws(stone.transfer_l_per_h(20.0), draws), over_draws(stone.gas_l_per_h, draws))
            for stone in setup.aeration
        }
        self.volume_l = self.filled_l = over_draws(setup.tank.volume_l, draws)
        self.warmth = Warmth(over_draws(setup.water.water_temp_c, draws))
        self.ice_kg, self.ice_hangs = np.zeros(draws), False
        # Heat lost to the room for each degree, without the lid and with it.
        self.loss_kj_per_h_k = (
            _loss_kj_per_h_k(setup.tank, setup.tank.surface_u_w_per_m2_k),
            _loss_kj_per_h_k(setup.tank, setup.tank.lid_u_w_per_m2_k),
        )
        self.heat_leaks = tuple(bool(np.any(loss > 0.0)) for loss in self.loss_kj_per_h_k)
        for name, per_litre in _contents(setup.water).items():
            setattr(self, name, self.volume_l * per_litre)
        self.carbonate = self._balanced(over_draws(setup.water.ph, draws))
        self.solutes = {name: self.volume_l * level for name, level in setup.water.solutes_per_l.items()}

    @property
    def temp_c(self) -> FloatArray:
        """Temperature of the water [°C]."""
        return self.warmth.temp_c

    def settle_ph(self) -> None:
        """Finds the pH again after something was poured in or out."""
        self.carbonate, self.ph_drift_per_h = self._balanced(self.carbonate.ph), None

    def _balanced(self, near_ph: FloatArray) -> carbonate.Carbonate:
        return carbonate.balanced(
            self.carbon_mmol / self.volume_l,
            alkalinity_meq_per_l=self.alkalinity_meq / self.volume_l,
            tan_mmol_per_l=self.tan_mg / 14.007 / self.volume_l,
            at=self.warmth.constants,
            near_ph=near_ph,
        )

    def dissolve_salt(self, grams: Numbers) -> None:
        """Salt weighed in, as far as water can hold it: the rest lies on the bottom."""
        brine = tables.row("defaults", what="saturated brine").value * self.volume_l
        self.salt_g = np.minimum(self.salt_g + grams, np.maximum(brine, self.salt_g))

    def dissolve_alkali(self, millimoles: Numbers) -> None:
        """Bicarbonate weighed in, as far as the equations of carbon follow it: the rest lies on the bottom."""
        most = tables.glossary()["alkalinity_mg_caco3_per_l"].possible[1] * _INSIDE * MEQ_PER_MG_CACO3 * self.volume_l
        dissolved = np.minimum(millimoles, np.maximum(most - self.alkalinity_meq, 0.0))
        self.alkalinity_meq = self.alkalinity_meq + dissolved
        self.carbon_mmol = self.carbon_mmol + dissolved

    def pour_in(self, litres: Numbers, water: Water) -> None:
        """Adds a volume of another water, mixed through."""
        poured = over_draws(litres, self.draws)
        heat = self.volume_l * self.temp_c + poured * water.water_temp_c
        self.volume_l = self.volume_l + poured
        self.warmth = Warmth(heat / self.volume_l)
        for name, per_litre in _contents(water).items():
            setattr(self, name, getattr(self, name) + poured * per_litre)
        for name in {*self.solutes, *water.solutes_per_l}:
            self.solutes[name] = self.solutes.get(name, self.none) + poured * water.solutes_per_l.get(name, 0.0)

    def pour_out(self, share: Numbers) -> None:
        """Takes out a share of the water and all that is in it."""
        kept = 1.0 - np.asarray(share)
        self.volume_l = self.volume_l * kept
        for name in _contents(self.setup.water):
            setattr(self, name, getattr(self, name) * kept)
        self.solutes = {name: amount * kept for name, amount in self.solutes.items()}

    def begin_stretch(self, effects: list[Effect]) -> None:
        """Begins a time in which nothing begins or ends: whatever lasts does so throughout."""
        self.effects, self._factors, self._digested = effects, {}, None

    def uptake_factor(self, name: str) -> Numbers:
        """How many times its rest a fish takes now; overlapping causes do not multiply, the largest stands."""
        if name not in self._factors:
            factors = [
                effect.uptake_factor
                for effect in self.effects
                if effect.fish in (None, name) and effect.start_h <= self.now_h < effect.end_h
            ]
            raised = [factor for factor in factors if np.any(np.asarray(factor) > 1.0)]
            self._factors[name] = functools.reduce(np.maximum, raised or factors or [1.0])
        return self._factors[name]

    def digested_mg_n_per_h(self) -> Numbers:
        """Ammonia that meals give off now [mg N/h]."""
        if self._digested is None:
            given = [e.nitrogen_mg_per_h for e in self.effects if e.start_h <= self.now_h < e.end_h]
            self._digested = sum(given, start=0.0)
        return self._digested

    def running_devices(self) -> tuple[Diffuser, ...]:
        """The stones that move gas now; oxygen from a cylinder needs no power."""
        return tuple(
            stone for stone in self.setup.aeration if stone.gas is Gas.OXYGEN or (self.power_on and self.air_on)
        )

    def filter_counts(self) -> bool:
        """Whether the filter may be counted on now: powered, alive, and not under suspicion."""
        return (
            self.filter is not None
            and self.power_on
            and self.filter.state in (FilterState.SEEDED, FilterState.MATURING)
        )


def _loss_kj_per_h_k(tank: Tank, surface_u_w_per_m2_k: Numbers) -> FloatArray:
    walls = np.asarray(tank.wall_area_m2) * tank.wall_u_w_per_m2_k
    return np.asarray(KJ_PER_WH * (walls + np.asarray(tank.area_m2) * surface_u_w_per_m2_k))


def _surface_l_per_h(tank: Tank, draws: int) -> FloatArray | None:
    """Water that the still surface brings to equilibrium with the air; None where that is left out."""
    if not np.any(np.asarray(tank.transfer_m_per_day) > 0.0):
        return None
    return over_draws(surface_transfer_l_per_h(tank.area_m2, transfer_m_per_day=tank.transfer_m_per_day), draws)


def _vapour_kg_per_h_kpa(setup: Setup) -> Numbers | None:
    """Water that evaporates per difference of vapour pressure; None where none does."""
    tank, room = setup.tank, setup.room
    if not np.any(np.asarray(tank.evaporation_factor) * tank.area_m2 > 0.0):
        return None
    return tank.evaporation_factor * np.asarray(tank.area_m2) * evaporation_kg_per_h_m2_kpa(room.air_speed_m_per_s)


def _contents(water: Water) -> dict[str, Numbers]:
    """What a litre of a water holds, by the name and in the unit of the body's amounts."""
    return {
        "salt_g": water.salinity_g_per_l,
        "tan_mg": water.tan_with_chloramine_mg_n_per_l,
        "nitrite_mg": water.nitrite_mg_no2_per_l * N_PER_NO2,
        "nitrate_mg": water.nitrate_mg_no3_per_l * N_PER_NO3,
        "oxygen_mg": water.do_mg_per_l,
        "alkalinity_meq": water.alkalinity_mg_caco3_per_l * MEQ_PER_MG_CACO3,
        "carbon_mmol": carbonate.carbon_mmol_per_l(water),
    }
