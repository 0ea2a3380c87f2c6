"""The ledger of the salt in a tank: every gram that goes in and comes out, by the moves that were made."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from waterplan.errors import ImpossibleInput
from waterplan.published import published


class Move(StrEnum):
    """What was done to the water."""

    SALT = "salt weighed in"
    CHANGE = "water changed"
    EVAPORATED = "evaporated"
    TOPPED_UP = "topped up"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A move: litres changed, evaporated or topped up; salt weighed in, alone or into the new water; what that holds.

    Rain that runs over is a change with water that holds no salt.
    """

    move: Move
    litres: float = 0.0
    salt_g: float = 0.0
    source_g_per_l: float = 0.0

    def __post_init__(self) -> None:
        for name in ("litres", "salt_g", "source_g_per_l"):
            value = getattr(self, name)
            if not 0.0 <= value < float("inf"):
                raise ImpossibleInput(name, value, "0 or more, and finite")
        if self.move is Move.EVAPORATED and (self.salt_g or self.source_g_per_l):
            raise ImpossibleInput("salt_g", self.salt_g, "0: what evaporates is water alone", unit="g")
        if self.move is Move.SALT and self.litres:
            raise ImpossibleInput("litres", self.litres, "0 where salt alone is weighed in", unit="L")


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerLine:
    """The water after a move, and the salt that the move brought and took."""

    entry: Entry
    volume_l: float
    held_g: float
    in_g: float
    out_g: float

    @property
    def level_g_per_l(self) -> float:
        """Salt in the water then [g/L]."""
        return self.held_g / self.volume_l


@published(source="waterplan", locator="mass balance over each move", status="derived")
def salt_ledger(volume_l: float, *, present_g_per_l: float, entries: Iterable[Entry]) -> tuple[LedgerLine, ...]:
    """The salt of a tank after each of a list of moves.

    Parameters
    ----------
    volume_l : float
        Volume of water before the first move [L].
    present_g_per_l : float
        Salt that is in it then [g/L].
    entries : iterable of Entry
        The moves, in the order in which they are made.

    Returns
    -------
    tuple of LedgerLine
        For each move the volume [L], the salt held, brought and taken [g], and the level [g/L].

    Raises
    ------
    ImpossibleInput
        A figure is impossible, there is no water, or more is changed or evaporates than there is.

    Notes
    -----
    A change takes mixed water out and then brings the new; evaporation takes no salt. What was there and what came in,
    less what went out, is what is held: to the gram, and checked as such. Checked against (1 - f)^n and hand arithmetic.

    Examples
    --------
    >>> change = Entry(move=Move.CHANGE, litres=150.0)
    >>> salt_ledger(600.0, present_g_per_l=3.0, entries=[change])[0].level_g_per_l
    2.25
    """
    if volume_l <= 0.0:
        raise ImpossibleInput("volume_l", volume_l, "above 0", unit="L")
    held_g = volume_l * present_g_per_l
    lines = []
    for entry in entries:
        taken_l = entry.litres if entry.move in {Move.CHANGE, Move.EVAPORATED} else 0.0
        if taken_l > volume_l or (entry.move is Move.EVAPORATED and taken_l == volume_l):
            raise ImpossibleInput("litres", entry.litres, f"at most the {volume_l:g} that there are", unit="L")
        out_g = held_g * taken_l / volume_l if entry.move is Move.CHANGE else 0.0
        brought_l = 0.0 if entry.move is Move.EVAPORATED else entry.litres
        in_g = brought_l * entry.source_g_per_l + entry.salt_g
        volume_l += brought_l - taken_l
        held_g += in_g - out_g
        lines.append(LedgerLine(entry=entry, volume_l=volume_l, held_g=held_g, in_g=in_g, out_g=out_g))
    return tuple(lines)
