"""The course of a body of water from event to event, for all draws at once.

Within a step every balance is a straight line of losses under a forcing and is moved on in closed form, in the order
temperature, salt, ammonia, nitrite and nitrate, oxygen, alkalinity, carbon dioxide; what is not a straight line (the
filter, the thermostat, evaporation, scarce oxygen, pH) is replaced by the line through both ends of the step.
"""

import math
from collections.abc import Callable, Sequence

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import plain
from waterplan.tank.balance.carbon import advance_carbon
from waterplan.tank.balance.heat import advance_heat
from waterplan.tank.balance.nitrogen import enter_nitrogen, filter_bend, filter_oxygen_share, nitrogen_step
from waterplan.tank.balance.oxygen import Way, enter_oxygen, oxygen_is_scarce, oxygen_step, saturation, ways_in
from waterplan.tank.body import Body
from waterplan.tank.checked import draws_in
from waterplan.tank.course import Course, Follow, Recorder
from waterplan.tank.events import Event
from waterplan.tank.setup import Setup
from waterplan.water.gas import nitrogen_umol_per_kg

DEFAULT_STEP_H = 0.5
# Steps are cut where oxygen runs short in any draw over a filter, so that fish and filter slow down together: to so many
# hours or to a share of a long step; and where the filter's take leaves the straight line by more than a share of it.
_SCARCE_STEP_H, _SCARCE_SHARE, _FILTER_SHARE, _MOST_PARTS = 0.2, 0.25, 0.1, 20
NITROGEN = "nitrogen"  # the solute that follows the gas laws: umol/kg
# Filter and oxygen share a little: the filter slows where oxygen is short, and takes less of it.
_MOST_ROUNDS, _SHARE_TOLERANCE = 3, 1e-6
_SAME_TIME_H = 1e-9


def course(
    setup: Setup,
    events: Sequence[Event] = (),
    *,
    until_h: float,
    every_h: float = 1.0,
    step_h: float = DEFAULT_STEP_H,
    follow: Follow = Follow.ALL,
    over_when: Callable[[Body], bool] | None = None,
    brief: bool = False,
) -> Course:
    """What becomes of the water from the start until `until_h`.

    Parameters
    ----------
    setup : Setup
        Tank, water, room, fish and equipment at the start; figures are floats or arrays of draws.
    events : sequence of Event
        What happens, in order of time.
    until_h : float
        End [h].
    every_h : float
        Time between two records; events are recorded as well, just before and just after [h].
    step_h : float
        Longest step [h].
    follow : Follow
        What is worked out and recorded.
    over_when : callable, optional
        Told the body at each record: the course ends there where it says so.
    brief : bool
        Whether little is written down: in single precision, without nitrate.

    Returns
    -------
    Course
        States against time.

    Raises
    ------
    ImpossibleInput
        Events out of order, before the start or after the end; figures that cannot be, with the event named.

    Notes
    -----
    See DEVELOPERS.md for the error against the step.

    Examples
    --------
    >>> from waterplan.tank.water_body import Tank, Water
    >>> tub = Setup(tank=Tank(volume_l=100.0), water=Water(water_temp_c=20.0, do_mg_per_l=9.0))
    >>> round(float(course(tub, until_h=2.0).best("do_mg_per_l")[-1]), 9)
    9.0
    """
    if not (math.isfinite(until_h) and until_h > 0.0 and every_h > 0.0 and step_h > 0.0):
        raise ImpossibleInput("until_h, every_h, step_h", (until_h, every_h, step_h), "finite and above 0", unit="h")
    _require_order(events, until_h)
    body = Body(setup, draws_in(setup, tuple(events)))
    records = [every_h * count for count in range(int(until_h / every_h + _SAME_TIME_H) + 1)]
    stops = _distinct([*records, until_h, *(time for event in events for time in event.times_h() if time <= until_h)])
    recorder = Recorder(body, stops, len(events), follow, brief=brief)
    waiting = list(events)
    for index, stop in enumerate(stops):
        if index > 0:
            _advance_to(body, stop, step_h, follow)
        recorder.record(body, stop)
        while waiting and waiting[0].at_h <= stop + _SAME_TIME_H:
            event = waiting.pop(0)
            event.happen(body)
            body.oxygen_fall_mg_per_h = body.ph_drift_per_h = body.nitrogen_rise = None  # it will not go on as it went
            if not (waiting and waiting[0].at_h <= stop + _SAME_TIME_H):
                recorder.record(body, stop)
        if over_when is not None and over_when(body):
            break
    return recorder.course()


