"""A closed transport bag or box: oxygen, carbon dioxide and ammonia on the way."""

from dataclasses import dataclass

import numpy as np

from waterplan.published import FloatArray, Numbers
from waterplan.tank.balance import carbonate
from waterplan.tank.checked import check, draws_in, over_draws
from waterplan.tank.occupants import MG_O2_PER_MMOL, Fish
from waterplan.tank.water_body import Water
from waterplan.water.ammonia import unionised_fraction
from waterplan.water.atmosphere import water_vapour_pressure_kpa
from waterplan.water.oxygen import O2_IN_DRY_AIR, saturation_mg_per_l

_R_L_KPA = 8.314462  # gas constant [L kPa/mol/K]
_MG_N_PER_MMOL, _MEQ_PER_MG_CACO3 = 14.007, 1.0 / 50.043
_ROUNDS = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """A closed bag: its water, the pure oxygen over it, and the fish in it, all at the temperature of the water."""

    volume_l: Numbers
    gas_l: Numbers
    water: Water
    fish: tuple[Fish, ...]
    stress_factor: Numbers = 1.0
    air_pressure_kpa: Numbers = 101.325

    def __post_init__(self) -> None:
        check(self, called="bag", above_zero=("volume_l",))


@dataclass(frozen=True, slots=True, kw_only=True)
class BagHolds:
    """What is in the closed bag after a time, as arrays of draws."""

    do_mg_per_l: FloatArray
    co2_mg_per_l: FloatArray
    tan_mg_n_per_l: FloatArray
    ph: FloatArray
    nh3_mg_n_per_l: FloatArray


def bag_after(bag: Bag, hours: Numbers) -> BagHolds:
    """What has become of a bag after a time.

    Parameters
    ----------
    bag : Bag
        Water, oxygen and fish when it is closed.
    hours : float or array
        Time since [h].

    Returns
    -------
    BagHolds
        Oxygen, carbon dioxide, ammonia and pH in the closed bag.

    Raises
    ------
    ImpossibleInput
        A bag smaller than its fish, or a time that is negative.

    Notes
    -----
    Gas and water at equilibrium, the gas in a fixed volume: a bag that shrinks as its oxygen is used keeps more
    oxygen in the water than this, so the error is to the safe side. Carbon dioxide is shared between gas and water by
    its solubility (Weiss 1974), pH is closed as in `balance.carbonate`.
    """
    draws = draws_in(bag)
    water, volume, gas = bag.water, over_draws(bag.volume_l, draws), over_draws(bag.gas_l, draws)
    temp = over_draws(water.water_temp_c, draws)
    per_kpa = gas / (_R_L_KPA * (temp + 273.15)) * 1000.0  # gas that is there per partial pressure [mmol/kPa]
    uptake, excretion, breathed_out = (np.zeros(draws) for _ in range(3))
    for fish in bag.fish:
        wanted = fish.uptake_mg_per_h(temp) * bag.stress_factor
        uptake = uptake + wanted
        breathed_out = breathed_out + wanted / MG_O2_PER_MMOL * fish.respiratory_quotient
        excretion = excretion + fish.excretion_mg_n_per_h(temp)

    dry_kpa = bag.air_pressure_kpa - np.asarray(water_vapour_pressure_kpa(temp))
    full = saturation_mg_per_l(temp, salinity_g_per_kg=water.salinity_g_per_l, air_pressure_kpa=bag.air_pressure_kpa)
    dissolved_per_kpa = np.asarray(full) / (O2_IN_DRY_AIR * dry_kpa)
    brought = per_kpa * dry_kpa * MG_O2_PER_MMOL + volume * water.do_mg_per_l
    used = np.minimum(uptake * hours, brought)
    pressure = (brought - used) / (per_kpa * MG_O2_PER_MMOL + volume * dissolved_per_kpa)
    breathed = breathed_out * used / np.where(uptake > 0.0, uptake, 1.0)

    tan = water.tan_with_chloramine_mg_n_per_l + excretion * hours / volume
    given = excretion * hours / volume / _MG_N_PER_MMOL
    alkalinity = water.alkalinity_mg_caco3_per_l * _MEQ_PER_MG_CACO3 + given
    at = carbonate.constants(temp)
    solubility = np.asarray(carbonate.co2_solubility_mmol_per_l_kpa(temp))
    closed = _shared_with_gas(
        over_draws(carbonate.carbon_mmol_per_l(water), draws) + breathed / volume,
        per_kpa / solubility / volume,
        alkalinity,
        tan / _MG_N_PER_MMOL,
        at,
        over_draws(water.ph, draws),
    )
    return BagHolds(
        do_mg_per_l=pressure * dissolved_per_kpa,
        co2_mg_per_l=closed.dioxide * carbonate.MG_CO2_PER_MMOL,
        tan_mg_n_per_l=tan,
        ph=closed.ph,
        nh3_mg_n_per_l=tan * unionised_fraction(closed.ph, water_temp_c=temp),
    )


def _shared_with_gas(
    carbon_mmol_per_l: FloatArray,
    gas_per_water: FloatArray,
    alkalinity_meq_per_l: FloatArray,
    tan_mmol_per_l: FloatArray,
    at: carbonate.Constants,
    near_ph: FloatArray,
) -> carbonate.Carbonate:
    """Newton's method for the carbon that stays in the water when carbon dioxide is shared with a gas over it."""
    inside = carbon_mmol_per_l
    for _ in range(_ROUNDS):
        found = carbonate.balanced(
            inside,
            alkalinity_meq_per_l=alkalinity_meq_per_l,
            tan_mmol_per_l=tan_mmol_per_l,
            at=at,
            near_ph=near_ph,
        )
        near_ph = found.ph
        step = (inside + gas_per_water * found.dioxide - carbon_mmol_per_l) / (1.0 + gas_per_water * found.slope)
        inside = np.maximum(inside - step, 1e-9)
        if np.max(np.abs(step)) < 1e-9:
            break
    return found
