"""One step of ammonia, nitrite and nitrate through fish and filter."""

from typing import NamedTuple

import numpy as np

from waterplan.published import FloatArray
from waterplan.tank.balance.exponentials import chain, decay, overlap, overlap_from_source
from waterplan.tank.balance.heat import Span
from waterplan.tank.balance.warmth import mean
from waterplan.tank.biofilter import (
    FULL_RATE_ALKALINITY_MEQ_PER_L,
    FULL_RATE_DO_MG_PER_L,
    MG_O2_PER_MG_N_TO_NITRATE,
    MG_O2_PER_MG_N_TO_NITRITE,
    Biofilter,
)
from waterplan.tank.body import Body


class FilterForm(NamedTuple):
    """The closed form of ammonia and nitrite under a filter, which the oxygen balance needs.

    Ammonia M' = source - M x/h, of which the filter takes slope M + fixed; nitrite the same with y, and fed by it.
    """

    x: FloatArray
    y: FloatArray
    first: FloatArray
    nitrite_first: FloatArray
    together: FloatArray
    from_source: FloatArray
    tan: FloatArray
    slope: FloatArray
    fixed: FloatArray
    source: FloatArray
    nitrite: FloatArray
    nitrite_slope: FloatArray
    nitrite_fixed: FloatArray
    nitrite_source: FloatArray

    def oxygen_felt_mg(self, z: FloatArray, first_z: FloatArray, h: float) -> FloatArray:
        """What is missing at the end of a step of the oxygen that nitrification took, after a decay of z in the step."""
        c = chain(self.x, self.y, z, self.first, self.nitrite_first, first_z, self.together, self.from_source)
        tan = self.tan * c.x_z + h * self.source * c.source_x_z
        nitrite = self.nitrite * c.y_z + h * self.nitrite_source * c.source_y_z
        nitrite += h * self.slope * (self.tan * c.x_y_z + h * self.source * c.source_x_y_z)
        return h * _oxygen(
            self.slope * tan + self.fixed * first_z, self.nitrite_slope * nitrite + self.nitrite_fixed * first_z
        )


class NitrogenStep(NamedTuple):
    """What became of the nitrogen in a step; `form` is None where no filter works."""

    form: FilterForm | None
    oxygen_share: FloatArray
    to_nitrite_mg: FloatArray
    oxygen_mg: FloatArray
    excreted_mg: FloatArray
    digested_mg: FloatArray
    tan_end: FloatArray
    nitrite_end: FloatArray


def nitrogen_step(body: Body, span: Span, oxygen_share: FloatArray) -> NitrogenStep:
    """Works out the nitrogen of a step; nothing is changed in the body yet.

    `oxygen_share` is the part of its full rate that the filter keeps at the oxygen of this step.
    """
    h = span.hours
    excreted = np.zeros(body.draws)
    for fish in body.fish.values():
        excreted += mean(span.start.excretion_mg_n_per_h(fish), span.end.excretion_mg_n_per_h(fish))
    digested = body.none + body.digested_mg_n_per_h()
    rest = {"oxygen_share": oxygen_share, "excreted_mg": excreted * h, "digested_mg": digested * h}
    without_filter = body.tan_mg + h * (excreted + digested)
    if body.filter_counts():
        return _filtered(body, span, excreted + digested, without_filter, rest)
    none = body.none
    return NitrogenStep(
        form=None, to_nitrite_mg=none, oxygen_mg=none, tan_end=without_filter, nitrite_end=body.nitrite_mg, **rest
    )


def _filtered(
    body: Body, span: Span, given: FloatArray, without_filter: FloatArray, rest: dict[str, FloatArray]
) -> NitrogenStep:
    """The step with a filter: ammonia M' = source - rate M, of which the filter takes slope M + fixed; nitrite the same."""
    h = span.hours
    tan_capacity, nitrite_capacity, tan_half, nitrite_half = _filter(body, body.filter, span, rest["oxygen_share"])
    tan, nitrite = body.tan_mg, body.nitrite_mg
    tan_end, nitrite_end, passes = tan, nitrite, [False, True]
    if body.nitrogen_rise is not None:  # where it was going is near enough to draw the line through the curve
        rise, nitrite_rise = body.nitrogen_rise
        tan_end, nitrite_end = np.maximum(tan + h * rise, 0.0), np.maximum(nitrite + h * nitrite_rise, 0.0)
        passes = [True]
    from_source = together = tan
    for last in passes:
        slope, fixed = _chord(tan_capacity, tan_half, tan, tan_end)
        nitrite_slope, nitrite_fixed = _chord(nitrite_capacity, nitrite_half, nitrite, nitrite_end)
        source, nitrite_source = given - fixed, fixed - nitrite_fixed
        x, y = slope * h, nitrite_slope * h
        (left, first), (nitrite_left, nitrite_first) = decay(x), decay(y)
        tan_end = left * tan + h * first * source
        nitrite_end = nitrite_left * nitrite + h * nitrite_first * nitrite_source
        if last:
            together = overlap(x, y)
            from_source = overlap_from_source(x, y, first, nitrite_first, together)
            nitrite_end += slope * h * (tan * together + h * source * from_source)
        else:  # near enough to draw the line again
            nitrite_end += slope * h * nitrite_first * 0.5 * (tan + tan_end)

    to_nitrite = without_filter - tan_end
    to_nitrate = to_nitrite - (nitrite_end - nitrite)
    return NitrogenStep(
        form=FilterForm(
            x=x,
            y=y,
            first=first,
            nitrite_first=nitrite_first,
            together=together,
            from_source=from_source,
            tan=tan,
            slope=slope,
            fixed=fixed,
            source=source,
            nitrite=nitrite,
            nitrite_slope=nitrite_slope,
            nitrite_fixed=nitrite_fixed,
            nitrite_source=nitrite_source,
        ),
        to_nitrite_mg=to_nitrite,
        oxygen_mg=_oxygen(to_nitrite, to_nitrate),
        tan_end=tan_end,
        nitrite_end=nitrite_end,
        **rest,
    )


