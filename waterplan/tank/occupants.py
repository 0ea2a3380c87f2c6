"""The fish in the water, as what they take from it and give to it."""

from dataclasses import dataclass

import numpy as np

from waterplan.published import FloatArray, Numbers
from waterplan.tank.checked import check

MG_O2_PER_MMOL = 31.998


@dataclass(frozen=True, slots=True, kw_only=True)
class Fish:
    """One fish, or several alike: weight together, rates at a temperature and how they change with it.

    Uptake is at rest; handling, sedation and feeding multiply it through events. Below `critical_do_mg_per_l` a fish
    can no longer take what it needs: the uptake then falls in proportion to the oxygen that is left.
    `respiratory_quotient` is the carbon dioxide given per oxygen taken, by moles.
    """

    name: str
    biomass_kg: Numbers
    uptake_mg_per_kg_h: Numbers
    excretion_mg_n_per_kg_h: Numbers
    rates_at_temp_c: Numbers = 20.0
    uptake_q10: Numbers = 2.0
    excretion_q10: Numbers = 2.0
    critical_do_mg_per_l: Numbers = 1.0
    respiratory_quotient: Numbers = 0.9

    def __post_init__(self) -> None:
        check(self, called=self.name, above_zero=("critical_do_mg_per_l",))

    def uptake_mg_per_h(self, water_temp_c: FloatArray) -> FloatArray:
        """Oxygen that is wanted at rest [mg/h]."""
        return np.asarray(
            self.biomass_kg * np.asarray(self.uptake_mg_per_kg_h) * self._at(water_temp_c, self.uptake_q10)
        )

    def excretion_mg_n_per_h(self, water_temp_c: FloatArray) -> FloatArray:
        """Ammonia given to the water without feed [mg N/h]."""
        return np.asarray(
            self.biomass_kg * np.asarray(self.excretion_mg_n_per_kg_h) * self._at(water_temp_c, self.excretion_q10)
        )

    def _at(self, water_temp_c: FloatArray, q10: Numbers) -> FloatArray:
        return np.asarray(np.exp(np.log(q10) * (water_temp_c - self.rates_at_temp_c) / 10.0))
