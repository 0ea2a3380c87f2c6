"""What actions do to waters: the only things that change a stay."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from waterplan.published import FloatArray, Numbers
from waterplan.stay.state import Known


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """Something that an action does to a water: before its fish go in where `at_h` is None, else at that hour.

    A proposal for one water puts the action and the water in.
    """

    action: str = ""
    water: str = ""
    at_h: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AirIsOn(Effect):
    """So much air through so many stones from now on, in place of what was on; `oxygen` is bottled oxygen."""

    l_per_min: Numbers
    stones: int
    oxygen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Aired(Effect):
    """The water is aired before it is used: through, until it is in balance with the air, or until it holds so much
    carbon dioxide and no more.
    """

    co2_mg_per_l: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Oxygenated(Effect):
    """Bottled oxygen has brought the water to a level before its fish go in."""

    oxygen_mg_per_l: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Neutralised(Effect):
    """Chlorine is taken out and a test has shown it; what chloramine leaves is ammonia."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed(Effect):
    """Litres let out and poured in again from a source, in parts; once, or every so many hours until an hour.

    The new water is brought to the tank's temperature, treated and aired before it goes in; where `salted_g_per_l` is
    given, it is salted to that level, and where `buffered_mg_caco3_per_l` is given, its alkalinity is brought up to
    that by bicarbonate.
    """

    litres: Numbers
    source: str
    parts: int = 1
    part_every_h: float = 0.5
    every_h: float | None = None
    until_h: float | None = None
    salted_g_per_l: Numbers | None = None
    buffered_mg_caco3_per_l: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtTo(Effect):
    """The water is warmed or cooled to a temperature before its fish go in; `like` is that of a water it is made like."""

    temp_c: FloatArray
    like: Known | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermostatRamp(Effect):
    """The thermostat is set step by step: hours of the stay and temperatures; `heater_w` where a heater is put in."""

    rungs: Sequence[tuple[float, float]]
    heater_w: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Repacked(Effect):
    """A bag is packed with so many litres of the same water, or of oxygen over it; what is None stays as it was."""

    litres: float | None = None
    gas_l: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltIn(Effect):
    """Salt weighed in, in parts: hours of the stay (None: before the fish) and grams."""

    parts: Sequence[tuple[float | None, Numbers]]


@dataclass(frozen=True, slots=True, kw_only=True)
class SubstanceIn(Effect):
    """A substance weighed or measured in, with the acid or bicarbonate that goes with it."""

    substance: str
    grams: Numbers
    acid_mmol: Numbers = 0.0
    bicarbonate_g: Numbers = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class NotFed(Effect):
    """No meals in this water from now on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOut(Effect):
    """A fish, or several, leave the water."""

    fish: Sequence[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class IceHung(Effect):
    """Ice in sealed bottles is hung in the water: so many kilograms in all, in parts."""

    parts: Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterLost(Effect):
    """A treatment harms the filter: it counts for nothing from now on."""

    treatment: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Effects:
    """Effects by the water that they are done to, in the order in which they were accepted."""

    all: tuple[Effect, ...] = ()

    def on(self, water: str) -> tuple[Effect, ...]:
        """The effects on one water."""
        return tuple(one for one in self.all if one.water == water)

    def dosed_h(self, water: str) -> float:
        """The hour from which a dose is in a water, which treating and airing does not take out; infinite where none comes."""
        put_in = (one.at_h for one in self.on(water) if isinstance(one, SubstanceIn) and one.at_h is not None)
        return min(put_in, default=math.inf)

    def salted_h(self, water: str) -> float:
        """The hour from which salt is in a water with its fish in it, and in what is drawn from it; infinite where none is."""
        parts = (at_h for one in self.on(water) if isinstance(one, SaltIn) for at_h, _ in one.parts)
        return min((at_h for at_h in parts if at_h is not None), default=math.inf)

    def put_in_h(self, water: str) -> float:
        """The hour of the first of both."""
        return min(self.dosed_h(water), self.salted_h(water))

    def with_(self, *more: Effect) -> "Effects":
        """These and more."""
        return Effects(all=(*self.all, *more))
