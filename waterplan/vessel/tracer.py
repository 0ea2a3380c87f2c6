"""Volume from a weighed salt: conductivity, chloride or salinity before and after."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput, Refused
from waterplan.published import FloatArray, Numbers
from waterplan.spread import COVERAGE, Draws, Measured
from waterplan.vessel.calibration import BucketTest, fitted_line
from waterplan.vessel.dilution import diluted_volume_l, salt_from_chloride_g_per_l, salt_from_conductance_g_per_l
from waterplan.vessel.limits import WrongRows, is_amount, require_above_0
from waterplan.vessel.volume import Volume, relative_sd, student

_RULES = ("drift between times", "not mixed", "least rise over its error")


class Signal(StrEnum):
    """What is read before and after the salt, in its unit."""

    CONDUCTIVITY = "conductivity at 25 °C, mS/cm"
    CHLORIDE = "chloride, mg/L"
    SALINITY = "salinity, g/L"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One reading.

    Parameters
    ----------
    station : str
        Where it was taken.
    value : float
        What was read, in the unit of the signal.
    hours : float
        Time since the salt was in; 0 for the readings before it.
    """

    station: str
    value: float
    hours: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TopUp:
    """Water that was added between the readings before and after.

    Parameters
    ----------
    added_l : Measured
        How much [L].
    value : float
        Its own reading, in the unit of the signal.
    """

    added_l: Measured
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TracerTest:
    """A weighed salt, and what was read before and after.

    Parameters
    ----------
    signal : Signal
        What was read.
    salt_g : Measured
        Salt weighed in [g].
    salt_purity : Measured
        Sodium chloride in it [fraction]; 1 where a bucket test was done with the same salt.
    before, after : tuple of Sample
        Readings before the salt, and after it was mixed in.
    reading_error : float
        One standard deviation of each reading by itself, in the unit of the signal.
    bucket : BucketTest, optional
        The calibration in the pond's own water, for conductivity.
    top_up : TopUp, optional
        Water added between the readings.

    Raises
    ------
    CaseError
        A reading that cannot be, no readings, or a reading after the salt that is not above the one before: with rows.
    ImpossibleInput
        A weight, purity or error cannot be, or a bucket test of conductivity stands beside another signal.
    """

    signal: Signal
    salt_g: Measured
    salt_purity: Measured
    before: tuple[Sample, ...]
    after: tuple[Sample, ...]
    reading_error: float
    bucket: BucketTest | None = None
    top_up: TopUp | None = None

    def __post_init__(self) -> None:
        require_above_0("salt_g", self.salt_g.best, unit="g")
        if not 0 < self.salt_purity.best <= 1:
            raise ImpossibleInput("salt_purity", self.salt_purity.best, "above 0, at most 1")
        if not self.reading_error > 0:
            raise ImpossibleInput("reading_error", self.reading_error, f"above 0 in {self.signal}")
        if self.bucket is not None and self.signal is not Signal.CONDUCTIVITY:
            raise ImpossibleInput("bucket", "a bucket test", f"left out with {self.signal}")
        wrong = WrongRows("tracer")
        for when, samples in (("before", self.before), ("after", self.after)):
            if not samples:
                wrong.add(when, "no readings", "give at least one")
            for number, sample in enumerate(samples, start=1):
                if not is_amount(sample.value):
                    where = f"{when}, row {number} ({sample.station})"
                    wrong.add(where, str(sample.value), f"give {self.signal}, 0 or more")
        wrong.tell()
        for number, sample in enumerate(self.after, start=1):
            start = self.start_of(sample.station)
            if sample.value <= start:
                read = f"{sample.value:g} after {start:g} before the salt"
                would_do = "read again: it cannot fall when salt goes in, unless water was exchanged"
                wrong.add(f"after, row {number} ({sample.station})", read, would_do)
        wrong.tell()

    @property
    def by_table(self) -> bool:
        """Whether the salt follows from the conductivity alone, without a bucket test."""
        return self.signal is Signal.CONDUCTIVITY and self.bucket is None

    def start_of(self, station: str) -> float:
        """The mean reading before the salt at a station, or of all stations where that one was not read."""
        own = [sample.value for sample in self.before if sample.station == station]
        return float(np.mean(own or [sample.value for sample in self.before]))


def _to_salt(
    test: TracerTest, draws: Draws, name: str
) -> tuple[Callable[[Numbers, Numbers], Numbers], tuple[Callable[..., object], ...]]:
    """What turns a reading after and one before into the salt between them [g/L], with its error; and its equation."""
    if test.bucket is not None:
        slope = test.bucket.drawn(draws, name)
        return lambda after, before: (after - before) / slope, (fitted_line,)
    if test.signal is Signal.SALINITY:
        return lambda after, before: after - before, ()
    if test.signal is Signal.CHLORIDE:
        by_chloride = salt_from_chloride_g_per_l
        return lambda after, before: by_chloride(after, chloride_before_mg_per_l=before), (by_chloride,)
    error = draws.of(f"{name} equation", Measured.within_factor(1.0, relative_sd("conductivity of NaCl")))
    by_table = salt_from_conductance_g_per_l
    return lambda after, before: error * by_table(after, conductance_before_ms_per_cm=before), (by_table,)


