"""How much water to change each day so that ammonia and nitrite stay under their limits."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, Numbers
from waterplan.tank.answers import CHANCE, Answer, drawn
from waterplan.tank.checked import draws_in
from waterplan.tank.events import Event, WaterChange
from waterplan.tank.fish_events import Fed
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Water

# Ammonia without a filter is exact at any step, and pH between changes drifts slowly: 0.2 % of NH3 at four hours. A brisk
# filter cuts the step by itself.
_STEP_H = 4.0
_SHARE_TOLERANCE, _MOST_CHECKS, _MORE, _WORST_SHARE = 0.002, 6, 1.01, 0.9
_GAP_H = 24.0
_GUESSES, _FAR, _NEAR_ENOUGH = 5, 64.0, 0.003
# The longest that is looked at is when a hundredth of what was there at the start is left.
_LEFT_OF_START, _LEAST_DAYS = 0.01, 2.0
# Time in which the water airs, once ammonia is where it settles; alkalinity that comes with each mg of ammonia nitrogen.
_SETTLED_DAYS, _MG_CACO3_PER_MG_N, _MG_PER_G = 3.0, 50.043 / 14.007, 1000.0
_WORDS = {"tan_mg_n_per_l": "total ammonia", "nh3_mg_n_per_l": "un-ionised ammonia", "nitrite_mg_no2_per_l": "nitrite"}


@dataclass(frozen=True, slots=True, kw_only=True)
class NitrogenLimits:
    """Highest levels allowed at any time; one that is None is not asked for."""

    tan_mg_n_per_l: float | None = None
    nh3_mg_n_per_l: float | None = None
    nitrite_mg_no2_per_l: float | None = None

    def __post_init__(self) -> None:
        if not self.given():
            raise ImpossibleInput("limits", "none", "at least one of TAN, NH3 and nitrite")
        for name, level in self.given().items():
            if not level > 0.0:
                raise ImpossibleInput(f"limits: {name}", level, "above 0", unit="mg/L")

    def given(self) -> dict[str, float]:
        """The limits that are asked for, by the name of the state."""
        levels = ((name, getattr(self, name)) for name in _WORDS)
        return {name: level for name, level in levels if level is not None}


def daily_change_litres(
    setup: Setup, *, source: Water, limits: NitrogenLimits, events: Sequence[Event] = (), days: float = 7.0
) -> Answer:
    """The least water to change once a day so that no limit is passed.

    Parameters
    ----------
    setup : Setup
        Tank, fish, filter and all else; the best value of its volume turns the share into litres.
    source : Water
        The new water; its own ammonia and chloramine count.
    limits : NitrogenLimits
        Levels not to be passed once the first change, after a day, is done.
    events : sequence of Event
        Feeds and whatever else happens, in order of time.
    days : float
        Time looked at; without a filter the answer is that of a stay without end [day].

    Returns
    -------
    Answer
        Litres of each change, and which limit decides; None where a full change every day is not enough.

    Raises
    ------
    ImpossibleInput
        Limits, events or a time that are not possible.

    Notes
    -----
    Each draw is searched for the share that it would need by itself, a sixty-fourth at least; their quantile is then
    checked with all draws together, and raised where that was too kind.
    """
    question = _Question(setup=setup, source=source, limits=limits, events=tuple(events), days=days)
    litres = np.atleast_1d(np.asarray(setup.tank.volume_l, dtype=np.float64))
    shares = question.own_shares()
    found, ruling = question.checked(float(np.quantile(drawn(shares), CHANCE, method="higher")))
    value = None if found is None else found * float(litres[0])
    return Answer(value=value, each=shares * litres, ruled_by=ruling)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Question:
    """Everything that is the same in every trial of a search."""

    setup: Setup
    source: Water
    limits: NitrogenLimits
    events: tuple[Event, ...]
    days: float

    def own_shares(self) -> FloatArray:
        """The least share of a daily change that each draw would need by itself; infinite where a full one is too little."""
        draws = draws_in(self)
        # Against the reciprocal of the share the levels rise in an almost straight line: the secant is there soon.
        before, x = np.ones(draws), np.full(draws, 2.0)
        over_before = self.worst(1.0 / before) - 1.0
        never = over_before > 0.0
        if never.all():
            return np.full(draws, np.inf)
        for _ in range(_GUESSES):
            over = self.worst(1.0 / x) - 1.0
            rise = np.where(over == over_before, np.inf, over - over_before)
            x, before, over_before = np.clip(x - over * (x - before) / rise, 1.0, _FAR), x, over
            if np.all(never | (np.abs(x - before) < _NEAR_ENOUGH * x)):
                break
        return np.where(never, np.inf, 1.0 / x)

    def checked(self, share: float) -> tuple[float | None, str]:
        """The share, or a little more where not enough of the draws hold with it; None where a full change does not.

        With it the limit that decides: the one that is passed or nearest in the worst of the draws.
        """
        share = min(share, 1.0)
        for check in range(_MOST_CHECKS):
            ratios = self._ratios(share)
            worst = ratios.max(axis=0)
            level = float(np.quantile(drawn(worst), CHANCE, method="higher"))
            if level <= 1.0 or share >= 1.0:
                break
            # Levels go about as the reciprocal of what is changed; the last look is at the most that there is.
            more = share * max(level, _MORE) + _SHARE_TOLERANCE
            share = 1.0 if check == _MOST_CHECKS - 2 else min(1.0, more)
        bad = worst >= np.quantile(worst, _WORST_SHARE)
        ruling = list(self.limits.given())[int(np.bincount(np.argmax(ratios[:, bad], axis=0)).argmax())]
        return share if level <= 1.0 else None, _WORDS[ruling]

    def worst(self, share: Numbers) -> FloatArray:
        """The highest level of each draw after the first change, as a share of its limit."""
        return np.asarray(self._ratios(share).max(axis=0))

    def _ratios(self, share: Numbers) -> FloatArray:
        """The highest of each state and draw after the first change, as shares of their limits.

        The time looked at ends just before a change, where levels are highest. Without a filter it begins with the levels
        that the changes settle at; with one it is no longer than it takes what was there at the start to be changed away.
        """
        days, setup = self.days, self.setup
        if setup.filter is None:
            days, setup = max(_SETTLED_DAYS, 2.0 * _GAP_H / 24.0), self._settled(share)
        elif np.ndim(share) == 0 and 0.0 < float(share) < 1.0:
            settled_h = _GAP_H * (np.log(_LEFT_OF_START) / np.log1p(-float(share)) + 1.0)
            days = min(days, max(_LEAST_DAYS, settled_h / 24.0))
        changes = max(2, int(days * 24.0 / _GAP_H + 1e-9))
        until = changes * _GAP_H
        made = [
            WaterChange(at_h=_GAP_H * count, share_changed=share, source=self.source) for count in range(1, changes)
        ]
        events = [*(event for event in self.events if event.at_h <= until), *made]
        done = course(
            setup, sorted(events, key=lambda event: event.at_h), until_h=until, every_h=_STEP_H, step_h=_STEP_H
        )
        counted = done.hours > _GAP_H + 1e-6
        levels = self.limits.given()
        return np.vstack([done.states[name][counted].max(axis=0) / level for name, level in levels.items()])

    def _settled(self, share: Numbers) -> Setup:
        """The tank as changes of a share have left it for good: what each takes out is what has come in since the last.

        Without a filter this is the closed form; what the tank holds now stands where it is more, and its alkalinity is
        the higher of its own and of the new water's, with what the ammonia brings.
        """
        water, temp = self.setup.water, np.asarray(self.setup.water.water_temp_c)
        given = sum((fish.excretion_mg_n_per_h(temp) for fish in self.setup.fish), start=np.zeros(()))
        meals = [event for event in self.events if isinstance(event, Fed) and event.at_h < 24.0 * self.days]
        fed = sum((np.asarray(meal.feed_g) * meal.ammonia_kg_n_per_kg_feed for meal in meals), start=np.zeros(()))
        between = (given + fed * _MG_PER_G / (24.0 * self.days)) * _GAP_H / np.asarray(self.setup.tank.volume_l)
        risen = between * (1.0 - np.asarray(share)) / np.asarray(share)
        # What the meals of the day before have still to give off is put in at once.
        late = sum(
            (
                np.asarray(meal.feed_g) * meal.ammonia_kg_n_per_kg_feed * meal.share_left(24.0 - meal.at_h)
                for meal in meals
                if meal.at_h < 24.0
            ),
            start=np.zeros(()),
        )
        risen = risen + late * _MG_PER_G / np.asarray(self.setup.tank.volume_l)
        return replace(
            self.setup,
            water=replace(
                water,
                tan_mg_n_per_l=np.maximum(water.tan_mg_n_per_l, self.source.tan_with_chloramine_mg_n_per_l + risen),
                alkalinity_mg_caco3_per_l=np.maximum(
                    water.alkalinity_mg_caco3_per_l, self.source.alkalinity_mg_caco3_per_l
                )
                + risen * _MG_CACO3_PER_MG_N,
            ),
        )
