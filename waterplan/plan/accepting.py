"""From judgements to accepted actions: each kind in its order, then one joint judgement, then what is worse is dropped."""

import pickle
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from waterplan import tables
from waterplan.actions.acclimate import kept_back
from waterplan.actions.makers import MAKERS, may_worsen, order
from waterplan.actions.new_water import with_tubs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind
from waterplan.actions.telling import kinds_against
from waterplan.hazards.judging import judge_all
from waterplan.hazards.record import Hazard, Judgement, Verdict, Why
from waterplan.hazards.subject import Judged
from waterplan.stay.effects import Aired, AirIsOn, Effects
from waterplan.stay.figures import Figures
from waterplan.stay.ground import Ground
from waterplan.stay.record import Moment
from waterplan.stay.waters import HOME, MAINS
from waterplan.stay.whole import Stay, stay

AFTER = "/after"
_AS_GOOD_AS_EQUAL = 1e-9
_FREES = {Kind.AIR: "air-frees-ammonia", Kind.DEGAS: "airing-frees-ammonia"}
# What air is for that is taken from no fish, from which verdict on.
_BREATHED = {
    Hazard.OXYGEN: Verdict.NOT_KNOWN,
    Hazard.SIGN: Verdict.NOT_KNOWN,
    Hazard.CARBON_DIOXIDE: Verdict.ACT_NOW,
    Hazard.GAS_PRESSURE: Verdict.ACT_NOW,
}
_STEPS = frozenset({Hazard.TEMPERATURE_STEP, Hazard.PH_CHANGE, Hazard.SALT_STEP})
# What is weighed, drawn up or poured.
_WEIGHED = frozenset({"g", "kg", "mL", "L"})
# These look at what is left after all the others, and do nothing to a water themselves.
_TOGETHER = "worse together"
_AT_THE_END = (Kind.ACCLIMATE, Kind.ASK, Kind.MEASURE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """The judgements before any action and after all accepted ones, and the actions, refused ones among them.

    `changed` are those after them that say anything that the ones before did not.
    """

    before: Mapping[str, Judged]
    after: Mapping[str, Judged]
    changed: Mapping[str, Judged]
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
    ground.figures.sums |= {path: one for judged in before.values() for path, one in judged.sums.items()}
    if not actions:
        return Outcome(before=before, after=before, changed={}, stay_after=first, proposals=())
    proposals = _proposed(ground, first, before)
    foreseen = stay(ground, _all_of(proposals))
    then = foreseen if any(foreseen.effects.put_in_h(path) < np.inf for path in (HOME, MAINS)) else None
    if then is not None:
        proposals = _proposed(ground, first, before, then, proposals)
    proposals, joint, after = _jointly(ground, first, before, proposals)
    left = Context(ground=ground, stay=joint, judged=before, accepted=proposals, first=first, then=then)
    if (sized := _sized_again(left)) != proposals:
        proposals, joint, after = _jointly(ground, first, before, sized)
    asked = _asked(Context(ground=ground, stay=joint, judged={**before, **after}, accepted=proposals, first=first))
    if (packed := kept_back(asked, proposals)) != proposals:
        proposals, joint, after = _jointly(ground, first, before, packed)
        asked = _asked(Context(ground=ground, stay=joint, judged={**before, **after}, accepted=proposals, first=first))
    changed = {path: one for path, one in after.items() if _differs(one, before.get(path))}
    ground.figures.sums |= {f"{path}{AFTER}": one for judged in changed.values() for path, one in judged.sums.items()}
    told = (with_tubs(ground, one) for one in proposals)
    return Outcome(before=before, after=after, changed=changed, stay_after=joint, proposals=(*told, *asked))


def _all_of(proposals: Iterable[Proposal]) -> Effects:
    """What proposals do, together."""
    return Effects(all=tuple(effect for one in proposals for effect in one.effects))


def _asked(left: Context) -> tuple[Proposal, ...]:
    """What looks at the end at what is left."""
    return tuple(one for kind in order() if kind in _AT_THE_END for one in MAKERS[kind](left))


def _proposed(
    ground: Ground,
    first: Stay,
    judged: Mapping[str, Judged],
    then: Stay | None = None,
    before: Iterable[Proposal] = (),
) -> tuple[Proposal, ...]:
    """The proposals of each kind in order; the next kind sees what those before it do.

    Those of a second round have the effects of the one `before` where they are the same: what stands so was followed.
    """
    accepted: tuple[Proposal, ...] = ()
    known = {pickle.dumps(effect): effect for one in before for effect in one.effects}
    now = first if then is None else stay(ground, Effects(), then[HOME])
    for kind in (one for one in order() if one not in _AT_THE_END):
        context = Context(ground=ground, stay=now, judged=judged, accepted=accepted, first=first, then=then)
        made = tuple(_worth_doing(ground.figures, MAKERS[kind](context)))
        if known:
            made = tuple(
                replace(one, effects=tuple(known.get(pickle.dumps(it), it) for it in one.effects)) for one in made
            )
        accepted += made
        effects = [effect for one in made for effect in one.effects]
        if effects:
            now = stay(ground, now.effects.with_(*effects), now.foreseen)
    return accepted


def _sized_again(context: Context) -> tuple[Proposal, ...]:
    """The proposals, with the salt of a water sized without a change of it that was dropped once all was judged together."""
    dropped = {
        one.action.water
        for one in context.accepted
        if one.action.kind is Kind.CHANGE and any(why.code == _TOGETHER for why in one.action.refused_because)
    }
    salts = {one.action.id: one for one in context.accepted if one.action.kind is Kind.SALT and one.action.is_open}
    again = {path for path, one in salts.items() if one.action.water in dropped}
    if not again:
        return context.accepted
    others = tuple(one for one in context.accepted if one.action.id not in again)
    without = stay(context.ground, _all_of(others))
    unsalted = replace(context, stay=without, accepted=others)
    made = {one.action.id: one for one in _worth_doing(context.figures, MAKERS[Kind.SALT](unsalted))}
    return tuple(made.get(path, one) if (path := one.action.id) in again else one for one in context.accepted)


def _worth_doing(figures: Figures, proposals: Iterable[Proposal]) -> Iterator[Proposal]:
    """The proposals without amounts that round to nothing, and none of which the own amount of its kind does."""
    for one in proposals:
        action = one.action
        nothing = {name for name, path in action.amounts.items() if _is_nothing(figures, path)}
        if nothing and tables.row("action_kinds", kind=action.kind.value)["amount"] in nothing:
            continue
        left = {
            key: {name: each for name, each in getattr(action, key).items() if name not in nothing}
            for key in ("amounts", "part_amounts")
        }
        yield replace(one, action=action.model_copy(update=left)) if nothing else one


def _is_nothing(figures: Figures, path: str) -> bool:
    """Whether an amount rounds to nothing; one that only the joint judgement works out is a clock, and no amount."""
    one = figures.sums.get(path)
    return one is not None and one.unit in _WEIGHED and figures.record(path).act_on == 0.0


def _jointly(
    ground: Ground, first: Stay, before: Mapping[str, Judged], proposals: tuple[Proposal, ...]
) -> tuple[tuple[Proposal, ...], Stay, Mapping[str, Judged]]:
    """The joint judgement of all; while it is worse somewhere than without the last one there, that one is dropped."""
    past = first
    # Each pass refuses one more at least, and what is refused is neither an offender nor a dose to be given.
    while True:
        effects = _all_of(proposals)
        joint = stay(ground, effects)
        for path, water in past.waters.items():
            if joint[path] is not water:
                water.forget_courses(but_for=joint[path])
        past = joint
        after = judge_all(joint)
        every = _made_worse(before, after)
        worse = [one for one in every if not _is_way_home(one.record)]
        in_aired = _in_aired(proposals, before, worse)
        by_air = _made_by_air(ground, proposals, before, in_aired)
        offender = _offender(proposals, [one for one in worse if one not in by_air], before=before, stay=joint)
        refused = {id(offender): worse} if offender is not None else _ill_matched(proposals, every)
        refused = refused or _into_unfit_water(proposals, after)
        if not refused:
            answered = _answered(proposals, in_aired, before, joint)
            if answered == proposals:
                return proposals, joint, after
            proposals = answered
        proposals = tuple(_dropped(one, refused[id(one)]) if id(one) in refused else one for one in proposals)


def _is_way_home(one: Judgement) -> bool:
    """Whether it is a step back into the pond: made last, and bridged in days, it takes nothing from a fish before it goes."""
    return one.moment is Moment.HOME and one.hazard in _STEPS


def _ill_matched(proposals: Sequence[Proposal], worse: Sequence[Judged]) -> dict[int, list[Judged]]:
    """The matches of a water that make its own step worse, on the way home too: the water before it stays as it is."""
    steps = {one.record.water: [one] for one in worse if one.record.hazard is Hazard.TEMPERATURE_STEP}
    heats = [one for one in proposals if one.action.kind in (Kind.COOL, Kind.WARM) and one.action.is_open]
    return {id(one): steps[one.action.water] for one in heats if "as" in one.action.words and one.action.water in steps}


def _dropped(proposal: Proposal, because: Sequence[Judged]) -> Proposal:
    """The proposal refused, with the judgements that are the reason."""
    own = [one for one in because if one.record.water == proposal.action.water] or because
    reasons = tuple(
        Why(code=_TOGETHER, words={"judgement": one.id, "verdict": one.record.verdict.value}) for one in own
    )
    return replace(proposal, action=proposal.action.model_copy(update={"refused_because": reasons}), effects=())


def _into_unfit_water(proposals: Sequence[Proposal], after: Mapping[str, Judged]) -> dict[int, list[Judged]]:
    """The doses, not yet given, into water that is not fit for its fish even when all that is accepted is done."""
    unfit: dict[str | None, list[Judged]] = defaultdict(list)
    for one in after.values():
        if one.record.verdict.rank >= Verdict.ACT_NOW.rank and one.record.fish and not _is_way_home(one.record):
            unfit[one.record.water].append(one)
    doses = [one for one in proposals if one.action.kind is Kind.DOSE and one.action.water in unfit]
    return {id(one): unfit[one.action.water] for one in doses if one.action.is_open}


def _differs(judged: Judged, earlier: Judged | None) -> bool:
    """Whether a judgement after the actions says anything that the one before them did not."""
    if earlier is None or earlier.record.verdict is not judged.record.verdict:
        return True
    return earlier is not judged and any(
        path not in earlier.sums or not np.allclose(one.draws, earlier.sums[path].draws, rtol=_AS_GOOD_AS_EQUAL)
        for path, one in judged.sums.items()
    )


def _made_worse(before: Mapping[str, Judged], after: Mapping[str, Judged]) -> list[Judged]:
    """What is `act now` or `refused` with the actions and was not without them."""
    ranks = {path: one.record.verdict.rank for path, one in before.items()}
    bad = [(path, one) for path, one in after.items() if one.record.verdict.rank >= Verdict.ACT_NOW.rank]
    return [one for path, one in bad if ranks.get(path, -1) < one.record.verdict.rank]


def _offender(
    proposals: Sequence[Proposal], worse: Sequence[Judged], *, before: Mapping[str, Judged], stay: Stay
) -> Proposal | None:
    """The last accepted action of a kind that may make what is worse so, on that water, else on one that it rests on.

    What was done is not undone, and air that fish need to breathe is not taken from them.
    """
    open_ones = [one for one in reversed(proposals) if one.action.done is None and not _is_for_breath(one, before)]
    own = [(one.record.hazard.value, {one.record.water}) for one in worse]
    rested = [(one.record.hazard.value, behind(one, stay)) for one in worse]
    for near in (own, rested):
        for one in open_ones:
            touched, may = {effect.water for effect in one.effects}, may_worsen(one.action.kind)
            if any(hazard in may and touched & waters for hazard, waters in near):
                return one
    return None


def behind(judged: Judged, stay: Stay) -> set[str]:
    """The waters that a judgement rests on, and those that they are filled from."""
    found = {judged.record.water, *(one.water for one in judged.record.inputs)}
    waters = [stay.waters.get(one) for one in found]
    while waters := [one.source for one in waters if one is not None]:
        found |= {one.place.id for one in waters if one is not None}
    return found


def _is_for_breath(proposal: Proposal, before: Mapping[str, Judged]) -> bool:
    """Whether it is air where oxygen is a danger or may be one, carbon dioxide or gas is one, or a sign calls for it."""
    answered = (before[path].record for path in proposal.action.answers if path in before)
    return proposal.action.kind in (Kind.AIR, Kind.DEGAS) and any(
        one.hazard in _BREATHED and one.verdict.rank >= _BREATHED[one.hazard].rank for one in answered
    )


def _in_aired(proposals: Sequence[Proposal], before: Mapping[str, Judged], worse: Sequence[Judged]) -> list[Judged]:
    """What is worse of that which air may make so, in the waters that are aired for breath."""
    may = may_worsen(Kind.AIR)
    aired = {effect.water for one in proposals if _is_for_breath(one, before) for effect in one.effects}
    return [one for one in worse if one.record.hazard.value in may and one.record.water in aired]


def _made_by_air(
    ground: Ground, proposals: Sequence[Proposal], before: Mapping[str, Judged], in_aired: Sequence[Judged]
) -> list[Judged]:
    """What is worse by that air alone, whatever else is planned: nothing else is to blame for it."""
    if not in_aired:
        return []
    effects = _all_of(one for one in proposals if _is_for_breath(one, before))
    alone = {one.id for one in _made_worse(before, judge_all(stay(ground, effects)))}
    return [one for one in in_aired if one.id in alone]


def _answered(
    proposals: tuple[Proposal, ...], worse: Sequence[Judged], before: Mapping[str, Judged], joint: Stay
) -> tuple[Proposal, ...]:
    """The proposals; where air frees ammonia beyond its limit it stays on and says so, and the ammonia is answered."""
    freed = {one.record.water: one for one in worse if one.record.hazard is Hazard.AMMONIA}
    told = tuple(_told(one, freed) if _is_for_breath(one, before) else one for one in proposals)
    if told == proposals:
        return proposals
    kinds = kinds_against(Hazard.AMMONIA)
    others = tuple(one for one in told if one.action.kind not in kinds or one.action.water not in freed)
    without = stay(joint.ground, _all_of(others))
    judged = {**before, **{one.id: one for one in worse}}
    context = Context(ground=joint.ground, stay=without, judged=judged, accepted=others, first=joint, only=freed)
    figures = joint.ground.figures
    made = (one for kind in order() if kind in kinds for one in _worth_doing(figures, MAKERS[kind](context)))
    new = {one.action.id: one for one in made if one.action.water in freed}
    return (*(one for one in told if one.action.id not in new), *new.values())


def _told(air: Proposal, freed: Mapping[str, Judged]) -> Proposal:
    """Air, not bottled oxygen, with what it frees among its costs."""
    judged, costs, code = freed.get(air.action.water or ""), air.action.costs, _FREES[air.action.kind]
    blown = any(isinstance(one, Aired) or (isinstance(one, AirIsOn) and not one.oxygen) for one in air.effects)
    if judged is None or not blown or any(one.code == code for one in costs):
        return air
    figures = {"ammonia": f"{judged.record.figure}{AFTER}"}
    cost = Why(code=code, figures=figures, words={"judgement": f"{judged.id}{AFTER}"})
    return replace(air, action=air.action.model_copy(update={"costs": (cost, *costs)}))
