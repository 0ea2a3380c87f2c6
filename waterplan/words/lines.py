"""One line for a judgement and one for an action: what stands on every paper and screen."""

from collections.abc import Mapping
from dataclasses import dataclass

from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Judgement, Verdict
from waterplan.plan.record import MeasureNext
from waterplan.words import numbers
from waterplan.words.speaker import Speaker, capital, variable

# Where the chance is plain from the verdict it is not told.
_SURE, _HARDLY, _LEAST_SHARE = 0.975, 0.025, 0.005
_OF = 20
_SHOWN = 3
_TIMES_A_DAY = 4.0
_CONDITION = "only-if-tap-water-ran-in"
# What is weighed, drawn up or poured: an instruction leaves none of it out.
MEASURED = frozenset({"g", "kg", "mg", "mL", "L", "L/min"})
_IF_DONE = frozenset({Verdict.WITHIN_LIMIT, Verdict.WATCH})


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgementWords:
    """The pieces of a judgement, for a line or for the cells of a table."""

    sign: str
    verdict: str
    hazard: str
    water: str
    figure: str
    band: str
    limit: str
    within: str
    chance: str
    whatever: str
    why: str
    measure: str
    given: str


def judgement_words(speaker: Speaker, one: Judgement) -> JudgementWords:
    """The pieces of a judgement in words."""
    say = speaker.say
    done = " if done" if one.given_done and one.verdict in _IF_DONE else ""
    return JudgementWords(
        sign=say(f"sign.{one.verdict}"),
        verdict=say(f"verdict.{one.verdict}{done}"),
        hazard=speaker.hazard(one),
        water=speaker.name(one.water, article=True),
        figure=speaker.figure(one.figure) if one.figure else "",
        band=speaker.band(one.figure) if one.figure else "",
        limit=speaker.limit(one.limit) if one.limit else "",
        within=_within(speaker, one),
        chance=_chance(speaker, one),
        whatever=say("judgement.whatever") if one.whatever else "",
        why=speaker.reasons(one.why),
        measure=speaker.join(
            (
                say(
                    "judgement.measure",
                    quantity=speaker.word(each.quantity),
                    water=speaker.name(each.water, article=True),
                    **{"with": speaker.word(each.measured_with)},
                )
                for each in one.measure
            ),
            " ",
        ),
        given=say("judgement.given", actions=speaker.join(map(speaker.title, one.given_done))) if done else "",
    )


def judgement_line(speaker: Speaker, one: Judgement) -> str:
    """A judgement in one line: verdict, what, figure, limit, time left, chance, and why."""
    words = judgement_words(speaker, one)
    values = {name: getattr(words, name) for name in JudgementWords.__slots__}
    return speaker.say("judgement.line", **values)


def _within(speaker: Speaker, one: Judgement) -> str:
    """The time that is left until harm; "" where that is the figure itself, or never comes and nobody asks."""
    figure = speaker.plan.figures.get(one.until_harm or "")
    if figure is None or one.until_harm == one.figure or (figure.act_on is None and one.verdict is not Verdict.ACT_NOW):
        return ""
    if figure.act_on == 0.0:
        return speaker.carries(speaker.say("judgement.no time"), "clock", one.until_harm or "")
    return speaker.say("judgement.within", time=speaker.figure(one.until_harm or ""))


def _chance(speaker: Speaker, one: Judgement) -> str:
    if one.chance is None or one.chance > _SURE or one.chance < _HARDLY:
        return ""
    often = speaker.say("judgement.often", n=int(_OF * one.chance + 1e-9))
    if not one.chance_counts:
        return speaker.say("judgement.chance alone", often=often)
    return speaker.say("judgement.chance", often=often, counts=speaker.word(one.chance_counts))


