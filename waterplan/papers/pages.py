"""What stands on the papers for the file: the certificate of a volume, and the record of the plan."""

from collections.abc import Container
from itertools import chain

from waterplan.hazards.record import Verdict
from waterplan.papers.drawings import Drawings
from waterplan.papers.parts import Values, latest
from waterplan.plan.record import Plan, VolumeFound
from waterplan.words.since import since_lines
from waterplan.words.terminal import have_lines, shown_judgements
from waterplan.words.trends import trend_lines


def found(plan: Plan) -> list[VolumeFound]:
    """The volumes that have a certificate: one that was only assumed has none."""
    return [one for one in plan.volumes if one.ways]


def volume_page(drawings: Drawings) -> Values:
    """The certificate of each volume that was found: every way, and what to use it for."""
    speaker = drawings.speaker
    volumes = found(speaker.plan)
    return {"tubs": [speaker.waters[one.water].name for one in volumes], "volumes": volumes}


def plan_page(drawings: Drawings) -> Values:
    """The record: every judgement with its inputs and limit, every action, figure, reading, drawing and source."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    shown = {state.moment: shown_judgements(plan, state) for state in plan.moments}
    return {
        "do_now": [speaker.actions[path] for path in plan.first_page.do_now],
        "have_ready": have_lines(speaker),
        "changed": since_lines(speaker),
        "trends": trend_lines(speaker),
        "figures": _figures_shown(plan, set(chain.from_iterable(shown.values()))),
        "latest": {one.id: latest(one) for one in plan.waters},
        "judged": {moment: [speaker.judgements[path] for path in paths] for moment, paths in shown.items()},
    }


def _figures_shown(plan: Plan, shown: Container[str]) -> list[str]:
    """The figures that are acted on, and those of what is not within its limit, in the order of the record."""
    used = {path for one in plan.actions for path in one.amounts.values()}
    away = [one for one in plan.judgements if one.id in shown and one.verdict is not Verdict.WITHIN_LIMIT]
    used |= {path for one in away for path in (one.figure, one.until_harm) if path}
    return [path for path in plan.figures if path in used]
