"""The result: every state against time for every draw, with its bands."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray
from waterplan.spread import HIGH_PERCENT, LOW_PERCENT
from waterplan.tank.balance import carbonate
from waterplan.tank.body import MEQ_PER_MG_CACO3, N_PER_NO2, N_PER_NO3, Body

STATES = (
    "volume_l",
    "water_temp_c",
    "do_mg_per_l",
    "tan_mg_n_per_l",
    "nh3_mg_n_per_l",
    "nitrite_mg_no2_per_l",
    "nitrate_mg_no3_per_l",
    "salinity_g_per_l",
    "alkalinity_mg_caco3_per_l",
    "ph",
    "co2_mg_per_l",
)
# What no judgement of a long stay asks for.
_NOT_ASKED_FOR = frozenset({"nitrate_mg_no3_per_l"})
STATES_OF_OXYGEN = tuple(name for name in STATES if name not in ("nh3_mg_n_per_l", *STATES[-3:]))


class Follow(StrEnum):
    """What a course follows: for a question of heat or of oxygen the rest need not be worked out."""

    ALL = "all states"
    OXYGEN = "heat, nitrogen and oxygen"
    HEAT = "heat alone"

    @property
    def states(self) -> tuple[str, ...]:
        """The states that are worked out and recorded."""
        return {Follow.ALL: STATES, Follow.OXYGEN: STATES_OF_OXYGEN, Follow.HEAT: STATES[:2]}[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bands:
    """Low (5th percentile), best and high (95th) of a state against time, for a chart."""

    hours: FloatArray
    low: FloatArray
    best: FloatArray
    high: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """States against time; each array has a row for each of `hours` and a column for each draw, the first the best.

    A time stands twice where something happened: just before and just after it. `solutes` are the levels of what
    the water at the start names beside the states.
    """

    hours: FloatArray
    states: Mapping[str, FloatArray]
    solutes: Mapping[str, FloatArray] = field(default_factory=dict)

    def best(self, state: str) -> FloatArray:
        """A state against time with the best values."""
        return self._of(state)[:, 0]

    def bands(self, state: str) -> Bands:
        """A state against time with its band."""
        values = self._of(state)
        drawn = values[:, 1:] if values.shape[1] > 1 else values
        low, high = np.percentile(drawn, [LOW_PERCENT, HIGH_PERCENT], axis=1, method="nearest")
        return Bands(hours=self.hours, low=low, best=values[:, 0], high=high)

    def highest(self, state: str) -> FloatArray:
        """The highest value of each draw."""
        return np.asarray(self._of(state).max(axis=0))

    def lowest(self, state: str) -> FloatArray:
        """The lowest value of each draw."""
        return np.asarray(self._of(state).min(axis=0))

    def _of(self, state: str) -> FloatArray:
        if state not in self.states:
            raise ImpossibleInput("state", state, f"one of {', '.join(self.states)}")
        return self.states[state]


_NOW: Mapping[str, Callable[[Body, FloatArray], FloatArray]] = {
    "volume_l": lambda body, _: body.volume_l,
    "water_temp_c": lambda body, _: body.temp_c,
    "do_mg_per_l": lambda body, per_litre: body.oxygen_mg * per_litre,
    "tan_mg_n_per_l": lambda body, per_litre: body.tan_mg * per_litre,
    "nh3_mg_n_per_l": lambda body, per_litre: body.tan_mg * per_litre * body.carbonate.ammonia,
    "nitrite_mg_no2_per_l": lambda body, per_litre: body.nitrite_mg * (per_litre / N_PER_NO2),
    "nitrate_mg_no3_per_l": lambda body, per_litre: body.nitrate_mg * (per_litre / N_PER_NO3),
    "salinity_g_per_l": lambda body, per_litre: body.salt_g * per_litre,
    "alkalinity_mg_caco3_per_l": lambda body, per_litre: body.alkalinity_meq * (per_litre / MEQ_PER_MG_CACO3),
    "ph": lambda body, _: body.carbonate.ph,
    "co2_mg_per_l": lambda body, _: body.carbonate.dioxide * carbonate.MG_CO2_PER_MMOL,
}


def level(body: Body, state: str) -> FloatArray:
    """A state of the water as it is now."""
    return _NOW[state](body, 1.0 / body.volume_l)


class Recorder:
    """Writes down the body's course while it runs."""

    def __init__(self, body: Body, stops: list[float], events: int, follow: Follow, *, brief: bool = False) -> None:
        rows, kind = len(stops) + events, np.float32 if brief else np.float64
        self._hours = np.empty(rows)
        self._states = {
            name: np.empty((rows, body.draws), kind) for name in follow.states if not (brief and name in _NOT_ASKED_FOR)
        }
        self._solutes = {name: np.empty((rows, body.draws), kind) for name in body.setup.water.solutes_per_l}
        self._rows = 0

    def record(self, body: Body, hour: float) -> None:
        """Writes down every state as it is now."""
        row, per_litre = self._rows, 1.0 / body.volume_l
        self._hours[row] = hour
        for name, values in self._states.items():
            values[row] = _NOW[name](body, per_litre)
        for name, levels in self._solutes.items():
            levels[row] = body.solutes[name] * per_litre
        self._rows += 1

    def course(self) -> Course:
        """The finished course."""
        return Course(
            hours=self._hours[: self._rows],
            states={name: values[: self._rows] for name, values in self._states.items()},
            solutes={name: levels[: self._rows] for name, levels in self._solutes.items()},
        )