def action_line(speaker: Speaker, one: Action) -> str:
    """An action in one line: verb, amount, water, by when, and where to stop; a refusal with its way out."""
    if one.refused_because:
        return speaker.say(
            "line.refused",
            sign=speaker.say("sign.refused"),
            what=speaker.title(one.id),
            because=speaker.reasons(one.refused_because),
            instead=instead(speaker, one),
        )
    what, amounts = _what(speaker, one)
    if one.done is not None:
        return speaker.say("line.done", sign=speaker.say("sign.done"), what=what, at=speaker.clock(one.done))
    return speaker.say(
        "line.action",
        sign=speaker.say("sign.to do"),
        what=what,
        amounts=speaker.join(amounts, ", "),
        parts=_parts(speaker, one),
        every=_every(speaker, one),
        at=speaker.clock(one.at),
        by=speaker.clock(one.by) if one.by != one.at else "",
        until=speaker.clock(one.until),
        stop=speaker.say("stop.back-up" if _back_up(one) else f"stop.{one.kind}"),
        others=not_instead(speaker, one),
    )


def instead(speaker: Speaker, one: Action) -> str:
    """The ways out of a refusal, each with its reason; the veterinarian where there is none."""
    known = {speaker.why(why) for why in one.refused_because}
    ways = [(way.kind, [why for why in way.because if speaker.why(why) not in known]) for way in one.instead]
    ways = ways or [(Kind.ASK, [])]
    return speaker.join(
        (
            speaker.say("line.way", kind=capital(speaker.say(f"kind.{kind}")), because=speaker.reasons(because))
            for kind, because in ways
        ),
        " ",
    )


def not_instead(speaker: Speaker, one: Action) -> str:
    """Of a referral: what else was tried and does not answer; the record has the reasons."""
    kinds = speaker.join(dict.fromkeys(speaker.say(f"kind.{way.kind}") for way in one.instead), ", ")
    return speaker.say("line.not", kinds=kinds) if kinds else ""


def _what(speaker: Speaker, one: Action) -> tuple[str, list[str]]:
    """The instruction, and the amounts that its phrase does not hold."""
    key = f"action.{one.kind}"
    used = speaker.book.asks_for(key)
    left = [
        speaker.say("line.amount", name=speaker.word(name), figure=speaker.figure(path))
        for name, path in one.amounts.items()
        if _amount_name(name) not in used
        and path in speaker.plan.figures
        and speaker.plan.figures[path].unit in MEASURED
    ]
    what = speaker.say(key, **action_values(speaker, one))
    if is_conditional(one):
        return speaker.say("line.only if tap water ran in", what=what[:1].lower() + what[1:]), left
    return capital(what), left


def is_conditional(one: Action) -> bool:
    """Whether an action is to be done only if untreated tap water ran in."""
    return any(why.code == _CONDITION for why in one.cautions)


def cautions(speaker: Speaker, one: Action, most: int | None = None) -> list[str]:
    """The first cautions and costs of an action; the weightiest comes first, and none that its line says already."""
    told = dict.fromkeys(speaker.why(why) for why in (*one.cautions, *one.costs) if why.code != _CONDITION)
    return list(told)[:most]


def _back_up(one: Action) -> bool:
    return one.kind is Kind.AIR and "within" in one.amounts


def _to_measure(speaker: Speaker, one: Action) -> str:
    """What to measure where, water by water: of its own words, else of the judgements that it answers."""
    found: dict[str, dict[str, None]] = {}
    for water, quantities in one.words.items():
        if water in speaker.waters or water in speaker.fish:
            found.setdefault(water, {})[speaker.word(quantities)] = None
    if not found:
        for judgement in filter(None, map(speaker.judgements.get, one.answers)):
            for each in judgement.measure:
                found.setdefault(each.water, {})[speaker.word(each.quantity)] = None
    return speaker.join(
        speaker.say("line.to measure", water=speaker.name(water, article=True), what=speaker.join(what, ", "))
        for water, what in found.items()
    )


