"""Which function makes which kind of action, and the order in which the kinds are sized."""

from collections.abc import Mapping
from types import MappingProxyType

from waterplan import tables
from waterplan.actions.air import air
from waterplan.actions.change import change
from waterplan.actions.neutralise import neutralise
from waterplan.actions.proposing import Maker
from waterplan.actions.record import Kind

MAKERS: Mapping[Kind, Maker] = MappingProxyType(
    {
        Kind.AIR: air,
        Kind.NEUTRALISE: neutralise,
        Kind.CHANGE: change,
    }
)


def order() -> tuple[Kind, ...]:
    """The kinds of action in the order in which they are sized: that of the table `action_kinds`."""
    return tuple(Kind(row["kind"]) for row in sorted(tables.rows("action_kinds"), key=lambda row: row.value))
