"""What a plan keeps of figures, fish and waters: no draws, no words, and identities that are paths."""

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator


class Record(BaseModel):
    """A part of the plan: frozen, and strict about its keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, allow_inf_nan=False)


class Moment(StrEnum):
    """The practitioner's own order of work."""

    CALL = "call"
    PREPARE = "prepare"
    PROCEDURE = "procedure"
    REVIVAL = "revival"
    HOSPITAL = "hospital"
    HOME = "home"
    RECHECK = "recheck"


class ActEnd(StrEnum):
    """Which end of its band a person acts by."""

    LOW = "low"
    HIGH = "high"
    BEST = "best"


class Origin(StrEnum):
    """Where a quantity of a water comes from."""

    MEASURED = "measured"
    ASSUMED = "assumed"
    WORKED_OUT = "worked out"


class FishState(StrEnum):
    """What a fish is going through; it decides its uptake and the oxygen it must have."""

    AT_REST = "at rest"
    HANDLED = "handled"
    ANAESTHETISED = "anaesthetised"
    RECOVERING = "recovering"


class WaterKind(StrEnum):
    """What a body of water is for."""

    HOME = "home"
    SOURCE = "source"
    INDUCTION = "induction"
    IRRIGATION = "irrigation"
    REVIVAL = "revival"
    HOSPITAL = "hospital"
    DIP = "dip"
    BAG = "bag"
    BOX = "box"


class HangsOn(Record):
    """An input and its share in a figure's band."""

    input: str
    share: float


class Figure(Record):
    """One number with its band; an end that is None is infinite (a time that never comes), in a share `never` of the draws.

    `act_on` is `act_end` rounded once, in the safe direction, to what a person can read, weigh or wait; None where that
    end is infinite. `rows` and `equations` are what it was worked out with.
    """

    best: float | None
    low: float | None
    high: float | None
    unit: str
    act_on: float | None
    act_end: ActEnd
    never: float | None = None
    hangs_on: tuple[HangsOn, ...] = ()
    rows: tuple[str, ...] = ()
    equations: tuple[str, ...] = ()
    worked_out_for: str | None = None

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        ends = [float("inf") if end is None else end for end in (self.low, self.best, self.high)]
        if not ends[0] <= ends[1] <= ends[2]:
            raise ValueError(f"low <= best <= high does not hold: {ends}")
        return self


class Fish(Record):
    """A fish, or several alike; `weight` and `length` are figures of one of them, `done` is what was done to it."""

    id: str
    name: str
    species: str
    patient: bool
    count: int
    weight: str | None = None
    length: str | None = None
    done: str = ""


class Occupant(Record):
    """Who is in a water, from when until when, in what state."""

    fish: str
    state: FishState
    start: Annotated[datetime | None, Field(alias="from")] = None
    until: datetime | None = None


class Quantity(Record):
    """One quantity of a state: its figure, and where that comes from."""

    figure: str
    origin: Origin
    measured_with: Annotated[str | None, Field(alias="with")] = None
    taken: datetime | None = None
    came_from: Annotated[str | None, Field(alias="from")] = None
    why: str | None = None
    text: str | None = None


class Content(Record):
    """A substance in a water, its level, and the action or the line of the case that put it there."""

    substance: str
    level: str | None
    came_from: Annotated[str, Field(alias="from")]


class State(Record):
    """A water at one time: after which actions, and whether that would only be so if a refused one were done."""

    at: datetime | None
    after: tuple[str, ...] = ()
    hypothetical: bool = False
    quantities: dict[str, Quantity]
    contents: tuple[Content, ...] = ()


class Water(Record):
    """One body of water, by its path; `name` is what a person calls it and decides nothing.

    `of` says where new water comes from: of the tap, a well, rain.
    """

    id: str
    name: str
    kind: WaterKind
    of: str = ""
    occupants: tuple[Occupant, ...] = ()
    pours_into: tuple[str, ...] = ()
    states: tuple[State, ...] = ()

    @property
    def left(self) -> datetime | None:
        """When the last of its fish leaves; None where no time is known."""
        return max((one.until for one in self.occupants if one.until), default=None)


class Series(Record):
    """A quantity of a water against time, for a picture: hours from `start`, with its band."""

    water: str
    quantity: str
    unit: str
    start: datetime | None
    hours: tuple[float, ...]
    low: tuple[float, ...]
    best: tuple[float, ...]
    high: tuple[float, ...]
    limit: float | None = None
    as_planned: bool = True


class Why(Record):
    """A reason as a key of the phrase book, with the figures, times and words that belong into it."""

    code: str
    figures: dict[str, str] = {}
    words: dict[str, str] = {}


class Way(Record):
    """One way in which a volume was found: its figure, and why it was refused or is not counted with the others.

    `readings` are as they were written (of rows, how many); `corrections` are figures in litres, less than nothing
    where they take away.
    """

    by: str
    part: str | None = None
    figure: str | None = None
    refused: tuple[Why, ...] = ()
    readings: dict[str, str] = {}
    corrections: dict[str, str] = {}


class VolumeFound(Record):
    """The volume of a water: every way, and what was taken of them.

    `agree` is None where there are not two to compare; `odd` is the figure of the way without which the others agree
    best. `use_for` gives for each use the figure whose number to act by is the safe end. For a drawing: the shore, the
    soundings (x, y, depth), and the floor between them (x, y, depth) in square cells of a side of `cell_m`.
    """

    water: str
    figure: str
    ways: tuple[Way, ...]
    agree: bool | None = None
    odd: str | None = None
    use_for: dict[str, str] = {}
    outline_m: tuple[tuple[float, float], ...] = ()
    soundings_m: tuple[tuple[float, float, float], ...] = ()
    floor_m: tuple[tuple[float, float, float], ...] = ()
    cell_m: float | None = None
