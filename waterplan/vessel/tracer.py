"""Volume from a weighed salt: conductivity, chloride or salinity before and after."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from waterplan import tables
from waterplan.errors import CaseError, ImpossibleInput, Mistake, Refused
from waterplan.published import FloatArray, Numbers
from waterplan.spread import COVERAGE, Draws, Measured
from waterplan.vessel.calibration import BucketTest, fitted_line
from waterplan.vessel.dilution import diluted_volume_l, salt_from_chloride_g_per_l, salt_from_conductance_g_per_l
from waterplan.vessel.volume import Method, Reading, Volume, relative_sd, student

_CIRCULATING = (
    "A tracer measures the water that circulates: filters and pipes are in it, dead corners and still layers are not."
)


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
    span_error : float, optional
        One standard deviation of what all readings of the meter share, as a fraction; from `vessel_methods` for
        conductivity where it is not given, else 0. A bucket test with the same meter cancels it.
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
    span_error: float | None = None
    bucket: BucketTest | None = None
    top_up: TopUp | None = None

    def __post_init__(self) -> None:
        if not self.salt_g.best > 0:
            raise ImpossibleInput("salt_g", self.salt_g.best, "above 0", unit="g")
        if not 0 < self.salt_purity.best <= 1:
            raise ImpossibleInput("salt_purity", self.salt_purity.best, "above 0, at most 1")
        if not (np.isfinite(self.reading_error) and self.reading_error > 0):
            raise ImpossibleInput("reading_error", self.reading_error, f"above 0 in {self.signal}")
        if self.bucket is not None and self.salt_purity.best != 1:
            raise ImpossibleInput(
                "salt_purity", self.salt_purity.best, "1 with a bucket test of the salt, which has it in"
            )
        if self.bucket is not None and self.signal is not Signal.CONDUCTIVITY:
            raise ImpossibleInput("bucket", "a bucket test", f"left out with {self.signal}")
        mistakes = self._wrong_readings()
        if mistakes:
            raise CaseError("tracer", mistakes)

    def _wrong_readings(self) -> list[Mistake]:
        mistakes: list[Mistake] = []
        for when, samples in (("before", self.before), ("after", self.after)):
            if not samples:
                mistakes.append(Mistake(where=when, read="no readings", would_do="give at least one"))
            for number, sample in enumerate(samples, start=1):
                if not (np.isfinite(sample.value) and sample.value >= 0 and np.isfinite(sample.hours)):
                    where = f"{when}, row {number} ({sample.station})"
                    mistakes.append(
                        Mistake(where=where, read=str(sample.value), would_do=f"give {self.signal}, 0 or more")
                    )
        if not mistakes:
            for number, sample in enumerate(self.after, start=1):
                start = self.start_of(sample.station)
                if sample.value <= start:
                    mistakes.append(
                        Mistake(
                            where=f"after, row {number} ({sample.station})",
                            read=f"{sample.value:g} after {start:g} before the salt",
                            would_do="read again: it cannot fall when salt goes in, unless water was exchanged",
                        )
                    )
        return mistakes

    def start_of(self, station: str) -> float:
        """The mean reading before the salt at a station, or of all stations where that one was not read."""
        own = [sample.value for sample in self.before if sample.station == station]
        return float(np.mean(own or [sample.value for sample in self.before]))


def _to_salt(test: TracerTest, draws: Draws, name: str) -> Callable[[Numbers, Numbers], Numbers]:
    """What turns a reading after and one before into the salt between them [g/L], with its error."""
    if test.bucket is not None:
        slope = test.bucket.drawn(draws, name)
        return lambda after, before: (after - before) / slope
    if test.signal is Signal.CHLORIDE:
        return lambda after, before: salt_from_chloride_g_per_l(after, chloride_before_mg_per_l=before)
    if test.signal is Signal.SALINITY:
        return lambda after, before: after - before
    equation = draws.of(f"{name} equation", Measured.within_factor(1.0, relative_sd("conductivity of NaCl")))
    return lambda after, before: equation * salt_from_conductance_g_per_l(after, conductance_before_ms_per_cm=before)


def _rises(test: TracerTest, draws: Draws, name: str) -> tuple[FloatArray, Numbers]:
    """Draws of the rise of salt at each reading after, shape (readings, draws + 1) [g/L], and of what a top-up took [g]."""
    by_itself = test.signal is Signal.CONDUCTIVITY and test.bucket is None
    span = test.span_error
    if span is None:
        span = relative_sd("conductivity meter") if by_itself else 0.0
    # A bucket test with the same meter has the same span in it, so that it falls out of the ratio.
    shared = draws.of(f"{name} meter", Measured.within_factor(1.0, span if test.bucket is None else 0.0))

    def drawn(column: str, value: float) -> FloatArray:
        reading = Measured.plus_minus(value, COVERAGE * test.reading_error, floor=0.0)
        return np.asarray(shared * draws.of(f"{name} {column}", reading), dtype=np.float64)

    to_salt = _to_salt(test, draws, name)
    before = [(sample.station, drawn(f"before {number}", sample.value)) for number, sample in enumerate(test.before)]
    everywhere = np.mean([values for _, values in before], axis=0)
    rises = []
    for number, sample in enumerate(test.after):
        own = [values for station, values in before if station == sample.station]
        start = np.mean(own, axis=0) if own else everywhere
        rises.append(np.asarray(to_salt(drawn(f"after {number}", sample.value), start), dtype=np.float64))
    taken: Numbers = 0.0
    if test.top_up is not None:
        added = draws.of(f"{name} top-up", test.top_up.added_l)
        taken = added * to_salt(everywhere, drawn("top-up", test.top_up.value))
    return np.stack(rises), taken


def _mixing(test: TracerTest, rise: FloatArray) -> tuple[list[int], list[str]]:
    """Which readings to use, and what to say, from the best values of the rise at each."""
    cautions = []
    hours = np.asarray([sample.hours for sample in test.after])
    times = np.unique(hours)
    at_time = [float(rise[hours == time].mean()) for time in times]
    used = list(range(len(rise)))
    drift = (at_time[-1] - at_time[0]) / at_time[-1]
    if abs(drift) > tables.row("vessel_tracer", rule="drift between times").value:
        used = np.flatnonzero(hours == times[-1]).tolist()
        if drift > 0:
            cautions.append(
                f"The rise still grew by {drift:.0%} between {times[0]:g} h and {times[-1]:g} h: it may not be mixed yet; "
                "only the last readings are used."
            )
        else:
            cautions.append(
                f"The rise shrank by {-drift:.0%} between {times[0]:g} h and {times[-1]:g} h: salt is leaving (a leak, a "
                "top-up, rain, zeolite) or was not mixed at first; only the last readings are used."
            )
    last = rise[used]
    stations = {test.after[index].station for index in used}
    if len(stations) > 1:
        spread = float(last.max() - last.min()) / float(last.mean())
        if spread > tables.row("vessel_tracer", rule="not mixed").value:
            raise Refused(
                f"The stations differ by {spread:.0%} of the rise: not mixed. Mix for longer and read again.",
                code="stations-differ",
                figures={"spread": (100.0 * spread, "%")},
            )
        if spread > tables.row("vessel_tracer", rule="spread between stations").value:
            cautions.append(f"The stations differ by {spread:.0%} of the rise: mixing is poor.")
    wanted = int(tables.row("vessel_tracer", rule="stations").value)
    if len(stations) < wanted:
        many = "one station does" if len(stations) == 1 else f"{len(stations)} stations do"
        cautions.append(
            f"{many} not show whether the water is mixed; read at {wanted} or more, top and bottom.".capitalize()
        )
    return used, cautions


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
    >>> round(tracer_volume(test, draws=Draws(), name="pond").band.best, -1)
    49470.0
    """
    rises, taken = _rises(test, draws, name)
    used, cautions = _mixing(test, rises[:, 0])
    rise = rises[used].mean(axis=0)
    reading_sd = float(rise[1:].std())
    share = float(rise[0]) / reading_sd
    if share < tables.row("vessel_tracer", rule="least rise over its error").value:
        raise Refused(
            f"The rise is only {share:.1f} times its own error: weigh in more salt, or use a finer meter.",
            code="rise-too-small",
            figures={"times": (share, "")},
        )
    if share < tables.row("vessel_tracer", rule="rise over its error").value:
        cautions.append(f"The rise is only {share:.0f} times its own error; more salt would make it surer.")
    if len(used) > 1:
        count = len(used)
        scatter2 = float(rises[used, 0].var(ddof=1))
        own2 = float((rises[used, 1:] - rise[1:]).var(axis=1).mean()) * count / (count - 1)
        beyond = np.sqrt(max(scatter2 - own2, 0.0) / count) / float(rise[0])
        rise = rise * np.exp(student(draws, f"{name} mixing", sd=float(beyond), freedom=len(used) - 1.0))
    salt = draws.of(f"{name} salt", test.salt_g) * draws.of(f"{name} purity", test.salt_purity)
    litres = diluted_volume_l(salt - taken, salt_purity=1.0, rise_g_per_l=rise)
    if test.top_up is not None:
        cautions.append("Water was added between the readings: the volume is the one after it, and less sure.")
    if test.signal is Signal.CONDUCTIVITY and test.bucket is None:
        cautions.append(
            "Without a bucket test in the pond's own water the conductivity of the salt is good to 3 % only."
        )
    return Volume(
        litres=litres,
        method=Method.TRACER,
        words=_words(test),
        readings=_readings(test, float(rise[0])),
        cautions=(*cautions, _CIRCULATING),
        equations=_equations(test),
        rows=_rows(test),
    )


