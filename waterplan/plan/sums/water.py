"""Sums about a water without a case: toxic ammonia, two waters mixed, gas when warmed, a step of temperature, stitches."""

from collections.abc import Iterator
from datetime import UTC, timedelta

import numpy as np

from waterplan import tables
from waterplan.actions.heat.rungs import cap, rungs
from waterplan.actions.proposing import codes
from waterplan.actions.record import Action, Kind, Who
from waterplan.case.times import parse_when
from waterplan.case.values import BadValue
from waterplan.fish.healing import days_to_degree_days
from waterplan.hazards.gas_pressure import KPA_PER_MMHG, most_percent
from waterplan.hazards.limit_rows import nh3_limit, water_limit
from waterplan.hazards.record import Hazard, Why
from waterplan.plan.quick import Values
from waterplan.plan.record import Plan
from waterplan.published import FloatArray
from waterplan.stay.figures import rounded
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, Moment
from waterplan.stay.state import Known, State, total_gas_percent
from waterplan.water import ammonia, gas, oxygen
from waterplan.water.supersaturation import delta_p_limit_mmhg, delta_p_of_gases_mmhg

# What a step of temperature is held against, by who the fish is.
SITUATIONS = ("after anaesthesia", "healthy", "convalescent")
_APART = 1e-6


