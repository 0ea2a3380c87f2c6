"""Salt in the water: density, conductivity, salinity, sodium chloride."""

import numpy as np

from waterplan.published import Numbers, published
from waterplan.water.elementwise import in_blocks, sqrt


def _pure_density(t: Numbers) -> Numbers:
    return 999.974950 * (1.0 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))


def _density(t: Numbers, salinity: Numbers) -> Numbers:
    a = 8.24493e-1 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    b = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    return _pure_density(t) + salinity * (a + b * sqrt(salinity) + 4.8314e-4 * salinity)


@published(
    source="tanaka_2001",
    locator="equation 1",
    status="from memory",
    fitted={"water_temp_c": (0.0, 40.0), "salinity_g_per_kg": (0.0, 42.0)},
)
def water_density_kg_per_m3(water_temp_c: Numbers, *, salinity_g_per_kg: Numbers = 0.0) -> Numbers:
    """Density of water at atmospheric pressure."""
    return in_blocks(_density, water_temp_c, salinity_g_per_kg)


def _practical(conductivity: Numbers, t: Numbers) -> Numbers:
    t = t * 1.00024
    rt = conductivity / 42.914 / (0.6766097 + t * (2.00564e-2 + t * (1.104259e-4 + t * (-6.9698e-7 + t * 1.0031e-9))))
    x = sqrt(rt)
    a = 0.0080 + x * (-0.1692 + x * (25.3851 + x * (14.0941 + x * (-7.0261 + x * 2.7081))))
    b = 0.0005 + x * (-0.0056 + x * (-0.0066 + x * (-0.0375 + x * (0.0636 - x * 0.0144))))
    share = (t - 15.0) / (1.0 + 0.0162 * (t - 15.0))
    hx, hy = 400.0 * rt, 100.0 * rt
    root = sqrt(hy)
    return a + share * b - 0.0080 / (1.0 + hx * (1.5 + hx)) - 0.0005 * share / (1.0 + root + hy + hy * root)


@published(source="pss_78", locator="Lewis 1980; Hill et al. 1986", fitted={"water_temp_c": (0.0, 35.0)})
def practical_salinity(conductivity_ms_per_cm: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Practical salinity of sea water, diluted or not, from its conductivity."""
    return in_blocks(_practical, conductivity_ms_per_cm, water_temp_c)


def _nacl_conductance(mol_per_l: Numbers) -> Numbers:
    root = sqrt(mol_per_l)
    return mol_per_l * (126.39 + root * (-89.360 + root * (107.26 - root * 68.52)))


def _nacl(conductance: Numbers) -> Numbers:
    c = conductance / 110.0
    for _ in range(40):
        root = sqrt(c)
        slope = 126.39 + root * (1.5 * -89.360 + root * (2.0 * 107.26 - root * 2.5 * 68.52))
        c = c - (_nacl_conductance(c) - conductance) / slope
        if np.max(np.abs(_nacl_conductance(c) - conductance)) < 1e-10:
            break
    return c * 58.443


@published(source="robinson_stokes", locator="appendix 6.3", status="from memory")
def nacl_g_per_l(specific_conductance_ms_per_cm: Numbers) -> Numbers:
    """Sodium chloride that gives a specific conductance."""
    return in_blocks(_nacl, specific_conductance_ms_per_cm)
