"""What a dose comes to, as it is shown: portions to weigh or draw up, their order, and the level beside what is told."""

from dataclasses import dataclass, field

from waterplan.dose.conflicts import Conflict
from waterplan.dose.tricaine import TricaineWater
from waterplan.findings import Finding
from waterplan.published import Status, Trail
from waterplan.spread import Band


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """Something to be weighed or drawn up, as the instrument shows it: `digits` are those of its division."""

    what: str
    amount: float
    unit: str
    digits: int
    into: str

    @property
    def counted(self) -> str:
        """The amount as it is read off the scale or syringe: rounded once, in the safe direction, and not again."""
        if self.unit == "tablets":
            return f"{self.amount:g} {'tablet' if self.amount == 1.0 else self.unit}"
        return f"{as_read(self.amount, self.digits)} {self.unit}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A range that the tables tell of, with how well it is founded."""

    low: float
    high: float
    words: str
    status: Status


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltPart:
    """One of the parts in which salt goes in: hours after the first, what is weighed, and the level that it makes."""

    at_h: float
    grams: float
    level_g_per_l: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerRow:
    """A line of the salt's ledger in words: when, what was done, the salt that the water then holds, its level."""

    when: str
    done: str
    held: str
    level: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseCard:
    """One dose for a screen and for the card at the tub.

    `level` is the band of the level over the error of the volume, in `unit`; `order` is what is done one after the
    other; `after` what happens to the water afterwards. A card without portions says in its finding why there are none.
    """

    number: int
    title: str
    substance: str
    use: str
    water: str
    litres: Band
    volume_words: str
    finding: Finding
    unit: str = ""
    wanted: float | None = None
    level: Band | None = None
    told: Told | None = None
    ceiling: float | None = None
    portions: tuple[Portion, ...] = ()
    order: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    anaesthetic: bool = False
    ledger: tuple[LedgerRow, ...] = ()
    times: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class InjectionCard:
    """A drug by weight for a screen and for a card: what is drawn up, of which dilution, for how many sites.

    Without `draw_ml` its finding says why nothing is drawn up.
    """

    number: int
    drug: str
    title: str
    patient: str
    finding: Finding
    draw_ml: float | None = None
    division_ml: float = 0.01
    strength: str = ""
    order: tuple[str, ...] = ()
    sites: int = 1

    @property
    def drawn(self) -> str:
        """The volume as it is read off the syringe."""
        return f"{as_read(self.draw_ml or 0.0, digits_of(self.division_ml))} mL"


@dataclass(slots=True, kw_only=True)
class InjectionDraft:
    """An injection's card while its sum is made."""

    draw_ml: float | None = None
    division_ml: float = 0.01
    strength: str = ""
    order: list[str] = field(default_factory=list)
    sites: int = 1


@dataclass(slots=True, kw_only=True)
class CardDraft:
    """A card while its sum is made: what a refusal cuts short stays empty."""

    unit: str = ""
    wanted: float | None = None
    level: Band | None = None
    told: Told | None = None
    ceiling: float | None = None
    portions: list[Portion] = field(default_factory=list)
    order: list[str] = field(default_factory=list)
    after: list[str] = field(default_factory=list)
    bath: tuple[TricaineWater, Trail] | None = None
    chlorine: float | None = None
    salt_parts: list[SaltPart] = field(default_factory=list)
    ledger: list[LedgerRow] = field(default_factory=list)


def as_read(amount: float, digits: int) -> str:
    """An amount to the decimals of its instrument, without a zero at the end: 1.0 is read as 10."""
    text = f"{amount:,.{digits}f}"
    return text.rstrip("0").rstrip(".") if digits else text


def digits_of(division: float) -> int:
    """Decimal places that a division shows: 1 for 0.1 and for 0.5, 2 for 0.25."""
    digits = 0
    while digits < 6 and abs(division * 10**digits - round(division * 10**digits)) > 1e-9:
        digits += 1
    return digits
