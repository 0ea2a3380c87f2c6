"""What a warm tub loses, from prints that the plan does not use.

Air that a warm plate moves: at a wall Churchill & Chu 1975, over water Lloyd & Moran 1974 (`0.54 Ra^1/4`, and `0.15 Ra^1/3`
from 10^7), under a floor McAdams 1954 (`0.27 Ra^1/4`), each with the length that goes with it; a draught along it as over a
plate (Pohlhausen 1921), the two together by their cubes; radiation to a room as warm as its air. Evaporation by the analogy of
Chilton & Colburn 1934: vapour leaves as heat does, over the two thirds power of their diffusivities, and makes the air
lighter. Properties of air as in Incropera & DeWitt's tables A.4 and A.8.
"""

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from tests.tank.reference_odes import vapour_kpa

_G, _SIGMA, _PRANDTL, _WATER_EMITS = 9.81, 5.67e-8, 0.71, 0.96
_J_PER_KG, _KG_PER_M3, _J_PER_KG_K, _GAS_PER_KG_K = 2.45e6, 1.2, 1007.0, 461.5
_VAPOUR_M2_S, _WOOD_W_M_K = 0.26e-4, 0.12


@dataclass(frozen=True, slots=True, kw_only=True)
class Tub:
    """An open tub of plastic with stones in it: its measures, what it is made of and what it stands on."""

    length_m: float
    width_m: float
    depth_m: float
    conductivity_w_m_k: float
    thickness_m: float
    emits: float
    board_m: float  # of wood under its floor; none where it stands on feet
    draught_m_s: float
    air_m3_s: float

    @property
    def surface_m2(self) -> float:
        """Its water."""
        return self.length_m * self.width_m

    @property
    def around_m(self) -> float:
        """Along its four walls."""
        return 2.0 * (self.length_m + self.width_m)


def _air(temp_k: float) -> tuple[float, float, float]:
    """Viscosity and diffusivity of heat [m2/s], and conductivity [W/m/K], between 250 and 300 K."""
    part = (temp_k - 250.0) / 50.0
    return 11.44e-6 + 4.45e-6 * part, 15.9e-6 + 6.6e-6 * part, 22.3e-3 + 4.0e-3 * part


def _nusselt(way: str, rayleigh: float) -> float:
    if way == "wall":
        return float((0.825 + 0.387 * rayleigh ** (1 / 6) / (1.0 + (0.492 / _PRANDTL) ** (9 / 16)) ** (8 / 27)) ** 2)
    if way == "under":
        return float(0.27 * rayleigh**0.25)
    return float(0.54 * rayleigh**0.25 if rayleigh < 1e7 else 0.15 * rayleigh ** (1 / 3))


def convected(way: str, apart_k: float, room_c: float, *, high_m: float, along_m: float, draught_m_s: float) -> float:
    """Heat by air from a plate so much warmer than the room [W/m2/K]."""
    middle = room_c + 273.15 + apart_k / 2.0
    viscosity, heat, conducts = _air(middle)
    rayleigh = _G / middle * max(apart_k, 1e-6) * high_m**3 / (viscosity * heat)
    of_itself = _nusselt(way, rayleigh) * conducts / high_m
    blown = 0.664 * math.sqrt(draught_m_s * along_m / viscosity) * _PRANDTL ** (1 / 3) * conducts / along_m
    return float((of_itself**3 + blown**3) ** (1 / 3))


def radiated(emits: float, temp_c: float, room_c: float) -> float:
    """Heat by radiation [W/m2/K]."""
    one, other = temp_c + 273.15, room_c + 273.15
    return emits * _SIGMA * (one + other) * (one**2 + other**2)


def _through(tub: Tub, way: str, water_c: float, room_c: float) -> float:
    """Heat through a wall or a floor [W/m2]: what passes the plastic is what its outside gives off."""
    high = tub.depth_m if way == "wall" else tub.surface_m2 / tub.around_m
    behind = tub.thickness_m / tub.conductivity_w_m_k + (tub.board_m / _WOOD_W_M_K if way == "under" else 0.0)

    def given_off(outside_c: float) -> float:
        apart = outside_c - room_c
        by_air = convected(way, apart, room_c, high_m=high, along_m=tub.length_m, draught_m_s=tub.draught_m_s)
        return apart * (by_air + radiated(tub.emits, outside_c, room_c))

    outside = brentq(lambda temp: given_off(temp) - (water_c - temp) / behind, room_c, water_c)
    return given_off(float(outside))


def _vapour_kg_m3(kpa: float, temp_c: float) -> float:
    return kpa * 1000.0 / (_GAS_PER_KG_K * (temp_c + 273.15))


def watts(tub: Tub, *, water_c: float, room_c: float, humidity: float) -> float:
    """What an open tub warmer than its room loses [W]."""
    inside, outside = vapour_kpa(water_c), humidity * vapour_kpa(room_c)
    # Moist air is as light as dry air that is 0.378 e/p warmer, in kelvins for each kelvin.
    lighter = 0.378 * (inside - outside) / 101.325 * (room_c + 273.15)
    by_air = convected(
        "over",
        water_c - room_c + lighter,
        room_c,
        high_m=tub.surface_m2 / tub.around_m,
        along_m=tub.length_m,
        draught_m_s=tub.draught_m_s,
    )
    _, heat, _ = _air(room_c + 273.15)
    carried_m_s = by_air / (_KG_PER_M3 * _J_PER_KG_K * (heat / _VAPOUR_M2_S) ** (2 / 3))
    vapour = _vapour_kg_m3(inside, water_c) - _vapour_kg_m3(outside, room_c)
    of_water = (by_air + radiated(_WATER_EMITS, water_c, room_c)) * (water_c - room_c)
    evaporated = (carried_m_s * tub.surface_m2 + tub.air_m3_s) * vapour * _J_PER_KG
    walls = _through(tub, "wall", water_c, room_c) * tub.around_m * tub.depth_m
    return of_water * tub.surface_m2 + evaporated + walls + _through(tub, "under", water_c, room_c) * tub.surface_m2
