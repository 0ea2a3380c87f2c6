"""The whole plan as a record: what papers, screens and other programs read, and nothing else."""

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field

from waterplan.actions.record import Action
from waterplan.hazards.record import Judgement, Limit, Why
from waterplan.stay.record import Figure, Fish, Moment, Record, Series, Water
from waterplan.stay.record import VolumeFound as VolumeFound  # noqa: PLC0414 - other rooms take it from here


class Readiness(StrEnum):
    """How a moment stands."""

    READY = "ready"
    READY_IF_DONE = "ready if done"
    NOT_READY = "not ready"
    NOT_KNOWN = "not known"
    OVER = "over"


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


class Go(StrEnum):
    """Whether the operation goes on; `urgent` where it is stated not to wait and a condition is open."""

    GO = "go"
    GO_IF_DONE = "go if done"
    POSTPONE = "postpone"
    URGENT = "urgent"


class Condition(Record):
    """What must be so before a fish is lifted, how it stands, and the judgements and actions that make it so."""

    condition: str
    state: Readiness
    because: tuple[str, ...] = ()


class GoNoGo(Record):
    """Go or no-go for an operation that is to come."""

    go: Go
    conditions: tuple[Condition, ...]


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
    """A round of the stay in a hospital tank: which tank, when, and what is due (actions)."""

    water: str
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


class VanItem(Record):
    """Something to load, for which waters: its figure, and the figures of the plan that it adds up.

    Each is taken once, or as often as `times` says. `part` is `water`, `filled` (there already), `reagent`, `drug`,
    `ice`, `air`, `oxygen` or `kit`; `spare` the row of what is added to spare.
    """

    part: str
    what: str
    figure: str
    of: tuple[str, ...] = ()
    times: tuple[int, ...] = ()
    waters: tuple[str, ...] = ()
    spare: str | None = None


class RowUsed(Record):
    """A row of a reference table that a figure, a limit or an action rests on.

    `printed` is its value as the table prints it; `decides` are the judgements and actions whose limit it is, or whose
    figures or reasons rest on it: none for an error or a range that goes into the draws.
    """

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
    decides: tuple[str, ...] = ()


class Source(Record):
    """Who wrote it, when, and what it is called."""

    who: str
    year: str
    title: str
    where: str = ""

    @property
    def cited(self) -> str:
        """Who and when, as a text names it."""
        return " ".join(filter(None, (self.who, self.year)))


class Direction(StrEnum):
    """Where readings go from the first to the last, beyond the errors of both; `steady` is no more than that."""

    RISES = "rises"
    FALLS = "falls"
    STEADY = "steady"


class Gap(Record):
    """A time of which a log says nothing, longer than the rule lets pass."""

    start: datetime
    until: datetime


class Trend(Record):
    """The readings of one quantity of one water: first, last, lowest, highest, and how they stand to limit and plan.

    `texts` are the first and the last as they were written, `outside` is how many of all lie beyond the limit. `expected`
    is what the course of the last plan had for the time of the last reading, and `against_plan` on which side of it that
    lies, beyond the errors of both.
    """

    water: str
    quantity: str
    count: int
    began: datetime
    ended: datetime
    first: str
    last: str
    lowest: str
    highest: str
    texts: tuple[str, str]
    direction: Direction
    limit: Limit | None = None
    outside: int = 0
    expected: str | None = None
    against_plan: Direction | None = None
    gaps: tuple[Gap, ...] = ()


class Differs(StrEnum):
    """What of a thing reads differently than in the last plan; in the order in which it is told."""

    DATE = "date"
    WORSE = "worse"
    BETTER = "better"
    MOMENT = "moment"
    NEW = "new"
    REFUSED = "refused"
    OPEN = "open again"
    GONE = "gone"
    DONE = "done"
    WAS_DUE = "was due"
    AMOUNT = "amount"
    OTHERWISE = "otherwise"
    MEASURE = "measure"
    TIME = "time"


class Difference(Record):
    """One thing that reads differently than in the last plan, and the readings of now that it rests on and that differ.

    `of` is the path of a judgement, an action, a moment or a reading; `name` is which amount or which time of it.
    """

    of: str
    what: Differs
    name: str = ""
    before: str | None = None
    now: str | None = None
    was: Figure | None = None
    figure: str | None = None
    because: tuple[str, ...] = ()
    why: tuple[Why, ...] = ()


class Rewritten(Record):
    """A line of the case that is another than it was: empty where there was none, or is none now."""

    section: str
    ordinal: int
    key: str
    before: str
    now: str


class Changes(Record):
    """What reads differently than in the last plan of the case, and what was read and written since.

    `taken_back` are readings that the last plan had and this one has not; `actions` and `judgements` are those of the
    last plan that are gone.
    """

    since: datetime | None
    version: str
    tables: str
    differences: tuple[Difference, ...]
    read: tuple[Read, ...] = ()
    taken_back: tuple[Read, ...] = ()
    written: tuple[Rewritten, ...] = ()
    actions: tuple[Action, ...] = ()
    judgements: tuple[Judgement, ...] = ()


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
    operation: GoNoGo | None = None
    title: dict[str, str] = {}
    written: tuple[Written, ...] = ()
    read: tuple[Read, ...] = ()
    days: tuple[Day, ...] = ()
    series: dict[str, Series] = {}
    grids: dict[str, Grid] = {}
    volumes: tuple[VolumeFound, ...] = ()
    van: tuple[VanItem, ...] = ()
    trends: tuple[Trend, ...] = ()
    changes: Changes | None = None
    rows: dict[str, RowUsed] = {}
    sources: dict[str, Source] = {}
