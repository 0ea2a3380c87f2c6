"""The record of a course: rows, draws, repeatability."""

import pytest

from waterplan.errors import ImpossibleInput
from waterplan.spread import Draws, Measured
from waterplan.tank.events import WaterChange
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room, Tank, Water

_CLEAN = Water(water_temp_c=20.0, do_mg_per_l=9.0)
_DRAWS = Draws(count=200)


def _setup(excretion: object = 3.0) -> Setup:
    koi = Fish(name="koi", biomass_kg=1.0, uptake_mg_per_kg_h=10.0, excretion_mg_n_per_kg_h=excretion)  # type: ignore[arg-type]
    return Setup(tank=Tank(volume_l=100.0), water=_CLEAN, room=Room(air_temp_c=20.0), fish=(koi,))


def test_an_event_is_recorded_just_before_and_just_after() -> None:
    done = course(_setup(), [WaterChange(at_h=2.5, share_changed=0.5, source=_CLEAN)], until_h=4.0)
    assert list(done.hours) == [0.0, 1.0, 2.0, 2.5, 2.5, 3.0, 4.0]
    before, after = done.best("tan_mg_n_per_l")[3:5]
    assert before == pytest.approx(0.075)
    assert after == pytest.approx(0.0375)


def test_a_draw_alone_is_the_draw_among_others() -> None:
    excretion = _DRAWS.of("excretion", Measured.within_factor(3.0, 0.3))
    many = course(_setup(excretion), until_h=24.0)
    for index in (0, 7, 200):
        alone = course(_setup(float(excretion[index])), until_h=24.0)
        for name, values in alone.states.items():
            assert many.states[name][:, index] == pytest.approx(values[:, 0], rel=1e-7, abs=1e-12), name


def test_unknown_state_is_named() -> None:
    with pytest.raises(ImpossibleInput, match="state = oxygen"):
        course(_setup(), until_h=1.0).best("oxygen")


def test_splitting_a_course_changes_nothing_it_should_not() -> None:
    """Records twice as often make steps of the same length, and the same course."""
    once, twice = (course(_setup(), until_h=24.0, every_h=every, step_h=0.5) for every in (2.0, 1.0))
    assert once.best("ph")[-1] == pytest.approx(twice.best("ph")[-1], abs=1e-9)
