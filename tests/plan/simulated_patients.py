"""Simulated patients: what is true of each, what instruments of known error read of it, and what then comes to pass.

What is true is drawn from prints and rows that the plan does not use: oxygen by the two lines for all teleosts (Clarke &
Johnston 1999) in place of the cyprinid's; disturbed as goldfish (Herrera-Castillo 2024) or spotted grunter (Radull 2002) in
place of coho and catfish; ammonia of fasting coho (Anderson 1973), of brown trout (Beaumont 2003), or by the share of protein in
what trout burn (Lauff & Wood 1996) in place of starved perch, walleye, flounder and sockeye; weight by the relations of two
other cyprinids; stones by what other stones do; what a tub loses by films measured in chambers
and Shah's formula (`tests/plan/heat_by_print.py`) in place of two codes' films, the laws of plates and a line for pools, through
plastics of Crawford's table (1998). It comes to pass by `tests/tank/reference_odes.py`, one patient at a time, with scipy's solver.

For how long a wound heals no print gives days and temperatures but those that the plan uses: what is held is the day on which
a sum is reached, not that it is the right sum.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from tests.plan.heat_by_print import FILMS, Tub, watts
from tests.tank import reference_odes as ode
from waterplan.case.model import Case
from waterplan.case.reading import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.spread import Draws, band
from waterplan.stay.effects import Effects
from waterplan.stay.operations import change
from waterplan.stay.quantities import Q
from waterplan.stay.whole import lay_out, stay

HALF = 1.959964  # a stated ± is the half-width of a 95 % interval
STAY_H, WAY_H, CHANGED, HORIZON_H, AIR_L_PER_MIN = 72.0, 3.0, 0.3, 48.0, 8.0
DRAWS = 256
FIGURES = {
    "volume of a tank by tape": "hospital-1/volume",
    "oxygen lowest in the revival tub": "revival-1/oxygen/lowest",
    "minutes to the alarm without air": "revival-1/oxygen/until-alarm/power off",
    "ammonia highest in the hospital": "hospital-1/ammonia/highest",
    "un-ionised ammonia highest in the hospital": "hospital-1/un-ionised ammonia/highest",
    "temperature after mixing": "",
    "salt after a change": "",
    "chlorine after mixing": "",
    "weight by length": "other-1/weight",
    "heater": "hospital-1/warm/heater",
    "day of 450 degree-days": "hospital-1/recheck/expected",
    "carbon dioxide highest in the bag": "bag-1/carbon dioxide/highest",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What is true of one patient and its waters."""

    weight_kg: float
    uptake_20_mg_kg_h: float
    excretion_20_mg_kg_h: float
    quotient: float
    chased: bool
    disturbed: float
    calms_in_h: float
    other_cm: float
    other_kg: float
    length_m: float
    width_m: float
    depth_m: float
    tub_l: float
    tub_surface_m2: float
    transfer_m_per_day: float
    bag_l: float
    gas_l: float
    pond_c: float
    tap_c: float
    tank_c: float
    room_c: float
    bag_c: float
    pond_ph: float
    tank_ph: float
    pond_alkalinity: float
    tank_alkalinity: float
    pond_tan: float
    tank_tan: float
    tub_oxygen: float
    pond_salt: float
    tap_salt: float
    tap_chlorine: float
    conductivity_w_m_k: float
    thickness_m: float
    board_m: float
    emits: float
    draught_m_s: float
    films: str
    evaporates: float
    humidity: float
    thermostat_off_c: float
    sote_percent_per_m: float
    alpha: float
    co2_ppm: float


def _log_between(rng: np.random.Generator, low: float, middle: float, high: float) -> float:
    """A row's range read as its 5th and 95th percentiles."""
    z = rng.normal()
    return middle * math.exp(z / 1.644854 * (math.log(high / middle) if z > 0 else math.log(middle / low)))


def _excretion_20(rng: np.random.Generator, uptake_20_mg_kg_h: float) -> float:
    """Of a fasting fish at 20 degrees [mg/kg/h as N], single fish a quarter apart."""
    by_print = (
        23.0 / 24.0,  # coho, of 5 to 20 degrees: 23 mg/kg a day
        137.2e-3 * 14.007 * 2.0 ** ((20.0 - 15.0) / 10.0),  # brown trout, 137.2 umol/kg/h at 15 degrees
        # Protein burns with 0.27 mol of nitrogen to one of oxygen, and is 14 to 30 % of what a fasting trout burns.
        uptake_20_mg_kg_h / 31.998 * 0.27 * rng.uniform(0.14, 0.30) * 14.007,
    )
    return by_print[rng.integers(3)] * math.exp(rng.normal(0.0, 0.25))