def _equations(test: TracerTest) -> tuple[Callable[..., object], ...]:
    if test.bucket is not None:
        return fitted_line, diluted_volume_l
    if test.signal is Signal.CHLORIDE:
        return salt_from_chloride_g_per_l, diluted_volume_l
    if test.signal is Signal.CONDUCTIVITY:
        return salt_from_conductance_g_per_l, diluted_volume_l
    return (diluted_volume_l,)


def _rows(test: TracerTest) -> tuple[str, ...]:
    rules = ("drift between times", "not mixed", "least rise over its error")
    by_itself = test.signal is Signal.CONDUCTIVITY and test.bucket is None
    methods = ("conductivity meter", "conductivity of NaCl") if by_itself else ()
    return (*(f"vessel_tracer/{rule}" for rule in rules), *(f"vessel_methods/{method}" for method in methods))


def _words(test: TracerTest) -> str:
    if test.bucket is not None:
        slope = test.bucket.slope_ms_per_cm_per_g_per_l
        how = f", calibrated in {test.bucket.bucket_l.best:g} L of the same water ({slope:.3f} mS/cm per g/L)"
    else:
        how = " by the conductivity of sodium chloride" if test.signal is Signal.CONDUCTIVITY else ""
    return f"{test.salt_g.best:g} g of salt weighed in; {test.signal}{how}."


def _readings(test: TracerTest, rise: float) -> tuple[Reading, ...]:
    def told(samples: Sequence[Sample], when: str) -> list[Reading]:
        return [
            Reading(
                f"{when}, {sample.station}" + (f", {sample.hours:g} h" if sample.hours else ""), f"{sample.value:g}"
            )
            for sample in samples
        ]

    return (
        Reading("salt", f"{test.salt_g.best:g} g"),
        *told(test.before, "before"),
        *told(test.after, "after"),
        Reading("rise", f"{rise:.4f} g/L"),
    )
