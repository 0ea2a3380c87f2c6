"""What an action keeps: what, in which water, by when, how much, what it answers and what it leads to."""

from datetime import datetime
from enum import StrEnum

from waterplan.hazards.record import Why
from waterplan.stay.record import Moment, Record

# Why a way does not answer that only another kind of water has: it stands in the record and on no page.
NOT_HERE = "not-in-this-kind-of-water"
# A caution that makes an action one for a case only: its line says that, and no day.
ONLY_IF_TAP_RAN_IN = "only-if-tap-water-ran-in"
# Units of what is weighed, drawn up or poured: an instruction leaves none of it out.
MEASURED = frozenset({"g", "kg", "mg", "mL", "L", "L/min"})
# The amounts of a dose that go into its mixture as they are: what is given of it is drawn from that.
UNMIXED = frozenset({"vial", "bottle", "weigh"})


class Kind(StrEnum):
    """The kinds of action; the table `action_kinds` gives the order in which they are sized."""

    PEOPLE = "people"
    SOURCE_OFF = "source off"
    FIRST_AID = "first aid"
    AIR = "air"
    MOVE_NOTHING = "move nothing"
    MOVE = "move"
    NEW_WATER = "new water"
    PACK = "pack"
    NEUTRALISE = "neutralise"
    CHANGE = "change"
    COOL = "cool"
    WARM = "warm"
    DEGAS = "degas"
    SALT = "salt"
    CHEMISTRY = "chemistry"
    STOP_FEEDING = "stop feeding"
    FEED = "feed"
    DOSE = "dose"
    INJECTION = "injection"
    ACCLIMATE = "acclimate"
    WAIT = "wait"
    MEANT = "meant"
    ASK = "ask"
    MEASURE = "measure"


class Who(StrEnum):
    """Who does it."""

    VET = "vet"
    NURSE = "nurse"
    OWNER = "owner"


class Instead(Record):
    """Another kind of action and why it does not answer here; `own_tub` where it is into a tub of the same water, of any name."""

    kind: Kind
    because: tuple[Why, ...]
    own_tub: bool = False


class Action(Record):
    """One thing to be done; every amount is a figure, and a list of parts adds up to its amount.

    Where `part_every_h` is given, the parts follow each other so, and `every_h` is from one such round to the next. `done` is
    when it was done; where `was_due`, its time is past and nobody wrote down that it was.
    """

    id: str
    kind: Kind
    moment: Moment
    water: str | None
    who: Who
    at: datetime | None = None
    by: datetime | None = None
    until: datetime | None = None
    needs: tuple[str, ...] = ()
    amounts: dict[str, str] = {}
    parts: int = 1
    part_amounts: dict[str, tuple[float, ...]] = {}
    every_h: float | None = None
    part_every_h: float | None = None
    source: str | None = None
    substance: str | None = None
    words: dict[str, str] = {}
    steps: tuple[Why, ...] = ()
    answers: tuple[str, ...] = ()
    leads_to: tuple[str, ...] = ()
    costs: tuple[Why, ...] = ()
    worked_out_for: dict[str, str] = {}
    done: datetime | None = None
    was_due: bool = False
    refused_because: tuple[Why, ...] = ()
    instead: tuple[Instead, ...] = ()
    cautions: tuple[Why, ...] = ()

    @property
    def is_open(self) -> bool:
        """Whether it is still to be done: neither refused nor done."""
        return not self.refused_because and self.done is None

    @property
    def is_conditional(self) -> bool:
        """Whether it is only for where untreated tap water ran in."""
        return any(why.code == ONLY_IF_TAP_RAN_IN for why in self.cautions)