def true_of(rng: np.random.Generator) -> Truth:
    """One patient."""
    weight, other = rng.uniform(0.15, 1.2), rng.uniform(12.0, 30.0)
    pond_c, chased = rng.uniform(16.0, 23.0), rng.random() < 0.5
    # ln R = 15.7 - 5.02 (1000/T) [mmol/h, 50 g]: the upper line, and the weight line 1.8 times below it; exponent 0.80.
    line = math.exp(15.7 - 5020.0 / 293.15) * 31.998 / 0.05 * (weight / 0.05) ** -0.2
    print_kg = [0.014 * other**3.04 / 1000.0, 0.0191 * other**2.92 / 1000.0]  # gibel carp; common carp
    uptake_20 = line / rng.choice([1.0, 1.8]) * math.exp(rng.normal(0.0, 0.25))
    stone = [(2.0, 4.0, 6.0), (1.0, 2.25, 4.0)][rng.integers(2)]
    (of_heat,) = rng.spawn(1)  # apart, so that the rest of a patient is as it was
    return Truth(
        weight_kg=weight,
        uptake_20_mg_kg_h=uptake_20,
        excretion_20_mg_kg_h=_excretion_20(rng, uptake_20),
        quotient=rng.uniform(0.8, 1.0),
        chased=chased,
        disturbed=rng.normal(2.4, 0.3) if chased else rng.normal(1.4, 0.15),
        # Three times this long to come to rest: the grunter in 90 minutes, the goldfish in two and a half hours.
        calms_in_h=(1.5 if chased else 2.5) / 3.0 * math.exp(rng.normal(0.0, 0.25)),
        other_cm=other,
        other_kg=print_kg[rng.integers(2)] * math.exp(rng.normal(0.0, 0.10)),
        length_m=rng.uniform(0.9, 1.8),
        width_m=rng.uniform(0.5, 0.9),
        depth_m=rng.uniform(0.35, 0.6),
        tub_l=rng.uniform(40.0, 120.0),
        tub_surface_m2=rng.uniform(0.2, 0.5),
        transfer_m_per_day=rng.uniform(0.2, 0.5),
        bag_l=rng.uniform(12.0, 25.0),
        gas_l=rng.uniform(25.0, 50.0),
        pond_c=pond_c,
        tap_c=rng.uniform(8.0, 14.0),
        tank_c=pond_c,  # so that nothing is brought to another temperature on the way
        room_c=pond_c - rng.uniform(2.0, 8.0),
        bag_c=pond_c + rng.uniform(-1.0, 1.0),
        pond_ph=rng.uniform(7.3, 8.2),
        tank_ph=rng.uniform(7.4, 8.1),
        pond_alkalinity=rng.uniform(80.0, 180.0),
        tank_alkalinity=rng.uniform(80.0, 180.0),
        pond_tan=rng.uniform(0.4, 1.0),
        tank_tan=rng.uniform(0.4, 1.0),
        tub_oxygen=rng.uniform(0.9, 1.0) * ode.saturation(pond_c, 0.0, 101.325),
        pond_salt=rng.uniform(0.5, 2.0),
        tap_salt=rng.uniform(0.1, 0.4),
        tap_chlorine=rng.uniform(0.2, 0.8),
        conductivity_w_m_k=rng.choice([0.25, 0.24, 0.20]),  # polyethylene, dense and not; polypropylene and polyester
        thickness_m=rng.uniform(0.003, 0.010),
        board_m=rng.choice([0.0, rng.uniform(0.012, 0.025)]),  # on feet, or on wood
        emits=rng.uniform(0.85, 0.95),
        draught_m_s=rng.uniform(0.02, 0.3),
        films=FILMS[of_heat.integers(2)],
        evaporates=math.exp(of_heat.normal(0.0, 0.225)),  # measurements lie 18 % off in the mean
        humidity=rng.uniform(0.3, 0.8),
        thermostat_off_c=rng.normal(0.0, 0.25),
        sote_percent_per_m=_log_between(rng, *stone),
        alpha=rng.uniform(0.6, 0.8),  # a soiled tank
        co2_ppm=rng.uniform(450.0, 1000.0),
    )


