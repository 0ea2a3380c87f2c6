"""What stands on the cards of what is weighed, poured or injected."""

from itertools import zip_longest

from waterplan import tables
from waterplan.actions.record import Action, Kind
from waterplan.papers.drawings import Drawings, weighed
from waterplan.papers.parts import Values, brief
from waterplan.plan.record import Plan
from waterplan.stay.record import WaterKind
from waterplan.words.lines import action_values, amount_name, cautions, part_times
from waterplan.words.speaker import Speaker, capital

_BESIDE = frozenset(
    {"level", "reached", "wanted", "dose", "strength", "contact", "time", "least time", "ceiling", "weight"}
)
_CARDS = frozenset({Kind.DOSE, Kind.INJECTION, Kind.SALT})
# The time sheet of a bath, by what it aims at.
_WATCHING = {"sedation": "watching.sedation row", "anaesthesia": "watching.row"}
_CELLS = 4
# The steps of what is not a dose for a fish in its bath.
_STEPS = {Kind.INJECTION: "dose.step injection", Kind.SALT: "dose.step salt", "equipment": "dose.step equipment"}


def doses(plan: Plan) -> list[Action]:
    """What has a card: each dose, injection and thing weighed into a water that was not given yet."""
    return [one for one in plan.actions if one.kind in _CARDS and one.done is None]


def dose_cards(drawings: Drawings) -> Values:
    """A card for each dose; those that are refused share one, which has nothing to weigh."""
    speaker = drawings.speaker
    cards = [_dose_card(speaker, one) for one in doses(speaker.plan) if not one.refused_because]
    refused = [one for one in doses(speaker.plan) if one.refused_because]
    begun: set[str] = set()
    for card in cards:  # one sheet of each kind
        card["watching"] = "" if card["watching"] in begun else card["watching"]
        begun.add(card["watching"])
    names = [speaker.waters[card["action"].water].name if card["action"].water else "" for card in cards]
    return {"size": "A5", "tubs": names, "cards": cards, "refused": refused}


def _dose_card(speaker: Speaker, one: Action) -> Values:
    names = weighed(speaker.plan, one)
    others = [(speaker.word(name), path) for name, path in one.amounts.items() if name in _BESIDE and name not in names]
    kind = speaker.waters[one.water].kind if one.water else None
    known = action_values(speaker, one) | ({"parts": str(one.parts)} if one.parts > 1 else {})
    steps = [text for text in speaker.listed(_STEPS.get(_steps_of(one), "dose.step"), **known) if text]
    if one.kind is Kind.DOSE and kind in {WaterKind.INDUCTION, WaterKind.DIP}:
        steps.append(speaker.say("dose.step before the fish"))
    if "time" in one.amounts or "least time" in one.amounts:
        steps.append(capital(speaker.say("dose.step out", **action_values(speaker, one))))
    # What the judgements after it say is no caution as well.
    told = speaker.sentences(why for why in one.costs if why.words.get("judgement") in one.leads_to)
    sheet = one.words.get("sheet", "anaesthesia" if kind is WaterKind.INDUCTION else "")
    return {
        "action": one,
        "weighed": [text for name in names for text in _weighed(speaker, one, name)],
        "others": others,
        "worked_out": speaker.join((_worked_out(speaker, *each) for each in one.worked_out_for.items()), ", "),
        "steps": steps,
        "lines": brief(speaker, (speaker.judgements[path] for path in one.leads_to if path in speaker.judgements)),
        "cautions": [text for text in cautions(speaker, one) if text not in told],
        "watching": _WATCHING.get(sheet, "") if one.kind is Kind.DOSE else "",
        "stages": _stages(speaker, one),
    }


def _worked_out(speaker: Speaker, name: str, end: str) -> str:
    """Which end of what an amount was worked out for."""
    key = f"line.worked out for {name}"
    return speaker.say(
        key if key in speaker.book else "line.worked out for", quantity=speaker.word(name), end=speaker.word(end)
    )


def _steps_of(one: Action) -> str:
    return one.words.get("use", "") if one.kind is Kind.DOSE else one.kind


def _weighed(speaker: Speaker, one: Action, name: str) -> list[str]:
    """What is weighed or drawn up at one time: the whole, or each part with when it is due."""
    path, what = one.amounts[name], amount_name(speaker, one, name)
    whole, parts = speaker.plan.figures[path], one.part_amounts.get(name, ())
    if len(parts) < 2:
        return [speaker.say("dose.weigh", figure=speaker.figure(path), what=what)]
    return [
        speaker.say(
            "dose.weigh part",
            figure=speaker.carries(speaker.amount(part, whole.unit, whole.act_end), "action", one.id),
            what=what,
            n=number,
            parts=len(parts),
            at=speaker.clock(at),
        )
        for number, (part, at) in enumerate(zip_longest(parts, part_times(one)), 1)
    ]


def _stages(speaker: Speaker, one: Action) -> list[list[str]]:
    """The stages that a bath may go through, a row of cells each, and last the one that is too deep."""
    cells = speaker.listed("watching.stage")
    rows = [cells[at : at + _CELLS] for at in range(0, len(cells), _CELLS)]
    if "not past" not in one.words:
        return rows
    deepest = int(tables.row("anaesthesia_stages", stage=one.words["not past"])["order"])
    return rows[: deepest + 2]
