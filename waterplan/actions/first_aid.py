"""First aid: what hands do at once for a sign that was seen, step by step, and what they never do."""

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

import numpy as np

from waterplan import tables
from waterplan.actions.needs import Need, aid_rows, needs, sign_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Kind
from waterplan.case.values import lacks_basis
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.hazards.salts import UNEXPLAINED
from waterplan.hazards.signs import points
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.waters import is_in

# The step against a rule of `conflicts` whose two are in one water already.
_TAKEN_OUT: Mapping[str, str] = MappingProxyType({"salt with zeolite": "aid-zeolite-out"})


def first_aid(context: Context) -> Iterator[Proposal]:
    """One action for each sign at a water, the steps of the table `first_aid` that hold here; and what is to be taken out."""
    # No reading and no change of water answers what must not meet: one of the two is taken out.
    apart = {
        (need.path, _TAKEN_OUT[sign_of(one)]): (need, one)
        for need in needs(context, Hazard.CONFLICT, least=Verdict.ACT_NOW)
        for one in need.calls(Hazard.CONFLICT)
        if sign_of(one) in _TAKEN_OUT
    }
    for need in needs(context, least=Verdict.ACT_NOW, kind=Kind.FIRST_AID):
        for one in need.calls(Hazard.SIGN):
            sign = sign_of(one)
            never = [row["code"] for row in aid_rows(sign, "never")]
            rows = [row for row in aid_rows(sign, Kind.FIRST_AID) if _HOLDS[row["when"]](need, row)]
            met = (apart.pop((need.path, row["code"]), None) for row in rows)
            yield need.proposal(
                Kind.FIRST_AID,
                sign,
                answers=(one.id, *(pair[1].id for pair in met if pair is not None)),
                words={"sign": sign, "fish first": tables.row("signs", sign=sign)["fish_first"] or "no"},
                steps=tuple(_step(need, sign, row) for row in rows),
                cautions=(*points(need.ground, need.path), *codes(*never)),
                done=None,
            )
    for (_, code), (need, one) in apart.items():
        yield need.proposal(Kind.FIRST_AID, sign_of(one), answers=(one.id,), steps=codes(code), done=None)


def _step(need: Need, sign: str, row: tables.Row) -> Why:
    """A step with its figures: an amount, or from where to where."""
    code = row["code"]
    ends = {"amount": row.value} if np.isnan(row.low) else {"from": abs(row.low), "to": row.high}
    figures = {
        name: need.put(f"first-aid/{sign}/{code}/{name}", value, row.unit, rows=(row.id,))
        for name, value in ends.items()
        if np.isfinite(value)
    }
    return Why(code=code, figures=figures)


# -- when a step holds ----------------------------------------------------------------------------------------------


def _basis_is_open(need: Need, row: tables.Row) -> bool:
    """Whether nobody has read the nitrite yet, or nobody knows what the kit shows it as."""
    read = need.ground.readings[need.path].get(Q.NITRITE.key, ())
    return not read or any(lacks_basis(one.text) for one in read)


def may_have_zeolite(need: Need, row: tables.Row) -> bool:
    """Whether zeolite is, or may be, in the water or its filter."""
    case = need.ground.case
    there = any(one.what == "zeolite" and is_in(need.water.place, one) for one in case.already)
    return there or case.home_pond is None or case.home_pond.zeolite is not False


def _wakes_here(need: Need, row: tables.Row) -> bool:
    return need.kind in (WaterKind.IRRIGATION, WaterKind.REVIVAL)


_HOLDS: Mapping[str, Callable[[Need, tables.Row], bool]] = MappingProxyType(
    {
        "": lambda need, row: True,
        "where it wakes": _wakes_here,
        "elsewhere": lambda need, row: not _wakes_here(need, row),
        "chloramine may be": lambda need, row: need.ground.case.mains_water.disinfectant not in ("chlorine", "none"),
        "zeolite": may_have_zeolite,
        "basis not known": _basis_is_open,
        "nitrite was read low": lambda need, row: any(
            one == UNEXPLAINED for _, one in need.state.known[Q.NITRITE].doubts
        ),
    }
)
