"""What changes no water: what can hurt people, when stitches may come out, whom to ask, and what to measure."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import rule
from waterplan.actions.needs import Need, aid_rows, need_of, needs, sign_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Action, Instead, Kind, Who
from waterplan.actions.tracer_salt import tracer_salt
from waterplan.case.tank_choices import Happens
from waterplan.fish.healing import days_to_degree_days
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import HOME

_DAY_H, _LONGEST_DAYS = 24.0, 3650.0
# Kinds that change no water.
_SUSPICIONS = frozenset({Hazard.SIGN, Hazard.DISEASE})
_REFERRALS = frozenset({Kind.ASK, Kind.MEASURE})


# -- people ---------------------------------------------------------------------------------------------------------


def people(context: Context) -> Iterator[Proposal]:
    """Safety of people: one action with a caution for each thing in the case that can hurt a person."""
    case, clock = context.ground.case, context.ground.clock
    shown = {one.substance for one in case.doses} | {one.what for one in case.already}
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


# -- when stitches may come out -------------------------------------------------------------------------------------


def wait(context: Context) -> Iterator[Proposal]:
    """The recheck: the earliest and latest day by the printed sums, the expected one, and whether it is due."""
    case = context.ground.case
    operated = any(one.wound == "closed" or one.done for one in case.patients)
    if case.intended.operation_at is not None and operated:
        tanks = (one for one in context.stay.waters.values() if one.place.kind is WaterKind.HOSPITAL)
        where = next((one for one in tanks if one.place.stretches), context.stay[HOME])
        kept = need_of(context, where)
        yield Proposal(action=_recheck(kept, _logged(kept)))


def _leaves_h(kept: Need) -> float:
    """When the patient is back in the pond."""
    return kept.stretch.until_h if kept.kind is WaterKind.HOSPITAL else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Logged:
    """Means of the days since the operation, low and high where a gap could have been either; how many were logged."""

    count: int
    cool: FloatArray
    warm: FloatArray
    gap: bool


def _logged(kept: Need) -> _Logged:
    """Daily means of the water that the patient is in: the tank until it goes home, then the pond."""
    clock, leaves_h = kept.ground.clock, _leaves_h(kept)
    found: dict[int, list[float]] = defaultdict(list)
    for row in kept.ground.log:
        hours = clock.hours(row.taken)
        if row.key != "temperature" or hours is None or not 0.0 <= hours <= clock.now_h:
            continue
        if row.water == (kept.path if hours < leaves_h else HOME):
            found[int(hours // _DAY_H)].append(row.reading.measured.best)
    known = sorted(found)
    if not known:
        return _Logged(count=0, cool=np.zeros(0), warm=np.zeros(0), gap=False)
    means = np.interp(np.arange(known[-1] + 1), known, [float(np.mean(found[day])) for day in known])
    cool, warm = means.copy(), means.copy()
    gaps = [(first, second) for first, second in pairwise(known) if second - first > rule("log gap")]
    for first, second in gaps:
        inside = slice(first + 1, second)
        cool[inside], warm[inside] = min(means[first], means[second]), max(means[first], means[second])
    return _Logged(count=len(known), cool=cool, warm=warm, gap=bool(gaps))


def _days_to(kept: Need, logged: FloatArray, degree_days: float) -> FloatArray:
    """Days from the operation to a sum: by the log, then as kept to the end of the stay, then at the pond's temperature."""
    so_far = np.concatenate([[0.0], np.cumsum(logged)])
    if so_far[-1] >= degree_days:
        return np.full(kept.ground.inputs.size, np.interp(degree_days, so_far, np.arange(so_far.size)))
    left = degree_days - so_far[-1]
    stays = max(_leaves_h(kept) / _DAY_H - logged.size, 0.0)
    in_tank = np.asarray(days_to_degree_days(left, water_temp_c=kept.kept_c))
    pond = kept.context.stay[HOME].start[Q.TEMPERATURE]
    after = np.asarray(days_to_degree_days(np.maximum(left - stays * kept.kept_c, 0.0), water_temp_c=pond))
    days = np.asarray(logged.size + np.where(in_tank <= stays, in_tank, stays + after))
    return np.where(days > _LONGEST_DAYS, np.inf, days)


