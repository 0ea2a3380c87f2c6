"""The same balances written out as ordinary differential equations, one draw at a time, for scipy's solvers.

Nothing of the engine's stepping is used: concentrations are worked out from the textbook terms at every call, pH by
root finding on the charge balance, and each event restarts the solver.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

NO2, NO3, CACO3 = 14.007 / 46.005, 14.007 / 62.004, 50.043
KJ_PER_L_K = 0.9982 * 4.182
STATES = ("volume", "temp", "tan", "nitrite", "nitrate", "oxygen", "alkalinity", "carbon", "salt")


@dataclass
class Reference:
    """One draw: settings that an event may change between solves."""

    volume_l: float = 200.0
    level_l: float = 200.0
    area_m2: float = 0.0
    transfer_m_per_day: float = 0.0
    wall_w_per_k: float = 0.0
    surface_w_per_m2_k: float = 0.0
    evaporation_factor: float = 0.0
    room_c: float = 20.0
    swing_c: float = 0.0
    warmest_h: float = 15.0
    humidity: float = 0.6
    air_speed: float = 0.1
    pressure_kpa: float = 101.325
    co2_ppm: float = 420.0
    air_l_per_min: float = 0.0
    depth_m: float = 0.5
    sote_percent_per_m: float = 2.0
    alpha: float = 0.9
    beta: float = 0.98
    heater_w: float = 0.0
    target_c: float = 20.0
    band_c: float = 0.5
    uptake_mg_h: float = 0.0
    excretion_mg_h: float = 0.0
    reference_c: float = 20.0
    uptake_q10: float = 2.0
    excretion_q10: float = 2.0
    critical_mg_l: float = 1.0
    quotient: float = 0.9
    uptake_factor: float = 1.0
    digested_mg_h: float = 0.0
    tan_capacity: float = 0.0
    tan_half: float = 1.0
    nitrite_capacity: float = 0.0
    nitrite_half: float = 1.0
    theta: float = 1.04


def saturation(temp_c: float, salinity: float, pressure_kpa: float) -> float:
    """Benson & Krause, APHA 4500-O G."""
    k, p = temp_c + 273.15, pressure_kpa / 101.325
    c = math.exp(-139.34411 + 1.575701e5 / k - 6.642308e7 / k**2 + 1.243800e10 / k**3 - 8.621949e11 / k**4)
    c *= math.exp(-salinity * (0.017674 - 10.754 / k + 2140.7 / k**2))
    u = math.exp(11.8571 - 3840.70 / k - 216961.0 / k**2)
    theta = 0.000975 - 1.426e-5 * temp_c + 6.436e-8 * temp_c**2
    return c * (p - u) * (1 - theta * p) / ((1 - u) * (1 - theta))


def vapour_kpa(temp_c: float) -> float:
    """Hyland & Wexler."""
    k = temp_c + 273.15
    return 1e-3 * math.exp(
        -5800.2206 / k + 1.3914993 - 0.048640239 * k + 4.1764768e-5 * k**2 - 1.4452093e-8 * k**3
        + 6.5459673 * math.log(k)
    )  # fmt: skip


def equilibria(temp_c: float) -> tuple[float, float, float, float, float]:
    """K1, K2 (Plummer & Busenberg), Kw, Ka of ammonium (Emerson), and K0 in mmol/L/kPa (Weiss)."""
    k = temp_c + 273.15
    k1 = 10 ** (-356.3094 - 0.06091964 * k + 21834.37 / k + 126.8339 * math.log10(k) - 1684915 / k**2)
    k2 = 10 ** (-107.8871 - 0.03252849 * k + 5151.79 / k + 38.92561 * math.log10(k) - 563713.9 / k**2)
    kw = 10 ** (-283.971 - 0.05069842 * k + 13323.0 / k + 102.24447 * math.log10(k) - 1119669.0 / k**2)
    ka = 10 ** (-0.09018 - 2729.92 / k)
    k0 = math.exp(-58.0931 + 90.5069 * 100 / k + 22.2940 * math.log(k / 100)) * 1000 / 101.325
    return k1, k2, kw, ka, k0


def charge(ph: float, carbon: float, tan: float, temp_c: float) -> float:
    """Alkalinity of a water of this pH [meq/L]."""
    k1, k2, kw, ka, _ = equilibria(temp_c)
    h = 10**-ph
    share = (k1 * h + 2 * k1 * k2) / (h * h + k1 * h + k1 * k2)
    return carbon * share + 1000 * (kw / h - h) + tan / 14.007 * ka / (ka + h)


def ph_of(carbon: float, alkalinity: float, tan: float, temp_c: float) -> float:
    """pH by bracketing."""
    return float(brentq(lambda ph: charge(ph, carbon, tan, temp_c) - alkalinity, 0.0, 14.0, xtol=1e-13, rtol=1e-14))


def dioxide(carbon: float, alkalinity: float, tan: float, temp_c: float) -> float:
    """Carbon dioxide [mmol/L]."""
    k1, k2, *_ = equilibria(temp_c)
    h = 10 ** -ph_of(carbon, alkalinity, tan, temp_c)
    return carbon * h * h / (h * h + k1 * h + k1 * k2)


def carbon_of(ph: float, alkalinity: float, tan: float, temp_c: float) -> float:
    """Total inorganic carbon [mmol/L] from pH and alkalinity [meq/L]."""
    return float(brentq(lambda carbon: charge(ph, carbon, tan, temp_c) - alkalinity, 0.0, 1e4, xtol=1e-13, rtol=1e-14))


def rates(hour: float, y: np.ndarray, r: Reference) -> list[float]:
    """Rates of change per hour of STATES; all but volume and temperature are amounts."""
    volume, temp, tan, nitrite, _, oxygen, alkalinity, carbon, salt = y
    room = r.room_c + r.swing_c * math.cos(2 * math.pi * (hour - r.warmest_h) / 24)
    vapour = 0.0
    if r.evaporation_factor:
        gap = vapour_kpa(temp) - r.humidity * vapour_kpa(r.room_c)
        vapour = r.evaporation_factor * r.area_m2 * gap * (0.089 + 0.0782 * r.air_speed) * 3600 / 2442
    need = min(max((r.target_c + r.band_c / 2 - temp) / r.band_c, 0.0), 1.0)
    heater = 3.6 * r.heater_w * need
    loss = 3.6 * (r.wall_w_per_k + r.surface_w_per_m2_k * r.area_m2) * (temp - room)
    d_temp = (heater - loss - vapour * 2442) / (volume * KJ_PER_L_K)

    def warm(q10: float) -> float:
        return q10 ** ((temp - r.reference_c) / 10)

    do = oxygen / volume
    excreted = r.excretion_mg_h * warm(r.excretion_q10) + r.digested_mg_h
    working = min(max(do / 2.0, 0.0), 1.0) * min(max(alkalinity / volume / 0.2, 0.0), 1.0) * r.theta ** (temp - 20)
    first = working * r.tan_capacity * (tan / volume) / (r.tan_half + tan / volume)
    second = working * r.nitrite_capacity * (nitrite / volume) / (r.nitrite_half + nitrite / volume)
    wanted = r.uptake_mg_h * r.uptake_factor * warm(r.uptake_q10)
    taken = wanted * min(max(do / r.critical_mg_l, 0.0), 1.0)
    full = saturation(temp, salt / volume, r.pressure_kpa)
    stones = (
        r.alpha * r.air_l_per_min * 60 * 278.7 * r.sote_percent_per_m / 100 * r.depth_m / 9.092 * 1.024 ** (temp - 20)
    )
    surface = r.transfer_m_per_day * r.area_m2 * 1000 / 24
    air = stones * (r.beta * full - do) + surface * (full - do)
    by_filter = 1.5 * 31.998 / 14.007 * first + 0.5 * 31.998 / 14.007 * second

    k0 = equilibria(temp)[4]
    gas = r.air_l_per_min * 60 * 1000 / (k0 * 8.314462 * (temp + 273.15))
    strip = 0.94 * surface + (gas * (1 - math.exp(-0.94 * stones / gas)) if gas else 0.0)
    co2 = dioxide(carbon / volume, alkalinity / volume, tan / volume, temp)
    away = strip * (co2 - k0 * r.co2_ppm * 1e-6 * (r.pressure_kpa - vapour_kpa(temp)))

    return [
        -vapour,
        d_temp,
        excreted - first,
        first - second,
        second,
        air - taken - by_filter,
        excreted / 14.007 - 2 / 14.007 * first,
        taken * r.quotient / 31.998 - away,
        0.0,
    ]


def solve(
    r: Reference, y: np.ndarray, start_h: float, end_h: float, *, rtol: float = 1e-9, method: str = "LSODA"
) -> np.ndarray:
    """States at the end of a stretch without events."""
    scale = np.array([1, 1, 1, 1, 1, 10, 1, 1, 1], dtype=float)
    found = solve_ivp(
        rates,
        (start_h, end_h),
        y,
        method=method,
        args=(r,),
        rtol=rtol,
        atol=rtol * scale,
        max_step=2.0,
        first_step=1e-4,
    )
    assert found.success, found.message
    return np.asarray(found.y[:, -1])


def begin(
    r: Reference, *, temp: float, do: float, tan: float = 0.0, nitrite: float = 0.0, nitrate: float = 0.0,
    alkalinity_mg: float = 100.0, ph: float = 7.5, salt: float = 0.0,
) -> np.ndarray:  # fmt: skip
    """The state vector of a water given by its concentrations (nitrogen in mg N/L)."""
    alkalinity = alkalinity_mg / CACO3
    carbon = carbon_of(ph, alkalinity, tan, temp)
    amounts = np.array([tan, nitrite, nitrate, do, alkalinity, carbon, salt]) * r.volume_l
    return np.concatenate([[r.volume_l, temp], amounts])


def as_shown(y: np.ndarray) -> dict[str, float]:
    """The states under the engine's names."""
    volume, temp, tan, nitrite, nitrate, oxygen, alkalinity, carbon, salt = y
    ph = ph_of(carbon / volume, alkalinity / volume, tan / volume, temp)
    return {
        "volume_l": volume,
        "water_temp_c": temp,
        "tan_mg_n_per_l": tan / volume,
        "nitrite_mg_no2_per_l": nitrite / volume / NO2,
        "nitrate_mg_no3_per_l": nitrate / volume / NO3,
        "do_mg_per_l": oxygen / volume,
        "alkalinity_mg_caco3_per_l": alkalinity / volume * CACO3,
        "salinity_g_per_l": salt / volume,
        "ph": ph,
        "co2_mg_per_l": dioxide(carbon / volume, alkalinity / volume, tan / volume, temp) * 44.009,
    }