def _to_ask(speaker: Speaker, one: Action) -> str:
    """The hazards that a question to the veterinarian is about."""
    asked = filter(None, map(speaker.judgements.get, one.answers))
    return speaker.join(dict.fromkeys(speaker.say(f"hazard.{judgement.hazard}") for judgement in asked), ", ")


def action_values(speaker: Speaker, one: Action) -> Mapping[str, str]:
    """What the phrases of an action may use: its amounts, words, water, source and substance."""
    values = {variable(name): speaker.word(text) for name, text in one.words.items()}
    values |= {_amount_name(name): speaker.figure(path) for name, path in one.amounts.items()}
    values["water"] = speaker.name(one.water, article=True) if one.water else ""
    values |= {f"{_amount_name(name)}_never": "never" for name, path in one.amounts.items() if _never(speaker, path)}
    if one.kind is Kind.MEASURE and not one.words.get("quantity"):
        values["list"] = _to_measure(speaker, one)
    if one.kind is Kind.ASK and not {"about", "hazards"} & one.words.keys():
        values["about"] = _to_ask(speaker, one)
    values["source"] = speaker.word(one.source) if one.source else ""
    values["substance"] = speaker.word(one.substance) if one.substance else ""
    return values


def _never(speaker: Speaker, path: str) -> bool:
    """Whether a time is no limit: it does not come within the time that was looked at."""
    figure = speaker.plan.figures.get(path)
    return figure is not None and figure.act_on is None and figure.unit in numbers.TIMES


def _amount_name(name: str) -> str:
    """The amount of the substance itself is `mass` to a phrase, as `substance` is its name."""
    return "mass" if name == "substance" else variable(name)


def _parts(speaker: Speaker, one: Action) -> str:
    """How many parts, and each of them in the unit of the whole, without naming it again."""
    if one.parts <= 1:
        return ""
    each = []
    for name, parts in one.part_amounts.items():
        if len(parts) <= 1 or one.amounts.get(name) not in speaker.plan.figures:
            continue
        whole = speaker.plan.figures[one.amounts[name]]
        numbers_of = (
            numbers.read_in(part, whole.unit, speaker.system, end=whole.act_end, like=whole.act_on)[0] for part in parts
        )
        each.append(" + ".join(numbers.plain(number) for number in numbers_of))
    return speaker.say("figure.parts", parts=one.parts, each=speaker.join(each))


def _every(speaker: Speaker, one: Action) -> str:
    if one.every_h is None:
        return ""
    if one.every_h == 24.0:
        return speaker.say("line.daily")
    times = 24.0 / one.every_h
    if times == 2.0:
        return speaker.say("line.twice a day")
    if 2.0 <= times <= _TIMES_A_DAY and times == int(times):
        return speaker.say("line.times a day", n=int(times))
    every = (60.0 * one.every_h, "min") if one.every_h < 1.0 else (one.every_h, "h")
    figure = speaker.carries(speaker.amount(*every), "action", f"{one.id}/every")
    return speaker.say("line.every hours", figure=figure)


def measure_line(speaker: Speaker, one: MeasureNext) -> str:
    """A reading to take next: what, where, with what, and the first few verdicts that it may change."""
    titles = list(dict.fromkeys(map(speaker.title, one.changes)))
    more = [speaker.say("measure.more", n=len(titles) - _SHOWN)] if len(titles) > _SHOWN else []
    values = {
        "quantity": speaker.word(one.quantity),
        "water": speaker.name(one.water, article=True),
        "changes": speaker.join([*titles[:_SHOWN], *more]),
        "with": speaker.word(one.measured_with),
    }
    return capital(speaker.say("measure.of" if one.water in speaker.fish else "measure.line", **values))


def hangs_on(speaker: Speaker, path: str) -> list[str]:
    """What the band of a figure hangs on: each input with its share."""
    return [
        speaker.say("input.share", input=speaker.word(one.input), n=round(100.0 * one.share))
        for one in speaker.plan.figures[path].hangs_on
        if one.share >= _LEAST_SHARE
    ]
