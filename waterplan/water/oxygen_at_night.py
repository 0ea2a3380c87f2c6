"""Oxygen of a pond before dawn, from two readings of the same night."""

import numpy as np

from waterplan.published import Numbers, published


@published(source="madenjian_1987", locator="part I, abstract: log-linear and linear extrapolation", status="published")
def oxygen_at_dawn_mg_per_l(
    do_mg_per_l: Numbers, *, later_do_mg_per_l: Numbers, apart_h: Numbers, ahead_h: Numbers, straight: Numbers = 0.0
) -> Numbers:
    """Dissolved oxygen at dawn, as it goes on falling from the first reading of a night through the second.

    Parameters
    ----------
    do_mg_per_l : float or array
        Dissolved oxygen [mg/L].
    later_do_mg_per_l : float or array
        Dissolved oxygen later in the same night [mg/L].
    apart_h : float or array
        Time between the two readings [h].
    ahead_h : float or array
        Time from the second reading until dawn [h].
    straight : float or array
        Share of the way from the curve to the straight line [fraction].

    Returns
    -------
    float or array
        Dissolved oxygen [mg/L].

    Raises
    ------
    ImpossibleInput
        A figure is not finite or not possible.

    Notes
    -----
    Respiration slows with the oxygen that is left: log(DO) falls by the same in each hour, which came closer to the dawn of
    the ponds of the source than the straight line did; the straight line is the lower of the two. Oxygen that did not fall
    between the readings is taken to stay. Checked by hand arithmetic.

    Examples
    --------
    >>> round(oxygen_at_dawn_mg_per_l(8.0, later_do_mg_per_l=6.0, apart_h=3.0, ahead_h=6.0), 3)
    3.375
    """
    later = np.minimum(later_do_mg_per_l, do_mg_per_l)
    kept = later / np.maximum(do_mg_per_l, 1e-9)
    curve = later_do_mg_per_l * kept ** (ahead_h / np.asarray(apart_h))
    line = np.maximum(later_do_mg_per_l - (do_mg_per_l - later) / np.asarray(apart_h) * ahead_h, 0.0)
    found = curve + straight * (line - curve)
    return float(found) if np.ndim(found) == 0 else np.asarray(found)
