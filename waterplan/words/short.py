"""A short answer: of a sum without a case, and how the words of a caller were read."""

from collections.abc import Sequence
from difflib import get_close_matches
from itertools import chain

from waterplan.case.seen import SIGNS
from waterplan.plan.record import Plan
from waterplan.units import System
from waterplan.words.catalogue import language
from waterplan.words.lines import action_line, judgement_line
from waterplan.words.speaker import Speaker, capital
from waterplan.words.terminal import page_of, sources, told_of_all

_NEAR = 3


def signs_read(texts: Sequence[str], found: Sequence[str]) -> str:
    """How the words of a caller were read: nothing where each is the name of a sign; the nearest signs where they mean none."""
    read, key = " ".join(texts), "short.signs" if found else "short.no sign"
    near = get_close_matches(read, SIGNS, n=_NEAR, cutoff=0.0)
    said = language().say(key, read=read, signs=", ".join(found or SIGNS), near=", ".join(near), such_as=near[0])
    return "" if list(texts) == list(found) else f"{said}\n\n"


def short_answer(plan: Plan, units: System | str = System.METRIC) -> str:
    """The answer of a sum without a case, in a few lines: what came out, its sources and the usual caution.

    Parameters
    ----------
    plan : Plan
        What the sum made: figures, and an action or judgements where it has them.
    units : System or str
        The reader's units, `metric` or `us`.

    Returns
    -------
    str
        Lines: the action, the judgements, the figures with their bands, cautions, sources.
    """
    speaker = Speaker(plan, units)
    say = speaker.say
    figures = [
        say("short.figure", name=capital(speaker.figure_name(path)), figure=speaker.with_band(path))
        for path in shown_figures(plan)
    ]
    told = speaker.sentences(why for one in plan.actions for why in (*one.costs, *one.cautions))
    return page_of(
        [action_line(speaker, one) for one in plan.actions],
        [judgement_line(speaker, one) for one in plan.judgements],
        [of] if (of := of_which_fish(speaker)) else [],
        told_of_all(speaker),
        figures,
        [say("short.caution", text=text) for text in told],
        [say("page.sources"), *(f"  {line}" for line in sources(speaker)), say("page.defer")],
    )


def of_which_fish(speaker: Speaker) -> str:
    """Whose limits a sum holds to; "" where there is no fish in it."""
    fish = speaker.plan.title.get("fish", "")
    return speaker.say("short.of", fish=speaker.word(fish), unknown=fish == "unknown") if fish else ""


def shown_figures(plan: Plan) -> list[str]:
    """The figures that stand beside what a sum says: not those that its reasons say, nor the limit that its verdict names."""
    reasons = [why for one in plan.judgements for why in one.why]
    for one in plan.actions:
        beside = chain.from_iterable(way.because for way in one.instead)
        reasons += (*one.refused_because, *beside, *one.costs, *one.cautions)
    said = {path for why in reasons for path in why.figures.values()}
    limits = {(one.limit.row,) for one in plan.judgements if one.limit is not None}
    named = {path for path, one in plan.figures.items() if path.endswith("/limit") and one.rows in limits}
    return [path for path in plan.figures if path not in said | named]
