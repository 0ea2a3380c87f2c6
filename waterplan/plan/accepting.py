"""From judgements to accepted actions: each kind in its order, then one joint judgement, then what is worse is dropped."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from waterplan.actions.makers import MAKERS, may_worsen, order
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind
from waterplan.hazards.judging import judge_all
from waterplan.hazards.record import Verdict, Why
from waterplan.hazards.subject import Judged
from waterplan.stay.effects import Effects
from waterplan.stay.ground import Ground
from waterplan.stay.whole import Stay, stay

AFTER = "/after"
_AS_GOOD_AS_EQUAL = 1e-9
# Chlorine is taken out and air is blown in whatever else is planned, unless they themselves make something worse.
_NEVER_THE_CAUSE = (Kind.NEUTRALISE, Kind.AIR)
# These look at what is left after all the others, and do nothing to a water themselves.
_AT_THE_END = (Kind.ASK, Kind.MEASURE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """The stay before any action and after all accepted ones, each judged, and the actions, refused ones among them."""

    before: Mapping[str, Judged]
    after: Mapping[str, Judged]
    stay_before: Stay
    stay_after: Stay
    proposals: tuple[Proposal, ...]


def outcome(ground: Ground, *, actions: bool = True) -> Outcome:
    """Judges the stay, sizes every kind of action on the state that those before it leave, and judges them together.

    Parameters
    ----------
    ground : Ground
        The case laid out.
    actions : bool
        Without them only the judgements before any action are made.

    Returns
    -------
    Outcome
        Both stays, both judgements, and the proposals in the order in which they were made.
    """
    first = stay(ground, Effects())
    before = judge_all(first)
    if not actions:
        return Outcome(before=before, after=before, stay_before=first, stay_after=first, proposals=())
    proposals = tuple(_proposed(ground, first, before))
    ground.figures.suffix = AFTER
    try:
        proposals, joint, after = _jointly(ground, first, before, proposals)
    finally:
        ground.figures.suffix = ""
    for path, judged in after.items():
        if differs(judged, before.get(path)):
            ground.figures.sums.update({f"{name}{AFTER}": one for name, one in judged.sums.items()})
    left = Context(ground=ground, stay=joint, judged={**before, **after}, accepted=proposals, first=first)
    asked = tuple(one for kind in order() if kind in _AT_THE_END for one in MAKERS.get(kind, _none)(left))
    return Outcome(before=before, after=after, stay_before=first, stay_after=joint, proposals=(*proposals, *asked))


def _none(_: Context) -> Iterator[Proposal]:
    return iter(())


def _proposed(ground: Ground, first: Stay, judged: Mapping[str, Judged]) -> Iterator[Proposal]:
    """The proposals of each kind in order; the next kind sees what those before it do."""
    accepted: list[Proposal] = []
    now = first
    for kind in order():
        if kind in _AT_THE_END or kind not in MAKERS:
            continue
        context = Context(ground=ground, stay=now, judged=judged, accepted=tuple(accepted), first=first)
        made = list(MAKERS[kind](context))
        accepted += made
        effects = [effect for one in made for effect in one.effects]
        if effects:
            now = stay(ground, now.effects.with_(*effects))
        yield from made


def _jointly(
    ground: Ground, first: Stay, before: Mapping[str, Judged], proposals: tuple[Proposal, ...]
) -> tuple[tuple[Proposal, ...], Stay, Mapping[str, Judged]]:
    """The joint judgement of all; while it is worse somewhere than without the last one there, that one is dropped."""
    past = first
    for _ in range(len(order()) + 1):
        effects = Effects(all=tuple(effect for one in proposals for effect in one.effects))
        joint = stay(ground, effects)
        for path, water in past.waters.items():
            if joint[path] is not water:
                water.forget_courses(but_for=joint[path])
        past = joint
        after = judge_all(joint)
        worse = _made_worse(before, after)
        offender = _offender(proposals, worse)
        refused = {id(offender): worse} if offender is not None else _into_unfit_water(proposals, after)
        if not refused:
            return proposals, joint, after
        proposals = tuple(_dropped(one, refused[id(one)]) if id(one) in refused else one for one in proposals)
    return proposals, joint, after


def _dropped(proposal: Proposal, because: Sequence[Judged]) -> Proposal:
    """The proposal refused, with the judgements that are the reason."""
    own = [one for one in because if one.record.water == proposal.action.water] or because
    reasons = tuple(
        Why(code="worse together", words={"judgement": one.id, "verdict": one.record.verdict.value}) for one in own
    )
    return replace(proposal, action=proposal.action.model_copy(update={"refused_because": reasons}), effects=())


def _into_unfit_water(proposals: Sequence[Proposal], after: Mapping[str, Judged]) -> dict[int, list[Judged]]:
    """The doses, not yet given, into water that is not fit for its fish even when all that is accepted is done."""
    unfit: dict[str, list[Judged]] = {}
    for one in after.values():
        if one.record.verdict.rank >= Verdict.ACT_NOW.rank and one.record.fish:
            unfit.setdefault(one.record.water, []).append(one)
    return {
        id(one): unfit[one.action.water]
        for one in proposals
        if one.action.kind is Kind.DOSE
        and one.action.done is None
        and not one.action.refused_because
        and one.action.water in unfit
    }


def differs(judged: Judged, earlier: Judged | None) -> bool:
    """Whether a judgement after the actions says anything that the one before them did not."""
    if earlier is judged:
        return False
    if earlier is None or earlier.record.verdict is not judged.record.verdict:
        return True
    return any(
        path not in earlier.sums or not np.allclose(one.draws, earlier.sums[path].draws, rtol=_AS_GOOD_AS_EQUAL)
        for path, one in judged.sums.items()
    )


def _made_worse(before: Mapping[str, Judged], after: Mapping[str, Judged]) -> list[Judged]:
    """What is `act now` or `refused` with the actions and was not without them."""
    return [
        one
        for path, one in after.items()
        if one.record.verdict.rank >= Verdict.ACT_NOW.rank
        and (path not in before or before[path].record.verdict.rank < one.record.verdict.rank)
    ]


def _offender(proposals: Sequence[Proposal], worse: Sequence[Judged]) -> Proposal | None:
    """The last accepted action on a water that is worse, of a kind that may make it so; what was done is not undone."""
    found = [
        one
        for one in reversed(proposals)
        if one.action.done is None
        and any(effect.water == judged.record.water for effect in one.effects for judged in worse)
    ]
    hazards = {one.record.hazard.value for one in worse}
    likely = (one for one in found if hazards & may_worsen(one.action.kind))
    others = (one for one in found if one.action.kind not in _NEVER_THE_CAUSE)
    return next(likely, next(others, None))
