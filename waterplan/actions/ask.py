"""Who is asked where no action answers: each kind that could have, with the reason why it does not."""

from collections.abc import Iterator, Mapping
from functools import cache

from waterplan import tables
from waterplan.actions.needs import Need, needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Instead, Kind, Who
from waterplan.hazards.record import Hazard, Verdict, Why

# Kinds that change no water.
REFERRALS = frozenset({Kind.ASK, Kind.MEASURE})


@cache
def kinds_against(hazard: Hazard) -> tuple[Kind, ...]:
    """The kinds of action that may answer a hazard, in their order, from the table `hazards`."""
    named = {
        name.strip() for row in tables.table("hazards") if row["hazard"] == hazard for name in row["answers"].split(";")
    }
    return tuple(kind for kind in Kind if kind.value in named)


def ask(context: Context) -> Iterator[Proposal]:
    """The veterinarian, or somebody who can, for all that still asks for action after every accepted one."""
    for need in needs(context, *Hazard, least=Verdict.ACT_NOW):
        still = tuple(one for one in need.judged if one.record.verdict is Verdict.ACT_NOW)
        if still:
            yield _one(need, {one.id: one.record.hazard for one in still})


def _one(need: Need, still: Mapping[str, Hazard]) -> Proposal:
    kinds = dict.fromkeys(kind for hazard in still.values() for kind in kinds_against(hazard) if kind not in REFERRALS)

    return need.proposal(
        Kind.ASK,
        who=Who.VET,
        done=None,
        answers=tuple(still),
        words={"hazards": ", ".join(dict.fromkeys(one.value for one in still.values()))},
        instead=tuple(Instead(kind=kind, because=_because(need, kind)) for kind in kinds),
    )


def _because(need: Need, kind: Kind) -> tuple[Why, ...]:
    """Why a kind does not answer here: it was refused, it is not enough by itself, or there is nothing for it to do."""
    own = [one.action for one in need.context.accepted if one.action.water == need.path and one.action.kind is kind]
    refused = [why for action in own for why in action.refused_because]
    if refused:
        return tuple(refused)
    if own:
        return (Why(code="not-enough-by-itself", words={"action": own[0].id}),)
    return (Why(code=f"{kind.value.replace(' ', '-')}-does-not-answer"),)
