"""Volume from filling and letting out: a bucket and a watch, a water meter, a fall of the level."""

import math
from collections.abc import Sequence

import numpy as np

from waterplan.errors import CaseError, Mistake
from waterplan.published import Numbers, published
from waterplan.spread import Draws, Measured
from waterplan.vessel.limits import WrongRows, require_above_0
from waterplan.vessel.shapes import LITRES_PER_M3, prism_volume_l
from waterplan.vessel.volume import Volume, relative_sd, student


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
    require_above_0("level_fall_m", level_fall_m, unit="m")
    return drawn_l / LITRES_PER_M3 / level_fall_m


def timed_fill(seconds: Sequence[float], *, bucket_l: float, fill_min: Measured, draws: Draws, name: str) -> Volume:
    """Volume of water from the time a hose took to fill the vessel.

    Parameters
    ----------
    seconds : sequence of float
        Times in which the hose filled the bucket, best three: at the start, in the middle, at the end [s].
    bucket_l : float
        Water in the bucket [L].
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
        A bucket without water or time, or none at all: with its row.
    ImpossibleInput
        The time is not above 0.

    Notes
    -----
    Mean flow times time; the error of the mean has n - 1 degrees of freedom (JCGM 100:2008, equations 3 to 5).

    Examples
    --------
    >>> found = timed_fill([40.0, 42.0, 41.0], bucket_l=10.0, fill_min=Measured.exact(120.0), draws=Draws(), name="tub")
    >>> round(found.litres[0])
    1757
    """
    wrong = WrongRows("bucket and watch")
    for number, one in enumerate(seconds, start=1):
        if not (one > 0 and bucket_l > 0):
            wrong.add(number, f"{bucket_l:g} L in {one:g} s", "give litres and seconds above 0")
    if not seconds:
        wrong.add("rows", "no catches", "fill a bucket and take the time")
    wrong.tell()
    require_above_0("fill_min", fill_min.best, unit="min")
    flows = np.array([flow_l_per_min(bucket_l, bucket_s=one) for one in seconds])
    mean, rows = float(flows.mean()), ["vessel_methods/bucket's mark"]
    if len(flows) > 1:
        error = float(flows.std(ddof=1)) / math.sqrt(len(flows))
        flow = mean * np.exp(student(draws, f"{name} flow", sd=error / mean, freedom=len(flows) - 1.0))
    else:
        flow = draws.of(f"{name} flow", Measured.within_factor(mean, relative_sd("bucket filled once")))
        rows.append("vessel_methods/bucket filled once")
    flow = flow * draws.of(f"{name} bucket", Measured.within_factor(1.0, relative_sd("bucket's mark")))
    litres = np.asarray(timed_volume_l(flow, fill_min=draws.of(f"{name} fill_min", fill_min)))
    return Volume(litres=litres, equations=(flow_l_per_min, timed_volume_l), rows=tuple(rows))


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
    >>> round(metered_fill(1200.0, meter_after_l=6200.0, draws=Draws(), name="pond").litres[0])
    5000
    """
    if not 0 <= meter_before_l < meter_after_l:
        would_do = "give the reading before and a larger one after, in litres"
        mistake = Mistake(where="reading after", read=f"{meter_after_l:g} after {meter_before_l:g}", would_do=would_do)
        raise CaseError("water meter", [mistake])
    error = Measured.within_factor(meter_after_l - meter_before_l, relative_sd("water meter"))
    return Volume(litres=draws.of(f"{name} water meter", error), rows=("vessel_methods/water meter",))


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
        Litres before the water was let out, and the area of the surface.

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
    >>> round(found.litres[0])
    20000
    """
    drawn, fall = draws.of(f"{name} drawn_l", drawn_l), draws.of(f"{name} level_fall_m", level_fall_m)
    area = np.asarray(area_from_level_m2(drawn, level_fall_m=fall))
    litres = LITRES_PER_M3 * area * draws.of(f"{name} mean_depth_m", mean_depth_m)
    return Volume(litres=litres, area_m2=area, equations=(area_from_level_m2, prism_volume_l))