def _recheck(kept: Need, logged: _Logged) -> Action:
    clock = kept.ground.clock
    inspect, expect, most = (tables.row("healing", milestone=name) for name in ("inspect", "expect", "range"))
    amounts = {}
    for name, log, row, total, end in (
        ("inspect", logged.warm, inspect, inspect.value, ActEnd.BEST),
        ("expected", logged.cool, expect, expect.value, ActEnd.BEST),
        ("earliest", logged.warm, most, most.low, ActEnd.LOW),
        ("latest", logged.cool, most, most.high, ActEnd.HIGH),
    ):
        draws = _days_to(kept, log, total)
        used = {"rows": (row.id,), "equations": (days_to_degree_days,)}
        amounts[name] = kept.put(f"recheck/{name}", draws, "d", act_end=end, **used)
    so_far = float(logged.cool.sum())
    amounts["degree-days"] = kept.put("recheck/degree-days", so_far, "degree-days", act_end=ActEnd.LOW)
    first, last = (kept.context.figures.record(amounts[one]).act_on for one in ("inspect", "latest"))
    due = first is not None and clock.now_h >= first * _DAY_H
    return Action(
        id=f"{Moment.RECHECK}/{Kind.WAIT}/{kept.path}",
        kind=Kind.WAIT,
        moment=Moment.RECHECK,
        water=kept.path,
        who=Who.VET,
        at=None if first is None else clock.at(first * _DAY_H),
        until=None if last is None else clock.at(last * _DAY_H),
        amounts=amounts,
        words={"due": "yes" if due else "no", "days logged": str(logged.count), "days counted": str(logged.cool.size)},
        cautions=tuple(_cautions(kept, logged)),
    )


def _cautions(kept: Need, logged: _Logged) -> Iterator[Why]:
    yield from codes(
        "" if logged.count else "provisional-until-temperatures-are-logged",
        "gap-in-the-log-bounded" if logged.gap else "",
    )
    cold = tables.row("healing", milestone="cold")
    if float(kept.kept_c[0]) < cold.value:
        figure = kept.put_row("recheck/cold", cold, "°C")
        yield Why(code="healing-slow-in-the-cold", figures={"cold": figure})
    yield from codes("wound-decides-not-the-date", "absorbable-sutures-may-not-dissolve")


# -- whom to ask ----------------------------------------------------------------------------------------------------


def ask(context: Context) -> Iterator[Proposal]:
    """The veterinarian, or somebody who can, for all that still asks for action after every accepted one."""
    for need in needs(context, *Hazard, least=Verdict.ACT_NOW, sources=True):
        # What is done at once answers them; they stand until they are looked into.
        still = [one for one in need.judged if one.verdict is Verdict.ACT_NOW and one.hazard not in _SUSPICIONS]
        hazards = dict.fromkeys(one.hazard for one in still)
        kinds = dict.fromkeys(kind for one in hazards for kind in kinds_against(one) if kind not in _REFERRALS)
        if still:
            yield need.proposal(
                Kind.ASK,
                who=Who.VET,
                done=None,
                answers=tuple(one.id for one in still),
                words={"hazards": ", ".join(hazards)},
                instead=tuple(Instead(kind=kind, because=_because(need, kind)) for kind in kinds),
            )


@cache
def kinds_against(hazard: Hazard) -> tuple[Kind, ...]:
    """The kinds of action that may answer a hazard, in their order, from the table `hazards`."""
    rows = [row for row in tables.table("hazards") if row["hazard"] == hazard]
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
    """One list of what would decide the judgements that are not known, and the salt of a tracer test where one is wanted."""
    yield from tracer_salt(context)
    unknown = [one.record for one in context.judged.values() if one.record.verdict is Verdict.NOT_KNOWN]
    wanted: dict[str, dict[str, None]] = {}
    for reading in (reading for one in unknown for reading in one.measure):
        wanted.setdefault(reading.water, {})[reading.quantity] = None
    if not wanted:
        return
    # What an action answers already it only measures: it is not what that waits for.
    answered = {path for one in context.accepted if not one.action.refused_because for path in one.action.answers}
    first = min((one.moment for one in unknown), key=list(Moment).index)
    now = context.ground.clock.at(context.ground.clock.now_h)
    by = min((one.start for one in unknown if one.start is not None), default=None)
    yield Proposal(
        action=Action(
            id=f"{first}/{Kind.MEASURE}",
            kind=Kind.MEASURE,
            moment=first,
            water=None,
            who=Who.OWNER if first in (Moment.CALL, Moment.HOME) else Who.NURSE,
            by=by if by is None or now is None else max(by, now),
            answers=tuple(one.id for one in unknown if one.id not in answered),
            words={water: ", ".join(quantities) for water, quantities in wanted.items()},
        )
    )
