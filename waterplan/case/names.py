"""Who and what a case speaks of, and how one part of it names another: by a name, an ordinal or a path.

Identity is a path (`home-pond`, `hospital-1`, `patient-2`); a name decides nothing, and where it could mean two things
the case is asked which.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from waterplan.case.choices import Use
from waterplan.case.values import BadValue

HOME_POND, MAINS = "home-pond", "mains"
_ALWAYS: Mapping[str, tuple[str, ...]] = {
    HOME_POND: ("home pond", "home water", "pond"),
    MAINS: ("mains water", "mains", "tap", "tap water"),
}


def plain(text: str) -> str:
    """A name without what does not count in it: capitals and blanks."""
    return " ".join(text.casefold().split())


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """The patients' names in order, and the name of each vessel by its path."""

    patients: tuple[str, ...] = ()
    vessels: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, patients: Iterable[str], vessels: Sequence[tuple[str, str]]) -> "Names":
        """From the patients' names and each vessel's use and name, in the file's order."""
        found: dict[str, str] = {}
        counts: dict[str, int] = {}
        for use, name in vessels:
            counts[use] = counts.get(use, 0) + 1
            found[HOME_POND if use == Use.VAT else f"{use}-{counts[use]}"] = name
        return cls(patients=tuple(patients), vessels=found)

    @property
    def known(self) -> tuple[str, ...]:
        """The names by which a water can be called."""
        return ("home pond", "mains water", *self.vessels.values())

    def water(self, text: str) -> str | None:
        """The path of the water that a text names; None where there is none, BadValue where it could be two."""
        wanted = plain(text)
        always = [path for path, names in _ALWAYS.items() if wanted in {path, *names}]
        named = [path for path, name in self.vessels.items() if wanted in {path, plain(name)}]
        found = list(dict.fromkeys((*always, *named)))
        if len(found) > 1:
            raise BadValue(f"{text!r}, which could be {' or '.join(found)}", f"write {' or '.join(map(repr, found))}")
        return found[0] if found else None

    def need_water(self, text: str) -> str:
        """The path of the water that a text names; BadValue where there is none."""
        found = self.water(text)
        if found is None:
            raise BadValue(repr(text), "name a water of the case: " + ", ".join(self.known))
        return found

    def patient(self, text: str) -> int:
        """The ordinal of the patient that a text names; BadValue where there is none, or could be two."""
        wanted = plain(text)
        found = [
            number
            for number, name in enumerate(self.patients, 1)
            if wanted in {str(number), f"patient-{number}"} or (name and wanted == plain(name))
        ]
        if len(found) == 1:
            return found[0]
        if found:
            raise BadValue(repr(text), "say which: " + ", ".join(f"'patient-{number}'" for number in found))
        known = [name or f"patient-{number}" for number, name in enumerate(self.patients, 1)]
        raise BadValue(repr(text), "name a patient of the case: " + (", ".join(known) or "it has none"))
