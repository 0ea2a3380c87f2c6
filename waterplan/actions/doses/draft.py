"""An action while its sum is made: its amounts as figures, its reasons as keys of the phrase book, its effects."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType
from typing import Any

from waterplan import tables
from waterplan.actions.proposing import Proposal
from waterplan.actions.record import Action, Instead, Kind, Who
from waterplan.hazards.record import Why
from waterplan.published import Numbers
from waterplan.stay.effects import Effect
from waterplan.stay.figures import Figures
from waterplan.stay.record import ActEnd, Moment


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """A reason before its numbers are figures: `numbers` are values or draws with their unit, by name."""

    code: str
    numbers: Mapping[str, tuple[Numbers, str]] = field(default_factory=lambda: MappingProxyType({}))
    words: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))


class Stopped(Exception):  # noqa: N818 - the plan goes on with the action refused
    """An action that is not ordered, and why."""

    def __init__(self, *reasons: Reason, instead: Iterable[tuple[Kind, Reason]] = ()) -> None:
        self.reasons = reasons
        self.instead = tuple(instead)
        super().__init__(", ".join(reason.code for reason in reasons))


def reason(code: str, words: Mapping[str, str] | None = None, /, **numbers: tuple[Numbers, str]) -> Reason:
    """A reason by its code, with the words and the numbers that belong into its phrase; `_` in a name is a space."""
    told = {name.replace("_", " "): number for name, number in numbers.items()}
    return Reason(code=code, numbers=told, words=words or {})


def all_in(unit: str, /, **values: Numbers) -> dict[str, tuple[Numbers, str]]:
    """The numbers of a reason that have one unit."""
    return {name: (value, unit) for name, value in values.items()}


def forbidden(rule: str, **words: str) -> Stopped:
    """An action that a rule of the table `conflicts` forbids, by the rule's name."""
    row = tables.row("conflicts", rule=rule)
    told = reason("forbidden-by-rule", {"rule": row["rule"], "table": row.id, **words})
    return Stopped(told, instead=[(Kind(row["instead"]), told)] if row["instead"] else ())


# What a draft has in common with its action, whether it is ordered or not; and what only one that is ordered keeps.
_TOLD = (
    *("id", "kind", "moment", "water", "who", "at", "until", "substance"),
    *("words", "costs", "worked_out_for", "done", "was_due", "cautions"),
)
_ORDERED = ("needs", "amounts", "parts", "part_amounts", "every_h")


@dataclass(slots=True, kw_only=True)
class Draft:
    """An action that is being worked out; `path` is where its figures go, `induction-1/tricaine`."""

    kind: Kind
    moment: Moment
    water: str | None
    who: Who
    path: str
    figures: Figures
    at: datetime | None = None
    until: datetime | None = None
    substance: str | None = None
    amounts: dict[str, str] = field(default_factory=dict)
    part_amounts: dict[str, tuple[float, ...]] = field(default_factory=dict)
    parts: int = 1
    every_h: float | None = None
    needs: tuple[str, ...] = ()
    words: dict[str, str] = field(default_factory=dict)
    worked_out_for: dict[str, str] = field(default_factory=dict)
    costs: list[Why] = field(default_factory=list)
    cautions: list[Why] = field(default_factory=list)
    effects: list[Effect] = field(default_factory=list)
    done: datetime | None = None
    was_due: bool = False
    _said: dict[str, int] = field(default_factory=dict)

    @property
    def id(self) -> str:
        """The path of the action."""
        return f"{self.moment}/{self.kind}/{self.path}"

    def done_or_due(self, done: datetime | None, due: datetime | None) -> None:
        """When it was done by what the case tells; else when it was due, where that is past."""
        self.done, self.was_due = done or due, done is None and due is not None

    def figure(self, name: str, draws: Numbers, unit: str, **more: Any) -> str:
        """Puts a figure of this action under its path."""
        return self.figures.put(f"{self.path}/{name}", draws, unit=unit, **more)

    def amount(self, name: str, draws: Numbers, unit: str, *, act_end: ActEnd = ActEnd.LOW, **more: Any) -> None:
        """A figure that is an amount of the action."""
        self.amounts[name] = self.figure(name, draws, unit, act_end=act_end, **more)

    def why(self, given: Reason) -> Why:
        """A reason with its numbers put among the figures."""
        ordinal = self._said[given.code] = self._said.get(given.code, 0) + 1
        path = given.code if ordinal == 1 else f"{given.code}/{ordinal}"
        told = {
            name: self.figure(f"{path}/{name}", value, unit, act_end=ActEnd.BEST, act_on=_exact(value))
            for name, (value, unit) in given.numbers.items()
        }
        return Why(code=given.code, figures=told, words=dict(given.words))

    def caution(self, *given: Reason) -> None:
        """Something to be told beside the action."""
        for one in given:
            if not any(two.code == one.code and two.words == dict(one.words) for two in self.cautions):
                self.cautions.append(self.why(one))

    def cost(self, *given: Reason) -> None:
        """What the action costs that is less than harm."""
        self.costs += [self.why(one) for one in given]

    def proposal(self, stopped: Stopped | None = None) -> Proposal:
        """The action with its effects; refused and without them where it was stopped."""
        told: dict[str, Any] = {name: getattr(self, name) for name in (*_TOLD, *(() if stopped else _ORDERED))}
        if stopped:
            told["refused_because"] = tuple(self.why(one) for one in stopped.reasons)
            told["instead"] = tuple(Instead(kind=kind, because=(self.why(one),)) for kind, one in stopped.instead)
        return Proposal(action=Action(**told), effects=() if stopped or self.done else tuple(self.effects))


def _exact(value: Numbers) -> float | None:
    """A number that has no draws is told as it is, without digits that nobody reads."""
    return float(f"{value:.4g}") if isinstance(value, int | float) else None
