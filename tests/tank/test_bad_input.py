"""What the engine refuses, and that it says which event."""

import numpy as np
import pytest

from waterplan.errors import ImpossibleInput, Refused
from waterplan.tank.aeration import Diffuser
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Tank, Water

_CLEAN = Water(water_temp_c=20.0, do_mg_per_l=9.0)
_KOI = Fish(name="koi", biomass_kg=2.0, uptake_mg_per_kg_h=60.0, excretion_mg_n_per_kg_h=3.0)
_SETUP = Setup(tank=Tank(volume_l=100.0), water=_CLEAN, fish=(_KOI,))


@pytest.mark.parametrize("wrong", [{"until_h": 0.0}, {"until_h": float("inf")}, {"every_h": 0.0}, {"step_h": -1.0}])
def test_times_that_cannot_be(wrong: dict[str, float]) -> None:
    with pytest.raises(ImpossibleInput, match="until_h"):
        course(_SETUP, **({"until_h": 10.0} | wrong))


def test_live_chloramine_is_refused() -> None:
    with pytest.raises(Refused, match="chloramine"):
        Water(water_temp_c=15.0, do_mg_per_l=9.0, chloramine_mg_cl2_per_l=1.0, dechlorinated=False)


def test_draws_of_two_lengths_are_refused() -> None:
    fish = Fish(name="koi", biomass_kg=1.0, uptake_mg_per_kg_h=np.ones(5), excretion_mg_n_per_kg_h=np.ones(4))
    with pytest.raises(ImpossibleInput, match="one length everywhere"):
        course(Setup(tank=Tank(volume_l=100.0), water=_CLEAN, fish=(fish,)), until_h=1.0)


def test_two_devices_of_one_name_are_refused() -> None:
    stones = (Diffuser(air_flow_l_per_min=1.0, depth_m=0.5),) * 2
    with pytest.raises(ImpossibleInput, match=r"aeration .* a name of its own"):
        Setup(tank=Tank(volume_l=100.0), water=_CLEAN, aeration=stones)
    with pytest.raises(ImpossibleInput, match=r"fish .* a name of its own"):
        Setup(tank=Tank(volume_l=100.0), water=_CLEAN, fish=(_KOI, _KOI))


def test_an_impossible_draw_says_how_many() -> None:
    with pytest.raises(ImpossibleInput, match=r"2 of 4 values, the first at \[1\]"):
        Tank(volume_l=np.array([10.0, -1.0, 5.0, -2.0]))


def test_draws_with_a_mask_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="an array without one"):
        Tank(volume_l=np.ma.array([10.0, 20.0], mask=[True, False]))
