"""Oxygen into the water, and carbon dioxide out of it: bubbles of air or oxygen, and a still surface.

Everything that moves a gas is turned into litres of water brought to equilibrium with that gas in an hour, G: the gain
of oxygen is G (C* - C). One figure then serves every oxygen level, temperature and altitude.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from waterplan.published import FloatArray, Numbers, published
from waterplan.tank.balance.carbonate import co2_solubility_mmol_per_l_kpa
from waterplan.tank.checked import check
from waterplan.water.oxygen import O2_IN_DRY_AIR

# Oxygen in a litre of dry air at 20 °C and 1 atm [mg], 0.2095 x 31.998 g/24.055 L; and saturation of water with it.
_MG_O2_PER_L_AIR, _SATURATION_20_C = 278.7, 9.092
# Temperature coefficient of the transfer (ASCE/EWRI 2-06).
_THETA = 1.024
# Transfer of carbon dioxide through a film against that of oxygen: (1.92/2.10)^(2/3), from the diffusion coefficients.
CO2_FILM_RATIO = 0.94


@published(
    source="asce_2_06",
    locator="SOTR = air flow x oxygen in it x SOTE, SOTE taken as proportional to depth",
    status="derived",
    fitted={"depth_m": (0.0, 8.0)},
    possible={"sote_percent_per_m": (0.0, 40.0), "depth_m": (0.0, 30.0)},
)
def standard_transfer_mg_per_h(
    air_flow_l_per_min: Numbers, *, sote_percent_per_m: Numbers, depth_m: Numbers
) -> Numbers:
    """Oxygen that an air stone moves into clean water without oxygen at 20 °C and sea level.

    Parameters
    ----------
    air_flow_l_per_min : float or array
        Air through the stone [L/min].
    sote_percent_per_m : float or array
        Share of the oxygen that dissolves in each metre of rise [%/m].
    depth_m : float or array
        Depth of the stone [m].

    Returns
    -------
    float or array
        Standard oxygen transfer rate [mg/h].

    Raises
    ------
    ImpossibleInput
        A flow, efficiency or depth that is negative, not finite or not possible.

    Notes
    -----
    Flow x 60 x 278.7 mg/L x SOTE/100 x depth. Checked by hand: 10 L/min at 0.5 m and 2 %/m: 1.67 g/h.

    Examples
    --------
    >>> round(standard_transfer_mg_per_h(10.0, sote_percent_per_m=2.0, depth_m=0.5))
    1672
    """
    return air_flow_l_per_min * 60.0 * _MG_O2_PER_L_AIR * sote_percent_per_m / 100.0 * depth_m


@published(source="mass_balance", locator="two-film transfer through a surface, K_L A", status="derived")
def surface_transfer_l_per_h(area_m2: Numbers, *, transfer_m_per_day: Numbers) -> Numbers:
    """Water that a still surface brings to equilibrium with the air in an hour.

    Parameters
    ----------
    area_m2 : float or array
        Surface [m2].
    transfer_m_per_day : float or array
        Transfer velocity K_L [m/day].

    Returns
    -------
    float or array
        Equilibrated water [L/h].

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    K_L A x 1000/24. A tub's surface gives about a tenth of what a fish in it needs: plan with 0.

    Examples
    --------
    >>> surface_transfer_l_per_h(0.48, transfer_m_per_day=0.5)
    10.0
    """
    return area_m2 * np.asarray(transfer_m_per_day) * 1000.0 / 24.0


def temperature_factor(water_temp_c: Numbers) -> Numbers:
    """1.024^(t - 20), the temperature effect on gas transfer [-]."""
    return np.asarray(np.exp(np.log(_THETA) * (np.asarray(water_temp_c) - 20.0)))


def co2_transfer_l_per_h(
    oxygen_l_per_h: FloatArray, gas_l_per_h: Numbers | None, solubility: FloatArray, temp_c: FloatArray
) -> FloatArray:
    """Water freed of carbon dioxide in an hour; bubbles carry off no more than they can hold."""
    film = CO2_FILM_RATIO * oxygen_l_per_h
    if gas_l_per_h is None:
        return film
    # What a litre of gas holds against a litre of water, 1/(K0 R T), R = 8.314 L kPa/mol/K.
    carried = gas_l_per_h * 1000.0 / (solubility * 8.314462 * (temp_c + 273.15))
    return np.asarray(carried * -np.expm1(-film / np.maximum(carried, 1e-300)))


class Gas(StrEnum):
    """What a diffuser blows."""

    AIR = "air"
    OXYGEN = "oxygen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Diffuser:
    """A stone or ring that blows air, or oxygen, at a depth."""

    air_flow_l_per_min: Numbers
    depth_m: Numbers
    sote_percent_per_m: Numbers = 2.0
    alpha: Numbers = 0.9
    beta: Numbers = 0.98
    gas: Gas = Gas.AIR
    name: str = "air stone"

    def __post_init__(self) -> None:
        check(self, called=self.name)

    @property
    def gas_l_per_h(self) -> Numbers:
        """Gas blown in an hour [L/h]."""
        return self.air_flow_l_per_min * 60.0

    @property
    def ceiling(self) -> Numbers:
        """What its bubbles could bring the water to, as a multiple of saturation with air [-]."""
        return self.beta / (1.0 if self.gas is Gas.AIR else O2_IN_DRY_AIR)

    def transfer_l_per_h(self, water_temp_c: Numbers) -> Numbers:
        """Water equilibrated with the gas in an hour; the share that dissolves is that of air for oxygen too [L/h]."""
        standard = standard_transfer_mg_per_h(
            self.air_flow_l_per_min, sote_percent_per_m=self.sote_percent_per_m, depth_m=self.depth_m
        )
        return np.asarray(self.alpha * standard / _SATURATION_20_C * temperature_factor(water_temp_c))

    def strips_l_per_h(self, water_temp_c: FloatArray) -> FloatArray:
        """Water freed of carbon dioxide in an hour [L/h]."""
        moved, solubility = np.asarray(self.transfer_l_per_h(water_temp_c)), co2_solubility_mmol_per_l_kpa(water_temp_c)
        return co2_transfer_l_per_h(moved, self.gas_l_per_h, solubility, water_temp_c)
