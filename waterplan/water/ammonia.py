"""Ammonia: the un-ionised share that harms fish, its bases, and the EPA criteria."""

from waterplan.published import Numbers, published
from waterplan.water.elementwise import in_blocks, larger, pow10

_FITTED = {"water_temp_c": (0.0, 50.0), "salinity_g_per_kg": (0.0, 40.0)}


def _fraction(ph: Numbers, water_temp_c: Numbers, salinity: Numbers) -> Numbers:
    kelvin = water_temp_c + 273.15
    return 1.0 / (1.0 + pow10(0.09018 + 2729.92 / kelvin - ph))


@published(source="emerson_1975", locator="pKa = 0.09018 + 2729.92/T", fitted=_FITTED)
def unionised_fraction(ph: Numbers, *, water_temp_c: Numbers, salinity_g_per_kg: Numbers = 0.0) -> Numbers:
    """Share of total ammonia that is un-ionised (NH3)."""
    return in_blocks(_fraction, ph, water_temp_c, salinity_g_per_kg)


@published(source="emerson_1975", locator="pKa = 0.09018 + 2729.92/T", fitted=_FITTED)
def nh3_mg_n_per_l(
    tan_mg_n_per_l: Numbers, *, ph: Numbers, water_temp_c: Numbers, salinity_g_per_kg: Numbers = 0.0
) -> Numbers:
    """Un-ionised ammonia of a total ammonia."""
    return tan_mg_n_per_l * in_blocks(_fraction, ph, water_temp_c, salinity_g_per_kg)


@published(source="emerson_1975", locator="pKa = 0.09018 + 2729.92/T", fitted=_FITTED)
def tan_giving_nh3_mg_n_per_l(
    nh3_mg_n_per_l: Numbers, *, ph: Numbers, water_temp_c: Numbers, salinity_g_per_kg: Numbers = 0.0
) -> Numbers:
    """Total ammonia that gives a chosen un-ionised ammonia."""
    return nh3_mg_n_per_l / in_blocks(_fraction, ph, water_temp_c, salinity_g_per_kg)


@published(
    source="epa_2013", locator="section 3, chronic criterion", fitted={"ph": (6.5, 9.0), "water_temp_c": (0.0, 30.0)}
)
def chronic_criterion_mg_n_per_l(ph: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Chronic criterion of the US EPA for total ammonia in fresh water (30-day average)."""
    by_ph = 0.0278 / (1.0 + pow10(7.688 - ph)) + 1.1994 / (1.0 + pow10(ph - 7.688))
    return 0.8876 * by_ph * 2.126 * pow10(0.028 * (20.0 - larger(water_temp_c, 7.0)))
