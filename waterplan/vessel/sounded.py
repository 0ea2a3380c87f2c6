"""Volume from soundings at any places inside a traced shore."""

from collections.abc import Callable

import numpy as np

from waterplan import tables
from waterplan.spread import Draws, Measured
from waterplan.vessel.outline import polygon_area_m2
from waterplan.vessel.shapes import LITRES_PER_M3
from waterplan.vessel.survey import Survey, mean_depth_m
from waterplan.vessel.volume import Volume, student


def sounded_volume(
    survey: Survey, *, draws: Draws, name: str, progress: Callable[[float], None] | None = None
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
    progress : callable, optional
        Told the share that is done, from 0 to 1, as the sum goes on.

    Returns
    -------
    Volume
        Litres and surface, with the errors of the floor between the soundings, of the shore, and of the depths in common.

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
    >>> round(sounded_volume(Survey.taken(shore, rows, shore_depth_m=1.0), draws=Draws(), name="pond").litres[0])
    24000
    """
    mean, error = mean_depth_m(survey, progress=progress)
    freedom = len(survey.soundings) - 2.0
    floor = mean * np.exp(student(draws, f"{name} floor", sd=error / mean, freedom=freedom))
    common_error_m = tables.row("vessel_survey", rule="depths in common").value
    common = draws.of(f"{name} depths", Measured.within_factor(1.0, common_error_m / mean))
    area = survey.outline.area
    return Volume(
        litres=LITRES_PER_M3 * draws.of(f"{name} shore", area) * floor * common,
        area_m2=draws.of(f"{name} surface", area),
        equations=(polygon_area_m2, mean_depth_m),
        rows=("vessel_survey/depths in common", "vessel_survey/depth reading", "vessel_survey/traced point"),
    )
