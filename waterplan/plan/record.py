"""The whole plan as a record: what papers, screens and other programs read, and nothing else."""

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field

from waterplan.actions.record import Action
from waterplan.hazards.record import Judgement
from waterplan.stay.record import Figure, Fish, Moment, Record, Series, Water
from waterplan.stay.record import VolumeFound as VolumeFound  # noqa: PLC0414 - other rooms take it from here


class Readiness(StrEnum):
    """How a moment stands."""

    READY = "ready"
    READY_IF_DONE = "ready if done"
    NOT_READY = "not ready"
    NOT_KNOWN = "not known"


class Made(Record):
    """With what, when and from which draws the plan was made."""

    version: str
    tables: str
    draws: int
    seed: int
    as_of: datetime | None
    operation_at: datetime | None = None
    invented: bool


class MomentState(Record):
    """A moment: its state, which judgements make it so, and all that belongs to it, in order."""

    moment: Moment
    state: Readiness
    because: tuple[str, ...] = ()
    judgements: tuple[str, ...] = ()
    actions: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether nothing belongs to it: then nothing is said of it, least of all that it is ready."""
        return not (self.judgements or self.actions)


class MeasureNext(Record):
    """A reading to take next, the judgements that it may move, and the actions of which it may change an amount."""

    water: str
    quantity: str
    measured_with: Annotated[str, Field(alias="with")]
    changes: tuple[str, ...]
    amounts: tuple[str, ...] = ()


class FirstPage(Record):
    """What comes first: at most five actions, three readings, amounts to have ready, and what was refused."""

    do_now: tuple[str, ...] = ()
    and_more: int = 0
    measure_next: tuple[MeasureNext, ...] = ()
    have_ready: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()


class Written(Record):
    """One line of the case as it was written: `patient`, 1, `weight`, `0.62 kg, scales`."""

    section: str
    ordinal: int
    key: str
    text: str


class Read(Record):
    """One reading as it was logged."""

    taken: datetime
    water: str
    quantity: str
    text: str


class Day(Record):
    """A round of the hospital stay: when, and what is due (actions)."""

    at: datetime
    day: int
    actions: tuple[str, ...] = ()


class Grid(Record):
    """A small table of figures: rows by columns, as the total ammonia that is at its limit by pH and temperature."""

    columns: tuple[float, ...]
    column_unit: str
    rows: tuple[float, ...]
    row_unit: str
    cells: tuple[tuple[float, ...], ...]
    unit: str
    table_rows: tuple[str, ...] = ()


class RowUsed(Record):
    """A row of a reference table that a figure, a limit or an action rests on."""

    table: str
    words: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    printed: str
    source: str
    locator: str
    status: str
    reason: str


class Source(Record):
    """Who wrote it, when, and what it is called."""

    who: str
    year: str
    title: str
    where: str = ""


class Plan(Record):
    """What follows from a case."""

    waterplan_plan: Literal[2] = 2
    made: Made
    figures: dict[str, Figure]
    fish: tuple[Fish, ...]
    waters: tuple[Water, ...]
    judgements: tuple[Judgement, ...]
    actions: tuple[Action, ...]
    moments: tuple[MomentState, ...]
    first_page: FirstPage
    title: dict[str, str] = {}
    written: tuple[Written, ...] = ()
    read: tuple[Read, ...] = ()
    days: tuple[Day, ...] = ()
    series: dict[str, Series] = {}
    grids: dict[str, Grid] = {}
    volumes: tuple[VolumeFound, ...] = ()
    rows: dict[str, RowUsed] = {}
    sources: dict[str, Source] = {}
