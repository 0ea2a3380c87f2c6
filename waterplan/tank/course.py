"""The result: every state against time for every draw, what happened, and the account."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray
from waterplan.spread import HIGH_PERCENT, LOW_PERCENT
from waterplan.tank import carbon
from waterplan.tank.body import MEQ_PER_MG_CACO3, N_PER_NO2, N_PER_NO3, Body
from waterplan.tank.events import Event
from waterplan.tank.ledger import Ledger, Quantity

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
class Happening:
    """An event as it went: what it moved, by quantity and cause, for every draw."""

    at_h: float
    words: str
    moved: Mapping[tuple[Quantity, str], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """Something in the course that whoever acts on it must know."""

    text: str
    serious: bool = False


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
    ledger: Ledger
    start: Mapping[Quantity, FloatArray]
    end: Mapping[Quantity, FloatArray]
    happenings: tuple[Happening, ...]
    remarks: tuple[Remark, ...]
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

    def all_bands(self) -> Mapping[str, Bands]:
        """The bands of every state: what is worth keeping once the draws are let go."""
        return {state: self.bands(state) for state in self.states}

    def hours_until(self, state: str, level: float, *, falling: bool) -> FloatArray:
        """When each draw first passes a level, between two records in a straight line; infinite where it never does."""
        values = self._of(state) if falling else -self._of(state)
        limit = level if falling else -level
        passed = values < limit
        first = np.argmax(passed, axis=0)
        draws = np.arange(values.shape[1])
        before = np.maximum(first - 1, 0)
        a, b = values[before, draws], values[first, draws]
        with np.errstate(divide="ignore", invalid="ignore"):
            between = np.where(a > b, (a - limit) / (a - b), 0.0)
        hours = self.hours[before] + (self.hours[first] - self.hours[before]) * np.clip(between, 0.0, 1.0)
        return np.where(passed.any(axis=0), np.where(first == 0, self.hours[0], hours), np.inf)

    def highest(self, state: str) -> FloatArray:
        """The highest value of each draw."""
        return np.asarray(self._of(state).max(axis=0))

    def lowest(self, state: str) -> FloatArray:
        """The lowest value of each draw."""
        return np.asarray(self._of(state).min(axis=0))

    def unbalanced(self, quantity: Quantity) -> FloatArray:
        """What the ledger does not account for, as a share of all that moved and was there."""
        missing = self.end[quantity] - self.start[quantity] - self.ledger.total(quantity)
        size = self.ledger.turnover(quantity) + np.abs(self.start[quantity])
        return np.asarray(missing / np.where(size > 0.0, size, 1.0))

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
    "co2_mg_per_l": lambda body, _: body.carbonate.dioxide * carbon.MG_CO2_PER_MMOL,
}


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
        self._happenings: list[Happening] = []

    def record(self, body: Body, hour: float) -> None:
        """Writes down every state as it is now."""
        row, per_litre = self._rows, 1.0 / body.volume_l
        self._hours[row] = hour
        for name, values in self._states.items():
            values[row] = _NOW[name](body, per_litre)
        for name, levels in self._solutes.items():
            levels[row] = body.solutes[name] * per_litre
        self._rows += 1

    def note(self, event: Event, before: dict[tuple[Quantity, str], FloatArray], body: Body) -> None:
        """Writes down an event and what it moved."""
        moved = {
            key: amount - before.get(key, 0.0)
            for key, amount in body.ledger.entries().items()
            if np.any(amount != before.get(key, 0.0))
        }
        self._happenings.append(Happening(at_h=event.at_h, words=event.called, moved=moved))

    def course(self, body: Body) -> Course:
        """The finished course."""
        states = {name: values[: self._rows] for name, values in self._states.items()}
        return Course(
            hours=self._hours[: self._rows],
            states=states,
            ledger=body.ledger,
            start=body.start,
            end=body.amounts(),
            happenings=tuple(self._happenings),
            remarks=tuple(_remarks(body, states)),
            solutes={name: levels[: self._rows] for name, levels in self._solutes.items()},
        )


def _remarks(body: Body, states: Mapping[str, FloatArray]) -> list[Remark]:
    remarks = []
    for name, missed in body.ledger.missed_oxygen_mg().items():
        drawn = missed[1:] if missed.size > 1 else missed
        share = float((drawn > 0.0).mean())
        text = (
            f"{name}: oxygen that was wanted could not be had in {share:.0%} of the draws, up to {missed.max():.3g} mg"
        )
        remarks.append(Remark(text=text, serious=True))
    if np.any(states["water_temp_c"] < 0.0):
        remarks.append(Remark(text="the water would freeze", serious=True))
    if "ph" in states and np.any(states["alkalinity_mg_caco3_per_l"] <= 0.0):
        remarks.append(Remark(text="the alkalinity is used up: pH has no footing", serious=True))
    return remarks
