"""Texts of exact cases that several tests begin with: a koi in a pond, a goldfish that is held in a tank."""

from datetime import datetime

_UNITS = {
    "temperature": " °C",
    "ph": "",
    "oxygen": " mg/L",
    "tan": " mg/L as N",
    "nitrite": " mg/L as NO2",
    "alkalinity": " mg/L as CaCO3",
    "salinity": " g/L",
    "chlorine": " mg/L",
}
OPERATED = datetime.fromisoformat("2026-05-01T10:00:00+00:00")


def exactly(**levels: float | str) -> str:
    """Readings of a water without error, a line each, in the units of a case: `exactly(temperature=18, ph=7.6)`."""
    return "".join(f'{key} = "{level} ± 0{_UNITS[key]}"\n' for key, level in levels.items())


def koi_in_a_pond(litres: int, *, pond: str = "", water: str) -> str:
    """A koi of 2 kg in a pond that was read in the morning of 14 May; the text ends in its readings."""
    return f"""
waterplan_case = 1
[patient]
species = "koi"
weight = "2 ± 0 kg"
eaten = "no"
wound = "none"
[home_pond]
volume = "{litres} ± 0 L"
{pond}[home_water]
taken = 2026-05-14T05:00:00
{exactly(temperature=18, ph=7.6, tan=0, nitrite=0)}{water}"""


def held_goldfish(*, patient: str, home: str, mains: str = "", tank: str, intended: str) -> str:
    """A goldfish that was operated on on 1 May and is held in a heated tank, beside its pond; the rest as it is given."""
    return f"""
waterplan_case = 1
invented = true
[patient]
species = "goldfish"
{patient}[home_pond]
volume = "8000 L, marked tub"
[home_water]
taken = 2026-05-01T08:00:00
{home}{mains}[[vessels]]
name = "tank"
use = "hospital"
heater = "400 W"
lid = true
taken = 2026-05-01T08:00:00
ph = "7.5 ± 0"
{tank}[intended]
{intended}"""