def _rises(
    test: TracerTest, to_salt: Callable[[Numbers, Numbers], Numbers], draws: Draws, name: str
) -> tuple[FloatArray, Numbers]:
    """Draws of the rise of salt at each reading after, shape (readings, draws + 1) [g/L], and of what a top-up took [g]."""
    # A bucket test with the same meter has the same span in it, so that it falls out of the ratio.
    span = relative_sd("conductivity meter") if test.by_table else 0.0
    shared = draws.of(f"{name} meter", Measured.within_factor(1.0, span))

    def drawn(column: str, value: float) -> FloatArray:
        return shared * draws.of(
            f"{name} {column}", Measured.plus_minus(value, COVERAGE * test.reading_error, floor=0.0)
        )

    before = [(sample.station, drawn(f"before {number}", sample.value)) for number, sample in enumerate(test.before)]
    everywhere = np.mean([values for _, values in before], axis=0)
    rises = []
    for number, sample in enumerate(test.after):
        own = [values for station, values in before if station == sample.station]
        start = np.mean(own, axis=0) if own else everywhere
        rises.append(to_salt(drawn(f"after {number}", sample.value), start))
    taken: Numbers = 0.0
    if test.top_up is not None:
        added = draws.of(f"{name} top-up", test.top_up.added_l)
        taken = added * to_salt(everywhere, drawn("top-up", test.top_up.value))
    return np.stack(rises), taken


def _rule(rule: str) -> float:
    return tables.row("vessel_tracer", rule=rule).value


def _used(test: TracerTest, rise: FloatArray) -> list[int]:
    """Which readings to use, from the best values of the rise at each: the last ones where the rise drifts."""
    hours = np.asarray([sample.hours for sample in test.after])
    first, last = (float(rise[hours == time].mean()) for time in (hours.min(), hours.max()))
    used = np.arange(len(rise))
    if abs(last - first) / last > _rule("drift between times"):
        used = np.flatnonzero(hours == hours.max())
    if len({test.after[index].station for index in used}) > 1:
        spread = float(np.ptp(rise[used])) / float(rise[used].mean())
        if spread > _rule("not mixed"):
            figures = {"spread": (100.0 * spread, "%")}
            raise Refused("the stations differ: not mixed", code="stations-differ", figures=figures)
    return used.tolist()


def tracer_volume(test: TracerTest, *, draws: Draws, name: str) -> Volume:
    """Volume of water from a weighed salt.

    Parameters
    ----------
    test : TracerTest
        The salt and the readings.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

    Returns
    -------
    Volume
        Litres after any top-up, with the errors of the weighing, of each reading, of the meter (once for all its
        readings), of the calibration, and of the mixing.

    Raises
    ------
    Refused
        The stations differ too much, or the rise is too small to be told from the errors of reading.

    Notes
    -----
    Salt over rise; with a top-up of dV the salt is less dV (c_before - c_top_up). The scatter between readings beyond
    their own error is taken as imperfect mixing, with Student's t.

    Examples
    --------
    >>> test = TracerTest(
    ...     signal=Signal.CHLORIDE, salt_g=Measured.exact(10000.0), salt_purity=Measured.exact(0.995), reading_error=1.0,
    ...     before=(Sample(station="inlet", value=30.0),), after=(Sample(station="inlet", value=152.0, hours=24.0),),
    ... )
    >>> round(float(tracer_volume(test, draws=Draws(), name="pond").litres[0]), -1)
    49470.0
    """
    to_salt, equation = _to_salt(test, draws, name)
    rises, taken = _rises(test, to_salt, draws, name)
    used = _used(test, rises[:, 0])
    rise = rises[used].mean(axis=0)
    share = float(rise[0]) / float(rise[1:].std())
    if share < _rule("least rise over its error"):
        raise Refused("the rise may be chance", code="rise-too-small", figures={"times": (share, "")})
    count = len(used)
    if count > 1:
        scatter2 = float(rises[used, 0].var(ddof=1))
        own2 = float((rises[used, 1:] - rise[1:]).var(axis=1).mean()) * count / (count - 1)
        beyond = np.sqrt(max(scatter2 - own2, 0.0) / count) / float(rise[0])
        rise = rise * np.exp(student(draws, f"{name} mixing", sd=float(beyond), freedom=count - 1.0))
    salt = draws.of(f"{name} salt", test.salt_g) * draws.of(f"{name} purity", test.salt_purity)
    methods = ("conductivity meter", "conductivity of NaCl") if test.by_table else ()
    return Volume(
        litres=np.asarray(diluted_volume_l(salt - taken, salt_purity=1.0, rise_g_per_l=rise)),
        equations=(*equation, diluted_volume_l),
        rows=(*(f"vessel_tracer/{rule}" for rule in _RULES), *(f"vessel_methods/{method}" for method in methods)),
    )
