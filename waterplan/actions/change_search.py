"""How much water to change: searched with few draws, each search once."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from waterplan import tables
from waterplan.actions.needs import Need, high, rule
from waterplan.hazards.record import Hazard
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.equipment import room_co2_ppm, stone
from waterplan.stay.happenings import meals
from waterplan.stay.operations import change
from waterplan.stay.quantities import Q
from waterplan.stay.standing import setup_of
from waterplan.stay.state import State, as_tank_water
from waterplan.tank.aeration import Diffuser, Fall, Gas
from waterplan.tank.answers import Answer, thinned
from waterplan.tank.changes_needed import NitrogenLimits, daily_change_litres
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Room, Tank

_DAYS, _SEARCH_DRAWS = 7.0, 64
# A meal doubles the uptake; bubbles of oxygen lift the water by 30 mg/L and more at any temperature and altitude.
_FED_AND_MORE, _OXYGEN_LIFT_MG_PER_L = 2.5, 25.0


# What a change dilutes, by the hazard that calls for it.
DILUTED: Mapping[Hazard, Q] = MappingProxyType(
    {
        Hazard.AMMONIA: Q.UNIONISED_AMMONIA,
        Hazard.NITRITE: Q.NITRITE,
        Hazard.SALT: Q.SALT,
        Hazard.CARBON_DIOXIDE: Q.CARBON_DIOXIDE,
    }
)
_TOTAL = "water_limits/tan/"


def over_limits(need: Need) -> Iterator[tuple[Q, float]]:
    """What is to be diluted and the level that it is not to pass, of each judgement that calls."""
    for one in need.judged:
        record = one.record
        if record.hazard not in DILUTED or record.limit is None:
            continue
        most = record.limit.upper if record.limit.upper is not None else record.limit.value
        total = record.limit.row.startswith(_TOTAL)
        if most is not None:
            yield Q.AMMONIA if total else DILUTED[record.hazard], most


def first_share(need: Need, source: State) -> tuple[float, int, bool]:
    """The least share of a change that brings what calls under its limits, its parts, and whether they must be small.

    Each part goes through the plan's own mixing: where one would raise un-ionised ammonia above what is there and above
    its limit, the parts are the careful ones.
    """
    step, most = rule("change step"), rule("change most")
    shares = np.arange(rule("change at least"), most + 1e-9, step)
    for share in shares:
        if _holds(need, source, float(share)):
            break
    careful = _rises(need, source, float(share), rule("change part"))
    part = rule("change careful part") if careful else rule("change part")
    return float(share), max(1, int(np.ceil(share / part - 1e-9))), careful


def _holds(need: Need, source: State, share: float) -> bool:
    before = need.water.start
    after = change(before, source, share * before[Q.VOLUME], came_from="trial", parts=1)
    if any(after.has(quantity) and high(after[quantity]) > most for quantity, most in over_limits(need)):
        return False
    return not need.calls(Hazard.SUBSTANCE)


def _rises(need: Need, source: State, share: float, part: float) -> bool:
    """Whether un-ionised ammonia is higher after a part than before the first, and over its limit."""
    state = need.water.start
    worst, limit = high(state[Q.UNIONISED_AMMONIA]), _nh3_limit(need)
    for _ in range(max(1, int(np.ceil(share / part - 1e-9)))):
        state = change(state, source, part * state[Q.VOLUME], came_from="trial", parts=1)
        if high(state[Q.UNIONISED_AMMONIA]) > max(worst, limit):
            return True
    return False


def daily_litres(need: Need, path: str, source: State) -> Answer:
    """Litres of a daily change that keep ammonia and nitrite under their limits, the filter not counted.

    Parameters
    ----------
    need : Need
        The tank and its stretch.
    path : str
        The source.
    source : State
        Its water as it is poured in.

    Returns
    -------
    Answer
        Litres of each change, with what each draw would need; None where a full change every day is not enough.

    Notes
    -----
    The search is kept with the ground: the same tank, temperature, source and fish are searched once.
    """
    kept: dict[tuple[object, ...], Answer] = need.context.ground.searched  # type: ignore[assignment]
    key = ("daily change", need.path, path, tuple(id(one) for one in need.water.effects))
    if key not in kept:
        kept[key] = _search(need, source)
    return kept[key]


def _search(need: Need, source: State) -> Answer:
    setup = held(need)
    few = thinned((setup, as_tank_water(source)), _SEARCH_DRAWS)
    fed = tuple(thinned(tuple(meals(need.water, need.stretch, _DAYS * 24.0)), _SEARCH_DRAWS))  # type: ignore[arg-type]
    return daily_change_litres(
        few[0],
        source=few[1],
        limits=NitrogenLimits(
            nh3_mg_n_per_l=_nh3_limit(need),
            tan_mg_n_per_l=tables.row("water_limits", quantity="tan", group="any", level="cap").value,
            nitrite_mg_no2_per_l=tables.row("water_limits", quantity="nitrite", group="any", level="watch").value,
        ),
        events=sorted(fed, key=lambda event: event.at_h),
        days=_DAYS,
    )


def _nh3_limit(need: Need) -> float:
    """The strictest law of the fish in the water."""
    assert need.stretch is not None
    fish = need.context.ground.fish
    groups = {fish[one].species.law_group for one in need.stretch.fish if one in fish} or {"trout_like"}
    return min(tables.row("water_limits", quantity="nh3", group=one, level="limit").value for one in groups)


def held(need: Need) -> Setup:
    """The tank held at its temperature and in oxygen by whatever does it, its stones running, its filter not counted."""
    assert need.stretch is not None
    water, inputs = need.water, need.context.ground.inputs
    setup = setup_of(water, need.stretch, Scenario.POWER_OFF)
    temp = np.asarray(setup.water.water_temp_c)
    stones: tuple[Diffuser | Fall, ...] = tuple(
        one for one in setup.aeration if not isinstance(one, Diffuser) or one.mains
    )
    if not stones:
        row = tables.row("defaults", what="air for each kg")
        kilograms = sum((np.asarray(one.biomass_kg) for one in setup.fish), start=np.zeros(inputs.size))
        stones = (stone(water.equipment, inputs, l_per_min=row.value * kilograms),)
    return Setup(
        tank=Tank(volume_l=water.free_l),
        water=setup.water,
        room=Room(
            air_temp_c=temp,
            air_pressure_kpa=need.context.ground.air_pressure_kpa,
            co2_in_air_ppm=room_co2_ppm(inputs),
        ),
        fish=setup.fish,
        aeration=(*stones, _oxygen_held(setup.fish, temp)),
        start_clock_h=setup.start_clock_h,
    )


def _oxygen_held(fish: tuple[Fish, ...], temp: FloatArray) -> Diffuser:
    """A trickle of oxygen that keeps up with fed fish and is too small to carry off carbon dioxide."""
    bare = Diffuser(
        air_flow_l_per_min=1.0, depth_m=1.0, sote_percent_per_m=40.0, alpha=1.0, gas=Gas.OXYGEN, name="oxygen held"
    )
    takes = sum((one.uptake_mg_per_h(temp) for one in fish), start=np.zeros(temp.size))
    needed = _FED_AND_MORE * takes / _OXYGEN_LIFT_MG_PER_L
    return replace(bare, air_flow_l_per_min=needed / np.asarray(bare.transfer_l_per_h(temp)))
