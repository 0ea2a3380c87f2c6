"""A tank cooled for the way home: when it begins, to what, and the ice of each step."""

from waterplan import tables
from waterplan.actions.amounts import low, up
from waterplan.actions.heat.heating import ICE, ice_kg
from waterplan.actions.heat.matching import TO_SPARE_H
from waterplan.actions.heat.rungs import rungs
from waterplan.actions.needs import Need
from waterplan.stay.quantities import Q
from waterplan.stay.standing import setup_of
from waterplan.tank.heat import KJ_PER_L_K, KJ_PER_WH
from waterplan.tank.heater_size import heat_loss_w


def steps_home(need: Need, now: float, target: float) -> tuple[float, list[tuple[float, float]]]:
    """When steps begin that end before the fish leaves the tank, and the steps."""
    lasts_h, _ = rungs(now, target, 0.0)[-1]
    begin_h = max(need.start_h - lasts_h - TO_SPARE_H, need.stretch.start_h)
    return begin_h, rungs(now, target, begin_h)


def in_reach(need: Need, now: float, target: float) -> tuple[float, list[float]]:
    """The pond's temperature, or half of the last step above it, where only for the rest there is not ice enough; and the ice."""
    if target >= now:
        return target, []
    half = target + 0.5 * tables.row("temperature_steps", situation="healthy", limit="colder step").value
    most, ice = tables.row("action_rules", rule="ice most").value, _ice_of_steps(need, now, target)
    if half < now and sum(ice) > most and sum(nearer := _ice_of_steps(need, now, half)) <= most:
        return half, nearer
    return target, ice


def _ice_of_steps(need: Need, now: float, target: float) -> list[float]:
    """The ice of each step: for its fall, and for what a warmer room brings in until the next; less what a colder one takes.

    Of that no more than it surely takes, since the tank that is not cold enough is read and the one that fell too fast is not
    put back.
    """
    _, steps = steps_home(need, now, target)
    setup, room, litres = setup_of(need.water, need.stretch), need.ground.room.air_temp_c, low(need.state[Q.VOLUME])
    ice, ends = [], [*(at_h for at_h, _ in steps[1:]), need.start_h]
    for (at_h, temp), until_h in zip(steps, ends, strict=True):
        lost_w = heat_loss_w(setup, water_temp_c=temp, air_temp_c=room)
        taken_w = min(float(lost_w[0]), max(low(lost_w), 0.0))
        falls_c = taken_w * max(until_h - at_h, 0.0) * KJ_PER_WH / (KJ_PER_L_K * litres)
        ice.append(up(max(float(ice_kg(litres, now - temp - falls_c, temp)), 0.0), ICE))
        now = temp
    return ice
