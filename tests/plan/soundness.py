"""What else a record must hold to be believed: verdicts agree with figures, moments with verdicts, times with each other."""

import math
from collections import Counter
from collections.abc import Callable
from datetime import timedelta

from tests.plan.invariants import BAD, Complaints, accepted
from waterplan import tables
from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Hazard, Judgement, Side, Verdict
from waterplan.papers.drawings import air_off
from waterplan.plan.ordering import as_they_stand
from waterplan.plan.record import Go, Plan, Readiness
from waterplan.stay.record import Moment, Origin, WaterKind


def verdicts_agree(plan: Plan) -> Complaints:
    """Within limit with its best figure on the wrong side, or against the odds; not known without what to measure."""
    complaints = []
    for one in plan.judgements:
        if one.verdict is Verdict.NOT_KNOWN and not one.measure and not one.why:
            complaints.append(f"{one.id}: not known, and nothing is named to measure")
        if one.verdict is not Verdict.WITHIN_LIMIT:
            continue
        if one.chance is not None and one.chance < 0.5:
            complaints.append(f"{one.id}: within limit with a chance of {one.chance:g} to keep it")
        if (wrong := _wrong_side(plan, one)) is not None:
            complaints.append(f"{one.id}: within limit, {wrong}")
    return complaints


def _wrong_side(plan: Plan, one: Judgement) -> str | None:
    figure, limit = plan.figures.get(one.figure or ""), one.limit
    if figure is None or limit is None or limit.value is None or figure.unit != limit.unit:
        return None
    best = float("inf") if figure.best is None else figure.best
    slack = 1e-9 * max(abs(best), 1.0) if best != float("inf") else 0.0
    low = limit.value if limit.side in {Side.AT_LEAST, Side.BETWEEN} else None
    high = limit.upper if limit.side is Side.BETWEEN else limit.value if limit.side is Side.AT_MOST else None
    if low is not None and best < low - slack:
        return f"and {best:g} is below at least {low:g} {limit.unit}"
    if high is not None and best > high + slack:
        return f"and {best:g} is above at most {high:g} {limit.unit}"
    return None


def moments_agree(plan: Plan) -> Complaints:
    """Moments out of order, records that stand in none or in several, and a state that the verdicts do not bear out."""
    complaints = []
    order = [one.moment for one in plan.moments]
    if order != [moment for moment in Moment if moment in order] or len(set(order)) != len(order):
        complaints.append(f"moments stand as {', '.join(order)}")
    for what, records, listed in (
        ("judgement", plan.judgements, Counter(path for one in plan.moments for path in one.judgements)),
        ("action", plan.actions, Counter(path for one in plan.moments for path in one.actions)),
    ):
        complaints += [f"{what} {one.id} stands in {listed[one.id]} moments" for one in records if listed[one.id] != 1]
    verdicts = {one.id: one for one in plan.judgements}
    for moment in plan.moments:
        judged = [verdicts[path] for path in moment.judgements if path in verdicts]
        if moment.state is Readiness.OVER:
            ahead = [
                one.id for one in judged if one.until is None or plan.made.as_of is None or one.until > plan.made.as_of
            ]
            open_ones = [one.id for one in plan.actions if one.id in moment.actions and one.is_open]
            complaints += [f"{moment.moment} is over, and {path} is not" for path in (*ahead, *open_ones)]
            continue
        if not moment.because and moment.state is not Readiness.READY:
            complaints.append(f"{moment.moment} is {moment.state} for no reason")
        if moment.state is not Readiness.READY:
            continue
        worse = [one.id for one in judged if one.verdict.rank >= Verdict.NOT_KNOWN.rank]
        if worse:
            complaints.append(f"{moment.moment} is ready, and {worse[0]} is {verdicts[worse[0]].verdict}")
    return complaints


