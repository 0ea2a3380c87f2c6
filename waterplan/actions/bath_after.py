"""The water after a dose, judged for the fish that is to be in it: pH, carbon dioxide, ammonia, oxygen, chlorine."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.actions.dose_water import DoseWater
from waterplan.actions.draft import Reason, reason
from waterplan.published import FloatArray, Numbers
from waterplan.spread import band
from waterplan.stay.operations import air
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import FishState
from waterplan.stay.state import State

_TRACE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """A water after its dose: closed, before gas is lost, and aired; why it is not fit, and what is to be said of it."""

    closed: State
    aired: State
    unfit: tuple[Reason, ...]
    cautions: tuple[Reason, ...]
    air_it: bool


def after(water: DoseWater, closed: State, *, state_of_fish: FishState, co2_in_air_ppm: Numbers, share: float) -> After:
    """The water of a bath judged at once and when it has aired.

    Parameters
    ----------
    water : DoseWater
        The water before the dose.
    closed : State
        The water with the dose in it, before gas is lost.
    state_of_fish : FishState
        What the fish in it goes through.
    co2_in_air_ppm : float or array
        Carbon dioxide in the air over it [ppm].
    share : float
        Oxygen of an aired water as a share of saturation [fraction].

    Returns
    -------
    After
        `unfit` holds what a fish must not meet as far as is known, or whatever it is; `air_it` that carbon dioxide has
        to be aired out before the fish goes in.

    Notes
    -----
    pH at the worse end of both states against the range of `water_limits` at which one acts; un-ionised ammonia against
    the level that harms; carbon dioxide is at its height closed, un-ionised ammonia aired. What was not measured is not
    known: it refuses only where it does so over its whole defensible range.
    """
    aired = air(closed, share=share, co2_in_air_ppm=co2_in_air_ppm, came_from=closed.after[-1] if closed.after else "")
    unfit: list[Reason] = []
    cautions: list[Reason] = []
    for grave, one in (
        *_ph(water, closed, aired),
        *_ammonia(water, closed, aired),
        *_oxygen(water, closed, state_of_fish),
        *_chlorine(closed),
    ):
        (unfit if grave else cautions).append(one)
    most = tables.row("defaults", what="carbon dioxide over the gills").value
    co2 = band(closed[Q.CARBON_DIOXIDE]).high > most
    if co2:
        told = reason(
            "air the carbon dioxide out first",
            closed=(closed[Q.CARBON_DIOXIDE], "mg/L"),
            aired=(aired[Q.CARBON_DIOXIDE], "mg/L"),
            limit=(most, "mg/L"),
        )
        cautions.append(told)
    return After(closed=closed, aired=aired, unfit=tuple(unfit), cautions=tuple(cautions), air_it=co2)


def grave_groups(water: DoseWater, attribute: str) -> tuple[str, ...]:
    """The groups of the fish in a water under which the tables hold a limit; "any" where nobody knows the fish."""
    return tuple(dict.fromkeys(getattr(kind, attribute) for kind in water.species)) or ("any",)


def _ph(water: DoseWater, closed: State, aired: State) -> Iterator[tuple[bool, Reason]]:
    act, watch = (tables.row("water_limits", quantity="ph", group="any", level=level) for level in ("act", "watch"))
    ends = [band(state[Q.PH]) for state in (closed, aired)]
    low, high = min(end.low for end in ends), max(end.high for end in ends)
    numbers: dict[str, tuple[Numbers, str]] = {
        "before": (water.state[Q.PH], ""),
        "closed": (closed[Q.PH], ""),
        "aired": (aired[Q.PH], ""),
        "alkalinity": (closed[Q.ALKALINITY], UNITS[Q.ALKALINITY]),
    }
    known = all(one.is_known for one in water.alkaline)
    always = all(end.high < act.low - _TRACE or end.low > act.high + _TRACE for end in ends)
    if low < act.low - _TRACE or high > act.high + _TRACE:
        limits: dict[str, tuple[Numbers, str]] = {"least": (act.low, ""), "most": (act.high, "")}
        code = "ph of the bath" if known or always else "measure ph and alkalinity first"
        yield True, reason(code, {"row": act.id}, **numbers, **limits)
    elif low < watch.low or high > watch.high:
        limits = {"least": (watch.low, ""), "most": (watch.high, "")}
        yield False, reason("ph of the bath to watch", {"row": watch.id}, **numbers, **limits)


def _ammonia(water: DoseWater, closed: State, aired: State) -> Iterator[tuple[bool, Reason]]:
    harm = tables.row("water_limits", quantity="nh3", group="any", level="harm")
    groups = [one for one in grave_groups(water, "law_group") if one != "any"]
    rows = [tables.find("water_limits", quantity="nh3", group=one, level="limit") for one in groups]
    limit = min((row.value for row in rows if row is not None), default=harm.value)
    worst = np.maximum(closed[Q.UNIONISED_AMMONIA], aired[Q.UNIONISED_AMMONIA])
    numbers: dict[str, tuple[Numbers, str]] = {
        "closed": (closed[Q.UNIONISED_AMMONIA], "mg/L as N"),
        "aired": (aired[Q.UNIONISED_AMMONIA], "mg/L as N"),
    }
    yield from _judged(closed, Q.AMMONIA, worst, "ammonia of the bath", limit, harm.value, harm.id, numbers)


def _oxygen(water: DoseWater, closed: State, state_of_fish: FishState) -> Iterator[tuple[bool, Reason]]:
    state = "anaesthetised" if state_of_fish is FishState.ANAESTHETISED else "settled"
    rows = {
        level: [
            tables.row("oxygen_levels", group=group, state=state, level=level)
            for group in grave_groups(water, "oxygen_group")
            if group != "any"
        ]
        for level in ("alarm", "emergency")
    }
    if not rows["alarm"]:
        return
    alarm = max(rows["alarm"], key=lambda row: row.value)
    least = max(row.value for row in rows["emergency"])
    numbers: dict[str, tuple[Numbers, str]] = {"oxygen": (closed[Q.OXYGEN], "mg/L")}
    yield from _judged(
        closed, Q.OXYGEN, -closed[Q.OXYGEN], "oxygen of the bath", -alarm.value, -least, alarm.id, numbers
    )


def _chlorine(closed: State) -> Iterator[tuple[bool, Reason]]:
    if not closed.has(Q.CHLORINE):
        return
    limit = tables.row("water_limits", quantity="chlorine", group="any", level="limit")
    known, values = closed.known[Q.CHLORINE], closed[Q.CHLORINE]
    low, best, high = band(values)
    if high <= limit.value:
        return
    numbers: dict[str, tuple[Numbers, str]] = {"chlorine": (values, "mg/L"), "limit": (limit.value, "mg/L")}
    sees = tables.row("mains_chlorine", what="kit sees").value
    # A kit that shows nothing has not shown that there is none: that is told, and the bath is not refused for it.
    shown = low > limit.value or (known.is_known and best > sees / 2.0)
    if shown:
        yield True, reason("chlorine in the bath", {"row": limit.id}, **numbers)
    elif known.is_known:
        yield False, reason("chlorine below what the kit sees", {"row": limit.id}, **numbers)
    else:
        yield False, reason("measure before the fish goes in", {"quantity": Q.CHLORINE.value}, **numbers)


def _judged(
    closed: State,
    quantity: Q,
    values: FloatArray,
    code: str,
    limit: float,
    harm: float,
    row: str,
    numbers: dict[str, tuple[Numbers, str]],
) -> Iterator[tuple[bool, Reason]]:
    """Refused beyond the level that harms, told beyond the limit; what was not measured is to be measured."""
    low, _, high = band(values)
    told: dict[str, tuple[Numbers, str]] = {
        **numbers,
        "limit": (abs(limit), UNITS[quantity]),
        "harm": (abs(harm), UNITS[quantity]),
    }
    if closed.known[quantity].is_known:
        if high > harm + _TRACE:
            yield True, reason(code, {"row": row}, **told)
        elif high > limit + _TRACE:
            yield False, reason(f"{code} to watch", {"row": row}, **told)
    elif low > harm + _TRACE:
        yield True, reason(code, {"row": row}, **told)
    elif high > limit + _TRACE:
        yield False, reason("measure before the fish goes in", {"quantity": quantity.value}, **told)
