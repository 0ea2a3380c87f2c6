"""What is followed of a water: names, units, and the terms of the glossary behind them."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class Q(StrEnum):
    """A quantity of a water, by the name that the plan's record uses."""

    VOLUME = "volume"
    TEMPERATURE = "temperature"
    OXYGEN = "oxygen"
    PH = "ph"
    ALKALINITY = "alkalinity"
    AMMONIA = "ammonia"
    UNIONISED_AMMONIA = "un-ionised ammonia"
    NITRITE = "nitrite"
    NITRATE = "nitrate"
    SALT = "salt"
    CHLORINE = "chlorine"
    CHLORIDE = "chloride"
    CARBON_DIOXIDE = "carbon dioxide"
    GAS_PRESSURE = "gas pressure"
    NITROGEN = "nitrogen"


UNITS: Mapping[Q, str] = MappingProxyType(
    {
        Q.VOLUME: "L",
        Q.TEMPERATURE: "°C",
        Q.OXYGEN: "mg/L",
        Q.PH: "",
        Q.ALKALINITY: "mg/L as CaCO3",
        Q.AMMONIA: "mg/L as N",
        Q.UNIONISED_AMMONIA: "mg/L as N",
        Q.NITRITE: "mg/L as NO2",
        Q.NITRATE: "mg/L as NO3",
        Q.SALT: "g/L",
        Q.CHLORINE: "mg/L",
        Q.CHLORIDE: "mg/L",
        Q.CARBON_DIOXIDE: "mg/L",
        Q.GAS_PRESSURE: "% total gas",
        Q.NITROGEN: "umol/kg",
    }
)
# The keys of a case for the quantities that are read as such.
KEYS: Mapping[str, Q] = MappingProxyType(
    {
        "temperature": Q.TEMPERATURE,
        "oxygen": Q.OXYGEN,
        "ph": Q.PH,
        "alkalinity": Q.ALKALINITY,
        "tan": Q.AMMONIA,
        "nitrite": Q.NITRITE,
        "nitrate": Q.NITRATE,
        "salinity": Q.SALT,
        "chlorine": Q.CHLORINE,
        "chloride": Q.CHLORIDE,
        "carbon_dioxide": Q.CARBON_DIOXIDE,
        "gas_pressure": Q.GAS_PRESSURE,
    }
)
# The states of the tank's course.
COURSE_STATES: Mapping[Q, str] = MappingProxyType(
    {
        Q.VOLUME: "volume_l",
        Q.TEMPERATURE: "water_temp_c",
        Q.OXYGEN: "do_mg_per_l",
        Q.PH: "ph",
        Q.ALKALINITY: "alkalinity_mg_caco3_per_l",
        Q.AMMONIA: "tan_mg_n_per_l",
        Q.UNIONISED_AMMONIA: "nh3_mg_n_per_l",
        Q.NITRITE: "nitrite_mg_no2_per_l",
        Q.NITRATE: "nitrate_mg_no3_per_l",
        Q.SALT: "salinity_g_per_l",
        Q.CARBON_DIOXIDE: "co2_mg_per_l",
    }
)