class Meters:
    """Instruments of known error: a calibration for each and a reading error each time, 0.8 and 0.2 of the variance."""

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self._off: dict[str, float] = {}

    def read(self, value: float, half: float, unit: str, meter: str, *, digits: int = 3) -> str:
        """A reading as it is written, with its ±."""
        own = self._rng.normal()
        off = self._off.setdefault(meter, self._rng.normal())
        shown = value + half / HALF * (math.sqrt(0.8) * off + math.sqrt(0.2) * own)
        return f'"{max(shown, 0.0):.{digits}f} ± {half:g} {unit}, {meter}"'

    def apart(self, value: float, half: float, unit: str, *, digits: int = 3) -> str:
        """A reading whose error is its own alone."""
        return f'"{max(value + half / HALF * self._rng.normal(), 0.0):.{digits}f} ± {half:g} {unit}"'


def case_of(true: Truth, rng: np.random.Generator) -> Case:
    """The case that a veterinarian writes."""
    meters = Meters(rng)

    def temp(value: float) -> str:
        return meters.read(value, 0.2, "°C", "digital thermometer")

    def acid(value: float) -> str:
        return meters.read(value, 0.2, "", "pH meter").replace(" ,", ",")

    def kit(value: float, unit: str, half: float) -> str:
        return meters.apart(value, half, unit)

    def salt(value: float) -> str:
        return meters.read(value, 0.1, "g/L", "conductivity meter")

    def tape(value: float) -> str:
        return meters.apart(value, 0.02, "m")

    return read_case(f"""
waterplan_case = 1
invented = true
[patient]
species = "goldfish"
weight = {meters.apart(true.weight_kg, 0.02 * true.weight_kg, "kg", digits=4)}
last_fed = 2026-05-04T18:00:00
done = "wound on the left flank closed with five sutures"
wound = "closed"
[[other_fish]]
species = "goldfish"
count = 1
length = {meters.apart(true.other_cm, 0.5, "cm")}
[home_pond]
volume = "6000 ± 600 L"
[place]
altitude = "0 m, map"
[home_water]
taken = 2026-05-14T08:40:00
temperature = {temp(true.pond_c)}
ph = {acid(true.pond_ph)}
oxygen = "8.3 mg/L, oxygen meter"
tan = {kit(true.pond_tan, "mg/L as N", 0.2)}
alkalinity = {kit(true.pond_alkalinity, "mg/L as CaCO3", 15.0)}
salinity = {salt(true.pond_salt)}
chlorine = "0 ± 0 mg/L"
[mains_water]
taken = 2026-05-14T08:55:00
disinfectant = "chlorine"
temperature = {temp(true.tap_c)}
ph = "7.4 ± 0.2"
chlorine = {kit(true.tap_chlorine, "mg/L", 0.1)}
tan = "0 ± 0 mg/L as N"
alkalinity = "90 ± 15 mg/L as CaCO3"
salinity = {salt(true.tap_salt)}
[[vessels]]
name = "blue tub"
use = "revival"
volume = {meters.apart(true.tub_l, 0.05 * true.tub_l, "L")}
filled_with = "home water"
temperature = {temp(true.pond_c)}
oxygen = {meters.read(true.tub_oxygen, 0.3, "mg/L", "oxygen meter")}
[[vessels]]
name = "grey tank"
use = "hospital"
shape = "rectangle"
length = {tape(true.length_m)}
width = {tape(true.width_m)}
depth = {tape(true.depth_m)}
filter = "unseeded"
heater = "300 W"
made_of = "plastic"
air = "{AIR_L_PER_MIN:g} L/min"
outlets = 2
lid = false
filled_with = "mains water"
temperature = {temp(true.tank_c)}
ph = {acid(true.tank_ph)}
oxygen = "8.6 mg/L, oxygen meter"
tan = {kit(true.tank_tan, "mg/L as N", 0.2)}
alkalinity = {kit(true.tank_alkalinity, "mg/L as CaCO3", 15.0)}
chlorine = "0 ± 0 mg/L"
taken = 2026-05-14T08:50:00
[intended]
operation_at = 2026-05-14T10:00:00
temperature = "{true.tank_c:.1f} °C"
days = "3 days"
feed = "0 %/day"
room = {meters.apart(true.room_c, 0.5, "°C")}
room_swing = "0 °C"
[transport]
by = "bag with oxygen"
volume = {meters.apart(true.bag_l, 0.05 * true.bag_l, "L")}
oxygen = {meters.apart(true.gas_l, 0.2 * true.gas_l, "L")}
hours = "{WAY_H:g} h"
temperature = {meters.apart(true.bag_c, 0.5, "°C")}
""")


