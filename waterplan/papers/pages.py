"""What stands on the papers for the file: the certificate of a volume, and the record of the plan."""

from collections.abc import Container, Iterable
from itertools import chain

from waterplan.hazards.record import Judgement, Verdict
from waterplan.papers.drawings import Drawings
from waterplan.papers.parts import Values, latest
from waterplan.plan.record import Plan, VolumeFound
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin, Water, WaterKind
from waterplan.words.lines import judgement_line
from waterplan.words.since import since_lines
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import have_lines, shown_judgements
from waterplan.words.trends import trend_lines


def found(plan: Plan) -> list[VolumeFound]:
    """The volumes that have a certificate: one that was only assumed has none."""
    return [one for one in plan.volumes if one.ways]


def volume_page(drawings: Drawings) -> Values:
    """The certificate of each volume that was found: every way, and what to use it for."""
    speaker = drawings.speaker
    volumes = found(speaker.plan)
    return {"volumes": volumes, "uses": {one.water: _uses(speaker, one) for one in volumes}}


def _uses(speaker: Speaker, one: VolumeFound) -> dict[str, str]:
    """What each end of a volume is for, by the path of its figure."""
    used: dict[str, list[str]] = {}
    for use, path in one.use_for.items():
        used.setdefault(path, []).append(speaker.word(use))
    return {path: speaker.join(words, ", ") for path, words in used.items()}


def plan_page(drawings: Drawings) -> Values:
    """The record: every judgement with its inputs and limit, every action, figure, reading, drawing and source."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    said: set[str] = set()
    shown = {state.moment: shown_judgements(plan, state) for state in plan.moments}
    return {
        "do_now": [speaker.actions[path] for path in plan.first_page.do_now],
        "have_ready": have_lines(speaker),
        "changed": since_lines(speaker),
        "trends": trend_lines(speaker),
        "figures": _figures_shown(speaker, set(chain.from_iterable(shown.values()))),
        "known": {one.id: _known(speaker, one) for one in plan.waters},
        "judged": {moment: _judged(speaker, paths, said) for moment, paths in shown.items()},
    }


def _judged(speaker: Speaker, paths: Iterable[str], said: set[str]) -> list[tuple[Judgement, str]]:
    """Judgements with their lines; a reason stands on the record once."""
    judged = (speaker.judgements[path] for path in paths)
    return [
        (one, judgement_line(speaker, one, said) if one.verdict is not Verdict.WITHIN_LIMIT else "") for one in judged
    ]


def _known(speaker: Speaker, water: Water) -> list[tuple[str, str]]:
    """The last of each quantity of a water, by where it comes from; a time is told once for all that was read at it."""
    told: dict[str, list[str]] = {}
    for origin in Origin:
        last = None
        for name, one in latest(water).items():
            if one.origin is not origin or (water.kind is WaterKind.SOURCE and name == Q.VOLUME):
                continue
            measured = origin is Origin.MEASURED and one.text
            read = speaker.case(one.text, f"{water.id}/{name}") if measured and one.text else speaker.figure(one.figure)
            at = speaker.clock(one.taken) if one.taken != last else ""
            told.setdefault(origin, []).append(speaker.say("record.known", what=speaker.word(name), read=read, at=at))
            last = one.taken
    return [(speaker.say(f"origin.{origin}"), speaker.join(lines)) for origin, lines in told.items()]


def _figures_shown(speaker: Speaker, shown: Container[str]) -> dict[str, list[tuple[str, str]]]:
    """The figures that are acted on, and those of what is not within its limit, by what they are of, each with its path."""
    plan = speaker.plan
    used = {path for one in plan.actions for path in one.amounts.values()}
    away = [one for one in plan.judgements if one.id in shown and one.verdict is not Verdict.WITHIN_LIMIT]
    used |= {path for one in away for path in (one.figure, one.until_harm) if path}
    found: dict[str, list[tuple[str, str]]] = {}
    for path in plan.figures:
        if path in used:
            of, which = speaker.figure_names(path)
            found.setdefault(of, []).append((which, path))
    return found
