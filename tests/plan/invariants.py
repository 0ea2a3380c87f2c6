"""What must hold of every plan, as functions of the record alone: each gives its complaints, with the paths they are about."""

import math
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import timedelta
from functools import cache
from itertools import pairwise

from waterplan import tables
from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.stay.record import ActEnd, Figure, Moment, Origin, Quantity, State, Water, WaterKind

Complaints = list[str]
FIRST_THIRTEEN = tuple(Hazard)[:13]
BAD = frozenset({Verdict.ACT_NOW, Verdict.REFUSED})
OPEN = frozenset({Verdict.NOT_KNOWN, Verdict.ACT_NOW, Verdict.REFUSED})
# Kinds that change no water: none of them answers a danger by itself.
REFERRALS = frozenset({Kind.ASK, Kind.MEASURE})
ADDITIONS = frozenset({Kind.SALT, Kind.DOSE, Kind.CHEMISTRY, Kind.NEUTRALISE})
AN_HOUR = 60.0
_A_DAY = timedelta(days=1)
_STEPS = frozenset({Hazard.TEMPERATURE_STEP, Hazard.PH_CHANGE, Hazard.SALT_STEP})
_MINUTES = {"s": 1 / 60, "min": 1.0, "h": 60.0, "days": 1440.0, "d": 1440.0, "day": 1440.0}


# -- what the tables say ------------------------------------------------------------------------------------------


@cache
def hazards_by_kind() -> Mapping[WaterKind, frozenset[Hazard]]:
    """The hazards that a kind of water can have, from the table `hazards`."""
    found: dict[WaterKind, set[Hazard]] = defaultdict(set)
    for row in tables.table("hazards"):
        if row["applies"] == "yes":
            found[WaterKind(row["water"])].add(Hazard(row["hazard"]))
    return {kind: frozenset(names) for kind, names in found.items()}


@cache
def kinds_by_hazard() -> Mapping[Hazard, frozenset[Kind]]:
    """The kinds of action that may answer a hazard, from the table `hazards`."""
    found: dict[Hazard, set[Kind]] = defaultdict(set)
    for row in tables.table("hazards"):
        found[Hazard(row["hazard"])] |= {Kind(name.strip()) for name in row["answers"].split(";") if name.strip()}
    return {hazard: frozenset(kinds) for hazard, kinds in found.items()}


# -- how the record is walked -------------------------------------------------------------------------------------


def accepted(plan: Plan) -> list[Action]:
    """The actions that the plan orders: neither refused nor done already."""
    return [action for action in plan.actions if not action.refused_because and action.done is None]


def waters_of_fish(plan: Plan) -> dict[str, str]:
    """Each water that touches a fish or is poured where one is, with the reason."""
    found = {water.id: "holds a fish" for water in plan.waters if water.occupants}
    while True:
        more = {
            water.id: f"is poured into {into}"
            for water in plan.waters
            for into in water.pours_into
            if into in found and water.id not in found
        }
        if not more:
            return found
        found |= more


def quantities(plan: Plan) -> Iterator[tuple[Water, State, str, Quantity]]:
    """Every quantity of every state of every water."""
    for water in plan.waters:
        for state in water.states:
            for name, quantity in state.quantities.items():
                yield water, state, name, quantity


def minutes(plan: Plan, figure: str | None) -> float:
    """A time until harm in minutes, as a person acts on it; infinite where it is unknown or never comes."""
    if figure is None or figure not in plan.figures:
        return math.inf
    found = plan.figures[figure]
    return math.inf if found.act_on is None else found.act_on * _MINUTES.get(found.unit, 1.0)


def verdict_before(plan: Plan, judgement: Judgement) -> Verdict | None:
    """The verdict before the actions that a judgement follows; None where the record does not say."""
    if judgement.before is None:
        return None
    if judgement.before in set(Verdict):
        return Verdict(judgement.before)
    return next((one.verdict for one in plan.judgements if one.id == judgement.before), None)


