"""How pH is closed: from inorganic carbon and alkalinity, both of which mixing and time conserve.

Carbon dioxide, bicarbonate, carbonate, water and ammonia are at equilibrium; total inorganic carbon and alkalinity
(ammonia counted) are the states that are carried, and pH and carbon dioxide follow from them.
"""

from typing import NamedTuple

import numpy as np

from waterplan.published import FloatArray, Numbers, plain
from waterplan.tank.water_body import Water
from waterplan.water.ammonia import pka
from waterplan.water.carbonate_system import equilibrium_constants
from waterplan.water.gas import co2_solubility_mol_per_l_atm

MG_CO2_PER_MMOL = 44.009
_MEQ_PER_MG_CACO3 = 1.0 / 50.043
_MG_N_PER_MMOL = 14.007
# Newton's method doubles its digits with each step: one that moves less than this leaves an error of about 1e-8.
_PH_TOLERANCE, _MOST_STEPS, _LONGEST_STEP = 1e-4, 60, 1.0
_LN10 = float(np.log(10.0))
_ATM_KPA = 101.325


class Constants(NamedTuple):
    """Equilibrium constants at a temperature: first and second of carbonic acid, of water, of ammonium [mol/L]."""

    first: FloatArray
    second: FloatArray
    water: FloatArray
    ammonium: FloatArray


def constants(water_temp_c: FloatArray) -> Constants:
    """The constants at a temperature, those that the water room uses, without ionic strength."""
    first, second, water = (np.asarray(k) for k in equilibrium_constants(water_temp_c))
    return Constants(first, second, water, np.exp(-_LN10 * np.asarray(plain(pka)(water_temp_c))))


def co2_solubility_mmol_per_l_kpa(water_temp_c: FloatArray) -> FloatArray:
    """Carbon dioxide that fresh water holds per pressure of it [mmol/L/kPa]."""
    return np.asarray(plain(co2_solubility_mol_per_l_atm)(water_temp_c)) * (1000.0 / _ATM_KPA)


def carbon_mmol_per_l(water: Water) -> Numbers:
    """Total inorganic carbon of a water from its pH and alkalinity [mmol/L]."""
    k1, k2, kw, ka = constants(np.asarray(water.water_temp_c))
    hydrogen = np.exp(-_LN10 * np.asarray(water.ph))
    ammonia = water.tan_with_chloramine_mg_n_per_l / _MG_N_PER_MMOL * ka / (ka + hydrogen)
    alkalinity = water.alkalinity_mg_caco3_per_l * _MEQ_PER_MG_CACO3
    carbonate_alkalinity = alkalinity - ammonia - 1000.0 * (kw / hydrogen - hydrogen)
    share = (k1 * hydrogen + 2.0 * k1 * k2) / (hydrogen**2 + k1 * hydrogen + k1 * k2)
    return np.maximum(carbonate_alkalinity, 0.0) / share


class Carbonate(NamedTuple):
    """Where the charges balance: pH, carbon dioxide [mmol/L], the shares of added carbon that stay dioxide and of NH3 [-]."""

    ph: FloatArray
    dioxide: FloatArray
    slope: FloatArray
    ammonia: FloatArray


class Shares(NamedTuple):
    """What a pH splits carbon and ammonia into [-], and the acid and hydroxide beside them [mmol/L]."""

    ph: FloatArray
    dioxide: FloatArray
    bicarbonate: FloatArray
    carbonate_ion: FloatArray
    ammonia: FloatArray
    acid: FloatArray
    hydroxide: FloatArray

    def ph_step(
        self,
        carbon_mmol_per_l: FloatArray,
        *,
        alkalinity_meq_per_l: FloatArray,
        tan_mmol_per_l: FloatArray,
        dioxide_pull: Numbers = 0.0,
    ) -> FloatArray:
        """A step of Newton's method towards the pH at which the charges balance.

        `dioxide_pull` is by how much the carbon falls for each unit that carbon dioxide rises, where it is being aired.
        """
        a, b, c = self.dioxide, self.bicarbonate, self.carbonate_ion
        base = tan_mmol_per_l * self.ammonia
        # d(alkalinity)/d(pH)/ln 10: each pair of acid and base buffers with the product of its shares.
        charge = b + 2.0 * c
        following = dioxide_pull * a * charge * charge
        buffer = carbon_mmol_per_l * (a * (charge + 2.0 * c) + b * c + following) + self._others(base)
        missing = alkalinity_meq_per_l - (carbon_mmol_per_l * charge + (self.hydroxide - self.acid) + base)
        step = missing / (_LN10 * buffer)
        return np.maximum(np.minimum(step, _LONGEST_STEP), -_LONGEST_STEP)

    def carbonate(self, carbon_mmol_per_l: FloatArray, *, tan_mmol_per_l: FloatArray) -> Carbonate:
        """The carbon dioxide of a total of carbon at this pH."""
        charge = self.bicarbonate + 2.0 * self.carbonate_ion
        others = self._others(tan_mmol_per_l * self.ammonia) / np.maximum(carbon_mmol_per_l, 1e-12)
        # Alkalinity held still: x = d ln H, y = d ln CO2, b (y - x) + 2c (y - 2x) = others x.
        moved = charge / (charge + 2.0 * self.carbonate_ion + others)
        slope = self.dioxide / (1.0 - moved * charge)
        return Carbonate(self.ph, self.dioxide * carbon_mmol_per_l, slope, self.ammonia)

    def _others(self, base: FloatArray) -> FloatArray:
        return self.acid + self.hydroxide + base * (1.0 - self.ammonia)


def shares(ph: FloatArray, at: Constants) -> Shares:
    """How carbon and ammonia split at a pH."""
    hydrogen = np.exp(-_LN10 * ph)
    inverse = 1.0 / hydrogen
    first, second = at.first * inverse, at.second * inverse
    dioxide = 1.0 / (1.0 + first * (1.0 + second))
    bicarbonate = dioxide * first
    return Shares(
        ph=ph,
        dioxide=dioxide,
        bicarbonate=bicarbonate,
        carbonate_ion=bicarbonate * second,
        ammonia=at.ammonium / (at.ammonium + hydrogen),
        acid=1000.0 * hydrogen,
        hydroxide=1000.0 * at.water * inverse,
    )


def balanced(
    carbon_mmol_per_l: FloatArray,
    *,
    alkalinity_meq_per_l: FloatArray,
    tan_mmol_per_l: FloatArray,
    at: Constants,
    near_ph: FloatArray,
) -> Carbonate:
    """The pH at which the charges balance; Newton's method from a pH nearby, on a curve that only rises."""
    found = shares(near_ph, at)
    for _ in range(_MOST_STEPS):
        step = found.ph_step(
            carbon_mmol_per_l, alkalinity_meq_per_l=alkalinity_meq_per_l, tan_mmol_per_l=tan_mmol_per_l
        )
        found = shares(found.ph + step, at)
        if np.max(np.abs(step)) < _PH_TOLERANCE:
            break
    return found.carbonate(carbon_mmol_per_l, tan_mmol_per_l=tan_mmol_per_l)
