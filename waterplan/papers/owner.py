"""What stands on the owner's page: short sentences, the numbers that a kit shows, and signs that fit what was done."""

from collections.abc import Iterator
from datetime import datetime
from functools import partial

from waterplan import tables
from waterplan.actions.record import Action, Kind, Who
from waterplan.hazards.record import Hazard, Limit, Side
from waterplan.papers.drawings import Drawings, air_off
from waterplan.papers.ordered import kit_limit
from waterplan.papers.parts import Values, home, in_a_kit, until_salted
from waterplan.papers.way_home import acclimations, rechecks
from waterplan.plan.begin import begins
from waterplan.plan.record import Plan
from waterplan.stay.figures import rounded
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Quantity, WaterKind
from waterplan.units import Family, to_core
from waterplan.words import numbers
from waterplan.words.lines import action_values
from waterplan.words.speaker import Speaker

# What kits show in several ways: the quantity, and the way that is safe where nobody wrote which it is.
_SHOWN_AS = {
    Hazard.AMMONIA: (Q.AMMONIA, Family.AMMONIA, "mg/L as N"),
    Hazard.NITRITE: (Q.NITRITE, Family.NITRITE, "mg/L as N"),
    Hazard.ALKALINITY: (Q.ALKALINITY, Family.ALKALINITY, "mg/L as CaCO3"),
}
# What is read where nobody said with what.
_USUAL = "not stated"
_DEGREES = frozenset({"°dKH", "dKH", "meq/L"})
# What stands elsewhere on the page, or is no task.
_FED = frozenset({Kind.FEED, Kind.STOP_FEEDING})
# What no kit of an owner shows.
_NOT_IN_A_KIT = frozenset({"gas pressure", "carbon dioxide"})
_NOT_TASKS = frozenset({Kind.WAIT, Kind.ACCLIMATE, Kind.MEANT})


def owner_page(drawings: Drawings) -> Values:
    """For the owner: what to do, on which days, the numbers of a kit, when to phone; no chances."""
    speaker, plan, say = drawings.speaker, drawings.speaker.plan, drawings.speaker.say
    mine = [one for one in plan.actions if one.done is None and _for_owner(plan, one)]
    return {
        "tasks": [_task(speaker, one) for one in mine if not one.refused_because],
        "refused": [speaker.title(one.id) for one in mine if one.refused_because and one.substance],
        "days": _days(speaker),
        "tap": [
            say("owner.tap", **action_values(speaker, one)) for one in plan.actions if _is_of_the_tap(speaker, one)
        ],
        "limits": list(_kit_limits(speaker)),
        "signs": list(_signs(speaker)),
        "fed": any(one.kind in _FED for one in mine),
        "clock": air_off(plan, home(plan)).get("until-emergency", ""),
    }


# -- what to do -----------------------------------------------------------------------------------------------------


def _for_owner(plan: Plan, one: Action) -> bool:
    """Whether it is the owner's; a list of readings is, where any of it is in the owner's water."""
    if one.who is not Who.OWNER or one.kind in _NOT_TASKS:
        return False
    return one.kind is not Kind.MEASURE or home(plan) in (one.water, *one.words)


def _task(speaker: Speaker, one: Action) -> str:
    """A task in short sentences: what, in how many parts, by when."""
    values, pond, (begin, late) = action_values(speaker, one), home(speaker.plan), begins(speaker.plan, one)
    if pond in one.words:  # of a list for several waters, the owner's own
        read = [name for name in one.words[pond].split(", ") if name not in _NOT_IN_A_KIT]
        values |= {"list": speaker.join(speaker.each_reading(read)), "water": speaker.name(pond, article=True)}
    every = speaker.amount(one.every_h, "h") if one.every_h and one.parts > 1 else ""
    return speaker.say(
        "owner.task",
        sign=speaker.say("sign.to do"),
        what=speaker.say(f"owner act.{one.kind}", **values),
        only_if=speaker.say("owner.only if") if one.is_conditional else "",
        parts=str(one.parts) if one.parts > 1 else "",
        every=speaker.carries(every, "action", f"{one.id}/every"),
        by="" if one.is_conditional else speaker.clock(one.at or begin or one.by),
        late="yes" if late else "",
    )


def _is_of_the_tap(speaker: Speaker, one: Action) -> bool:
    """Whether it says what goes into each batch of new water, by weight."""
    from_source = one.water is not None and speaker.waters[one.water].kind is WaterKind.SOURCE
    return from_source and one.is_open and one.kind is Kind.NEUTRALISE and "thiosulphate" in one.amounts


# -- on which days --------------------------------------------------------------------------------------------------