def _of(plan: Plan) -> tuple[dict[str, Judgement], dict[str, Action], dict[str, Water]]:
    return (
        {one.id: one for one in plan.judgements},
        {one.id: one for one in plan.actions},
        {one.id: one for one in plan.waters},
    )


# -- the seven ----------------------------------------------------------------------------------------------------


def check_1(plan: Plan, *, applies: Mapping[WaterKind, frozenset[Hazard]] | None = None) -> Complaints:
    """Each water that matters has a judgement for each hazard that its kind can have, and of each fish in it."""
    applies = hazards_by_kind() if applies is None else applies
    judged: dict[tuple[str, Hazard], list[Judgement]] = defaultdict(list)
    for judgement in plan.judgements:
        judged[judgement.water, judgement.hazard].append(judgement)
    complaints = []
    matters = waters_of_fish(plan)
    for water in plan.waters:
        if water.id not in matters:
            continue
        inside = {occupant.fish for occupant in water.occupants}
        for hazard in FIRST_THIRTEEN:
            if hazard not in applies.get(water.kind, frozenset()):
                continue
            found = judged[water.id, hazard]
            if not found:
                complaints.append(f"{water.id} {matters[water.id]}, and nothing is said of {hazard}")
            # A judgement that names fish names all of them between its groups.
            named = {fish for judgement in found for fish in judgement.fish}
            if named and (left_out := inside - named):
                complaints.append(f"{water.id}/{hazard}: not judged for {sorted(left_out)}")
    return complaints


def check_2(plan: Plan) -> Complaints:
    """What rests on a deciding input that was assumed is not known or worse, unless it holds whatever it is."""
    complaints = []
    for judgement in plan.judgements:
        deciding = [given for given in judgement.inputs if given.decides]
        assumed = [f"{given.water}/{given.quantity}" for given in deciding if given.origin is Origin.ASSUMED]
        assumed += [
            name for given in deciding if given.origin is Origin.WORKED_OUT and (name := _laundered(plan, given))
        ]
        lenient = judgement.verdict.rank < Verdict.NOT_KNOWN.rank
        if assumed and lenient and not judgement.whatever:
            complaints.append(f"{judgement.id}: {judgement.verdict} rests on assumed {', '.join(assumed)}")
        if judgement.whatever and judgement.verdict is Verdict.NOT_KNOWN:
            complaints.append(f"{judgement.id}: not known, whatever it is")
        good = judgement.verdict is Verdict.WITHIN_LIMIT
        if judgement.whatever and good and judgement.chance is not None and judgement.chance < 1.0:
            complaints.append(f"{judgement.id}: within limit whatever, and yet a chance of {judgement.chance:g}")
    return complaints


_MADE_GOOD = frozenset({"oxygen", "temperature", "chlorine", "ph"})


def _laundered(plan: Plan, given: object) -> str | None:
    """The assumed quantity of a source that a worked out one was simply poured from."""
    _, actions, waters = _of(plan)
    water, quantity = given.water, given.quantity  # type: ignore[attr-defined]
    if water not in waters:
        return None
    states = [state.quantities[quantity] for state in waters[water].states if quantity in state.quantities]
    origins = {state.came_from for state in states if state.origin is Origin.WORKED_OUT and state.came_from}
    for origin in origins:
        if origin in actions and quantity in _MADE_GOOD:
            continue  # new water is treated, aired and brought to the temperature before it is poured
        source = origin if origin in waters else actions[origin].source if origin in actions else None
        if source not in waters or source == water:
            continue
        poured = [state.quantities[quantity] for state in waters[source].states if quantity in state.quantities]
        if poured and all(one.origin is Origin.ASSUMED for one in poured):
            return f"{source}/{quantity} (through {water})"
    return None