def _uptake_mg_h(true: Truth, temp_c: float) -> float:
    """By the teleosts' own slope with temperature."""
    here = math.exp(-5020.0 / (temp_c + 273.15) + 5020.0 / 293.15)
    return true.weight_kg * true.uptake_20_mg_kg_h * here


def _oxygen_in_tub(true: Truth, alarm_mg_l: float, until_h: float) -> tuple[float, float]:
    """Oxygen lowest within a time, and the minutes until it passes a level: a still tub without air, a fish that calms."""
    full = ode.saturation(true.pond_c, 0.0, 101.325)
    surface = true.transfer_m_per_day * true.tub_surface_m2 * 1000.0 / 24.0
    rest = _uptake_mg_h(true, true.pond_c)

    def rate(hour: float, y: np.ndarray) -> list[float]:
        excited = 1.0 + (true.disturbed - 1.0) * math.exp(-hour / true.calms_in_h)
        return [(surface * (full - y[0]) - rest * excited * min(max(y[0] / 1.0, 0.0), 1.0)) / true.tub_l]

    def alarm(_: float, y: np.ndarray) -> float:
        return float(y[0] - alarm_mg_l)

    found = solve_ivp(rate, (0.0, HORIZON_H), [true.tub_oxygen], events=alarm, dense_output=True, max_step=0.1)
    lowest = float(found.sol(np.linspace(0.0, until_h, 200)).min())
    crossed = found.t_events[0]
    return lowest, 60.0 * float(crossed[0]) if len(crossed) else math.inf


def _ammonia_in_tank(true: Truth) -> tuple[float, float]:
    """Total and un-ionised ammonia highest in a tank that nobody changes, by the reference integrator."""
    litres = true.length_m * true.width_m * true.depth_m * 1000.0
    tank = ode.Reference(
        volume_l=litres,
        level_l=litres,
        area_m2=true.length_m * true.width_m,
        transfer_m_per_day=true.transfer_m_per_day,
        air_l_per_min=AIR_L_PER_MIN,
        depth_m=true.depth_m,
        sote_percent_per_m=true.sote_percent_per_m,
        alpha=true.alpha,
        co2_ppm=true.co2_ppm,
        target_c=true.tank_c,
        uptake_mg_h=_uptake_mg_h(true, 20.0),
        excretion_mg_h=true.weight_kg * true.excretion_20_mg_kg_h,
        quotient=true.quotient,
    )
    y = ode.begin(
        tank, temp=true.tank_c, do=8.6, tan=true.tank_tan, alkalinity_mg=true.tank_alkalinity, ph=true.tank_ph
    )
    most_tan, most_nh3, hour = 0.0, 0.0, 0.0
    for until in (0.0, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 24.0, 36.0, 48.0, STAY_H):
        y = ode.solve(tank, y, hour, until, rtol=1e-5) if until > hour else y
        hour, shown = until, ode.as_shown(y)
        share = 1.0 / (1.0 + 10.0 ** (0.09018 + 2729.92 / (shown["water_temp_c"] + 273.15) - shown["ph"]))
        tan = shown["tan_mg_n_per_l"]
        most_tan, most_nh3 = max(most_tan, tan), max(most_nh3, tan * share)
    return most_tan, most_nh3