def _require_order(events: Sequence[Event], until_h: float) -> None:
    earlier = 0.0
    for event in events:
        if event.at_h < 0.0:
            raise ImpossibleInput(event.called, f"{event.at_h:g}", "at or after the start", unit="h")
        if event.at_h < earlier:
            raise ImpossibleInput(event.called, "out of order", f"at or after the event before it, {earlier:g} h")
        if event.at_h > until_h:
            raise ImpossibleInput(event.called, f"{event.at_h:g}", f"before the end, {until_h:g} h")
        earlier = event.at_h


def _distinct(times: list[float]) -> list[float]:
    kept: list[float] = []
    for time in sorted(times):
        if not kept or time > kept[-1] + _SAME_TIME_H:
            kept.append(time)
    return kept


def _advance_to(body: Body, stop_h: float, step_h: float, follow: Follow) -> None:
    body.begin_stretch([effect for effect in body.effects if effect.end_h > body.now_h + _SAME_TIME_H])
    start_h = body.now_h
    steps = max(1, math.ceil((stop_h - start_h) / step_h - _SAME_TIME_H))
    hours = (stop_h - start_h) / steps
    for step in range(steps):
        parts = 1
        if follow is not Follow.HEAT:
            parts = math.ceil(min(max(1.0, filter_bend(body, hours) / _FILTER_SHARE), _MOST_PARTS))
            if body.filter_counts() and oxygen_is_scarce(body, hours):
                parts = max(parts, math.ceil(hours / max(_SCARCE_STEP_H, _SCARCE_SHARE * step_h)))
        for part in range(parts):
            _advance(body, hours / parts, follow)
            body.now_h = start_h + hours * (step + (part + 1) / parts)
    body.now_h = stop_h


def _advance(body: Body, hours: float, follow: Follow) -> None:
    if follow is Follow.HEAT:
        advance_heat(body, hours)
        return
    saturation_start = saturation(body)
    span = advance_heat(body, hours)
    ways = ways_in(body, span, (saturation_start, saturation(body)))
    share = filter_oxygen_share(body.oxygen_mg / body.volume_l) if body.filter_counts() else body.full
    for _ in range(_MOST_ROUNDS):
        nitrogen = nitrogen_step(body, span, share)
        oxygen = oxygen_step(body, span, ways, nitrogen)
        if nitrogen.form is None or np.max(np.abs(oxygen.filter_share - share)) < _SHARE_TOLERANCE:
            break
        share = oxygen.filter_share
    enter_nitrogen(body, span, nitrogen)
    breathed = enter_oxygen(body, span, oxygen)
    _degas(body, hours, ways)
    if follow is Follow.ALL:
        advance_carbon(body, span, ways, nitrogen, breathed)


def _degas(body: Body, hours: float, ways: tuple[Way, ...]) -> None:
    """Dissolved nitrogen, as a share of what it would be in air: every way in for oxygen is a way out for what is too much."""
    if NITROGEN not in body.solutes:
        return
    moved = sum((way.l_per_h for way in ways), start=body.none)
    full = body.volume_l * np.asarray(plain(nitrogen_umol_per_kg)(body.temp_c))
    body.solutes[NITROGEN] = full + (body.solutes[NITROGEN] - full) * np.exp(-moved / body.volume_l * hours)