def check_3(plan: Plan, *, kinds: Mapping[Hazard, frozenset[Kind]] | None = None) -> Complaints:
    """Each danger has an action that is not refused; a referral answers only where nothing else can, with reasons."""
    kinds = kinds_by_hazard() if kinds is None else kinds
    _, actions, _ = _of(plan)
    complaints = []
    for judgement in plan.judgements:
        if judgement.verdict is not Verdict.ACT_NOW:
            continue
        named = [actions[path] for path in judgement.answered_by if path in actions]
        answers = [action for action in named if not action.refused_because]
        if not answers:
            refused = f" (refused: {', '.join(action.id for action in named)})" if named else ""
            complaints.append(f"{judgement.id}: act now, and nothing answers it{refused}")
            continue
        if any(action.kind not in REFERRALS for action in answers):
            continue
        ask = [action for action in answers if action.kind is Kind.ASK]
        if not ask:
            complaints.append(f"{judgement.id}: act now, and only a measurement answers it")
            continue
        reasons = {instead.kind: instead.because for action in ask for instead in action.instead}
        wanted = kinds.get(judgement.hazard, frozenset()) - REFERRALS
        if missing := sorted(kind for kind in wanted if not reasons.get(kind)):
            complaints.append(f"{judgement.id}: only a referral, and no reason against {', '.join(missing)}")
    return complaints


def check_4(plan: Plan) -> Complaints:
    """No accepted action makes a danger; what it makes worse stands in its costs; a refused one's state is hypothetical.

    A verdict that was open with the danger more likely than not was one before: an action may only have made it plain.
    Air for fish that may be short of oxygen, or in whose water gas kills, stays on whatever it frees, where it says so.
    A step on the way home is made last: one that is answered then takes nothing from what is needed before.
    """
    judgements, actions, _ = _of(plan)
    complaints, freed = [], _freed_by_air(plan)
    for action in accepted(plan):
        answered = [judgements[path] for path in action.answers if path in judgements]
        for path in action.leads_to:
            after = judgements.get(path)
            if after is None:
                continue
            before = verdict_before(plan, after)
            same = [one.verdict for one in answered if (one.water, one.hazard) == (after.water, after.hazard)]
            was = max([*same, *([before] if before else [])], key=lambda verdict: verdict.rank, default=None)
            earlier = judgements.get(after.before or "")
            chance = 1.0 if earlier is None or earlier.chance is None else earlier.chance
            likely = earlier is not None and earlier.verdict is Verdict.NOT_KNOWN and chance < 0.5
            bridged = after.moment is Moment.HOME and after.hazard in _STEPS and bool(after.answered_by)
            if after.verdict in BAD and (was is None or was not in BAD) and not (likely or bridged or path in freed):
                complaints.append(f"{action.id} leads to {after.verdict}: {after.id} (before: {was or 'not said'})")
            elif was is not None and after.verdict.rank > was.rank and not action.costs:
                complaints.append(f"{action.id} makes {after.id} {after.verdict} from {was}, and no cost is told")
    for water in plan.waters:
        for state in water.states:
            refused = [path for path in state.after if path in actions and actions[path].refused_because]
            if bool(refused) != state.hypothetical:
                told = "hypothetical" if state.hypothetical else "real"
                complaints.append(
                    f"{water.id} at {state.at} is {told} after {', '.join(refused) or 'no refused action'}"
                )
    return complaints + doses_into_bad_water(plan)


def _freed_by_air(plan: Plan) -> set[str]:
    """What air says that it makes of ammonia and pH: whatever else is done there stands beside it.

    Of carbon dioxide too, where there was too little oxygen to breathe it out of.
    """
    of_air = (Hazard.AMMONIA, Hazard.PH, Hazard.PH_CHANGE)
    costs = [(one.kind, why) for one in plan.actions if not one.refused_because for why in one.costs]
    told = {why.words.get("judgement") for kind, why in costs if kind is Kind.AIR or why.code == "airing-frees-ammonia"}
    of_oxygen = (one for one in plan.judgements if one.hazard is Hazard.OXYGEN and not one.before)
    short = {one.water for one in of_oxygen if one.verdict in BAD}
    breathed = {one.id for one in plan.judgements if one.hazard is Hazard.CARBON_DIOXIDE and one.water in short}
    return {one.id for one in plan.judgements if one.hazard in of_air or one.id in breathed} & told


