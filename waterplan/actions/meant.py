"""What somebody means to do: refused where something that is known, or not known, speaks against it."""

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from waterplan import tables
from waterplan.actions.first_aid import may_have_zeolite
from waterplan.actions.needs import POWER_OFF, Need, disease_stops, gas_stops, need_of
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Instead, Kind
from waterplan.case.model import CaseEvent
from waterplan.hazards.conflict import fish_things
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.spread import band
from waterplan.stay.ground import WaterStay
from waterplan.stay.happenings import FOLLOWED
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.state import State
from waterplan.stay.waters import HOME, MAINS, is_in

_BLOOM, _OVER, _ELSE = "green water at dawn", "oxygen-above-air", "something else"
_CHANGE, _NIGHT = "part water change", "night"


def meant(context: Context) -> Iterator[Proposal]:
    """An action for each thing that is meant; a refused one has every reason of the table `meant` that holds.

    An event that enters no course and no state is told as one that the plan does not follow.
    """
    yield from _not_followed(context)
    for number, one in enumerate(context.ground.case.meant, 1):
        need = need_of(context, context.stay[one.water or HOME])
        if need.past:
            continue
        at_h = None if one.at is None else context.ground.clock.hours(one.at)
        by_night = at_h is not None and context.ground.clock.is_night(at_h)
        rows = [
            row
            for row in tables.rows("meant", meant=one.what)
            if (by_night if row["when"] == _NIGHT else _HOLDS[row["when"]](need, row))
        ]
        instead = dict.fromkeys(row["instead"] for row in rows if row["instead"])
        words = {"meant": one.what, "said": one.words, "no effect": "yes" if one.what == _ELSE else ""}
        yield need.proposal(
            Kind.MEANT,
            str(number),
            at=context.ground.clock.at(at_h),
            by=None,
            done=None,
            words={name: text for name, text in words.items() if text},
            refused_because=tuple(Why(code=f"meant-{row['when']}") for row in rows),
            instead=tuple(Instead(kind=Kind(kind), because=()) for kind in instead),
        )


def _not_followed(context: Context) -> Iterator[Proposal]:
    for number, event in enumerate(context.ground.case.events, 1):
        water = context.stay[event.water or context.ground.unnamed]
        if _is_followed(context, water, event):
            continue
        words = {"said": event.what, "happens at": event.at.isoformat(), "not followed": "yes"}
        yield need_of(context, water).proposal(Kind.MEANT, f"event-{number}", by=None, done=None, words=words)


def _is_followed(context: Context, water: WaterStay, event: CaseEvent) -> bool:
    """Whether an event is past, and so in the readings, or happens in a water with its fish in it as the plan has them."""
    at_h, clock = context.ground.clock.hours(event.at), context.ground.clock
    if at_h is None or water.place.kind is WaterKind.BAG:
        return False
    if event.what not in FOLLOWED:
        return False
    if water.place.kind is WaterKind.HOME:
        return at_h < clock.now_h or any(event is one for _, one in context.ground.changes_at_home())
    return at_h < clock.now_h or any(one.start_h <= at_h <= one.until_h for one in water.place.stretches)


# -- when something speaks against it -------------------------------------------------------------------------------


def _open(need: Need, *hazards: Hazard) -> bool:
    """Whether a hazard of the water is not known to be well."""
    own = (one for one in need.context.calling(*hazards, least=Verdict.NOT_KNOWN) if POWER_OFF not in one.id)
    return any(one.water == need.path for one in own)


def _ammonia(need: Need, row: tables.Row) -> bool:
    """Ammonia or pH is bad or was not read: of the water, and of what would be poured into it."""
    poured = [need.context.stay.waters.get(MAINS)] if row["meant"] == _CHANGE else []
    unread = (one is None or not _was_read(one.as_found) for one in (need.water, *poured))
    return any(unread) or _open(need, Hazard.AMMONIA, Hazard.PH)


def _was_read(state: State) -> bool:
    return all(state.known[one].is_known for one in (Q.AMMONIA, Q.PH))


def _signs(need: Need, row: tables.Row) -> bool:
    seen = (tables.row("signs", sign=one.sign) for one in need.ground.seen(need.path))
    return any("oxygen" in sign["quantities"] for sign in seen)


def _bloom(need: Need, row: tables.Row) -> bool:
    """Green water that was seen, mentioned, or shows in more oxygen than air gives."""
    told = any(one.what == "algae" and is_in(need.water.place, one) for one in need.ground.case.already)
    over = (one for one in need.context.calling(Hazard.CONTRADICTION) if one.water == need.path)
    shown = any(why.code == _OVER for one in over for why in one.why)
    return told or shown or any(one.sign == _BLOOM for one in need.ground.seen(need.path))


_HOLDS: Mapping[str, Callable[[Need, tables.Row], bool]] = MappingProxyType(
    {
        "oxygen": lambda need, row: _open(need, Hazard.OXYGEN),
        "ammonia": _ammonia,
        "signs": _signs,
        "bloom": _bloom,
        "hot": lambda need, row: band(need.state[Q.TEMPERATURE]).high >= row.value,
        "gas": lambda need, row: bool(gas_stops(need)),
        "zeolite": may_have_zeolite,
        "sensitive": lambda need, row: not need.species or "salt_sensitive" in fish_things(need.species, ()),
        "tap": lambda need, row: need.ground.case.mains_water.disinfectant != "none",
        "disease": lambda need, row: bool(disease_stops(need.context)),
        "always": lambda need, row: True,
        "never": lambda need, row: False,
    }
)