def operation_agrees(plan: Plan) -> Complaints:
    """An operation that goes on with a condition open, or waits with none; a condition that is met by a judgement that is not."""
    if plan.operation is None:
        return []
    states = {one.state for one in plan.operation.conditions}
    is_open = bool(states & {Readiness.NOT_READY, Readiness.NOT_KNOWN})
    waits = plan.operation.go in {Go.POSTPONE, Go.URGENT}
    complaints = (
        [f"the operation is {plan.operation.go}, its conditions {sorted(states)}"] if waits is not is_open else []
    )
    verdicts = {one.id: one.verdict for one in plan.judgements}
    complaints += [
        f"{one.condition} is {one.state} for no reason"
        for one in plan.operation.conditions
        if one.state is not Readiness.READY and not one.because
    ]
    if not waits:
        kinds = {one.id: one.kind for one in plan.waters}
        later = {one.before for one in plan.judgements}
        complaints += [
            f"the operation is {plan.operation.go}, and {one.id} is {one.verdict}"
            for one in plan.judgements
            if one.verdict.rank >= Verdict.ACT_NOW.rank and one.id not in later and one.moment is not Moment.HOME
            if kinds[one.water] not in {WaterKind.SOURCE, WaterKind.DIP, WaterKind.BAG, WaterKind.BOX}
        ]
    complaints += [
        f"{one.condition} is {one.state}, and {path} is {verdicts[path]}"
        for one in plan.operation.conditions
        for path in one.because
        if one.state is not Readiness.NOT_READY and verdicts.get(path) is Verdict.REFUSED
    ]
    return complaints


def one_temperature(plan: Plan) -> Complaints:
    """A water that is told to be cooled and warmed at one moment, or matched to a temperature a step from where its fish is."""
    complaints = []
    ordered = (one for one in accepted(plan) if one.kind in {Kind.COOL, Kind.WARM} and one.by is not None)
    orders = sorted(ordered, key=lambda one: str(one.by))
    for number, one in enumerate(orders):
        for other in orders[number + 1 :]:
            if (
                (one.water, one.moment) == (other.water, other.moment)
                and one.kind is not other.kind
                and _meet(one, other)
            ):
                complaints.append(f"{one.id} and {other.id} at one moment")
    step = tables.row("temperature_steps", situation="after anaesthesia", limit="step").high
    for one in orders:
        way = [other for other in orders if other.water == one.words.get("as") and _before(other, one)]
        # A tank that is only matched before its fish go in drifts for days.
        way = [other for other in way if "hospital" not in other.id or other.moment is Moment.HOSPITAL]
        target, left = _target(plan, one), _target(plan, way[-1]) if way else None
        if target is not None and left is not None and abs(left - target) > step and _stepped(plan, one) > step:
            complaints.append(f"{one.id}: to {target:g} °C, and {one.words['as']} is brought to {left:g} °C")
    return complaints


def _stepped(plan: Plan, one: Action) -> float:
    """The step that is left of an order, with what the water before it drifts towards the room."""
    steps = {judged.id: judged for judged in plan.judgements if judged.hazard is Hazard.TEMPERATURE_STEP}
    path = f"{one.water}/{Hazard.TEMPERATURE_STEP}"
    judged = steps.get(f"{path}/after", steps.get(path))
    figure = plan.figures.get(judged.figure or "") if judged is not None else None
    return 0.0 if figure is None or figure.best is None else figure.best


def _target(plan: Plan, one: Action) -> float | None:
    figure = plan.figures.get(one.amounts.get("temperature", ""))
    return None if figure is None else figure.best


def _before(one: Action, other: Action) -> bool:
    return one.by is not None and other.by is not None and one.by <= other.by


def _meet(one: Action, other: Action) -> bool:
    """Whether two orders of a moment are at one time: those with no hours of their own are."""
    if one.at is None or other.at is None or one.by is None or other.by is None:
        return one.at is None and other.at is None
    return max(one.at, other.at) < min(one.until or one.by, other.until or other.by)