def doses_into_bad_water(plan: Plan) -> Complaints:
    """Accepted doses and injections whose water is `act now` or `refused` in what they lead to, but for the step home."""
    judgements, _, _ = _of(plan)
    return [
        f"{action.id} is ordered, and after it {path} is {judgements[path].verdict}"
        for action in accepted(plan)
        if action.kind in {Kind.DOSE, Kind.INJECTION}
        for path in action.leads_to
        if path in judgements and judgements[path].verdict in BAD
        if not (judgements[path].moment is Moment.HOME and judgements[path].hazard in _STEPS)
    ]


PUT_IN = frozenset({Kind.NEUTRALISE, Kind.SALT, Kind.CHEMISTRY, Kind.DOSE, Kind.INJECTION})


def due_at(action: Action) -> float:
    """When an action is due, in seconds; at once where no time is known."""
    by = action.by or action.at
    return by.timestamp() if by else -math.inf


def check_5(plan: Plan) -> Complaints:
    """The first page: what others need, then verdict, then time until harm; at most five, and no urgent one hidden."""
    _, actions, _ = _of(plan)
    page = plan.first_page
    complaints = []
    shown = [actions[path] for path in page.do_now if path in actions]
    if strange := [path for path in page.do_now if path not in actions]:
        complaints.append(f"first page names no action: {strange}")
    sized = [action for action in shown if action.kind is not Kind.PEOPLE]  # who is safe first is always told
    if len(sized) > 5 and not all(_is_urgent(plan, action) for action in sized):
        complaints.append(f"first page holds {len(page.do_now)} actions, and not all are needed within the hour")
    if twice := [path for path, count in Counter(page.do_now).items() if count > 1]:
        complaints.append(f"first page says twice {twice}")
    complaints += [f"first page orders refused {action.id}" for action in shown if action.refused_because]
    complaints += [f"first page orders {action.id}, done at {action.done}" for action in shown if action.done]
    due = {action.id: action for action in accepted(plan)}
    for place, action in enumerate(shown):
        earlier = {one.id for one in shown[:place]}
        complaints += [
            f"first page: {action.id} before {need}, which it needs"
            for need in action.needs
            if need in due and need not in earlier
        ]
    priority = _priorities(plan, due)
    for place, (first, second) in enumerate(pairwise(shown), 1):
        if first.kind in {Kind.PEOPLE, Kind.SOURCE_OFF}:
            continue  # what does harm stops first
        if first.kind is Kind.AIR and any(due_at(one) >= due_at(first) for one in shown[place:] if one.kind in PUT_IN):
            continue  # air before a dose
        if priority.get(first.id, (0, 0.0)) > priority.get(second.id, (0, 0.0)):
            complaints.append(f"first page: {first.id} before {second.id}, which is more pressing")
    hidden = [action for path, action in due.items() if path not in page.do_now]
    urgent = {path for path in due if _is_urgent(plan, due[path])}
    all_urgent = len(shown) == 5 and all(priority[one.id][0] == -Verdict.ACT_NOW.rank for one in shown if one.id in due)
    complaints += [
        f"first page hides {action.id}, needed within the hour"
        for action in hidden
        if action.id in urgent and not all_urgent
    ]
    answering = [action for action in hidden if _worst(plan, action)[0] == -Verdict.ACT_NOW.rank]
    if page.and_more < len(answering):
        complaints.append(f"first page: {len(answering)} more answer a danger, and it counts {page.and_more}")
    times = [when for one in (*shown, *hidden) if (when := one.at or one.by)]
    start = plan.made.as_of or min(times, default=None)
    later = [one for one in hidden if start and (when := one.at or one.by) and when >= start + _A_DAY]
    if page.and_more > len(later) and len(page.do_now) < 5:
        complaints.append(f"first page counts {page.and_more} more with room for {5 - len(page.do_now)}")
    return complaints


def _worst(plan: Plan, action: Action) -> tuple[int, float]:
    """How pressing an action is by itself: less is more."""
    judgements, _, _ = _of(plan)
    answered = [judgements[path] for path in action.answers if path in judgements]
    return min(((-one.verdict.rank, minutes(plan, one.until_harm)) for one in answered), default=(0, math.inf))


