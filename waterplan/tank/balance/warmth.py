"""What hangs on the water's temperature alone, worked out once for each temperature that the water comes to."""

from functools import cached_property

import numpy as np

from waterplan.published import FloatArray, plain
from waterplan.tank.aeration import temperature_factor
from waterplan.tank.balance import carbonate
from waterplan.tank.occupants import Fish
from waterplan.water.atmosphere import water_vapour_pressure_kpa

_vapour_kpa = plain(water_vapour_pressure_kpa)


class Warmth:
    """The temperature of the water at an end of a step; the end of one is the start of the next."""

    def __init__(self, temp_c: FloatArray) -> None:
        self.temp_c = temp_c
        self._rates: dict[int, tuple[Fish, FloatArray, FloatArray]] = {}

    @cached_property
    def constants(self) -> carbonate.Constants:
        """Equilibrium constants of the carbonate system."""
        return carbonate.constants(self.temp_c)

    @cached_property
    def co2_solubility_mmol_per_l_kpa(self) -> FloatArray:
        """Carbon dioxide that the water holds per pressure of it."""
        return carbonate.co2_solubility_mmol_per_l_kpa(self.temp_c)

    @cached_property
    def vapour_kpa(self) -> FloatArray:
        """Pressure of saturated water vapour."""
        return np.asarray(_vapour_kpa(self.temp_c))

    @cached_property
    def transfer_factor(self) -> FloatArray:
        """1.024^(t - 20)."""
        return np.asarray(temperature_factor(self.temp_c))

    def uptake_mg_per_h(self, fish: Fish) -> FloatArray:
        """Oxygen that a fish wants at rest."""
        return self._of(fish)[1]

    def excretion_mg_n_per_h(self, fish: Fish) -> FloatArray:
        """Ammonia that a fish gives off without feed."""
        return self._of(fish)[2]

    def _of(self, fish: Fish) -> tuple[Fish, FloatArray, FloatArray]:
        if id(fish) not in self._rates:
            self._rates[id(fish)] = (
                fish,  # kept, so that its id is that of no other
                fish.uptake_mg_per_h(self.temp_c),
                fish.excretion_mg_n_per_h(self.temp_c),
            )
        return self._rates[id(fish)]


def mean(start: FloatArray, end: FloatArray) -> FloatArray:
    """The mean of what stands at both ends of a step."""
    return start if start is end else 0.5 * (start + end)
