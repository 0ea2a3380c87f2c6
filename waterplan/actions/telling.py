"""What changes no water: what can hurt people, when stitches may come out, whom to ask, and what to measure."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import low
from waterplan.actions.bath_again import bath_again
from waterplan.actions.heat.matching import tolerated
from waterplan.actions.needs import Need, aid_rows, needs, sign_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import NOT_HERE, Action, Instead, Kind, Who
from waterplan.actions.tracer_salt import tracer_salt
from waterplan.case.tank_choices import Happens
from waterplan.hazards.record import Hazard, Judgement, Verdict, Why
from waterplan.hazards.tank_size import EQUATIONS, litres_needed
from waterplan.stay.afternoon import hours_to_read
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind

# Kinds that change no water.
_SUSPICIONS = frozenset({Hazard.SIGN, Hazard.DISEASE})
_REFERRALS = frozenset({Kind.ASK, Kind.MEASURE})
# What more water in the tank would answer.
_OF_ITS_SIZE = frozenset({Hazard.STOCKING, Hazard.AMMONIA, Hazard.OXYGEN})
# In which nothing waits for what is read.
_AFTERWARDS = frozenset({Moment.HOME, Moment.RECHECK})


# -- people ---------------------------------------------------------------------------------------------------------


def people(context: Context) -> Iterator[Proposal]:
    """Safety of people: one action with a caution for each thing in the case that can hurt a person."""
    case, clock, places = context.ground.case, context.ground.clock, context.ground.places
    baths = {one.into.path for one in case.doses if one.into.path in places}
    over = {path for path in baths if context.ground.is_over(*places[path].stretches)}
    shown = {one.substance for one in case.doses if one.into.path not in over} | {one.what for one in case.already}
    shows = {
        "injection": bool(case.injections),
        "oxygen cylinder": case.oxygen_cylinder is not None,
        "power fails": any(event.what is Happens.POWER_FAILS for event in case.events),
        "heater": any(vessel.heater is not None for vessel in case.vessels),
    }
    shown |= {thing for thing, there in shows.items() if there}
    told = {one.id: aid_rows(sign_of(one), Kind.PEOPLE) for one in context.calling(Hazard.SIGN)}
    seen = [row["code"] for rows in told.values() for row in rows]
    known = [row["code"] for row in tables.rows("people_safety") if row["shown by"] in shown]
    cautions, moment = dict.fromkeys((*seen, *known)), Moment.CALL if seen else Moment.PREPARE
    if cautions:
        yield Proposal(
            action=Action(
                id=f"{moment}/{Kind.PEOPLE}",
                kind=Kind.PEOPLE,
                moment=moment,
                water=None,
                who=Who.VET,
                by=clock.at(clock.now_h if seen else max(clock.now_h, 0.0)),
                answers=tuple(path for path, rows in told.items() if rows),
                cautions=codes(*cautions),
            )
        )


# -- whom to ask ----------------------------------------------------------------------------------------------------


def ask(context: Context) -> Iterator[Proposal]:
    """The veterinarian, or somebody who can, for all that still asks for action after every accepted one."""
    aid = [one.action for one in context.accepted if one.action.kind is Kind.FIRST_AID and one.action.is_open]
    aided = {path for one in aid for path in one.answers}
    for need in needs(context, *Hazard, least=Verdict.ACT_NOW, sources=True):
        # What is done at once answers them; they stand until they are looked into.
        open_ones = (one for one in need.judged if one.verdict is Verdict.ACT_NOW and one.id not in aided)
        still = [one for one in open_ones if one.hazard not in _SUSPICIONS]
        hazards = dict.fromkeys(one.hazard for one in still)
        kinds = dict.fromkeys(kind for one in hazards for kind in kinds_against(one) if kind not in _REFERRALS)
        here = {kind for one in hazards for kind in kinds_against(one, need.kind)}
        if still:
            larger = _tank_needed(need, hazards)
            several = larger and sum(one.count for one in need.fish) > 1
            yield need.proposal(
                Kind.ASK,
                who=Who.VET,
                done=None,
                answers=tuple(one.id for one in still),
                amounts=larger,
                words={"hazards": ", ".join(_decided(still))} | ({"several": "yes"} if several else {}),
                instead=tuple(
                    Instead(kind=kind, because=_because(need, kind) if kind in here else codes(NOT_HERE))
                    for kind in kinds
                ),
            )


def _decided(still: Sequence[Judgement]) -> Iterable[Hazard]:
    """What there is to decide on: a step back at home not yet where something stands before it."""
    return dict.fromkeys(one.hazard for one in [one for one in still if one.moment not in _AFTERWARDS] or still)


def _tank_needed(need: Need, hazards: Iterable[Hazard]) -> dict[str, str]:
    """How large a tank would have to be for its fish, where it is smaller and what is wrong in it comes of that."""
    if need.kind is not WaterKind.HOSPITAL or _OF_ITS_SIZE.isdisjoint(hazards):
        return {}
    filter_state = str(need.water.equipment.filter or "unseeded")
    state, inputs = need.state, need.ground.inputs
    lives_at_c = np.clip(need.kept_c, *tolerated(need))  # hotter water cools before any fish is in it
    litres = litres_needed(need.fish, inputs=inputs, temp_c=lives_at_c, ph=state[Q.PH], filter_state=filter_state)
    if litres is None or float(litres[0]) <= low(need.state[Q.VOLUME]) or not np.isfinite(litres).all():
        return {}
    return {"needed": need.put("tank-needed", litres, "L", act_end=ActEnd.HIGH, equations=EQUATIONS)}


@cache
def kinds_against(hazard: Hazard, water: WaterKind | None = None) -> tuple[Kind, ...]:
    """The kinds of action that may answer a hazard, in their order, from the table `hazards`; of one kind of water or of all."""
    rows = [row for row in tables.table("hazards") if row["hazard"] == hazard and water in (None, row["water"])]
    named = {name.strip() for row in rows for name in row["answers"].split(";")}
    return tuple(kind for kind in Kind if kind.value in named)


def _because(need: Need, kind: Kind) -> tuple[Why, ...]:
    """Why a kind does not answer here: it was refused, it is not enough by itself, or there is nothing for it to do."""
    own = [one.action for one in need.context.accepted if one.action.water == need.path and one.action.kind is kind]
    refused = tuple(why for action in own for why in action.refused_because)
    if own and not refused:
        return (Why(code="not-enough-by-itself", words={"action": own[0].id}),)
    return refused or (Why(code=f"{kind.value.replace(' ', '-')}-does-not-answer"),)


# -- what to measure ------------------------------------------------------------------------------------------------


def measure(context: Context) -> Iterator[Proposal]:
    """Lists of what would decide the judgements that are not known; beside them a tracer test, and a bath that is used again.

    What can be read at its hour alone, and not before the rest is wanted, has a list with that hour.
    """
    yield from tracer_salt(context)
    yield from bath_again(context)
    now = context.ground.clock.at(context.ground.clock.now_h)
    judged = (one.record for one in context.judged.values())
    unknown = [one for one in judged if one.verdict is Verdict.NOT_KNOWN and not one.is_over(now)]
    by = min((one.start for one in unknown if one.start is not None), default=None)
    by = by if by is None or now is None else max(by, now)
    lists: dict[str, dict[str, dict[str, None]]] = {}
    due = {"": by}
    for one in unknown:
        for reading in one.measure:
            name = ""
            if by is not None and now is not None:
                begins, ends = hours_to_read(reading.quantity, now)
                if begins > by or (one.moment in _AFTERWARDS and ends > by):
                    name, due[reading.quantity] = reading.quantity, ends
            lists.setdefault(name, {}).setdefault(reading.water, {})[reading.quantity] = None
    # What an action answers already it only measures: it is not what that waits for.
    answered = {path for one in context.accepted if not one.action.refused_because for path in one.action.answers}
    first = min((one.moment for one in unknown), key=list(Moment).index, default=Moment.CALL)
    for name, wanted in sorted(lists.items()):
        yield Proposal(
            action=Action(
                id="/".join(filter(None, (first, Kind.MEASURE, name.replace(" ", "-")))),
                kind=Kind.MEASURE,
                moment=first,
                water=None,
                who=Who.OWNER if first in (Moment.CALL, Moment.HOME) else Who.NURSE,
                by=due[name],
                answers=tuple(one.id for one in unknown if one.id not in answered and _wants(one, wanted)),
                words={water: ", ".join(quantities) for water, quantities in wanted.items()},
            )
        )


def _wants(one: Judgement, wanted: Mapping[str, Mapping[str, None]]) -> bool:
    return not one.measure or any(reading.quantity in wanted.get(reading.water, {}) for reading in one.measure)