def _is_urgent(plan: Plan, action: Action) -> bool:
    """Whether it answers a danger that is there within the hour, whatever else it answers."""
    judgements, _, _ = _of(plan)
    answered = [judgements[path] for path in action.answers if path in judgements]
    return any(one.verdict in BAD and minutes(plan, one.until_harm) <= AN_HOUR for one in answered)


def _priorities(plan: Plan, due: Mapping[str, Action]) -> dict[str, tuple[int, float]]:
    """How pressing each action is, by itself or by what needs it."""
    found = {path: _worst(plan, action) for path, action in due.items()}
    for _ in due:  # as many passes as the longest chain of needs could ask for
        moved = False
        for path, action in due.items():
            for need in action.needs:
                if need in found and found[path] < found[need]:
                    found[need], moved = found[path], True
        if not moved:
            break
    return found


def check_6(plan: Plan) -> Complaints:
    """Every number is a figure, a row or the case's own, and the number to act by is on the safe side of its end."""
    return [*references(plan), *act_on_sides(plan), *numbers_in_words(plan)]


def references(plan: Plan) -> Complaints:
    """Paths that lead nowhere, and identities that stand twice."""
    judgements, actions, waters = _of(plan)
    fish = {one.id for one in plan.fish}
    complaints = []
    for what, ids in (
        ("judgement", [one.id for one in plan.judgements]),
        ("action", [one.id for one in plan.actions]),
        ("water", [one.id for one in plan.waters]),
        ("fish", [one.id for one in plan.fish]),
    ):
        complaints += [f"{what} {path} stands {count} times" for path, count in Counter(ids).items() if count > 1]

    def missing(whose: str, paths: Iterable[str | None], known: Iterable[str], what: str) -> None:
        places = set(known)
        complaints.extend(
            f"{whose} names no {what}: {path}" for path in paths if path is not None and path not in places
        )

    for name, figure in plan.figures.items():
        missing(name, figure.rows, plan.rows, "row of the plan")
    for one in plan.judgements:
        missing(one.id, (one.figure, one.until_harm), plan.figures, "figure")
        missing(one.id, (one.water, *(given.water for given in one.inputs)), waters, "water")
        missing(one.id, one.fish, fish, "fish")
        missing(one.id, (*one.answered_by, *one.given_done), actions, "action")
        missing(one.id, [one.limit.row] if one.limit else [], plan.rows, "row of the plan")
        missing(one.id, (path for why in one.why for path in why.figures.values()), plan.figures, "figure")
        if one.verdict is not Verdict.NOT_KNOWN and one.figure is None and not one.why:
            complaints.append(f"{one.id}: {one.verdict} of no figure and for no reason")
    for action in plan.actions:
        missing(action.id, action.amounts.values(), plan.figures, "figure")
        missing(action.id, (action.water, action.source), waters, "water")
        missing(action.id, (*action.answers, *action.leads_to), judgements, "judgement")
        missing(action.id, action.needs, actions, "action")
        if not action.id.startswith(f"{action.moment}/"):
            complaints.append(f"{action.id}: stands among what is done at another moment, {action.moment}")
        reasons = [*action.costs, *action.refused_because, *action.cautions]
        reasons += [why for instead in action.instead for why in instead.because]
        missing(action.id, (path for why in reasons for path in why.figures.values()), plan.figures, "figure")
    for water in plan.waters:
        missing(water.id, water.pours_into, waters, "water")
        missing(water.id, (one.fish for one in water.occupants), fish, "fish")
        for state in water.states:
            # A water is filled before anything is ordered of it: that has a path and is no order.
            missing(water.id, (path for path in state.after if "/fill/" not in path), actions, "action")
            missing(water.id, (one.level for one in state.contents), plan.figures, "figure")
    for water, _, name, quantity in quantities(plan):
        missing(f"{water.id}/{name}", [quantity.figure], plan.figures, "figure")
    missing("first page", plan.first_page.have_ready, plan.figures, "figure")
    listed = [*actions, *judgements]
    missing("first page", [*plan.first_page.do_now, *plan.first_page.refused], listed, "action or judgement")
    for moment in plan.moments:
        missing(moment.moment, (*moment.because, *moment.judgements), judgements, "judgement")
        missing(moment.moment, moment.actions, actions, "action")
    return complaints


