"""What is done to the water at a time: changes, salt, bicarbonate, ice, what is dissolved."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from waterplan.published import Numbers
from waterplan.tank.body import Body
from waterplan.tank.checked import check
from waterplan.tank.water_body import Water

_MG_NAHCO3_PER_MMOL = 84.007


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that happens at a time, counted in hours from the start."""

    words: ClassVar[str] = "event"
    at_h: float

    def __post_init__(self) -> None:
        check(self, called=self.called)

    @property
    def called(self) -> str:
        """The event in words, with its time."""
        return f"{self.words} at {self.at_h:g} h"

    def times_h(self) -> tuple[float, ...]:
        """The times at which something changes because of it."""
        return (self.at_h,)

    def happen(self, body: Body) -> None:
        """Does to the body what the event does."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterChange(Event):
    """A share is let out and as much of another water is poured in; `fill_up` brings it back to the first level."""

    words: ClassVar[str] = "water change"
    share_changed: Numbers
    source: Water
    fill_up: bool = True

    def happen(self, body: Body) -> None:
        """Lets out the share and fills."""
        before = body.volume_l
        level = np.maximum(before, body.tank.volume_l) if self.fill_up else before
        body.pour_out(self.share_changed)
        body.pour_in(level - body.volume_l, self.source)
        body.settle_ph()


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltDose(Event):
    """Salt is weighed in."""

    words: ClassVar[str] = "salt dose"
    salt_g: Numbers

    def happen(self, body: Body) -> None:
        """Adds the grams."""
        body.dissolve_salt(self.salt_g)


@dataclass(frozen=True, slots=True, kw_only=True)
class BicarbonateDose(Event):
    """Sodium bicarbonate is weighed in: alkalinity and carbon rise together."""

    words: ClassVar[str] = "bicarbonate dose"
    bicarbonate_g: Numbers

    def happen(self, body: Body) -> None:
        """Adds the grams."""
        millimoles = np.asarray(self.bicarbonate_g) * 1000.0 / _MG_NAHCO3_PER_MMOL
        body.dissolve_alkali(millimoles)
        body.settle_ph()


@dataclass(frozen=True, slots=True, kw_only=True)
class IceIn(Event):
    """Ice in sealed bottles is hung in the water."""

    words: ClassVar[str] = "ice"
    ice_kg: Numbers

    def happen(self, body: Body) -> None:
        """Hangs the ice in."""
        body.ice_kg = body.ice_kg + self.ice_kg
        body.ice_hangs = bool(body.ice_kg.any())


@dataclass(frozen=True, slots=True, kw_only=True)
class Dissolved(Event):
    """A substance is put in, with the acid or the bicarbonate that goes with it."""

    words: ClassVar[str] = "dose"
    name: str
    substance_g: Numbers
    acid_mmol: Numbers = 0.0
    bicarbonate_g: Numbers = 0.0

    def happen(self, body: Body) -> None:
        """Adds the substance, takes up the acid."""
        there = body.solutes.get(self.name, body.none)
        body.solutes[self.name] = there + np.asarray(self.substance_g) * 1000.0
        millimoles = np.asarray(self.bicarbonate_g) * 1000.0 / _MG_NAHCO3_PER_MMOL
        body.dissolve_alkali(millimoles)
        body.alkalinity_meq = body.alkalinity_meq - self.acid_mmol
        body.settle_ph()
