"""Volume from soundings at any places inside a traced shore."""

from collections.abc import Callable

import numpy as np

from waterplan import tables
from waterplan.spread import COVERAGE, Draws, Measured
from waterplan.vessel.outline import polygon_area_m2
from waterplan.vessel.shapes import LITRES_PER_M3
from waterplan.vessel.survey import Survey, mean_depth_m
from waterplan.vessel.volume import Method, Reading, Volume, student


def sounded_volume(
    survey: Survey,
    *,
    draws: Draws,
    name: str,
    common_error_m: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> Volume:
    """Volume of water from a traced shore and soundings inside it.

    Parameters
    ----------
    survey : Survey
        Shore and soundings.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.
    common_error_m : float, optional
        One standard deviation of what all depths have in common, such as a soft floor [m]; from `vessel_survey` where
        it is not given.
    progress : callable, optional
        Told the share that is done, from 0 to 1, as the sum goes on.

    Returns
    -------
    Volume
        Litres, with the errors of the floor between the soundings, of the shore, and of the depths in common.

    Raises
    ------
    ImpossibleInput
        The mean depth is not above 0.

    Notes
    -----
    Area times mean depth. The floor between the soundings is that of `mean_depth_m`, with n - 2 degrees of freedom.

    Examples
    --------
    >>> from waterplan.vessel.outline import Outline
    >>> rows = [(1, 1, 1.0), (3, 1, 1.0), (5, 1, 1.0), (1, 3, 1.0), (3, 3, 1.0), (5, 3, 1.0)]
    >>> shore = Outline.traced([(0, 0), (6, 0), (6, 4), (0, 4)])
    >>> round(sounded_volume(Survey.taken(shore, rows, shore_depth_m=1.0), draws=Draws(), name="pond").band.best)
    24000
    """
    outline, count = survey.outline, len(survey.soundings)
    if common_error_m is None:
        common_error_m = tables.row("vessel_survey", rule="depths in common").value
    mean, error = mean_depth_m(survey, progress=progress)
    advised = int(tables.row("vessel_survey", rule="advised soundings").value)
    floor = mean * np.exp(student(draws, f"{name} floor", sd=error / mean, freedom=count - 2.0))
    area = outline.area_m2 * draws.of(
        f"{name} shore", Measured.within_factor(1.0, outline.area_error_m2 / outline.area_m2)
    )
    common = draws.of(f"{name} depths", Measured.within_factor(1.0, common_error_m / mean))
    litres = LITRES_PER_M3 * area * floor * common
    plain = LITRES_PER_M3 * outline.area_m2 * survey.triangulated_m
    cautions = []
    if count < advised:
        cautions.append(f"{count} soundings: {advised} or more, evenly spread, are advised where anything is dosed.")
    return Volume(
        litres=litres,
        method=Method.SOUNDINGS,
        words=(
            f"Area of the traced shore times the mean depth of a smooth floor through {count} soundings; straight lines "
            f"between neighbouring soundings would give {plain:,.0f} L, which is too little in a bowl."
        ),
        readings=(
            Reading("points along the shore", str(len(outline.points))),
            Reading("area", f"{outline.area_m2:.2f} m2"),
            Reading("soundings", str(count)),
            Reading("deepest sounding", f"{survey.soundings[:, 2].max():.2f} m"),
            Reading("mean depth", f"{mean:.3f} ± {COVERAGE * error:.3f} m"),
        ),
        cautions=tuple(cautions),
        equations=(polygon_area_m2, mean_depth_m),
        rows=("vessel_survey/depths in common", "vessel_survey/depth reading", "vessel_survey/traced point"),
    )
