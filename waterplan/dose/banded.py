"""A dose into a volume that is only known within a band, and what the error of the volume does to it."""

from dataclasses import dataclass
from enum import StrEnum

from waterplan import tables
from waterplan.errors import ImpossibleInput, Refused
from waterplan.published import published
from waterplan.spread import Band


class Purpose(StrEnum):
    """Which error of the volume does harm."""

    HARMS_IN_EXCESS = "harms when overdosed"
    ANTIDOTE = "fails when underdosed"


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseVolume:
    """A volume of water with its error, and whether anybody measured it."""

    low_l: float
    best_l: float
    high_l: float
    guessed: bool

    def __post_init__(self) -> None:
        if not 0.0 < self.low_l <= self.best_l <= self.high_l < float("inf"):
            raise ImpossibleInput(
                "low_l, best_l, high_l",
                (self.low_l, self.best_l, self.high_l),
                "above 0, finite and in order",
                unit="L",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class BandedDose:
    """An amount, the volume it was worked out for, and the level at each end of the band.

    `level.low` is at the high end of the volume. `too_weak` says that at that end the level falls under its floor.
    `margin` is the ceiling as a multiple of the level wanted.
    """

    amount_g: float
    volume_used_l: float
    volume_end: str
    level: Band
    too_weak: bool
    margin: float | None

    @property
    def words(self) -> str:
        """The volume that was used and what its error does, in a sentence."""
        return (
            f"worked out for {self.volume_used_l:.4g} L, the {self.volume_end} of the volume; "
            f"the level is then {self.level.low:.4g} to {self.level.high:.4g} mg/L, {self.level.best:.4g} at best"
        )


@published(source="waterplan", locator="mass balance at both ends of the volume", status="derived")
def banded_dose(
    volume: DoseVolume,
    *,
    wanted_mg_per_l: float,
    purpose: Purpose,
    present_mg_per_l: float = 0.0,
    floor_mg_per_l: float | None = None,
    ceiling_mg_per_l: float | None = None,
    unit: str = "mg/L",
) -> BandedDose:
    """The amount for a volume with an error: for the low end where excess harms, for the high end of an antidote.

    Parameters
    ----------
    volume : DoseVolume
        Volume of water with its low and high end.
    wanted_mg_per_l : float
        Level wanted [mg/L].
    purpose : Purpose
        Which error of the volume does harm.
    present_mg_per_l : float
        Level that is in the water already [mg/L].
    floor_mg_per_l : float, optional
        Lowest level that works [mg/L].
    ceiling_mg_per_l : float, optional
        Highest level allowed [mg/L].
    unit : str
        How the levels are called where they are counted otherwise, as microlitres; the amount is then in mL.

    Returns
    -------
    BandedDose
        Amount [g] and level at the low, best and high end [mg/L].

    Raises
    ------
    ImpossibleInput
        The level wanted lies under its own floor, or a figure is negative or not finite.
    Refused
        The level passes its ceiling somewhere in the band, or the margin is narrow and the volume was guessed.

    Notes
    -----
    Whatever the volume inside its band, the ceiling is not passed, and an antidote is not under its floor. The rule
    `narrow_margin` says when a guess will not do. Checked by these properties and by hand arithmetic.

    Examples
    --------
    >>> pond = DoseVolume(low_l=900.0, best_l=1000.0, high_l=1200.0, guessed=False)
    >>> banded_dose(pond, wanted_mg_per_l=2.0, purpose=Purpose.HARMS_IN_EXCESS).amount_g
    1.8
    """
    if floor_mg_per_l is not None and wanted_mg_per_l < floor_mg_per_l:
        raise ImpossibleInput(
            "wanted_mg_per_l", wanted_mg_per_l, f"at least its floor, {floor_mg_per_l:g}", unit="mg/L"
        )
    harms = Purpose(purpose) is Purpose.HARMS_IN_EXCESS
    used_l = volume.low_l if harms else volume.high_l
    amount_mg = max(wanted_mg_per_l - present_mg_per_l, 0.0) * used_l
    level = Band(
        present_mg_per_l + amount_mg / volume.high_l,
        present_mg_per_l + amount_mg / volume.best_l,
        present_mg_per_l + amount_mg / volume.low_l,
    )
    margin = None
    if ceiling_mg_per_l is not None:
        margin = ceiling_mg_per_l / wanted_mg_per_l if wanted_mg_per_l > 0.0 else float("inf")
        _refuse_excess(volume, wanted_mg_per_l, level, ceiling_mg_per_l, unit)
        narrow = tables.row("dose_rules", rule="narrow_margin").value
        if volume.guessed and margin < narrow:
            raise Refused(
                f"the volume was guessed, and the highest level allowed ({ceiling_mg_per_l:g} {unit}) is less "
                f"than {narrow:g} times the level wanted: measure the volume first"
            )
    return BandedDose(
        amount_g=amount_mg / 1000.0,
        volume_used_l=used_l,
        volume_end="low end" if harms else "high end",
        level=level,
        too_weak=floor_mg_per_l is not None and level.low < floor_mg_per_l * (1.0 - 1e-9),
        margin=margin,
    )


def _refuse_excess(volume: DoseVolume, wanted: float, level: Band, ceiling: float, unit: str) -> None:
    allowed = ceiling * (1.0 + 1e-9)
    if wanted > allowed:
        raise Refused(f"{wanted:g} {unit} is wanted and {ceiling:g} {unit} is the highest level allowed")
    if level.high > allowed:
        raise Refused(
            f"if the water is only {volume.low_l:g} L, the level reaches {level.high:.4g} {unit}, above the highest "
            f"allowed, {ceiling:g} {unit}: measure the volume first"
        )
