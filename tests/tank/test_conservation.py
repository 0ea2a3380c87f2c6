"""Nothing is lost: salt, nitrogen and alkalinity over days of events, accounted for by hand beside the engine."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.tank.aeration import Diffuser, Gas
from waterplan.tank.biofilter import Biofilter, FilterState
from waterplan.tank.equipment_events import AirReturns, AirStops, PowerFails, PowerReturns
from waterplan.tank.events import BicarbonateDose, Event, SaltDose, WaterChange
from waterplan.tank.fish_events import Fed, FilterDamaged, Handled, PairedTest
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room, Tank, Water

_TEMP_C, _DAYS = 18.0, 6.0
_SPREAD = np.linspace(0.7, 1.4, 5)
_LITRES, _EXCRETED_MG_PER_H = 400.0 * _SPREAD, 8.0 + 0.0 * _SPREAD
_N_PER_NO2, _N_PER_NO3, _MG_CACO3_PER_MEQ, _MG_N_PER_MMOL = 14.007 / 46.005, 14.007 / 62.004, 50.043, 14.007
_START = Water(water_temp_c=_TEMP_C, do_mg_per_l=8.0, salinity_g_per_l=1.0, tan_mg_n_per_l=0.3)
_MAINS = Water(
    water_temp_c=_TEMP_C, do_mg_per_l=10.0, tan_mg_n_per_l=0.2, nitrate_mg_no3_per_l=20.0, salinity_g_per_l=0.2,
    alkalinity_mg_caco3_per_l=140.0, ph=7.9, chloramine_mg_cl2_per_l=1.0,
)  # fmt: skip
# Ammonia that a change brings with it: its own, and what the chloramine sets free, 14.007/70.906 of it.
_MAINS_TAN = 0.2 + 14.007 / 70.906
# At the temperature of its rates the fish gives off what its row says: 2 kg x 4 mg/kg/h.
_KOI = Fish(
    name="koi", biomass_kg=2.0 * _SPREAD, uptake_mg_per_kg_h=70.0, excretion_mg_n_per_kg_h=4.0 / _SPREAD,
    rates_at_temp_c=_TEMP_C,
)  # fmt: skip
_SETUP = Setup(
    tank=Tank(volume_l=_LITRES, area_m2=0.8, transfer_m_per_day=0.3, other_demand_mg_per_h=5.0),
    water=_START,
    room=Room(air_temp_c=_TEMP_C),
    fish=(_KOI,),
    aeration=(
        Diffuser(air_flow_l_per_min=12.0, depth_m=0.5),
        Diffuser(air_flow_l_per_min=0.3, depth_m=0.5, gas=Gas.OXYGEN, name="oxygen"),
    ),
    filter=Biofilter(state=FilterState.SEEDED, capacity_mg_n_per_h=40.0 * _SPREAD),
)
_KINDS = {
    "change": lambda at, size: WaterChange(at_h=at, share_changed=size, source=_MAINS),
    "salt": lambda at, size: SaltDose(at_h=at, salt_g=200.0 * size),
    "bicarbonate": lambda at, size: BicarbonateDose(at_h=at, bicarbonate_g=20.0 * size),
    "feed": lambda at, size: Fed(at_h=at, feed_g=20.0 * size, ammonia_kg_n_per_kg_feed=0.03),
    "handled": lambda at, size: Handled(at_h=at, stress_factor=1.0 + 3.0 * size, name="koi"),
    "air stops": lambda at, _: AirStops(at_h=at),
    "air returns": lambda at, _: AirReturns(at_h=at),
    "power fails": lambda at, _: PowerFails(at_h=at),
    "power returns": lambda at, _: PowerReturns(at_h=at),
    "damaged": lambda at, _: FilterDamaged(at_h=at, treatment="formalin"),
    "test": lambda at, _: PairedTest(at_h=at, clean=True),
}


def _accounted(events: list[Event], states: dict[str, np.ndarray], hours: np.ndarray) -> dict[str, np.ndarray]:
    """What the water should hold at the end: what there was, what came in by hand, and what each change took out."""
    salt, nitrogen = _LITRES * 1.0, _LITRES * 0.3
    alkalinity, before_h = _LITRES * 100.0 / _MG_CACO3_PER_MEQ, 0.0
    fed: list[Fed] = []

    def stand(until_h: float) -> None:
        nonlocal nitrogen, alkalinity, before_h
        came = _EXCRETED_MG_PER_H * (until_h - before_h) + sum(
            np.asarray(meal.feed_g)
            * 30.0
            * (meal.share_left(before_h - meal.at_h) - meal.share_left(until_h - meal.at_h))
            for meal in fed
        )
        # Each ammonia given off takes up one acid, each that the filter turned gives back two.
        rows = np.flatnonzero((hours >= before_h - 1e-9) & (hours <= until_h + 1e-9))
        left, right = _last_at(hours, before_h), rows[np.flatnonzero(hours[rows] <= until_h + 1e-9)]
        first_of_end = right[np.argmax(hours[right] >= until_h - 1e-9)]
        turned = _oxidised(states, first_of_end) - _oxidised(states, left)
        nitrogen, alkalinity = nitrogen + came, alkalinity + (came - 2.0 * turned) / _MG_N_PER_MMOL
        before_h = until_h

    for event in events:
        stand(event.at_h)
        if isinstance(event, WaterChange):
            share = float(np.asarray(event.share_changed))
            salt = salt * (1 - share) + share * _LITRES * 0.2
            nitrogen = nitrogen * (1 - share) + share * _LITRES * (_MAINS_TAN + 20.0 * _N_PER_NO3)
            alkalinity = alkalinity * (1 - share) + share * _LITRES * 140.0 / _MG_CACO3_PER_MEQ
        elif isinstance(event, SaltDose):
            salt = salt + event.salt_g
        elif isinstance(event, BicarbonateDose):
            alkalinity = alkalinity + np.asarray(event.bicarbonate_g) * 1000.0 / 84.007
        elif isinstance(event, Fed):
            fed.append(event)
    stand(24.0 * _DAYS)
    return {"salt": salt, "nitrogen": nitrogen, "alkalinity": alkalinity}


def _last_at(hours: np.ndarray, hour: float) -> int:
    return int(np.flatnonzero(hours <= hour + 1e-9)[-1])


def _oxidised(states: dict[str, np.ndarray], row: int) -> np.ndarray:
    """Nitrite and nitrate in the water [mg N]."""
    return _LITRES * (
        states["nitrite_mg_no2_per_l"][row] * _N_PER_NO2 + states["nitrate_mg_no3_per_l"][row] * _N_PER_NO3
    )


_HAPPENED = st.tuples(st.sampled_from(sorted(_KINDS)), st.integers(1, 47), st.floats(0.05, 0.9))


@pytest.mark.longer
@settings(max_examples=25)
@given(st.lists(_HAPPENED, max_size=8, unique_by=lambda one: one[1]))
def test_nothing_is_lost(happened: list[tuple[str, int, float]]) -> None:
    """Slow: hundreds of tanks that hypothesis fills run for days."""
    events = [_KINDS[kind](3.0 * third, size) for kind, third, size in sorted(happened, key=lambda one: one[1])]
    done = course(_SETUP, events, until_h=24.0 * _DAYS, every_h=3.0)
    held = _accounted(events, dict(done.states), done.hours)
    end = {name: values[-1] for name, values in done.states.items()}
    assert end["salinity_g_per_l"] * _LITRES == pytest.approx(held["salt"], rel=1e-9)
    nitrogen = _LITRES * end["tan_mg_n_per_l"] + _oxidised(dict(done.states), -1)
    assert nitrogen == pytest.approx(held["nitrogen"], rel=1e-7)
    assert end["alkalinity_mg_caco3_per_l"] * _LITRES / _MG_CACO3_PER_MEQ == pytest.approx(held["alkalinity"], rel=1e-7)


def test_what_evaporates_leaves_its_salt() -> None:
    tank = Tank(volume_l=100.0, area_m2=1.0, evaporation_factor=0.74)
    done = course(Setup(tank=tank, water=_START, room=Room(air_temp_c=_TEMP_C)), until_h=240.0, every_h=24.0)
    left = done.best("volume_l")
    assert left[-1] < 99.0
    assert done.best("salinity_g_per_l") * left == pytest.approx(np.full(left.size, 100.0), rel=1e-12)
