"""What the engine refuses, and that it says which event."""

from collections.abc import Callable

import numpy as np
import pytest

from waterplan.errors import ImpossibleInput, Refused
from waterplan.tank.aeration import Diffuser
from waterplan.tank.biofilter import Biofilter, FilterState
from waterplan.tank.equipment_events import AirStops, DeviceSet, HeaterMended, HeaterSticksOn, ThermostatSet
from waterplan.tank.events import BicarbonateDose, Event, ExchangeRuns, IceIn, SaltDose, WaterChange
from waterplan.tank.fish_events import Fed, FilterDamaged, FishIn, FishOut, Handled, PairedTest, Sedated
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Exchange, Heater, Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room, Tank, Water

_CLEAN = Water(water_temp_c=20.0, do_mg_per_l=9.0)
_KOI = Fish(name="koi", biomass_kg=2.0, uptake_mg_per_kg_h=60.0, excretion_mg_n_per_kg_h=3.0)
_SETUP = Setup(tank=Tank(volume_l=100.0), water=_CLEAN, fish=(_KOI,))


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: WaterChange(at_h=24.0, share_changed=1.2, source=_CLEAN), "water change at 24 h: share_changed"),
        (lambda: WaterChange(at_h=24.0, share_changed=-0.1, source=_CLEAN), "water change at 24 h: share_changed"),
        (lambda: WaterChange(at_h=float("nan"), share_changed=0.1, source=_CLEAN), "water change at nan h: at_h"),
        (lambda: SaltDose(at_h=3.0, salt_g=-1.0), "salt dose at 3 h: salt_g"),
        (lambda: BicarbonateDose(at_h=3.0, bicarbonate_g=float("inf")), "bicarbonate dose at 3 h"),
        (lambda: IceIn(at_h=3.0, ice_kg=-2.0), "ice at 3 h: ice_kg"),
        (lambda: ExchangeRuns(at_h=5.0, flow_l_per_h=-3.0, source=_CLEAN), "running exchange at 5 h: flow_l_per_h"),
        (lambda: Fed(at_h=9.0, feed_g=-1.0), "feed at 9 h: feed_g"),
        (lambda: Handled(at_h=1.0, stress_factor=-2.0), "handling at 1 h: stress_factor"),
        (lambda: ThermostatSet(at_h=1.0, target_temp_c=99.0), "thermostat set at 1 h: target_temp_c"),
        (lambda: Tank(volume_l=0.0), "tank: volume_l = 0"),
        (lambda: Tank(volume_l=100.0, area_m2=-1.0), "tank: area_m2"),
        (lambda: Heater(heater_w=-1.0, target_temp_c=20.0), "heater: heater_w"),
        (lambda: Heater(heater_w=100.0, target_temp_c=20.0, band_c=0.0), "heater: band_c"),
        (lambda: Exchange(flow_l_per_h=-1.0, source=_CLEAN), "exchange: flow_l_per_h"),
        (lambda: Diffuser(air_flow_l_per_min=-1.0, depth_m=0.5), "air stone: air_flow_l_per_min"),
        (lambda: Biofilter(state=FilterState.SEEDED, capacity_mg_n_per_h=-1.0), "filter: capacity_mg_n_per_h"),
        (
            lambda: Fish(name="orfe", biomass_kg=-1.0, uptake_mg_per_kg_h=1.0, excretion_mg_n_per_kg_h=1.0),
            "orfe: biomass",
        ),
        (lambda: Room(relative_humidity=1.5), "room: relative_humidity"),
        (lambda: Room(warmest_hour=24.0), "room: warmest_hour"),
        (lambda: Water(water_temp_c=20.0, do_mg_per_l=9.0, ph=15.0), "ph = 15"),
        (lambda: Setup(tank=Tank(volume_l=10.0, level_kept=True), water=_CLEAN), "level_kept"),
    ],
)
def test_records_refuse_what_cannot_be(make: Callable[[], object], says: str) -> None:
    with pytest.raises(ImpossibleInput, match=says):
        make()


@pytest.mark.parametrize(
    ("events", "says"),
    [
        ([AirStops(at_h=5.0), SaltDose(at_h=4.0, salt_g=1.0)], "salt dose at 4 h = out of order"),
        ([AirStops(at_h=-1.0)], "air stops at -1 h"),
        ([AirStops(at_h=25.0)], "air stops at 25 h"),
        ([HeaterSticksOn(at_h=2.0)], "heater sticks on at 2 h = no heater"),
        ([HeaterMended(at_h=2.0)], "heater mended at 2 h"),
        ([ThermostatSet(at_h=2.0, target_temp_c=20.0)], "thermostat set at 2 h"),
        ([FilterDamaged(at_h=2.0, treatment="formalin")], "filter damaged at 2 h = no filter"),
        ([PairedTest(at_h=2.0, clean=True)], "paired test at 2 h = no filter"),
        ([DeviceSet(at_h=2.0, device="fountain", on=True)], "device set at 2 h: device = fountain"),
        ([FishOut(at_h=2.0, name="orfe")], "fish out at 2 h: name = orfe"),
        ([FishIn(at_h=2.0, fish=_KOI)], "fish in at 2 h: name = koi"),
        ([FishOut(at_h=1.0, name="koi"), Fed(at_h=2.0, feed_g=5.0)], "feed at 2 h: name = every fish"),
        ([Sedated(at_h=2.0, sedated_h=1.0, name="orfe")], "sedation at 2 h: name = orfe"),
    ],
)
def test_events_are_refused_by_name(events: list[Event], says: str) -> None:
    with pytest.raises(ImpossibleInput, match=says):
        course(_SETUP, events, until_h=24.0)


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