def quick_ammonia(*, tan: str, ph: str, temperature: str, species_name: str = "unknown") -> Plan:
    """The un-ionised part of a total ammonia against its limit, and the total that this pH allows.

    Parameters
    ----------
    tan, ph, temperature : str
        Values with their units, such as `1.2 mg/L as N`.
    species_name : str
        One of the species known; the strictest limit without it.

    Returns
    -------
    Plan
        Figures `un-ionised ammonia`, its `limit`, `times`, and `total ammonia/limit`.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = Values()
    total = np.maximum(values.needed("tan", tan, "1.2 mg/L as N, drop kit"), 0.0)
    acidity = values.needed("ph", ph, "8.2")
    temp = values.needed("temperature", temperature, "18 °C")
    kind = values.species(species_name)
    values.stop_if_wrong()
    limit, most = nh3_limit([kind.law_group]), water_limit("tan", "cap")
    toxic = np.asarray(ammonia.nh3_mg_n_per_l(total, ph=acidity, water_temp_c=temp))
    allowed = np.asarray(ammonia.tan_giving_nh3_mg_n_per_l(limit.value, ph=acidity, water_temp_c=temp))
    put, unit = values.figures.put, UNITS[Q.UNIONISED_AMMONIA]
    put("un-ionised ammonia", toxic, unit=unit, act_end=ActEnd.HIGH, equations=[ammonia.nh3_mg_n_per_l])
    put("un-ionised ammonia/limit", limit.value, unit=unit, act_end=ActEnd.LOW, rows=[limit.id])
    values.judge(Hazard.AMMONIA, "un-ionised ammonia", limit, harm=water_limit("nh3", "harm").value)
    put("un-ionised ammonia/times", toxic / limit.value, unit="", act_end=ActEnd.HIGH, rows=[limit.id])
    put(
        "total ammonia/limit",
        np.minimum(allowed, most.value),
        unit=UNITS[Q.AMMONIA],
        act_end=ActEnd.LOW,
        rows=[limit.id, most.id],
        equations=[ammonia.tan_giving_nh3_mg_n_per_l],
    )
    return values.plan("ammonia")


def quick_mix(
    *,
    litres: str,
    first_temperature: str = "",
    second_temperature: str = "",
    first_salinity: str = "",
    second_salinity: str = "",
    temperature: str = "",
    salinity: str = "",
) -> Plan:
    """How much of each of two waters makes so many litres at a temperature, or at a level of salt.

    Parameters
    ----------
    litres : str
        What they make together.
    first_temperature, second_temperature, first_salinity, second_salinity : str
        The two waters.
    temperature, salinity : str
        What the mixture is to have: one of the two.

    Returns
    -------
    Plan
        Figures `litres/first`, `litres/second`, and what the mixture then has.

    Raises
    ------
    CaseError
        What cannot be read, all together, and a wish that no mixture of the two comes to.

    Notes
    -----
    Litre for litre: heat and salt are what both bring. The second is the whole less the first as it is rounded.
    """
    values = Values()
    whole = values.needed("litres", litres, "200 L", "volume")
    wish, text = ("salinity", salinity) if salinity.strip() else ("temperature", temperature)
    if temperature.strip() and salinity.strip():
        values.wrong("salinity", repr(salinity), "leave one of the two wishes out: two waters can meet only one")
    wanted = values.needed(wish, text, "18 °C")
    pairs = {"temperature": (first_temperature, second_temperature), "salinity": (first_salinity, second_salinity)}
    given = {quantity: _pair(values, quantity, texts, needed=quantity == wish) for quantity, texts in pairs.items()}
    values.stop_if_wrong()
    first, second = (float(one[0]) for one in given[wish] or ())
    share = (float(wanted[0]) - second) / (first - second) if abs(first - second) > _APART else -1.0
    if not 0.0 <= share <= 1.0:
        values.wrong(wish, repr(text), "no mixture of the two comes to that: bring one of them to it first")
        values.stop_if_wrong()
    total = float(whole[0])
    poured = rounded(share * total, unit="L", end=ActEnd.BEST)
    put = values.figures.put
    put("litres/first", poured, unit="L", act_on=poured)
    put("litres/second", total - poured, unit="L", act_on=total - poured)
    for quantity, name in (("temperature", "temperature/mixed"), ("salinity", "salt/mixed")):
        if pair := given[quantity]:
            mixed = pair[1] + poured / total * (pair[0] - pair[1])
            put(name, mixed, unit="°C" if quantity == "temperature" else "g/L")
    return values.plan("mix")


def _pair(
    values: Values, quantity: str, texts: tuple[str, str], *, needed: bool
) -> tuple[FloatArray, FloatArray] | None:
    """What the two waters have of a quantity; None where it is not wanted and not said of both."""
    if not needed and not all(one.strip() for one in texts):
        return None
    such_as = "12 °C" if quantity == "temperature" else "3 g/L"
    first, second = (
        values.needed(f"{name}_{quantity}", text, such_as, quantity)
        for name, text in zip(("first", "second"), texts, strict=True)
    )
    return first, second


def quick_gas(*, temperature: str, warmed_to: str, altitude: str = "", depth: str = "") -> Plan:
    """Total gas of water that was in balance with the air, once it is warmed with no way out, and what its depth allows.

    Parameters
    ----------
    temperature, warmed_to : str
        Before and after.
    altitude, depth : str
        Sea level and an ordinary depth without them.

    Returns
    -------
    Plan
        Figures `gas pressure/warmed` and `gas pressure/limit`.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = Values()
    cold = values.needed("temperature", temperature, "8 °C")
    warm = values.needed("warmed_to", warmed_to, "20 °C", "temperature")
    deep = values.inputs.or_default("water depth", values.reading("depth", depth))
    pressure = values.air_pressure_kpa(altitude)
    values.stop_if_wrong()
    full = np.asarray(oxygen.saturation_mg_per_l(cold, salinity_g_per_kg=0.0, air_pressure_kpa=pressure))
    held = {
        Q.TEMPERATURE: warm,
        Q.OXYGEN: full,
        Q.NITROGEN: np.asarray(gas.nitrogen_umol_per_kg(cold)),
        Q.SALT: np.zeros(values.inputs.size),
    }
    known = {name: Known.made(draws, None) for name, draws in held.items()}
    state = State(known=known, air_pressure_kpa=pressure)
    put, unit = values.figures.put, UNITS[Q.GAS_PRESSURE]
    put(
        "gas pressure/warmed",
        total_gas_percent(state),
        unit=unit,
        act_end=ActEnd.HIGH,
        equations=[delta_p_of_gases_mmhg],
    )
    row, harm = (water_limit("gas_pressure", level) for level in ("limit", "harm"))
    most, to_percent = most_percent(state, deep), 100.0 * KPA_PER_MMHG / pressure
    put("gas pressure/limit", most, unit=unit, act_end=ActEnd.LOW, rows=[row.id], equations=[delta_p_limit_mmhg])
    values.judge(Hazard.GAS_PRESSURE, "gas pressure/warmed", row, at=most, harm=100.0 + harm.value * to_percent)
    return values.plan("gas")


