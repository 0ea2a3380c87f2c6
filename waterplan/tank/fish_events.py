"""What happens to the fish and to the filter: in and out, fed, handled, treated, tested."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import ClassVar

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers
from waterplan.tank.biofilter import FilterState
from waterplan.tank.body import Body, Effect
from waterplan.tank.events import Event
from waterplan.tank.occupants import Fish

_CLEAN_TESTS_NEEDED = 2
_MG_PER_KG_PER_G = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FishIn(Event):
    """A fish is put in."""

    words: ClassVar[str] = "fish in"
    fish: Fish

    def happen(self, body: Body) -> None:
        """Adds the fish."""
        if self.fish.name in body.fish:
            raise ImpossibleInput(f"{self.called}: name", self.fish.name, "a fish that is not in the water yet")
        body.fish[self.fish.name] = self.fish


@dataclass(frozen=True, slots=True, kw_only=True)
class FishOut(Event):
    """A fish is taken out."""

    words: ClassVar[str] = "fish out"
    name: str

    def happen(self, body: Body) -> None:
        """Takes the fish out."""
        _require_fish(self, body, self.name)
        del body.fish[self.name]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fed(Event):
    """A meal: its ammonia comes off over a day, and the fish that ate breathe more while they digest."""

    words: ClassVar[str] = "feed"
    feed_g: Numbers
    ammonia_kg_n_per_kg_feed: Numbers = 0.022
    uptake_factor: Numbers = 2.0
    digestion_h: float = 12.0
    name: str | None = None

    def times_h(self) -> tuple[float, ...]:
        """The edges of the release and of the digestion."""
        return (self.at_h, self.at_h + self.digestion_h, *(end for _, end, _ in self._release()))

    def happen(self, body: Body) -> None:
        """Starts the digestion."""
        _require_fish(self, body, self.name)
        nitrogen_mg = np.asarray(self.feed_g) * self.ammonia_kg_n_per_kg_feed * _MG_PER_KG_PER_G
        for start, end, share in self._release():
            body.effects.append(Effect(start_h=start, end_h=end, nitrogen_mg_per_h=nitrogen_mg * share / (end - start)))
        body.effects.append(
            Effect(
                start_h=self.at_h,
                end_h=self.at_h + self.digestion_h,
                fish=self.name,
                uptake_factor=self.uptake_factor,
            )
        )

    def share_left(self, hours: float) -> float:
        """The share of a meal's ammonia that is still to come off some hours after it."""
        left = 0.0
        for start, end, share in self._release():
            left += share * min(max((end - self.at_h - hours) / (end - start), 0.0), 1.0)
        return left

    def _release(self) -> Iterator[tuple[float, float, float]]:
        start = self.at_h
        for row in tables.rows("feed_release"):
            end = self.at_h + float(row["until_h"])
            yield start, end, row.value
            start = end


@dataclass(frozen=True, slots=True, kw_only=True)
class Handled(Event):
    """A fish is netted, examined, operated on: extra uptake for `handled_h`, then a third of it for twice as long.

    `ago_h` is how long before `at_h` that was: what is left of it is counted. Where each draw wears off at a time of its
    own, it takes between two times of the course what it takes in their mean.
    """

    words: ClassVar[str] = "handling"
    stress_factor: Numbers
    handled_h: Numbers = 1.0
    ago_h: float = 0.0
    name: str | None = None

    def times_h(self) -> tuple[float, ...]:
        """The time itself, and both ends of the shortest, the best and the longest of the draws."""
        lasts = np.atleast_1d(self.handled_h)
        ends = {times * float(one) - self.ago_h for times in (1.0, 3.0) for one in (lasts.min(), lasts[0], lasts.max())}
        return (self.at_h, *(self.at_h + end for end in sorted(ends) if end > 0.0))

    def happen(self, body: Body) -> None:
        """Raises the uptake."""
        _require_fish(self, body, self.name)
        more = np.asarray(self.stress_factor) - 1.0
        for start, end in pairwise(self.times_h()):
            since_h = self.ago_h - self.at_h
            in_full, by_a_third = handled_shares(self.handled_h, start + since_h, end + since_h)
            factor = 1.0 + more * (in_full + by_a_third / 3.0)
            body.effects.append(Effect(start_h=start, end_h=end, fish=self.name, uptake_factor=factor))


def handled_shares(handled_h: Numbers, start_h: float, end_h: float) -> tuple[Numbers, Numbers]:
    """The shares of a time since a fish was handled in which it takes more in full, and by a third."""

    def until(last_h: Numbers) -> Numbers:
        return np.clip((last_h - start_h) / (end_h - start_h), 0.0, 1.0)

    in_full = until(np.asarray(handled_h))
    return in_full, until(3.0 * np.asarray(handled_h)) - in_full


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterDamaged(Event):
    """A treatment that harms the filter, named: it counts for nothing from now on."""

    words: ClassVar[str] = "filter damaged"
    treatment: str

    def happen(self, body: Body) -> None:
        """Stops counting the filter."""
        if body.filter is None:
            raise ImpossibleInput(self.called, "no filter", "a tank that has a filter")
        body.filter = replace(body.filter, state=FilterState.DAMAGED)
        body.clean_tests = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PairedTest(Event):
    """Ammonia and nitrite before and after the filter's work: two clean ones running give a damaged filter back."""

    words: ClassVar[str] = "paired test"
    clean: bool

    def happen(self, body: Body) -> None:
        """Counts the test."""
        if body.filter is None:
            raise ImpossibleInput(self.called, "no filter", "a tank that has a filter")
        body.clean_tests = body.clean_tests + 1 if self.clean else 0
        if body.clean_tests >= _CLEAN_TESTS_NEEDED and body.filter.state is FilterState.DAMAGED:
            body.filter = replace(body.filter, state=FilterState.SEEDED)


def _require_fish(event: Event, body: Body, name: str | None) -> None:
    if not body.fish or (name is not None and name not in body.fish):
        there = ", ".join(body.fish) or "none"
        raise ImpossibleInput(f"{event.called}: name", name or "every fish", f"a fish that is in the water ({there})")
