"""What is followed of a water: names, units, keys of a case and states of the tank's engine."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Self


class Q(StrEnum):
    """A quantity of a water, by the name that the plan's record uses.

    Beside it stand its unit, the state by which the tank's engine follows it, and the key under which a case has a
    reading of it; empty where there is none.
    """

    unit: str
    state: str
    key: str

    def __new__(cls, value: str, unit: str, state: str = "", key: str = "") -> Self:
        """The name with what stands beside it."""
        made = str.__new__(cls, value)
        made._value_, made.unit, made.state, made.key = value, unit, state, key
        return made

    VOLUME = "volume", "L", "volume_l"
    TEMPERATURE = "temperature", "°C", "water_temp_c", "temperature"
    OXYGEN = "oxygen", "mg/L", "do_mg_per_l", "oxygen"
    PH = "ph", "", "ph", "ph"
    PH_RISE = "ph rise", ""
    ALKALINITY = "alkalinity", "mg/L as CaCO3", "alkalinity_mg_caco3_per_l", "alkalinity"
    AMMONIA = "ammonia", "mg/L as N", "tan_mg_n_per_l", "tan"
    UNIONISED_AMMONIA = "un-ionised ammonia", "mg/L as N", "nh3_mg_n_per_l"
    NITRITE = "nitrite", "mg/L as NO2", "nitrite_mg_no2_per_l", "nitrite"
    NITRATE = "nitrate", "mg/L as NO3", "nitrate_mg_no3_per_l", "nitrate"
    SALT = "salt", "g/L", "salinity_g_per_l", "salinity"
    CHLORINE = "chlorine", "mg/L", "", "chlorine"
    CHLORIDE = "chloride", "mg/L", "", "chloride"
    CARBON_DIOXIDE = "carbon dioxide", "mg/L", "co2_mg_per_l", "carbon_dioxide"
    GAS_PRESSURE = "gas pressure", "% total gas", "", "gas_pressure"
    NITROGEN = "nitrogen", "umol/kg"


UNITS: Mapping[Q, str] = {one: one.unit for one in Q}
# The keys of a case for the quantities that are read as such.
KEYS: Mapping[str, Q] = {one.key: one for one in Q if one.key}
# The states of the tank's course.
COURSE_STATES: Mapping[Q, str] = {one: one.state for one in Q if one.state}