def quick_step(*, temperature: str, other: str, situation: str = "convalescent") -> Plan:
    """Whether a fish may go from one temperature to another at once, and how long slow steps take.

    Parameters
    ----------
    temperature, other : str
        Where it is and where it goes.
    situation : str
        One of `SITUATIONS`.

    Returns
    -------
    Plan
        Figures `temperature step`, its `limit`, and `temperature step/hours` by the caps for a convalescent.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = Values()
    here = values.needed("temperature", temperature, "12 °C")
    there = values.needed("other", other, "18 °C", "temperature")
    if situation not in SITUATIONS:
        values.wrong("situation", repr(situation), "use one of " + ", ".join(SITUATIONS))
    values.stop_if_wrong()
    warmer = bool(there[0] >= here[0])
    limit = {"after anaesthesia": "step", "convalescent": "per hour"}.get(
        situation, "warmer step" if warmer else "colder step"
    )
    row = tables.row("temperature_steps", situation=situation, limit=limit)
    put, caps = values.figures.put, (cap("per hour"), cap("per day"))
    put("temperature step", np.abs(there - here), unit="°C", act_end=ActEnd.HIGH)
    put("temperature step/limit", row.value, unit="°C", act_end=ActEnd.LOW, rows=[row.id])
    values.judge(Hazard.TEMPERATURE_STEP, "temperature step", row, harm=row.value)
    farther = float(np.max(there) if warmer else np.min(there))
    steps = rungs(float(here[0]), farther, 0.0)
    if steps:
        # The last part begins a part of an hour before it is done.
        last_h = steps[-1][0] + abs(farther - (steps[-2][1] if len(steps) > 1 else float(here[0]))) / caps[0].value
        put("temperature step/hours", last_h, unit="h", act_end=ActEnd.HIGH, rows=[one.id for one in caps])
        for name, one in zip(("per-hour", "per-day"), caps, strict=True):
            put(f"temperature step/{name}", one.value, unit="°C", act_end=ActEnd.LOW, rows=[one.id])
    return values.plan("step")


def quick_stitches(*, day: str, temperature: str) -> Plan:
    """When stitches are to be examined, and between which days they come out, at a temperature that stays as it is.

    Parameters
    ----------
    day : str
        The day of the operation, such as `2026-05-14`.
    temperature : str
        The daily mean of the water.

    Returns
    -------
    Plan
        One action, with its first and last date and its days as figures.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = Values()
    temp = values.needed("temperature", temperature, "18 °C")
    done = None
    try:
        done = parse_when(day, UTC) if day.strip() else None
    except BadValue as bad:
        values.wrong("day", bad.read, bad.would_do)
    values.need("day", done, "give the day of the operation, such as '2026-05-14'")
    values.stop_if_wrong()
    assert done is not None
    inspect, expect, most = (tables.row("healing", milestone=name) for name in ("inspect", "expect", "range"))
    amounts, days = {}, {}
    for name, row, total, end in (
        ("inspect", inspect, inspect.value, ActEnd.BEST),
        ("expected", expect, expect.value, ActEnd.BEST),
        ("earliest", most, most.low, ActEnd.LOW),
        ("latest", most, most.high, ActEnd.HIGH),
    ):
        drawn = np.asarray(days_to_degree_days(total, water_temp_c=temp))
        amounts[name] = values.figures.put(
            f"recheck/{name}", drawn, unit="d", act_end=end, rows=[row.id], equations=[days_to_degree_days]
        )
        days[name] = values.figures.record(amounts[name]).act_on
    dates = {name: None if one is None else done + timedelta(days=one) for name, one in days.items()}
    action = Action(
        id=f"{Moment.RECHECK}/{Kind.WAIT}/stitches",
        kind=Kind.WAIT,
        moment=Moment.RECHECK,
        water=None,
        who=Who.VET,
        at=dates["inspect"],
        until=dates["latest"],
        amounts=amounts,
        words={name: at.isoformat() for name, at in dates.items() if at is not None},
        cautions=tuple(_of_healing(values, float(temp[0]))),
    )
    return values.plan("stitches", actions=[action])


def _of_healing(values: Values, temp_c: float) -> Iterator[Why]:
    yield from codes("provisional-until-temperatures-are-logged")
    cold = tables.row("healing", milestone="cold")
    if temp_c < cold.value:
        figure = values.figures.put("recheck/cold", cold.value, unit="°C", rows=[cold.id])
        yield Why(code="healing-slow-in-the-cold", figures={"cold": figure})
    yield from codes("wound-decides-not-the-date", "absorbable-sutures-may-not-dissolve")