def _dioxide_in_bag(true: Truth) -> float:
    """Carbon dioxide when the bag is closed or at the end of the way, whichever is more.

    What is breathed out is shared between water and gas by its solubility; the water may lose more to the gas.
    """
    rest = _uptake_mg_h(true, true.bag_c)
    # Confined, it takes what handled goldfish take all the way; after a chase it calms as the chased grunter did.
    calming_h = true.calms_in_h if true.chased else WAY_H
    taken_h = WAY_H + (true.disturbed - 1.0) * min(calming_h, WAY_H)
    breathed = rest * taken_h * true.quotient / 31.998
    given = true.weight_kg * true.excretion_20_mg_kg_h * 2.0 ** ((true.bag_c - 20.0) / 10.0) * WAY_H / 14.007
    tan = true.pond_tan + given * 14.007 / true.bag_l
    alkalinity = true.pond_alkalinity / ode.CACO3
    before = ode.carbon_of(true.pond_ph, alkalinity, true.pond_tan, true.bag_c)
    per_kpa = true.gas_l / (8.314462 * (true.bag_c + 273.15)) * 1000.0
    solubility = ode.equilibria(true.bag_c)[4]

    def missing(carbon: float) -> float:
        inside = ode.dioxide(carbon, alkalinity + given / true.bag_l, tan, true.bag_c)
        return carbon * true.bag_l + inside / solubility * per_kpa - before * true.bag_l - breathed

    carbon = brentq(missing, 1e-6, before + breathed / true.bag_l + 1.0)
    closed = ode.dioxide(before, alkalinity, true.pond_tan, true.bag_c)
    return 44.009 * max(closed, ode.dioxide(float(carbon), alkalinity + given / true.bag_l, tan, true.bag_c))


def _tub(true: Truth) -> Tub:
    return Tub(
        length_m=true.length_m,
        width_m=true.width_m,
        depth_m=true.depth_m,
        conductivity_w_m_k=true.conductivity_w_m_k,
        thickness_m=true.thickness_m,
        emits=true.emits,
        board_m=true.board_m,
        draught_m_s=true.draught_m_s,
        air_m3_s=AIR_L_PER_MIN / 60e3,
        films=true.films,
        evaporates=true.evaporates,
    )


def comes_to_pass(true: Truth, *, alarm_mg_l: float, revival_h: float) -> dict[str, float]:
    """Each figure as it turns out."""
    lowest, minutes = _oxygen_in_tub(true, alarm_mg_l, revival_h)
    tan, nh3 = _ammonia_in_tank(true)
    kept_c = true.tank_c + true.thermostat_off_c
    mixed = {
        name: (1.0 - CHANGED) * pond + CHANGED * tap
        for name, pond, tap in (
            ("temperature after mixing", true.pond_c, true.tap_c),
            ("salt after a change", true.pond_salt, true.tap_salt),
            ("chlorine after mixing", 0.0, true.tap_chlorine),
        )
    }
    in_tank = STAY_H / 24.0
    return {
        "volume of a tank by tape": true.length_m * true.width_m * true.depth_m * 1000.0,
        "oxygen lowest in the revival tub": lowest,
        "minutes to the alarm without air": minutes,
        "ammonia highest in the hospital": tan,
        "un-ionised ammonia highest in the hospital": nh3,
        **mixed,
        "weight by length": true.other_kg,
        "heater": watts(_tub(true), water_c=kept_c, room_c=true.room_c, humidity=true.humidity),
        "day of 450 degree-days": in_tank + (450.0 - in_tank * kept_c) / true.pond_c,
        "carbon dioxide highest in the bag": _dioxide_in_bag(true),
    }


def bands_of(case: Case) -> tuple[Plan, dict[str, tuple[float, float]]]:
    """The plan, and the 90 % band of each figure."""
    made = plan(case, draws=DRAWS)
    found = {}
    for name, path in FIGURES.items():
        if path in made.figures:
            one = made.figures[path]
            ends = (one.low, one.high)
            found[name] = tuple(math.inf if end is None else end for end in ends)
    waters = stay(lay_out(case, draws=Draws(count=DRAWS)), Effects()).waters
    pond, tap = waters["home-pond"].start, waters["mains"].start
    mixed = change(pond, tap, CHANGED * pond[Q.VOLUME], came_from="mixing")
    for name, quantity in (
        ("temperature after mixing", Q.TEMPERATURE),
        ("salt after a change", Q.SALT),
        ("chlorine after mixing", Q.CHLORINE),
    ):
        low, _, high = band(mixed[quantity])
        found[name] = (low, high)
    return made, found  # type: ignore[return-value]
