"""How fast the tank's course is, and how much faster than scipy's solver at the same error.

Run with `python -m pytest tests/benchmarks/test_tank_speed.py -s -o addopts=""`; the tables stand in DEVELOPERS.md.
"""

import time
import tracemalloc
from dataclasses import replace

import numpy as np
import pytest

from tests.benchmarks.test_plan_speed import Seen
from tests.tank.scenes import SHOWN, Scene
from tests.tank.test_against_solve_ivp import air_off, hospital
from waterplan.spread import Draws, Measured
from waterplan.tank.biofilter import Biofilter
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course

_DAYS = 14
_STEPS_H = (2.0, 1.0, 0.5, 0.25, 0.1)


def fortnight(*meal_hours: float) -> Scene:
    """Fourteen days of a hospital tank: a change and meals a day."""
    scene = hospital()
    scene.settings |= {
        "volume_l": 600.0,
        "level_l": 600.0,
        "tan_capacity": 60.0,
        "nitrite_capacity": 60.0,
        "heater_w": 400.0,
    }
    scene.until_h = 24.0 * _DAYS
    scene.happenings = [
        happening
        for day in range(_DAYS)
        for happening in (
            (24.0 * day + 8.0, "change", 0.2),
            *((24.0 * day + hour, "feed", 6.0 / len(meal_hours)) for hour in meal_hours),
        )
    ]
    return scene


def spread_out(setup: Setup, draws: Draws) -> Setup:
    """The scene with the errors of fish and filter."""
    fish, filter_ = setup.fish[0], setup.filter
    assert isinstance(filter_, Biofilter)
    uptake = draws.of("uptake", Measured.within_factor(float(fish.uptake_mg_per_kg_h), 0.3))
    excretion = draws.of("excretion", Measured.within_factor(float(fish.excretion_mg_n_per_kg_h), 0.4))
    capacity = draws.of("filter", Measured.within_factor(float(filter_.capacity_mg_n_per_h), 0.3))
    spread: Fish = replace(fish, uptake_mg_per_kg_h=uptake, excretion_mg_n_per_kg_h=excretion)
    return replace(setup, fish=(spread,), filter=replace(filter_, capacity_mg_n_per_h=capacity))


@pytest.mark.parametrize("scene", [hospital, air_off], ids=lambda made: made.__name__)
def test_table_of_error_against_step(scene: type[Scene]) -> None:
    made = scene()
    print(f"\n{scene.__name__}: largest error as a share of the range\n| step, h | " + " | ".join(SHOWN) + " |")
    hourly = made.every_h
    for step in _STEPS_H:
        made.every_h = max(hourly, step)  # a record is the end of a step
        reference = made.reference(rtol=1e-9)
        errors = made.errors(step, reference)
        print(f"| {step:g} | " + " | ".join(f"{errors[name]:.0e}" for name in SHOWN) + " |")
        if step <= 0.5:
            assert max(errors.values()) < 1e-3


def test_fortnight_of_all_draws() -> None:
    scene = fortnight(9.0, 14.0, 21.0)
    setup, events = spread_out(scene.setup(), Draws(count=4096)), scene.events()
    tracemalloc.start()
    done = course(setup, events, until_h=scene.until_h, every_h=1.0)
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    wall, work = time.perf_counter(), time.process_time()
    course(setup, events, until_h=scene.until_h, every_h=1.0)
    wall, work = time.perf_counter() - wall, time.process_time() - work
    print(f"\n4,096 draws, {_DAYS} days, hourly: {wall:.2f} s, of which {work:.2f} s of one core; peak {peak:.0f} MB")
    assert done.states["do_mg_per_l"].shape[1] == 4097
    assert peak < 500.0


def test_draw_for_draw_against_the_solver(seen: Seen) -> None:
    """At the solver's own error for rtol 1e-6, and at a looser one; both in time of one core."""
    scene = fortnight(9.0, 21.0)  # the reference takes one meal at a time
    exact = scene.reference(rtol=1e-10)
    setup, events = spread_out(scene.setup(), Draws(count=4096)), scene.events()
    for rtol, step in ((1e-6, 0.1), (1e-4, 0.5)):
        start = time.process_time()
        shown = scene.reference(rtol=rtol)
        solver = time.process_time() - start
        start = time.process_time()
        course(setup, events, until_h=scene.until_h, every_h=1.0, step_h=step)
        engine = (time.process_time() - start) / 4096
        errors = scene.errors(step, exact)
        spans = {name: np.ptp(exact[name]) for name in SHOWN}
        theirs = max(np.max(np.abs(shown[name] - exact[name])) / span for name, span in spans.items() if span > 1e-6)
        print(
            f"\nrtol {rtol:g}: {solver:.2f} s a draw, error {theirs:.0e}; step {step:g} h: {1e3 * engine:.2f} ms a draw, "
            f"error {max(errors.values()):.0e}; ratio {solver / engine:.0f}"
        )
        over = f"a draw by LSODA at rtol {rtol:g}"
        assert seen(over, f"a draw of 4,096 over steps of {step:g} h", -100.0, solver / engine) > 100.0


@pytest.mark.parametrize("counts", [(1024, 4096)])
def test_cost_is_linear_in_draws(seen: Seen, counts: tuple[int, int]) -> None:
    scene = fortnight(9.0, 14.0, 21.0)
    seconds = []
    for count in counts:
        setup = spread_out(scene.setup(), Draws(count=count))
        start = time.process_time()
        course(setup, scene.events(), until_h=96.0 + 240.0, every_h=24.0)
        seconds.append(time.process_time() - start)
    most = 1.2 * counts[1] / counts[0]
    assert seen(f"a course of {counts[1]} draws", f"one of {counts[0]}", most, seconds[1] / seconds[0]) < most
