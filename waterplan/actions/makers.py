"""Which function makes which kind of action, and the order in which the kinds are sized."""

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from waterplan import tables
from waterplan.actions.acclimate import acclimate
from waterplan.actions.air import air
from waterplan.actions.at_once import move, move_nothing, source_off, stop_feeding
from waterplan.actions.change import change
from waterplan.actions.doses.injection import injections
from waterplan.actions.doses.orders import doses
from waterplan.actions.feeding import feed
from waterplan.actions.first_aid import first_aid
from waterplan.actions.heat.temperature import cool, warm
from waterplan.actions.meant import meant
from waterplan.actions.new_water import new_water
from waterplan.actions.packing import pack
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.recheck import wait
from waterplan.actions.record import Kind
from waterplan.actions.salts.salt import salt
from waterplan.actions.telling import ask, measure, people
from waterplan.actions.treating import chemistry, degas, neutralise

MAKERS: Mapping[Kind, Callable[[Context], Iterable[Proposal]]] = MappingProxyType(
    {
        Kind.PEOPLE: people,
        Kind.SOURCE_OFF: source_off,
        Kind.FIRST_AID: first_aid,
        Kind.AIR: air,
        Kind.MOVE_NOTHING: move_nothing,
        Kind.MOVE: move,
        Kind.NEW_WATER: new_water,
        Kind.PACK: pack,
        Kind.NEUTRALISE: neutralise,
        Kind.CHANGE: change,
        Kind.COOL: cool,
        Kind.WARM: warm,
        Kind.DEGAS: degas,
        Kind.SALT: salt,
        Kind.CHEMISTRY: chemistry,
        Kind.STOP_FEEDING: stop_feeding,
        Kind.FEED: feed,
        Kind.DOSE: doses,
        Kind.INJECTION: injections,
        Kind.ACCLIMATE: acclimate,
        Kind.WAIT: wait,
        Kind.MEANT: meant,
        Kind.ASK: ask,
        Kind.MEASURE: measure,
    }
)


def order() -> tuple[Kind, ...]:
    """The kinds of action in the order in which they are sized: that of the table `action_kinds`."""
    return tuple(Kind(row["kind"]) for row in sorted(tables.rows("action_kinds"), key=lambda row: row.value))


def may_worsen(kind: Kind) -> frozenset[str]:
    """The hazards that a kind of action may make worse, from the table `action_kinds`."""
    worsens = tables.row("action_kinds", kind=kind.value)["worsens"].split(";")
    return frozenset(part.strip() for part in worsens) - {""}
