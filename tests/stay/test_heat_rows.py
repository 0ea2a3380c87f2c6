"""Rows of heat against the prints that they are derived from, and the simulated patients' formulas against theirs.

The laws of plates: at a wall Churchill & Chu 1975, over water Lloyd & Moran 1974 (`0.54 Ra^1/4`, and `0.15 Ra^1/3` from 10^7),
under a floor McAdams 1954 (`0.27 Ra^1/4`), each with the length that goes with it; vapour leaves as heat does, over the two
thirds power of their diffusivities (Chilton & Colburn 1934), and makes the air lighter. Properties of air as in Incropera &
DeWitt's tables A.4 and A.8.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from tests.plan.heat_by_print import FILMS, quiet_kg_m2_h, radiated, still
from tests.tank.reference_odes import vapour_kpa
from waterplan import tables
from waterplan.actions.heat.heating import least_watts
from waterplan.spread import Draws
from waterplan.stay.inputs import Inputs
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Room, Tank, Water

LONG, WIDE, DEEP, ROOM_C = 1.2, 0.7, 0.45, 15.0
AREA_OVER_EDGE = LONG * WIDE / (2.0 * (LONG + WIDE))
CARRIER_KG_M2_S_KPA = (0.089 + 0.0782 * 0.1) / 2442.0


def plate(way: str, apart_k: float) -> float:
    """Heat by still air from a plate so much warmer than the room [W/m2/K]."""
    middle = ROOM_C + 273.15 + apart_k / 2.0
    part = (middle - 250.0) / 50.0
    viscosity, heat, conducts = 11.44e-6 + 4.45e-6 * part, 15.9e-6 + 6.6e-6 * part, 22.3e-3 + 4.0e-3 * part
    along = DEEP if way == "wall" else AREA_OVER_EDGE
    rayleigh = 9.81 / middle * apart_k * along**3 / (viscosity * heat)
    wall = (0.825 + 0.387 * rayleigh ** (1 / 6) / (1.0 + (0.492 / 0.71) ** (9 / 16)) ** (8 / 27)) ** 2
    over = 0.54 * rayleigh**0.25 if rayleigh < 1e7 else 0.15 * rayleigh ** (1 / 3)
    nusselt = {"wall": wall, "under": 0.27 * rayleigh**0.25, "over": over}[way]
    return float(nusselt * conducts / along)


def through(way: str, apart_k: float, resistance: float) -> float:
    """Heat through a wall or a floor behind a resistance [W/m2/K]."""

    def left(outside_k: float) -> float:
        given_off = outside_k * (plate(way, outside_k) + radiated(0.9, ROOM_C + outside_k, ROOM_C))
        return given_off - (apart_k - outside_k) / resistance

    outside = float(brentq(left, 1e-6, apart_k))
    return (apart_k - outside) / resistance / apart_k


def tub(apart_k: float, resistance: float) -> tuple[float, float, float]:
    """Walls, floor on feet and floor on 18 mm of wood, of 0.13 W/m/K [W/m2/K]."""
    return (
        through("wall", apart_k, resistance),
        through("under", apart_k, resistance),
        through("under", apart_k, resistance + 0.018 / 0.13),
    )


def together(parts: tuple[float, float, float]) -> float:
    return (2.0 * parts[0] + (parts[1] + parts[2]) / 2.0) / 3.0


def by_plates(part: str, quantity: str, source: str) -> tables.Row:
    row = tables.row("heat_rates", part=f"{part}, by plates", quantity=quantity)
    assert row.source == source
    return row


def test_walls_and_floor_by_the_laws_of_plates() -> None:
    row = by_plates("bare plastic tub", "wall U", "churchill_chu_1975")
    parts = tub(5.0, 0.0055 / 0.33)
    assert parts == pytest.approx((6.8, 5.8, 3.1), abs=0.1)
    middle = together(parts)
    assert row.value == pytest.approx(middle, abs=0.1)
    less, more = middle - together(tub(5.0, 0.010 / 0.22)), together(tub(5.0, 0.003 / 0.50)) - middle
    cooler, warmer = middle - together(tub(2.0, 0.0055 / 0.33)), together(tub(8.0, 0.0055 / 0.33)) - middle
    floor = (parts[1] - parts[2]) / 6.0
    assert row.low == pytest.approx(middle - math.hypot(less, cooler, floor), abs=0.1)
    assert row.high == pytest.approx(middle + math.hypot(more, warmer, floor), abs=0.1)


@pytest.mark.parametrize(("apart_k", "humidity", "end"), [(5.0, 0.6, "value"), (2.0, 0.8, "low"), (8.0, 0.3, "high")])
def test_a_surface_and_its_vapour_by_the_laws_of_plates(apart_k: float, humidity: float, end: str) -> None:
    water_c = ROOM_C + apart_k
    inside, outside = vapour_kpa(water_c), humidity * vapour_kpa(ROOM_C)
    # Moist air is as light as dry air that is 0.378 e/p warmer, in kelvins for each kelvin.
    by_air = plate("over", apart_k + 0.378 * (inside - outside) / 101.325 * (ROOM_C + 273.15))
    surface = by_plates("open surface", "surface U", "lloyd_moran_1974")
    assert getattr(surface, end) == pytest.approx(by_air + radiated(0.96, water_c, ROOM_C), abs=0.15)
    heat = 15.9e-6 + 6.6e-6 * (ROOM_C + 23.15) / 50.0
    carried_m_s = by_air / (1.2 * 1007.0 * (heat / 0.26e-4) ** (2 / 3))
    vapour = inside * 1000.0 / (461.5 * (water_c + 273.15)) - outside * 1000.0 / (461.5 * (ROOM_C + 273.15))
    factor = by_plates("open surface", "evaporation factor", "chilton_colburn_1934")
    of_line = carried_m_s * vapour / ((inside - outside) * CARRIER_KG_M2_S_KPA)
    assert getattr(factor, end) == pytest.approx(of_line, abs=0.01)


@pytest.mark.parametrize(
    ("part", "quantity"),
    [("bare plastic tub", "wall U"), ("open surface", "surface U"), ("open surface", "evaporation factor")],
)
def test_where_prints_disagree_the_band_spans_them(part: str, quantity: str) -> None:
    """From the lowest end of those beside it to the highest, and its figure between them, the middle by their ratio."""
    row = tables.row("heat_rates", part=part, quantity=quantity)
    others = [one for one in tables.rows("heat_rates", quantity=quantity) if one["part"].startswith(f"{part}, by")]
    assert others
    assert row.low == min(one.low for one in others)
    assert row.high >= max(one.high for one in others)
    ends = [one.value for one in others] if len(others) > 1 else [row.low, row.high]
    assert row.value == pytest.approx(math.sqrt(ends[0] * ends[1]), abs=0.06)


@pytest.mark.parametrize(
    ("water_c", "room_c", "printed"),
    [
        (28.0, 28.0, 0.1360),
        (28.0, 29.0, 0.1171),
        (28.0, 30.0, 0.0968),
        (29.0, 28.0, 0.1651),
        (29.0, 29.0, 0.1463),
        (29.0, 30.0, 0.1268),
        (30.0, 28.0, 0.1959),
        (30.0, 29.0, 0.1771),
        (30.0, 30.0, 0.1575),
    ],
)
def test_quiet_water_as_in_shahs_look_up_table(water_c: float, room_c: float, printed: float) -> None:
    """Shah 2014, table for air of 50 % [kg/m2/h], as a source text of others has it; his density is that of the dry air."""
    assert quiet_kg_m2_h(water_c, room_c, 0.5) == pytest.approx(printed, rel=0.01)


def test_films_measured_in_chambers_by_hand() -> None:
    """At 3 K. Alamdari & Hammond: a wall of 0.45 m ((1.5 x 6.667^1/4)^6 + (1.23 x 1.442)^6)^1/6 = (2.410^6 + 1.774^6)^1/6 =

    2.47; a floor 0.6 x (3/0.884^2)^1/5 = 0.785. Awbi & Hatton: a floor of 0.884 m 2.175 x 3^0.308 / 0.884^0.076 = 3.08.
    """
    assert still(FILMS[0], "wall", 3.0, high_m=0.45, across_m=0.65) == pytest.approx(2.47, abs=0.01)
    assert still(FILMS[0], "under", 3.0, high_m=0.45, across_m=0.884) == pytest.approx(0.785, abs=0.002)
    assert still(FILMS[1], "over", 3.0, high_m=0.45, across_m=0.884) == pytest.approx(3.08, abs=0.01)


def test_a_heater_is_sized_for_what_its_dial_may_be_off() -> None:
    """24.2 W/K over 8 °C, all else exact: 193.6 W, and 24.2 x 0.5 / 1.96 = 6.2 W as one standard deviation."""
    tub = Tank(volume_l=200.0, wall_area_m2=2.2, wall_u_w_per_m2_k=11.0)
    setup = Setup(tank=tub, water=Water(water_temp_c=22.0, do_mg_per_l=8.0), room=Room(air_temp_c=14.0))
    each = np.asarray(least_watts(setup, 22.0, lid=True, inputs=Inputs(Draws(count=4000))).each)
    assert each[0] == pytest.approx(193.6)
    assert np.std(each[1:]) == pytest.approx(6.17, rel=0.02)