def enter_nitrogen(body: Body, span: Span, step: NitrogenStep) -> None:
    """Puts a step into the body."""
    if step.form is not None:
        h = span.hours
        body.nitrogen_rise = (step.tan_end - body.tan_mg) / h, (step.nitrite_end - body.nitrite_mg) / h
    total = body.tan_mg + body.nitrite_mg + body.nitrate_mg + (step.excreted_mg + step.digested_mg)
    body.tan_mg, body.nitrite_mg = step.tan_end, step.nitrite_end
    # The rest of a difference of sums: rounding alone could bring it under nothing.
    body.nitrate_mg = np.maximum(total - step.tan_end - step.nitrite_end, 0.0)


def _filter(
    body: Body, filter_: Biofilter | None, span: Span, oxygen_share: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Capacities [mg N/h] and half amounts [mg N] of both steps of the filter now."""
    assert filter_ is not None  # it counts
    held_back = oxygen_share * _alkalinity_share(body)
    held_back *= np.exp(np.log(filter_.filter_theta) * (span.mean_c - 20.0))
    grown_tan, grown_nitrite = filter_.grown(body.now_h + 0.5 * span.hours)
    capacity = np.asarray(filter_.capacity_mg_n_per_h)
    nitrite_capacity = filter_.nitrite_capacity_mg_n_per_h
    nitrite_capacity = capacity if nitrite_capacity is None else np.asarray(nitrite_capacity)
    return (
        held_back * (grown_tan * capacity),
        held_back * (grown_nitrite * nitrite_capacity),
        filter_.half_tan_mg_n_per_l * span.volume_l,
        filter_.half_nitrite_mg_n_per_l * span.volume_l,
    )


def _oxygen(to_nitrite: FloatArray, to_nitrate: FloatArray) -> FloatArray:
    """Oxygen that both steps of nitrification use."""
    return MG_O2_PER_MG_N_TO_NITRITE * to_nitrite + MG_O2_PER_MG_N_TO_NITRATE * to_nitrate


def _chord(capacity: FloatArray, half: FloatArray, start: FloatArray, end: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The straight line through F M/(K + M) at both ends of a step: its slope and its value at no ammonia."""
    start, end = np.maximum(start, 0.0), np.maximum(end, 0.0)
    both = capacity / ((half + start) * (half + end))
    return both * half, both * start * end


def filter_bend(body: Body, hours: float) -> float:
    """How much of what the filter takes in a step leaves the straight line, in the draw where that is most: a share of it.

    Far under its half amount a filter takes in proportion to what there is, and far over it what it can: both of them, and
    whatever no longer moves, a step holds exactly however long it is.
    """
    if body.filter is None or not body.filter_counts():
        return 0.0
    half = np.asarray(body.filter.half_tan_mg_n_per_l) * body.volume_l
    now = np.maximum(body.tan_mg, 0.0)
    rise = None if body.nitrogen_rise is None else body.nitrogen_rise[0]
    end = np.zeros_like(now) if rise is None else np.maximum(now + hours * rise, 0.0)
    least, most = half + np.minimum(now, end), half + np.maximum(now, end)
    held_back = filter_oxygen_share(body.oxygen_mg / body.volume_l) * _alkalinity_share(body)
    steepest = held_back * np.asarray(body.filter.capacity_mg_n_per_h) * half / (least * least)
    return hours * float(np.max(steepest * np.abs(end - now) / most))


def _alkalinity_share(body: Body) -> FloatArray:
    """The part of its full rate that nitrification keeps at the alkalinity that is left."""
    alkalinity = body.alkalinity_meq / body.volume_l
    return np.minimum(np.maximum(alkalinity / FULL_RATE_ALKALINITY_MEQ_PER_L, 0.0), 1.0)


def filter_oxygen_share(do_mg_per_l: FloatArray) -> FloatArray:
    """The part of its full rate that nitrification keeps at an oxygen level."""
    return np.minimum(np.maximum(do_mg_per_l / FULL_RATE_DO_MG_PER_L, 0.0), 1.0)
