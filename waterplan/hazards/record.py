"""What a judgement keeps: the verdict, and apart from each other the inputs, the equations and the limit it rests on."""

from datetime import datetime
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from waterplan.stay.record import Moment, Origin, Record
from waterplan.stay.record import Why as Why  # noqa: PLC0414 - other rooms take it from here
from waterplan.tables import Row


class Verdict(StrEnum):
    """What a judgement says, from the best to the worst; a table decides it and nothing else."""

    WITHIN_LIMIT = "within limit"
    WATCH = "watch"
    NOT_KNOWN = "not known"
    ACT_NOW = "act now"
    REFUSED = "refused"

    @property
    def rank(self) -> int:
        """0 for the best."""
        return list(Verdict).index(self)


class Hazard(StrEnum):
    """What may harm: the names that the plan's record uses."""

    OXYGEN = "oxygen"
    AMMONIA = "ammonia"
    NITRITE = "nitrite"
    CHLORINE = "chlorine"
    PH = "ph"
    PH_CHANGE = "ph change"
    CARBON_DIOXIDE = "carbon dioxide"
    GAS_PRESSURE = "gas pressure"
    TEMPERATURE = "temperature"
    TEMPERATURE_STEP = "temperature step"
    SALT = "salt"
    SALT_STEP = "salt step"
    ALKALINITY = "alkalinity"
    STOCKING = "stocking"
    SUBSTANCE = "substance"
    CONFLICT = "conflict"
    VOLUME = "volume"
    CONTRADICTION = "contradiction"
    SIGN = "sign"
    DISEASE = "disease"


class Side(StrEnum):
    """On which side of its limit a figure should be."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    BETWEEN = "between"


class Limit(Record):
    """A limit with the row that it comes from; `upper` is there where a figure must stay between two."""

    value: float | None
    upper: float | None = None
    unit: str
    side: Side
    row: str
    status: str
    source: str

    @classmethod
    def of_row(cls, row: Row, *, value: float | None, upper: float | None = None, unit: str, side: Side) -> "Limit":
        """What a row of a table comes to in a water."""
        return cls(value=value, upper=upper, unit=unit, side=side, row=row.id, status=row.status, source=row.source)


class Input(Record):
    """A quantity that a judgement was made from, and whether the verdict may lean on it only if it was measured."""

    water: str
    quantity: str
    origin: Origin
    decides: bool


class EquationUsed(Record):
    """An equation, its source, and the arguments that lay outside the range it was fitted to."""

    name: str
    source: str
    outside: tuple[str, ...] = ()


class Measure(Record):
    """A reading that may move the verdict: what, where, with what, and the chance that it does."""

    water: str
    quantity: str
    measured_with: Annotated[str, Field(alias="with")]
    would_change: float | None = None


class Judgement(Record):
    """One hazard of one water for one group of occupants over one stretch of time."""

    id: str
    hazard: Hazard
    moment: Moment
    water: str
    fish: tuple[str, ...] = ()
    start: Annotated[datetime | None, Field(alias="from")] = None
    until: datetime | None = None
    given_done: tuple[str, ...] = ()
    figure: str | None = None
    verdict: Verdict
    whatever: bool = False
    chance: float | None = None
    chance_counts: str | None = None
    until_harm: str | None = None
    limit: Limit | None = None
    inputs: tuple[Input, ...] = ()
    equations: tuple[EquationUsed, ...] = ()
    measure: tuple[Measure, ...] = ()
    answered_by: tuple[str, ...] = ()
    before: str | None = None
    why: tuple[Why, ...] = ()

    def is_over(self, now: datetime | None) -> bool:
        """Whether the stretch that it judges is past at a time."""
        return now is not None and self.until is not None and self.until <= now