def _days(speaker: Speaker) -> list[str]:
    """When the fish comes home and how, and when the veterinarian looks at it, in the order of the days."""
    plan, say = speaker.plan, speaker.say
    ways = [one for one in acclimations(plan) if one.water == home(plan)]
    refused = any(one.refused_because for one in ways)
    back = [] if refused else comes_home(plan)
    found = [(at, say("owner.comes home", at=speaker.clock(at, "date"))) for at in back]
    for one in ways:
        for number, step in enumerate(one.steps, 1):
            key = "owner.last step" if number == len(one.steps) else "owner.step"
            figures = {name: speaker.figure(path) for name, path in step.figures.items()}
            at = one.at or plan.made.operation_at
            if at is not None:
                clock = speaker.word(step.words["at"]) if step.words.get("at") else ""
                found.append((at, say(key, at=clock, **figures)))
    looks = "owner.stitches" if has_stitches(plan) else "owner.looks"
    now = plan.made.as_of
    for one in rechecks(plan):
        if one.at:
            due = " due" if now and one.at.date() < now.date() else ""
            found.append((one.at, say(f"{looks}{due}", at=speaker.clock(one.at, "date"))))
    return [
        *([say("owner.stays")] if refused else []),
        *(line for _, line in sorted(found, key=lambda one: one[0].date())),
    ]


def comes_home(plan: Plan) -> list[datetime]:
    """When patients are back in their own pond; a vat that they are treated in they do not leave."""
    patients = {one.id for one in plan.fish if one.patient}
    after = max(filter(None, (plan.made.operation_at, plan.made.as_of))) if plan.made.operation_at else None
    stays = [
        one for water in plan.waters if water.kind is WaterKind.HOME for one in water.occupants if one.fish in patients
    ]
    return sorted({one.start for one in stays if one.start and after and one.start > after})


def wounds(plan: Plan) -> frozenset[str]:
    """How the wounds of the patients are, as the case says it: `none`, `closed`, `open`."""
    return frozenset(one.text for one in plan.written if one.section == "patients" and one.key == "wound")


def has_stitches(plan: Plan) -> bool:
    """Whether a wound is said to have been closed: without that nothing is said of stitches."""
    return "closed" in wounds(plan)


# -- what a kit shows -----------------------------------------------------------------------------------------------


def _kit_limits(speaker: Speaker) -> Iterator[tuple[str, str]]:
    """A limit of the pond for each hazard that an owner's kit shows, in the number that the kit shows."""
    say, pond = speaker.say, home(speaker.plan)
    for one in in_a_kit(speaker, pond):
        limit = _total_ammonia(speaker.plan, pond) if one.hazard is Hazard.AMMONIA else one.limit
        told = _as_shown(speaker, one.hazard, limit) if one.hazard in _SHOWN_AS else kit_limit(speaker, limit)
        told = until_salted(speaker, one, told, partial(_as_shown, speaker, one.hazard))
        told = say("owner.no colour") if one.hazard is Hazard.CHLORINE else told
        if told:
            yield say(f"owner kit.{one.hazard}"), told


def _total_ammonia(plan: Plan, pond: str) -> Limit | None:
    """The total ammonia that is at its limit in the worst case of this water's pH and temperature."""
    figure = plan.figures.get(f"{pond}/ammonia/limit")
    if figure is None:
        return None
    return Limit(value=figure.act_on, unit=figure.unit, side=Side.AT_MOST, row=figure.rows[0], status="", source="")


def _as_shown(speaker: Speaker, hazard: Hazard, limit: Limit | None) -> str:
    """A limit as the owner's kit shows it, rounded once more to its strict side; no colour, where its first step is above it."""
    if limit is None or limit.value is None:
        return ""
    quantity, family, safest = _SHOWN_AS[hazard]
    read = _read(speaker.plan, quantity)
    tool, written = (read.measured_with or _USUAL, f" {read.text},") if read else (_USUAL, "")
    first = tables.find("instruments", instrument=tool, quantity=quantity.key, part="smallest")
    if limit.side is Side.AT_MOST and first is not None and limit.value < first.value:
        return speaker.say("owner.no colour")
    shown = next((unit for unit in family.units if f" {unit}," in written), safest)
    end = ActEnd.LOW if limit.side is Side.AT_MOST else ActEnd.HIGH
    value = rounded(limit.value / to_core(1.0, shown, family), unit="mg/L" if shown not in _DEGREES else shown, end=end)
    unit = shown if shown in _DEGREES else speaker.say("owner.plain unit")
    text = speaker.row(speaker.say("owner.number", number=numbers.plain(value), unit=unit), limit.row)
    return speaker.say(f"side.{limit.side}", value=text, upper="")


def _read(plan: Plan, quantity: Q) -> Quantity | None:
    """The last reading of the pond that somebody wrote down; None where nobody read it."""
    states = [state for water in plan.waters if water.id == home(plan) for state in water.states]
    read = [state.quantities[quantity] for state in states if quantity in state.quantities]
    return next((one for one in reversed(read) if one.text), None)


# -- when to phone --------------------------------------------------------------------------------------------------


def _signs(speaker: Speaker) -> Iterator[list[str]]:
    """The signs to look at, a row of cells each: none of a wound where there is none, none of stitches without them."""
    plan = speaker.plan
    rows = [f"breathing {'after' if plan.made.operation_at else 'before'}", "lying", "place", "feeding"]
    if has_stitches(plan):
        rows.append("stitches")
    elif "open" in wounds(plan) or (not wounds(plan) and rechecks(plan)):
        rows.append("wound")
    rows.append("body")
    if any(not one.patient for one in plan.fish):
        rows.append("others")
    return (speaker.listed(f"owner sign.{row}") for row in rows)