def act_on_sides(plan: Plan) -> Complaints:
    """Figures whose number to act by is not its end, rounded towards safety, to what can be read."""
    complaints = []
    for name, figure in plan.figures.items():
        end = {ActEnd.LOW: figure.low, ActEnd.HIGH: figure.high, ActEnd.BEST: figure.best}[figure.act_end]
        if (figure.act_on is None) != (end is None):
            complaints.append(f"{name}: acts on {figure.act_on} at an end of {end}")
        if figure.act_on is None or end is None:
            continue
        slack = 1e-6 * max(abs(end), 1e-9)
        if figure.act_end is ActEnd.LOW and figure.act_on > end + slack:
            complaints.append(f"{name}: {figure.act_on:g} is above its low end {end:g}")
        if figure.act_end is ActEnd.HIGH and figure.act_on < end - slack:
            complaints.append(f"{name}: {figure.act_on:g} is below its high end {end:g}")
        if significant(figure.act_on) > 4:
            complaints.append(f"{name}: {figure.act_on!r} has more digits than anybody can read")
        if _infinite(figure) and not figure.never:
            complaints.append(f"{name}: an end never comes, and no share says how often")
    return complaints


def _infinite(figure: Figure) -> bool:
    return None in {figure.best, figure.low, figure.high}


def significant(number: float) -> int:
    """How many significant digits a number is written with."""
    digits = f"{abs(number):.12g}".partition("e")[0].replace(".", "").lstrip("0")
    return len(digits.rstrip("0")) if "." not in f"{number:.12g}" else len(digits)


# A number with a unit behind it, as a reader would take it.
UNITS = (
    r"°[CFd]|mg/L|g/L|µg/L|uL/L|mL/L|mg/kg|mg/mL|L/min|L/h|%|µS/cm|mS/cm|kPa|mmHg|min\b|hours?\b|h\b|days?\b|weeks?\b|"
    r"litres?\b|kg\b|mg\b|g\b|mL\b|L\b|US gal|imp gal|gal\b|m3|m²|m2|cm\b|mm\b|m\b|ft\b|in\b|lb\b|oz\b|W\b|s\b|bar\b"
)
NUMBER_WITH_UNIT = re.compile(rf"(?<![\w.])[<>]?\d[\d,.]*(?:\s*(?:to|–|-|±)\s*\d[\d.]*)?\s*(?:{UNITS})")


def numbers_in_words(plan: Plan) -> Complaints:
    """Words of the record that hold a number with a unit and are not the case's own."""
    own = {water.name for water in plan.waters} | {fish.name for fish in plan.fish}
    own |= {part for line in plan.written for part in line.text.split(", ")}
    own |= {line.text for line in plan.written} | {line.text for line in plan.read} | set(plan.title.values())
    complaints = []

    def look(whose: str, words: Mapping[str, str]) -> None:
        for key, text in words.items():
            # A path, or several, is no text: it names rows whose words may hold a number.
            paths = all("/" in part and part[:1].isalpha() for part in text.split("|"))
            if key != "label" and text not in own and not paths and NUMBER_WITH_UNIT.search(text):
                complaints.append(f"{whose}: words {key!r} hold a number: {text!r}")

    for one in plan.judgements:
        for why in one.why:
            look(one.id, why.words)
    for action in plan.actions:
        look(action.id, action.words)
        for why in (*action.costs, *action.refused_because, *action.cautions):
            look(action.id, why.words)
    return complaints


