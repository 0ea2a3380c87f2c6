"""What a kind of action is given to work with, and what it hands back."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from waterplan.actions.record import Action
from waterplan.hazards.record import Hazard, Judgement, Verdict, Why
from waterplan.hazards.subject import Judged
from waterplan.stay.effects import Effect, Effects
from waterplan.stay.figures import Figures
from waterplan.stay.ground import Ground
from waterplan.stay.whole import Stay


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """An action's record with what it does to the waters; a refused one has no effects."""

    action: Action
    effects: tuple[Effect, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """The stay after the actions accepted so far, the judgements before any action, and what was accepted.

    `first` is the stay before any action where it is another than `stay`. Where some waters are named by `only`, they alone
    are acted on. `then` is the stay that a first round came to, where it doses a pond or a source: what is poured from
    there is poured before.
    """

    ground: Ground
    stay: Stay
    judged: Mapping[str, Judged]
    accepted: tuple[Proposal, ...]
    first: Stay | None = None
    only: Collection[str] | None = None
    then: Stay | None = None

    @property
    def before(self) -> Stay:
        """The stay before any action, whose courses have been worked out."""
        return self.first or self.stay

    @property
    def later(self) -> Stay:
        """The stay with the doses that are to come, where they are known."""
        return self.then or self.stay

    @property
    def figures(self) -> Figures:
        """Where amounts are put."""
        return self.ground.figures

    @property
    def effects(self) -> Effects:
        """The effects accepted so far."""
        return self.stay.effects

    def calling(self, *hazards: Hazard, least: Verdict = Verdict.WATCH) -> list[Judgement]:
        """The judgements of some hazards that call for something, the worst first."""
        records = (one.record for one in self.judged.values() if one.record.hazard in hazards)
        return sorted((one for one in records if one.verdict.rank >= least.rank), key=lambda one: -one.verdict.rank)


def codes(*some: str) -> tuple[Why, ...]:
    """Reasons that have no figures and no words, by their codes; an empty one is left out."""
    return tuple(Why(code=code) for code in some if code)
