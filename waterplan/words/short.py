"""A sum without a case, in a few lines: what came out, with its band, its sources and the usual caution."""

from waterplan.plan.record import Plan
from waterplan.units import System
from waterplan.words.catalogue import Catalogue
from waterplan.words.lines import action_line, judgement_line
from waterplan.words.speaker import Speaker, capital
from waterplan.words.terminal import source_line


def short_answer(plan: Plan, units: System | str = System.METRIC, catalogue: Catalogue | None = None) -> str:
    """The answer of a quick sum.

    Parameters
    ----------
    plan : Plan
        What the sum made: figures, and an action or judgements where it has them.
    units : System or str
        The reader's units, `metric` or `us`.
    catalogue : Catalogue or None
        The phrase book; None for English.

    Returns
    -------
    str
        Lines: the action, the judgements, the figures that neither of them names, sources, caution.
    """
    speaker = Speaker(plan, units, catalogue)
    say = speaker.say
    lines = [action_line(speaker, one) for one in plan.actions]
    lines += [judgement_line(speaker, one) for one in plan.judgements]
    lines += [
        say("short.figure", name=capital(speaker.figure_name(path)), figure=speaker.with_band(path))
        for path in plan.figures
    ]
    cautions = dict.fromkeys(speaker.why(why) for one in plan.actions for why in (*one.costs, *one.cautions))
    lines += [say("short.caution", text=text) for text in cautions]
    lines += [say("page.sources"), *(f"  {source_line(speaker, key)}" for key in plan.sources), say("page.defer")]
    return "\n".join(lines) + "\n"