def check_7(plan: Plan) -> Complaints:
    """Parts add up to their amount, and a substance has one budget in a water."""
    complaints = []
    for action in plan.actions:
        for name, parts in action.part_amounts.items():
            figure = plan.figures.get(action.amounts.get(name, ""))
            if figure is None or figure.act_on is None:
                complaints.append(f"{action.id}: parts of {name}, and no amount of it")
            elif not math.isclose(math.fsum(parts), figure.act_on, rel_tol=1e-9, abs_tol=1e-9):
                complaints.append(f"{action.id}: parts of {name} are {math.fsum(parts):g} and not {figure.act_on:g}")
            if len(parts) != action.parts:
                complaints.append(f"{action.id}: {action.parts} parts, and {len(parts)} amounts of {name}")
    return complaints + budgets(plan)


def budgets(plan: Plan) -> Complaints:
    """Substances that are counted apart in one water."""
    judgements, _, waters = _of(plan)
    complaints = []
    added: dict[tuple[str, str, str], list[Action]] = defaultdict(list)
    for action in accepted(plan):
        if action.kind in ADDITIONS and action.water and action.substance:
            # An antidote is used up by its oxidant: two oxidants have a budget each.
            used_up_by = action.words.get("oxidant", "") if action.kind is Kind.NEUTRALISE else ""
            added[action.water, action.substance, used_up_by].append(action)
    for (water, substance, _), several in added.items():
        if len(several) < 2 or water not in waters:
            continue
        hazard = Hazard.SALT if substance == "salt" else Hazard.SUBSTANCE
        for action in several:
            led = [judgements[path] for path in action.leads_to if path in judgements]
            if not any(one.hazard is hazard and one.water == water for one in led):
                complaints.append(f"{action.id}: one of {len(several)} of {substance}, judged for none of their sum")
    for water in plan.waters:
        for state in water.states:
            levels: dict[str, set[str | None]] = defaultdict(set)
            for content in state.contents:
                levels[content.substance].add(content.level)
            complaints += [
                f"{water.id} at {state.at}: {substance} has {len(found)} levels"
                for substance, found in levels.items()
                if len(found) > 1
            ]
    return complaints


CHECKS: tuple[Callable[[Plan], Complaints], ...] = (check_1, check_2, check_3, check_4, check_5, check_6, check_7)


# -- what may occur -----------------------------------------------------------------------------------------------


# Severities that belong to rules (what must not meet), and that of a substance with no level reported, beside those of
# the hazards' own rows.
_RULES = {Hazard.SUBSTANCE: ("caution",), Hazard.CONFLICT: ("refuse", "act", "caution")}
_ONLY_RULES = frozenset({Hazard.CONFLICT})
# They have a limit and no level of harm, so that nothing in them is harm as likely as not: the most that is reported of a
# substance, how well a volume is known, two readings of which one is wrong, a jump of salt.
_NO_HARM = frozenset({Hazard.SUBSTANCE, Hazard.VOLUME, Hazard.CONTRADICTION, Hazard.SALT_STEP})
# An assumed volume counts as guessed in every draw: that is watched, whatever it is.
_NEVER_OPEN = frozenset({Hazard.VOLUME})


def verdicts_allowed() -> list[tuple[Hazard, Verdict]]:
    """Each hazard with each verdict that the tables let it come to."""
    by_severity: dict[str, set[Verdict]] = defaultdict(set)
    for row in tables.table("verdicts"):
        by_severity[row["severity"]].add(Verdict(row["verdict"]))
    found: dict[Hazard, set[Verdict]] = defaultdict(set)
    for row in tables.table("hazards"):
        hazard = Hazard(row["hazard"])
        if row["applies"] != "yes":
            continue
        severities = _RULES.get(hazard, ())
        severities += () if hazard in _ONLY_RULES else (row["severity"],)
        found[hazard] |= {verdict for severity in severities for verdict in by_severity[severity]}
        found[hazard] |= {Verdict.NOT_KNOWN} if row["deciding"] and hazard not in _NEVER_OPEN else set()
        found[hazard] -= {Verdict.ACT_NOW} if hazard in _NO_HARM else set()
    return [(hazard, verdict) for hazard in Hazard for verdict in Verdict if verdict in found[hazard]]


def kinds_allowed() -> list[Kind]:
    """The kinds of action that the table of kinds holds."""
    names = {row["kind"] for row in tables.table("action_kinds")}
    return [kind for kind in Kind if kind in names]