def times_agree(plan: Plan) -> Complaints:
    """Stretches that end before they begin, a fish in two waters at once, and work ordered for a time that is past."""
    complaints = [
        f"{one.id} runs from {one.start} until {one.until}"
        for one in plan.judgements
        if one.start is not None and one.until is not None and one.until < one.start
    ]
    inside = [
        (one.fish, one.start, one.until, water.id)
        for water in plan.waters
        for one in water.occupants
        if one.start is not None and one.until is not None
    ]
    for number, (fish, start, until, water) in enumerate(inside):
        for other, begins, ends, elsewhere in inside[number + 1 :]:
            if fish == other and water != elsewhere and max(start, begins) < min(until, ends):
                complaints.append(f"{fish} is in {water} and in {elsewhere} at {max(start, begins)}")
    now = plan.made.as_of
    if now is not None:
        complaints += [
            f"{one.id} is ordered for {one.at}, which is past"
            for one in accepted(plan)
            if one.at and one.at < now and one.kind is not Kind.WAIT
            if not (one.every_h == 24.0 and one.at.date() == now.date())  # today's is late, and keeps its hour
        ]
    for day in plan.days:
        leaves = [until for _, _, until, water in inside if water == day.water]
        if leaves and day.at > max(leaves):
            complaints.append(f"a round in {day.water} at {day.at}, after the last fish has left it")
    return complaints


def courses_agree(plan: Plan) -> Complaints:
    """Bands of a picture that are out of order or of different lengths."""
    complaints = []
    for name, one in plan.series.items():
        if len({len(one.hours), len(one.low), len(one.best), len(one.high)}) != 1:
            complaints.append(f"series {name}: lengths differ")
        elif any(not low <= best <= high for low, best, high in zip(one.low, one.best, one.high, strict=True)):
            complaints.append(f"series {name}: a band is out of order")
    return complaints


def answers_agree(plan: Plan) -> Complaints:
    """Actions and judgements that do not name one another, and verdicts that count on an action that is not ordered."""
    orders = {one.id for one in accepted(plan)}
    done = {one.id for one in plan.actions if one.done is not None}
    answers = {one.id: set(one.answers) for one in plan.actions}
    complaints = [
        f"{one.id} is answered by {path}, which does not say so"
        for one in plan.judgements
        for path in one.answered_by
        if path in answers and not {one.id, one.before} & answers[path]
    ]
    complaints += [
        f"{one.id} counts on {path}, which is not ordered"
        for one in plan.judgements
        for path in one.given_done
        if path not in orders | done
    ]
    complaints += [
        f"first page refuses nothing: {path}"
        for path in plan.first_page.refused
        if path in orders and not any(one.id == path and one.verdict in BAD for one in plan.judgements)
    ]
    return complaints


OWN_TUB = {"a-shaded-tub-takes-the-ice", "shaded-tub-of-own-water-warmed-slowly"}


def ways_agree(plan: Plan) -> Complaints:
    """A refusal that offers what is itself refused in that water, or a move out of one that nothing may leave.

    A tub made of the pond's own water is offered where no other water was stated.
    """
    refused = {(one.water, one.kind) for one in plan.actions if one.refused_because and one.done is None}
    shut = refused - {(one.water, one.kind) for one in accepted(plan)}
    shut |= {(one.water, Kind.MOVE) for one in plan.actions if one.kind is Kind.MOVE_NOTHING}
    return [
        f"{one.id} offers {way.kind}, which is refused there"
        for one in plan.actions
        for way in one.instead
        if one.refused_because and way.kind is not one.kind and (one.water, way.kind) in shut
        if not any(why.code in OWN_TUB for why in way.because)
    ]


def nothing_is_weighed(plan: Plan) -> Complaints:
    """An amount of nothing that somebody is to weigh, draw up or pour."""
    return [
        f"{one.id}: {name} of nothing"
        for one in accepted(plan)
        for name, path in one.amounts.items()
        if plan.figures[path].unit in {"g", "kg", "mL", "L"} and plan.figures[path].act_on == 0.0
    ]


def clocks_agree(plan: Plan) -> Complaints:
    """A card at a tub that tells another time without power than the plan's own line of the same water and fish."""
    lines = {
        one.water: one.figure
        for one in as_they_stand(plan.judgements)
        if one.hazard is Hazard.OXYGEN and "power off" in one.id.split("/")
    }
    return [
        f"{water}: {line} in the plan, {card} on the card"
        for water, line in lines.items()
        if (card := air_off(plan, water).get("until-emergency")) != line
    ]


