"""What a warm tub loses, from prints that the plan does not use.

Air that a warm surface moves, as it was measured in chambers: Alamdari & Hammond 1983, or over walls and water Awbi & Hatton
1999; a draught along it as over a plate (Pohlhausen 1921), the two together by their cubes; radiation to a room as warm as
its air. Evaporation of quiet water by Shah 1992, of which eleven sets of measurements lay 18 % off in the mean (Shah 2002,
abstract), and what a draught takes besides by the analogy of Lewis 1922. Properties of air as in Incropera & DeWitt's table A.4.
"""

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from tests.tank.reference_odes import vapour_kpa

_SIGMA, _PRANDTL, _WATER_EMITS, _WOOD_W_M_K = 5.67e-8, 0.71, 0.96, 0.12
_J_PER_KG, _KG_PER_M3, _J_PER_KG_K, _J_PER_KG_K_OF_DRY_AIR = 2.45e6, 1.2, 1007.0, 287.055
_KPA, _VAPOUR_OVER_AIR = 101.325, 0.62198
FILMS = ("Alamdari & Hammond 1983", "Awbi & Hatton 1999")


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
    films: str
    evaporates: float  # times what Shah's formula has

    @property
    def surface_m2(self) -> float:
        """Its water."""
        return self.length_m * self.width_m

    @property
    def around_m(self) -> float:
        """Along its four walls."""
        return 2.0 * (self.length_m + self.width_m)


def still(films: str, way: str, apart_k: float, *, high_m: float, across_m: float) -> float:
    """Heat by air that a surface moves itself [W/m2/K]; `across_m` is four times its area over its edge."""
    if way == "under":
        return float(0.6 * (apart_k / across_m**2) ** 0.2)
    if films == FILMS[1]:
        times, power = (1.823, 0.293) if way == "wall" else (2.175, 0.308)
        return float(times * apart_k**power / across_m**0.076)
    slow, brisk, along = (1.5, 1.23, high_m) if way == "wall" else (1.4, 1.63, across_m)
    return float(((slow * (apart_k / along) ** 0.25) ** 6 + (brisk * apart_k ** (1 / 3)) ** 6) ** (1 / 6))


def _blown(draught_m_s: float, along_m: float, temp_c: float) -> float:
    """Heat that a draught takes along a plate [W/m2/K]; air between 250 and 300 K."""
    part = (temp_c + 273.15 - 250.0) / 50.0
    viscosity, conducts = 11.44e-6 + 4.45e-6 * part, 22.3e-3 + 4.0e-3 * part
    return float(0.664 * math.sqrt(draught_m_s * along_m / viscosity) * _PRANDTL ** (1 / 3) * conducts / along_m)


def _both(one: float, other: float) -> float:
    return float((one**3 + other**3) ** (1 / 3))


def radiated(emits: float, temp_c: float, room_c: float) -> float:
    """Heat by radiation [W/m2/K]."""
    one, other = temp_c + 273.15, room_c + 273.15
    return emits * _SIGMA * (one + other) * (one**2 + other**2)


def _through(tub: Tub, way: str, water_c: float, room_c: float) -> float:
    """Heat through a wall or a floor [W/m2]: what passes the plastic is what its outside gives off."""
    long_wall = 2.0 * tub.length_m * tub.depth_m / (tub.length_m + tub.depth_m)
    across = long_wall if way == "wall" else 4.0 * tub.surface_m2 / tub.around_m
    behind = tub.thickness_m / tub.conductivity_w_m_k + (tub.board_m / _WOOD_W_M_K if way == "under" else 0.0)
    blown = _blown(tub.draught_m_s, tub.length_m, room_c)

    def given_off(outside_c: float) -> float:
        apart = max(outside_c - room_c, 1e-9)
        of_itself = still(tub.films, way, apart, high_m=tub.depth_m, across_m=across)
        return apart * (_both(of_itself, blown) + radiated(tub.emits, outside_c, room_c))

    outside = brentq(lambda temp: given_off(temp) - (water_c - temp) / behind, room_c, water_c)
    return given_off(float(outside))


def _of_dry_air(vapour: float, temp_c: float) -> tuple[float, float]:
    """Dry air in a cubic metre of moist air [kg], and water to each kilogram of it [kg], at a pressure of vapour [kPa]."""
    dry_kg_m3 = (_KPA - vapour) * 1000.0 / (_J_PER_KG_K_OF_DRY_AIR * (temp_c + 273.15))
    return dry_kg_m3, _VAPOUR_OVER_AIR * vapour / (_KPA - vapour)


def quiet_kg_m2_h(water_c: float, room_c: float, humidity: float) -> float:
    """Evaporation of quiet water under quiet air that is heavier (Shah 1992): densities are those of the dry air in it."""
    over, wet = _of_dry_air(vapour_kpa(water_c), water_c)
    beside, moist = _of_dry_air(humidity * vapour_kpa(room_c), room_c)
    return float(35.0 * over * (beside - over) ** (1 / 3) * (wet - moist))


def watts(tub: Tub, *, water_c: float, room_c: float, humidity: float) -> float:
    """What an open tub warmer than its room loses [W]."""
    apart, across = water_c - room_c, 4.0 * tub.surface_m2 / tub.around_m
    blown = _blown(tub.draught_m_s, tub.length_m, room_c)
    by_air = _both(still(tub.films, "over", apart, high_m=0.0, across_m=across), blown)
    of_water = (by_air + radiated(_WATER_EMITS, water_c, room_c)) * apart
    dry, wet = _of_dry_air(vapour_kpa(water_c), water_c)
    beside, moist = _of_dry_air(humidity * vapour_kpa(room_c), room_c)
    vapour = dry * wet - beside * moist
    quiet_m_s = tub.evaporates * quiet_kg_m2_h(water_c, room_c, humidity) / 3600.0 / vapour
    carried_m_s = _both(quiet_m_s, blown / (_KG_PER_M3 * _J_PER_KG_K))
    evaporated = (carried_m_s * tub.surface_m2 + tub.air_m3_s) * vapour * _J_PER_KG
    walls = _through(tub, "wall", water_c, room_c) * tub.around_m * tub.depth_m
    return of_water * tub.surface_m2 + evaporated + walls + _through(tub, "under", water_c, room_c) * tub.surface_m2
