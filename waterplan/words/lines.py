"""One line for a judgement and one for an action: what stands on every paper and screen."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from waterplan.actions.record import MEASURED, NOT_HERE, ONLY_IF_TAP_RAN_IN, Action, Kind
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.plan.begin import begins
from waterplan.plan.record import MeasureNext
from waterplan.stay.record import ActEnd, Figure
from waterplan.words import numbers
from waterplan.words.speaker import Speaker, capital, variable

# Where the chance is plain from the verdict it is not told.
_SURE, _HARDLY, _LEAST_SHARE = 0.975, 0.025, 0.005
_OF = 20
_SHOWN = 3
_TIMES_A_DAY = {1.0: "line.daily", 2.0: "line.twice a day", 3.0: "line.times a day", 4.0: "line.times a day"}
_ONLY_SEEN = frozenset({Hazard.SIGN, Hazard.DISEASE})
_OF_THE_SUBSTANCE = frozenset({"mass", "stock", "draw", "amount", "grams"})
_IF_DONE = frozenset({Verdict.WITHIN_LIMIT, Verdict.WATCH})


def judgement_words(speaker: Speaker, one: Judgement) -> dict[str, str]:
    """The pieces of a judgement in words, for a line or for the cells of a table."""
    say = speaker.say
    figure = one.figure if one.hazard not in _ONLY_SEEN else None  # what was seen has only a clock, and no time on it
    done = " if done" if one.given_done and one.verdict in _IF_DONE else ""
    return {
        "sign": say(f"sign.{one.verdict}"),
        "verdict": say(f"verdict.{one.verdict}{done}"),
        "hazard": speaker.hazard(one),
        "water": speaker.name(one.water, article=True),
        "figure": speaker.figure(figure) if figure else "",
        "band": speaker.band(figure) if figure else "",
        "limit": speaker.limit(one.limit),
        "within": _within(speaker, one),
        "chance": _chance(speaker, one),
        "whatever": say("judgement.whatever") if one.whatever else "",
        "why": speaker.reasons(one.why),
        "measure": _lacking(speaker, one),
        "given": say("judgement.given", actions=speaker.join(map(speaker.title, one.given_done))) if done else "",
    }


def _lacking(speaker: Speaker, one: Judgement) -> str:
    """What to measure, water by water, each reading once."""
    found: dict[str, list[str]] = {}
    for each in one.measure:
        found.setdefault(each.water, []).append(speaker.say("judgement.reading", **speaker.reading(each)))
    of = (
        speaker.say(
            "judgement.readings",
            water=speaker.name(water, article=True),
            fish="yes" if water in speaker.fish else "",
            list=speaker.join(dict.fromkeys(texts), ", "),
        )
        for water, texts in found.items()
    )
    return speaker.say("judgement.measure", list=speaker.join(of)) if found else ""


def judgement_line(speaker: Speaker, one: Judgement, said: set[str] | None = None) -> str:
    """A judgement in one line: verdict, what, figure, limit, time left, chance, and why.

    What has a figure says no reason that is among those `said` already; its own are put there.
    """
    words = judgement_words(speaker, one)
    if words["figure"] and said is not None:
        reasons = [text for text in dict.fromkeys(map(speaker.why, one.why)) if text not in said]
        words["why"] = speaker.join(reasons, " ")
        said |= set(reasons)
    figure = speaker.plan.figures.get(one.figure or "")
    if words["figure"] and one.verdict is Verdict.NOT_KNOWN and figure is not None:
        # Of what may lie on either side there is no worst case: the band is told.
        two_sided = figure.act_end is ActEnd.BEST
        words |= {"figure": speaker.with_band(one.figure or "")} if two_sided else {"worst": "yes"}
    return speaker.say("judgement.line", **words)


def _within(speaker: Speaker, one: Judgement) -> str:
    """The time that is left until harm; "" where that is the figure itself, never comes, or was read by nobody to be none.

    What is only to be watched has no time that ran out: by the errors of its readings it may harm already.
    """
    path = one.until_harm or ""
    figure = speaker.plan.figures.get(path)
    if figure is None or path == one.figure or figure.act_on is None:
        return ""
    if figure.act_on == 0.0 and one.verdict is Verdict.NOT_KNOWN:
        return ""
    if figure.act_on == 0.0:
        told = speaker.say("judgement.harms" if one.verdict is Verdict.WATCH else "judgement.no time", best=figure.best)
        return speaker.carries(told, "clock", path)
    return speaker.say("judgement.within", time=speaker.figure(path))


def _chance(speaker: Speaker, one: Judgement) -> str:
    """How often the limit is kept; of what is not known it would count what was assumed, which is no chance."""
    if one.verdict is Verdict.NOT_KNOWN or one.chance is None or one.chance > _SURE or one.chance < _HARDLY:
        return ""
    often = speaker.say("judgement.often", n=int(_OF * one.chance + 1e-9))
    if not one.chance_counts:
        return speaker.say("judgement.chance alone", often=often)
    return speaker.say("judgement.chance", often=often, counts=speaker.word(one.chance_counts))


def action_line(speaker: Speaker, one: Action, *, when: bool = True) -> str:
    """An action in one line: verb, amount, water, by when, and where to stop; a refusal with its way out.

    Without `when` it is what is to be done, and no more.
    """
    say = speaker.say
    if not when:
        return say("line.only", sign=say("sign.to do"), what=_what(speaker, one)[0])
    if one.refused_because:
        return say(
            "line.refused" if one.done is None else "line.was refused",
            sign=say("sign.refused"),
            what=speaker.title(one.id),
            because=speaker.reasons(one.refused_because),
            instead=_instead(speaker, one),
        )
    (what, amounts), (begin, late) = _what(speaker, one), begins(speaker.plan, one)
    dated = "inspect" in one.amounts  # its instruction has its days in it
    if one.done is not None:
        key, sign = ("was due", "past") if one.was_due else ("done", "done")
        return say(f"line.{key}", sign=say(f"sign.{sign}"), what=what, at=speaker.clock(one.done))
    if one.steps:
        return say("line.first aid", sign=say("sign.to do"), what=what)
    # Of a referral: what else was tried and is not enough; the record has the reasons, and what could not help at all.
    tried = (way for way in one.instead if not all(_no_help(why.code) for why in way.because))
    others = speaker.join(dict.fromkeys(say(f"kind.{way.kind}") for way in tried), ", ")
    return say(
        "line.action",
        sign=say("sign.to do"),
        what=what,
        amounts=speaker.join(amounts, ", "),
        round=_every(speaker, one) if one.part_every_h and _last(one) else "",
        parts=_parts(speaker, one),
        every=_every(speaker, one) if not one.part_every_h else "",
        at=speaker.clock(one.at) if not dated else "",
        begin=speaker.clock(begin),
        late="yes" if late else "",
        by=speaker.clock(one.by) if one.by != one.at and not one.is_conditional else "",
        until=speaker.clock(_last(one)) if one.until != one.at and not dated else "",
        stop=_stop(speaker, one) if not dated else "",
        others=say("line.not", kinds=others) if others else "",
    )


def _no_help(code: str) -> bool:
    return code == NOT_HERE or code.endswith("-does-not-answer")


def _last(one: Action) -> datetime | None:
    """When an action ends: of what comes again and again the last time; None where it is done once, or is a dose."""
    if one.kind is Kind.DOSE or one.until is None:
        return None
    if one.at is None or not one.every_h:
        return one.until
    rounds = int((one.until - one.at) / timedelta(hours=one.every_h))
    return one.at + rounds * timedelta(hours=one.every_h) if rounds > 0 else None


def _stop(speaker: Speaker, one: Action) -> str:
    """Where to stop: a fish is taken out of a tub only, and not out of a pond or the water that runs over its gills."""
    if "abort" in one.words or {"contact", "withdrawal", "quarantined"} & one.amounts.keys():
        return ""
    if one.kind is Kind.AIR and "within" in one.amounts:
        return speaker.say("stop.back-up")
    if "oxidant" in one.words:
        return speaker.say("stop.oxidant")
    of_water = f"stop.{one.kind} {speaker.waters[one.water].kind}" if one.water else ""
    return speaker.say(of_water if of_water in speaker.book else f"stop.{one.kind}")


def _instead(speaker: Speaker, one: Action) -> str:
    """The ways out of a refusal, each with its reason; the veterinarian where there is none."""
    known = {speaker.why(why) for why in one.refused_because}
    ways = [(way.kind, [why for why in way.because if speaker.why(why) not in known]) for way in one.instead]
    return speaker.join(
        (
            speaker.say("line.way", kind=capital(speaker.say(f"kind.{kind}")), because=speaker.reasons(because))
            for kind, because in ways or [(Kind.ASK, [])]
        ),
        " ",
    )


def _what(speaker: Speaker, one: Action) -> tuple[str, list[str]]:
    """The instruction, and the amounts that its phrase does not hold."""
    key, figures = f"action.{one.kind}", speaker.plan.figures
    used = speaker.book.asks_for(key)
    left = [
        speaker.say("dose.weigh", figure=speaker.figure(path), what=amount_name(speaker, one, name))
        if name == "neutraliser"
        else speaker.say("line.amount", name=speaker.word(name), figure=speaker.figure(path))
        for name, path in one.amounts.items()
        if _amount_name(name) not in used and path in figures and figures[path].unit in MEASURED
    ]
    what = speaker.say(key, **action_values(speaker, one))
    if one.is_conditional:
        return speaker.say("line.only if tap water ran in", what=what[:1].lower() + what[1:]), left
    return capital(what), left


def cautions(speaker: Speaker, one: Action, most: int | None = None) -> list[str]:
    """The first cautions and costs of an action; the weightiest comes first, and none that its line says already."""
    return speaker.sentences(why for why in (*one.cautions, *one.costs) if why.code != ONLY_IF_TAP_RAN_IN)[:most]


def _steps(speaker: Speaker, one: Action) -> list[str]:
    """The steps of an action in words, numbered where there are several; a page sets each of them on a line of its own."""
    told = [speaker.why(why) for why in one.steps]
    if len(told) < 2:
        return told
    return [speaker.carries(speaker.say("line.step", n=n, step=step), "step", one.id) for n, step in enumerate(told, 1)]


def action_values(speaker: Speaker, one: Action) -> dict[str, str]:
    """What the phrases of an action may use: its amounts, words, water, source and substance."""
    values = speaker.named_by(one) | {"who": one.who}
    for name, path in one.amounts.items():
        values[_amount_name(name)] = speaker.figure(path)
        figure = speaker.plan.figures.get(path)
        if figure is not None and figure.unit in numbers.MINUTES:
            when = {None: "never", 0.0: "now"}.get(figure.act_on)
            values |= {f"{_amount_name(name)}_{when}": when} if when else {}
    if one.kind is Kind.DOSE and one.until is not None:
        values["out_at"] = speaker.clock(one.until)
    if "inspect" in one.amounts:
        values |= {"from_at": speaker.clock(one.at), "out_by": speaker.clock(one.until)}
    if one.steps:
        values["steps"] = speaker.join(_steps(speaker, one), " ")
    if one.kind is Kind.MEASURE and not one.words.get("quantity"):
        values["list"] = _to_measure(speaker, one)
    if one.kind is Kind.ASK and "about" not in one.words:
        named = one.words.get("hazards", "").split(", ")
        about = (judgement for judgement in speaker.answered(one) if judgement.hazard in named)
        asked = (speaker.hazard(judgement, when=False) for judgement in about)
        values["about"] = speaker.join(dict.fromkeys(asked), ", ")
    return values


def amount_name(speaker: Speaker, one: Action, name: str) -> str:
    """What an amount is of: the substance, or its mixture with the strength that it has in the syringe."""
    if name == "mixture" or (name == "draw" and "strength diluted" in one.amounts):
        return speaker.say("line.mixture", **action_values(speaker, one))
    if name == "neutraliser":
        path = one.amounts.get("neutraliser strength", "")
        bottle = speaker.figure(path) if path else ""
        return speaker.say("line.neutraliser", what=speaker.word(one.words[name]), bottle=bottle)
    if name not in _OF_THE_SUBSTANCE:
        return speaker.word(name)
    return speaker.word(one.substance) if one.substance else speaker.say(f"kind.{one.kind}")


def _to_measure(speaker: Speaker, one: Action) -> str:
    """What to measure where, water by water: of its own words, else of the judgements that it answers."""
    own = [(water, words) for water, words in one.words.items() if water in speaker.waters or water in speaker.fish]
    lacking = [(each.water, each.quantity) for judgement in speaker.answered(one) for each in judgement.measure]
    found: dict[str, list[str]] = {}
    for water, quantity in own or lacking:
        found.setdefault(water, []).extend(quantity.split(", "))
    return speaker.join(
        speaker.say(
            "line.to measure",
            water=speaker.name(water, article=True),
            what=speaker.join(speaker.each_reading(what), ", "),
        )
        for water, what in found.items()
    )


def _amount_name(name: str) -> str:
    """The amount of the substance itself is `mass` to a phrase, as `substance` is its name."""
    return "mass" if name == "substance" else variable(name)


def _parts(speaker: Speaker, one: Action) -> str:
    """How many parts, when, and each of them in the unit of the whole; of a round of parts, only what is poured."""
    if one.parts <= 1:
        return ""
    each = []
    for name, parts in list(one.part_amounts.items())[: 1 if one.part_every_h else None]:
        whole = speaker.plan.figures.get(one.amounts.get(name, ""))
        if whole is not None and len(parts) > 1:
            each.append(speaker.join((_part(speaker, one, part, whole) for part in parts), " + "))
    if one.kind in (Kind.WARM, Kind.COOL):
        return speaker.say("figure.steps", parts=one.parts)
    clocks = speaker.join((f"{at:%H:%M}" for at in part_times(one)), ", ") if one.part_every_h else ""
    return speaker.say("figure.parts", parts=one.parts, clocks=clocks, each=speaker.join(each))


def _part(speaker: Speaker, one: Action, part: float, whole: Figure) -> str:
    """One part of an amount: its number, with its unit where the whole is read in another."""
    number, unit = numbers.read_in(part, whole.unit, speaker.system, end=whole.act_end)
    of_whole = numbers.read_in(part, whole.unit, speaker.system, end=whole.act_end, like=whole.act_on)
    if of_whole == (number, unit):
        return numbers.plain(number)
    return speaker.carries(speaker.amount(part, whole.unit, whole.act_end), "action", one.id)


def part_times(one: Action) -> list[datetime]:
    """When the parts are due, of a round or each a round apart; none where nobody knows when it begins."""
    apart = one.part_every_h or one.every_h
    if one.at is None or apart is None:
        return []
    return [one.at + number * timedelta(hours=apart) for number in range(one.parts)]


def _every(speaker: Speaker, one: Action) -> str:
    if one.every_h is None:
        return ""
    times = 24.0 / one.every_h
    apart = one.parts > 1 and one.part_every_h is None
    if times in _TIMES_A_DAY and not apart:
        return speaker.say(_TIMES_A_DAY[times], n=int(times))
    every = (60.0 * one.every_h, "min") if one.every_h < 1.0 else (one.every_h, "h")
    figure = speaker.carries(speaker.amount(*every), "action", f"{one.id}/every")
    return speaker.say("line.one every" if apart else "line.every hours", figure=figure)


def first_titles(speaker: Speaker, paths: Iterable[str], most: int) -> str:
    """The first of some judgements and actions by what they are called; the others are counted."""
    return _first(speaker, list(dict.fromkeys(map(speaker.title, paths))), most, "; ")


def _first(speaker: Speaker, texts: Sequence[str], most: int, by: str = ", ") -> str:
    more = [speaker.say("measure.more", n=len(texts) - most)] if len(texts) > most else []
    return speaker.join([*texts[:most], *more], by)


def measure_line(speaker: Speaker, *group: MeasureNext) -> str:
    """A reading to take next: what, where, with what, and why: what it decides, how grave that is, and how much it changes.

    Readings of one quantity with one instrument are said together, with all their waters.
    """
    first = group[0]
    found = (speaker.judgements[path].hazard for one in group for path in one.changes)
    hazards = list(dict.fromkeys(hazard for hazard in found if hazard is not Hazard.SIGN))
    harm = speaker.say(f"harm.{hazards[0]}") if hazards else ""
    decides = _first(speaker, [speaker.say(f"hazard.{hazard}") for hazard in hazards], _SHOWN)
    amounts = first_titles(speaker, [path for one in group for path in one.amounts], _SHOWN)
    waters = speaker.join(dict.fromkeys(speaker.name(one.water, article=True) for one in group), ", ")
    key = "measure.of" if first.water in speaker.fish else "measure.line"
    said = speaker.reading(first) | {"water": waters}
    return capital(speaker.say(key, decides=decides, harm=harm, amounts=amounts, **said))


def hangs_on(speaker: Speaker, path: str) -> list[str]:
    """What the band of a figure hangs on: each input with its share."""
    return [
        speaker.say("input.share", input=speaker.word(one.input), n=round(100.0 * one.share))
        for one in speaker.plan.figures[path].hangs_on
        if one.share >= _LEAST_SHARE
    ]