# The hours of the day in which each can be read: the table `timetable`, "dawn" and "afternoon".
_HOURS_OF = {"oxygen at dawn": (3, 8), "afternoon ph": (13, 20)}


def nothing_past_is_asked(plan: Plan) -> Complaints:
    """A reading of the dawn or of the afternoon, due before the next one is there to be read."""
    made, complaints = plan.made, []
    lead = timedelta(hours=tables.row("timetable", what="before the operation").value)
    now = made.as_of or (made.operation_at - lead if made.operation_at else None)
    for one in accepted(plan):
        if one.kind is not Kind.MEASURE or one.by is None or now is None:
            continue
        quarters = (now + timedelta(minutes=15 * n) for n in range(4 * 48) if now + timedelta(minutes=15 * n) <= one.by)
        hours = {at.astimezone(one.by.tzinfo).hour for at in quarters}
        asked = {each for words in one.words.values() for each in words.split(", ")}
        complaints += [
            f"{one.id}: {name} by {one.by}, and it is {now}"
            for name, (begins, ends) in _HOURS_OF.items()
            if name in asked and hours.isdisjoint(range(begins, ends))
        ]
    return complaints


def a_dawn_reading_counts(plan: Plan) -> Complaints:
    """Oxygen of the pond asked for before dawn, where its last reading was taken then: whatever is ordered for the pond."""
    pond = next((one for one in plan.waters if one.id == "home-pond"), None)
    read = pond.states[0].quantities.get("oxygen") if pond and pond.states else None
    if read is None or read.origin is not Origin.MEASURED or read.taken is None or not 3 <= read.taken.hour < 8:
        return []
    return [
        f"{one.id}: oxygen before dawn is to be read, and was at {read.taken}"
        for one in plan.judgements
        if one.water == "home-pond" and any(each.quantity == "oxygen at dawn" for each in one.inputs)
    ]


def ammonia_is_part_of_ammonia(plan: Plan) -> Complaints:
    """Un-ionised ammonia beyond all the ammonia that there is, or after airing beyond its part at the pH that air leaves.

    Air of 350 ppm, less than any open air now, leaves the highest: at 15 °C 6.42 for the first step of carbonic acid and
    1.34 for the gas (Harned & Davis 1943), with 0.15 for colder and warmer ponds; the part by Emerson et al. 1975.
    """
    complaints = []
    for path, part in plan.figures.items():
        whole = plan.figures.get(path.replace("/un-ionised ammonia/", "/ammonia/")) if "/un-ionised" in path else None
        ends = () if whole is None else ((part.best, whole.best), (part.low, whole.low), (part.high, whole.high))
        complaints += [
            f"{path}: {one:g} of {all_:g}" for one, all_ in ends if None not in (one, all_) and one > all_ + 1e-9
        ]
    for water in plan.waters:
        freed = plan.figures.get(f"{water.id}/air/un-ionised ammonia")
        found = water.states[0].quantities if freed is not None and freed.act_on is not None else {}
        high = {name: plan.figures[one.figure].high for name, one in found.items() if one.figure}
        if freed is None or freed.act_on is None or None in (high.get("alkalinity"), high.get("ammonia")):
            continue
        ph = 6.42 + 1.34 + 0.15 + math.log10(max(high["alkalinity"], 5.0) / 50_043.0 / 350e-6)
        share = 1.0 / (1.0 + 10.0 ** (0.09018 + 2729.92 / (high["temperature"] + 273.15) - ph))
        if freed.act_on > 1.1 * share * high["ammonia"] + 0.001:
            complaints.append(
                f"{water.id}: air frees {freed.act_on:g} of {high['ammonia']:g}, of which pH {ph:.2f} makes {share:.1%}"
            )
    return complaints


CHECKS: tuple[Callable[[Plan], Complaints], ...] = (
    verdicts_agree,
    moments_agree,
    one_temperature,
    operation_agrees,
    times_agree,
    courses_agree,
    answers_agree,
    ways_agree,
    nothing_is_weighed,
    clocks_agree,
    nothing_past_is_asked,
    a_dawn_reading_counts,
    ammonia_is_part_of_ammonia,
)
