"""Volume from filling and letting out: a bucket and a watch, a water meter, a fall of the level."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from waterplan.errors import CaseError, ImpossibleInput, Mistake
from waterplan.published import Numbers, published
from waterplan.spread import Draws, Measured
from waterplan.vessel.shapes import LITRES_PER_M3, prism_volume_l
from waterplan.vessel.volume import Method, Reading, Volume, mean_and_error, relative_sd, student

_UNSTEADY = 0.10


@published(source="waterplan", locator="litres over time", status="derived")
def flow_l_per_min(bucket_l: Numbers, *, bucket_s: Numbers) -> Numbers:
    """Flow of a hose from the time it takes to fill a bucket.

    Parameters
    ----------
    bucket_l : float or array
        Water caught [L].
    bucket_s : float or array
        Time it took [s].

    Returns
    -------
    float or array
        Flow [L/min].

    Raises
    ------
    ImpossibleInput
        The water is negative, or the time is under a tenth of a second.

    Notes
    -----
    60 L / s.

    Examples
    --------
    >>> flow_l_per_min(10.0, bucket_s=40.0)
    15.0
    """
    return 60.0 * bucket_l / bucket_s


@published(source="waterplan", locator="flow times time", status="derived")
def timed_volume_l(flow_l_per_min: Numbers, *, fill_min: Numbers) -> Numbers:
    """Water that a steady flow brings in a time.

    Parameters
    ----------
    flow_l_per_min : float or array
        Flow [L/min].
    fill_min : float or array
        Time [min].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A number is negative or not finite.

    Notes
    -----
    Exact where the flow is steady; mains pressure is not.

    Examples
    --------
    >>> timed_volume_l(15.0, fill_min=120.0)
    1800.0
    """
    return flow_l_per_min * fill_min


@published(source="waterplan", locator="volume over height", status="derived")
def area_from_level_m2(drawn_l: Numbers, *, level_fall_m: Numbers) -> Numbers:
    """Area of the water's surface from the fall of its level when some litres are let out.

    Parameters
    ----------
    drawn_l : float or array
        Water let out [L].
    level_fall_m : float or array
        Fall of the level [m].

    Returns
    -------
    float or array
        Mean area of the surface over the fall [m2].

    Raises
    ------
    ImpossibleInput
        A number is negative or not finite, or the level did not fall.

    Notes
    -----
    Exact for the mean area between the two levels: with leaning walls it is smaller than the area at the top.

    Examples
    --------
    >>> area_from_level_m2(200.0, level_fall_m=0.01)
    20.0
    """
    if not np.all(np.asarray(level_fall_m) > 0):
        raise ImpossibleInput("level_fall_m", float(np.min(level_fall_m)), "above 0", unit="m")
    return drawn_l / LITRES_PER_M3 / level_fall_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Catch:
    """One filling of the bucket: litres caught, and the seconds it took."""

    litres: float
    seconds: float


def timed_fill(catches: Sequence[Catch], *, fill_min: Measured, draws: Draws, name: str) -> Volume:
    """Volume of water from the time a hose took to fill the vessel.

    Parameters
    ----------
    catches : sequence of Catch
        Fillings of the bucket, best three: at the start, in the middle, at the end.
    fill_min : Measured
        Time the filling took [min].
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

    Returns
    -------
    Volume
        Litres, with the errors of the flow from its own repeats (or from `vessel_methods` where there is one), of the
        bucket's mark, and of the time.

    Raises
    ------
    CaseError
        A catch without water or time, or none at all: with its row.
    ImpossibleInput
        The time is not above 0.

    Notes
    -----
    Mean flow times time; the error of the mean has n - 1 degrees of freedom.

    Examples
    --------
    >>> catches = [Catch(litres=10.0, seconds=40.0), Catch(litres=10.0, seconds=42.0), Catch(litres=10.0, seconds=41.0)]
    >>> round(timed_fill(catches, fill_min=Measured.exact(120.0), draws=Draws(), name="tub").band.best)
    1757
    """
    mistakes = [
        Mistake(
            where=f"row {number}",
            read=f"{catch.litres:g} L in {catch.seconds:g} s",
            would_do="give litres and seconds above 0",
        )
        for number, catch in enumerate(catches, start=1)
        if not (np.isfinite([catch.litres, catch.seconds]).all() and catch.litres > 0 and catch.seconds > 0)
    ]
    if not catches:
        mistakes.append(Mistake(where="rows", read="no catches", would_do="fill a bucket and take the time"))
    if mistakes:
        raise CaseError("bucket and watch", mistakes)
    if not fill_min.best > 0:
        raise ImpossibleInput("fill_min", fill_min.best, "above 0", unit="min")
    flows = [float(flow_l_per_min(catch.litres, bucket_s=catch.seconds)) for catch in catches]
    mean, error = mean_and_error(flows)
    if len(flows) > 1:
        flow = mean * np.exp(student(draws, f"{name} flow", sd=error / mean, freedom=len(flows) - 1.0))
    else:
        flow = draws.of(f"{name} flow", Measured.within_factor(mean, relative_sd("bucket filled once")))
    flow = flow * draws.of(f"{name} bucket", Measured.within_factor(1.0, relative_sd("bucket's mark")))
    litres = timed_volume_l(flow, fill_min=draws.of(f"{name} fill_min", fill_min))
    cautions = []
    if len(flows) == 1:
        cautions.append("The flow was measured once: fill the bucket at the start, in the middle and at the end.")
    elif (max(flows) - min(flows)) / mean > _UNSTEADY:
        cautions.append(f"The flow changed by {(max(flows) - min(flows)) / mean:.0%} while filling.")
    return Volume(
        litres=litres,
        method=Method.TIMED,
        words=f"{mean:.1f} L/min, {len(flows)} times measured, for {fill_min.best:g} min.",
        readings=(
            *(Reading("bucket", f"{catch.litres:g} L in {catch.seconds:g} s") for catch in catches),
            Reading("filling", f"{fill_min.best:g} min"),
        ),
        cautions=tuple(cautions),
        equations=(flow_l_per_min, timed_volume_l),
        rows=("vessel_methods/bucket's mark", *(("vessel_methods/bucket filled once",) if len(flows) == 1 else ())),
    )


def metered_fill(meter_before_l: float, *, meter_after_l: float, draws: Draws, name: str) -> Volume:
    """Volume of water from a totalling meter in the filling pipe.

    Parameters
    ----------
    meter_before_l, meter_after_l : float
        What the meter read before and after [L].
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

    Returns
    -------
    Volume
        Litres, with the meter's error from `vessel_methods`.

    Raises
    ------
    CaseError
        The meter did not go forward.

    Notes
    -----
    Difference of the readings.

    Examples
    --------
    >>> round(metered_fill(1200.0, meter_after_l=6200.0, draws=Draws(), name="pond").band.best)
    5000
    """
    if not (np.isfinite([meter_before_l, meter_after_l]).all() and 0 <= meter_before_l < meter_after_l):
        read = f"{meter_after_l:g} after {meter_before_l:g}"
        would_do = "give the reading before and a larger one after, in litres"
        raise CaseError("water meter", [Mistake(where="reading after", read=read, would_do=would_do)])
    error = Measured.within_factor(meter_after_l - meter_before_l, relative_sd("water meter"))
    return Volume(
        litres=draws.of(f"{name} water meter", error),
        method=Method.METER,
        words="Difference of two readings of a water meter.",
        readings=(Reading("meter before", f"{meter_before_l:g} L"), Reading("meter after", f"{meter_after_l:g} L")),
        rows=("vessel_methods/water meter",),
    )


def draw_down(drawn_l: Measured, *, level_fall_m: Measured, mean_depth_m: Measured, draws: Draws, name: str) -> Volume:
    """Volume of water from the fall of the level when known litres are let out, and the mean depth.

    Parameters
    ----------
    drawn_l : Measured
        Water let out, metered or timed [L].
    level_fall_m : Measured
        Fall of the level [m].
    mean_depth_m : Measured
        Mean depth before, from soundings [m].
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

    Returns
    -------
    Volume
        Litres before the water was let out.

    Raises
    ------
    ImpossibleInput
        A number is not above 0 in some draw.

    Notes
    -----
    Area from the fall, times the mean depth. Where walls lean, the area lower down is smaller and the volume low.

    Examples
    --------
    >>> found = draw_down(
    ...     Measured.exact(200.0), level_fall_m=Measured.exact(0.01), mean_depth_m=Measured.exact(1.0), draws=Draws(),
    ...     name="pond",
    ... )
    >>> round(found.band.best)
    20000
    """
    area = area_from_level_m2(
        draws.of(f"{name} drawn_l", drawn_l), level_fall_m=draws.of(f"{name} level_fall_m", level_fall_m)
    )
    litres = LITRES_PER_M3 * area * draws.of(f"{name} mean_depth_m", mean_depth_m)
    return Volume(
        litres=litres,
        method=Method.METER,
        words="Area of the surface from the fall of the level, times the mean depth.",
        readings=(
            Reading("let out", f"{drawn_l.best:g} L"),
            Reading("fall of the level", f"{level_fall_m.best:g} m"),
            Reading("mean depth", f"{mean_depth_m.best:g} m"),
        ),
        cautions=("With leaning walls the surface shrinks as it falls: let out as little as can be read well.",),
        equations=(area_from_level_m2, prism_volume_l),
    )
