"""What stands on the sheet beside the telephone: what to ask, what is seen, what is known of the pond, what to do now."""

from waterplan import tables
from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Verdict
from waterplan.papers.drawings import Drawings
from waterplan.papers.parts import Values, brief, home
from waterplan.plan.record import Plan
from waterplan.stay.record import Moment, Origin, Water, WaterKind
from waterplan.words.terminal import shown_judgements

_ASKED = ("temperature", "oxygen", "ph", "ammonia", "nitrite", "chlorine", "alkalinity", "salt", "volume")


def ponds(plan: Plan) -> list[Water]:
    """The fish's own pond, of which somebody phones."""
    return [one for one in plan.waters if one.kind is WaterKind.HOME]


def triage_page(drawings: Drawings) -> Values:
    """For whoever answers: the questions, the signs, the readings that are known and those to ask for, what comes first."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    seen = " ".join(one.text for one in plan.written if one.section == "seen")
    states = [state for water in ponds(plan) for state in water.states if not state.hypothetical]
    known = {
        name: one
        for state in states
        for name, one in state.quantities.items()
        if one.taken or one.text or (name == "volume" and one.origin is not Origin.ASSUMED)
    }
    pond = home(plan)
    calls = [state for state in plan.moments if state.moment is Moment.CALL]
    judged = [speaker.judgements[path] for state in calls for path in shown_judgements(plan, state)]
    return {
        "signs": [(speaker.say(f"seen.{row['sign']}"), row["sign"] in seen) for row in tables.rows("signs")],
        "readings": [
            (speaker.word(name), known[name].figure if name in known else "", _taken(drawings, known, name))
            for name in _ASKED
        ],
        "now": [one for one in plan.actions if one.moment is Moment.CALL and one.is_open and _is_told(one, pond)],
        "lines": brief(
            speaker, (one for one in judged if one.water == pond and one.verdict is not Verdict.WITHIN_LIMIT)
        ),
    }


def _taken(drawings: Drawings, known: Values, name: str) -> str:
    return drawings.speaker.clock(known[name].taken) if name in known else ""


def _is_told(one: Action, pond: str) -> bool:
    """Whether it is told to the caller: the readings have a table of their own."""
    return one.water in (pond, None) and one.kind not in (Kind.MEASURE, Kind.ASK)
