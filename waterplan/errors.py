"""What the tool says when it is given something that cannot be."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import NamedTuple, Self


class Limits(NamedTuple):
    """The closed interval in which a value is possible, in the unit of its glossary row."""

    low: float
    high: float

    def __str__(self) -> str:
        return f"{self.low:g} to {self.high:g}"


class ImpossibleInput(ValueError):  # noqa: N818 - the name is the message
    """A value that cannot be: not finite, negative where nothing is, beyond what nature allows."""

    def __init__(self, argument: str, value: object, limits: object, *, unit: str = "", many: str = "") -> None:
        self.argument = argument
        self.value = value
        self.limits = limits
        super().__init__(f"{argument} = {value}{many}: impossible, it must be {f'{limits} {unit}'.strip()}")


class Refused(Exception):  # noqa: N818 - the plan goes on without this answer
    """An answer that is withheld because being wrong about it kills; the text says why.

    `code` is the key of the phrase book for it, and `figures` are the numbers of that phrase, each with its unit.
    """

    def __init__(
        self, why: str, *, code: str = "", figures: Mapping[str, tuple[float, str]] = MappingProxyType({})
    ) -> None:
        self.code = code
        self.figures = figures
        super().__init__(why)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mistake:
    """One thing wrong in a file: where, what was read (empty where that is said already), and what would do instead."""

    where: str
    read: str
    would_do: str

    def __str__(self) -> str:
        return f"{self.where}: read {self.read}; {self.would_do}" if self.read else f"{self.where}: {self.would_do}"


MOST_SHOWN, _MOST_CHARACTERS, _LONG = 50, 12_000, 120


class CaseError(Exception):
    """All the mistakes of one file, told together; of very many the first, and a long advice once."""

    def __init__(self, file: str, mistakes: Sequence[Mistake]) -> None:
        self.file = file
        self.mistakes = tuple(mistakes)
        count = len(self.mistakes)
        lines = [f"{file}: {count} thing{'s' if count > 1 else ''} to put right"]
        told: set[str] = set()
        room = _MOST_CHARACTERS
        for mistake in self.mistakes[:MOST_SHOWN]:
            again = mistake.would_do in told
            line = f"  {replace(mistake, would_do='as above') if again else mistake}"
            if (room := room - len(line)) < 0:
                break
            told |= {mistake.would_do} if len(mistake.would_do) > _LONG else set()
            lines.append(line)
        left = count - len(lines) + 1
        super().__init__("\n".join([*lines, *([f"  and {left} more"] if left else [])]))

    @classmethod
    def of(cls, file: str, *, where: str, read: str, would_do: str) -> Self:
        """The error for one mistake."""
        return cls(file, [Mistake(where=where, read=read, would_do=would_do)])
