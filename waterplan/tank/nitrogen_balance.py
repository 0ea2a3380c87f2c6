"""One step of ammonia, nitrite and nitrate through exchange, fish and filter."""

from typing import NamedTuple

import numpy as np

from waterplan.published import FloatArray
from waterplan.tank.biofilter import (
    FULL_RATE_ALKALINITY_MEQ_PER_L,
    FULL_RATE_DO_MG_PER_L,
    MG_O2_PER_MG_N_TO_NITRATE,
    MG_O2_PER_MG_N_TO_NITRITE,
)
from waterplan.tank.body import N_PER_NO2, N_PER_NO3, Body
from waterplan.tank.exponentials import decay, overlap, overlap_3, overlap_3_from_source, overlap_from_source, settling
from waterplan.tank.heat_balance import Span
from waterplan.tank.ledger import Quantity


class NitrogenStep(NamedTuple):
    """What became of the nitrogen in a step, and the closed form of ammonia and nitrite that the oxygen balance needs.

    Ammonia: M' = source - rate M, of which the filter takes slope M + fixed; nitrite the same, and fed by it.
    """

    filter_works: bool
    oxygen_share: FloatArray
    to_nitrite_mg: FloatArray
    to_nitrate_mg: FloatArray
    to_nitrite_late_mg: FloatArray
    excreted_mg: FloatArray
    digested_mg: FloatArray
    tan_end: FloatArray
    nitrite_end: FloatArray
    total_end: FloatArray
    total_out_mg: FloatArray
    tan_start: FloatArray
    tan_slope: FloatArray
    tan_fixed: FloatArray
    tan_source: FloatArray
    tan_rate: FloatArray
    nitrite_start: FloatArray
    nitrite_slope: FloatArray
    nitrite_fixed: FloatArray
    nitrite_source: FloatArray
    nitrite_rate: FloatArray

    @property
    def oxygen_mg(self) -> FloatArray:
        """Oxygen that nitrification used in the step [mg]."""
        return MG_O2_PER_MG_N_TO_NITRITE * self.to_nitrite_mg + MG_O2_PER_MG_N_TO_NITRATE * self.to_nitrate_mg

    def felt_by_decay(self, rate: FloatArray, hours: float) -> tuple[FloatArray, FloatArray]:
        """Integrals of e^(-rate (h - t)) times both steps of nitrification, over the step [mg N]."""
        x, y, z = self.tan_rate * hours, self.nitrite_rate * hours, rate * hours
        own = decay(z)[1]
        tan = hours * (self.tan_start * overlap(x, z) + hours * self.tan_source * overlap_from_source(x, z))
        through_tan = (
            hours**2
            * self.tan_slope
            * (self.tan_start * overlap_3(x, y, z) + hours * self.tan_source * overlap_3_from_source(x, y, z))
        )
        nitrite = through_tan + hours * (
            self.nitrite_start * overlap(y, z) + hours * self.nitrite_source * overlap_from_source(y, z)
        )
        return (
            self.tan_slope * tan + self.tan_fixed * hours * own,
            self.nitrite_slope * nitrite + self.nitrite_fixed * hours * own,
        )


def nitrogen_step(body: Body, span: Span, oxygen_share: FloatArray) -> NitrogenStep:
    """Works out the nitrogen of a step; nothing is changed in the body yet.

    `oxygen_share` is the part of its full rate that the filter keeps at the oxygen of this step.
    """
    h, out, works = span.hours, span.outflow_per_h, body.filter_counts()
    excreted = np.zeros(body.draws)
    for fish in body.fish.values():
        excreted = excreted + 0.5 * (fish.excretion_mg_n_per_h(span.start_c) + fish.excretion_mg_n_per_h(span.end_c))
    digested = np.zeros(body.draws) + body.digested_mg_n_per_h()
    tan_in, nitrite_in, nitrate_in = _inflow(body, span)
    tan_in = tan_in + excreted + digested

    tan_capacity, nitrite_capacity, tan_half, nitrite_half = _filter(body, span, oxygen_share)
    tan, nitrite = body.tan_mg, body.nitrite_mg
    tan_end, nitrite_end = tan, nitrite
    for last in (False, True) if works else (True,):
        slope, fixed = _chord(tan_capacity, tan_half, tan, tan_end)
        nitrite_slope, nitrite_fixed = _chord(nitrite_capacity, nitrite_half, nitrite, nitrite_end)
        rate, source = out + slope, tan_in - fixed
        nitrite_rate, nitrite_source = out + nitrite_slope, nitrite_in + fixed - nitrite_fixed
        x, y = rate * h, nitrite_rate * h
        (left, first), (nitrite_left, nitrite_first) = decay(x), decay(y)
        tan_end = left * tan + h * first * source
        nitrite_end = nitrite_left * nitrite + h * nitrite_first * nitrite_source
        if works and last:
            nitrite_end = nitrite_end + slope * h * (tan * overlap(x, y) + h * source * overlap_from_source(x, y))
        elif works:  # near enough to draw the line again
            nitrite_end = nitrite_end + slope * h * nitrite_first * 0.5 * (tan + tan_end)

    fed_on = _taken(source * h - (tan_end - tan), rate, slope)
    gain = nitrite_source * h + fed_on - (nitrite_end - nitrite)
    flowing = settling(out * h)
    total, total_in = tan + nitrite + body.nitrate_mg, tan_in + nitrite_in + nitrate_in
    return NitrogenStep(
        filter_works=works,
        oxygen_share=oxygen_share,
        to_nitrite_mg=fed_on + fixed * h,
        to_nitrate_mg=_taken(gain, nitrite_rate, nitrite_slope) + nitrite_fixed * h,
        to_nitrite_late_mg=flowing.left * tan - tan_end + h * flowing.first * tan_in,
        excreted_mg=excreted * h,
        digested_mg=digested * h,
        tan_end=tan_end,
        nitrite_end=nitrite_end,
        total_end=flowing.left * total + h * flowing.first * total_in,
        total_out_mg=out * h * (flowing.first * total + h * flowing.second * total_in),
        tan_start=tan,
        tan_slope=slope,
        tan_fixed=fixed,
        tan_source=source,
        tan_rate=rate,
        nitrite_start=nitrite,
        nitrite_slope=nitrite_slope,
        nitrite_fixed=nitrite_fixed,
        nitrite_source=nitrite_source,
        nitrite_rate=nitrite_rate,
    )


def enter_nitrogen(body: Body, span: Span, step: NitrogenStep) -> None:
    """Puts a step into the body and the ledger."""
    body.ledger.add(Quantity.NITROGEN, "fish", step.excreted_mg)
    body.ledger.add(Quantity.NITROGEN, "feed", step.digested_mg)
    if body.exchange:
        body.ledger.add(Quantity.NITROGEN, "exchange in", sum(_inflow(body, span)) * span.hours)
        body.ledger.add(Quantity.NITROGEN, "exchange out", -step.total_out_mg)
    body.tan_mg, body.nitrite_mg = step.tan_end, step.nitrite_end
    body.nitrate_mg = step.total_end - step.tan_end - step.nitrite_end


def _inflow(body: Body, span: Span) -> tuple[FloatArray, FloatArray, FloatArray]:
    if body.exchange is None:
        return (np.zeros(1),) * 3
    water = body.exchange.source
    return (
        span.flow_l_per_h * water.tan_with_chloramine_mg_n_per_l,
        span.flow_l_per_h * water.nitrite_mg_no2_per_l * N_PER_NO2,
        span.flow_l_per_h * water.nitrate_mg_no3_per_l * N_PER_NO3,
    )


def _filter(body: Body, span: Span, oxygen_share: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Capacities [mg N/h] and half amounts [mg N] of both steps of the filter now."""
    if body.filter is None or not body.filter_counts():
        zero, one = np.zeros(body.draws), np.ones(body.draws)
        return zero, zero, one, one
    alkalinity = body.alkalinity_meq / body.volume_l
    held_back = oxygen_share * np.clip(alkalinity / FULL_RATE_ALKALINITY_MEQ_PER_L, 0.0, 1.0)
    warmth = np.exp(np.log(body.filter.filter_theta) * (span.mean_c - 20.0))
    grown_tan, grown_nitrite = body.filter.grown(body.now_h + 0.5 * span.hours)
    capacity = np.asarray(body.filter.capacity_mg_n_per_h)
    nitrite_capacity = body.filter.nitrite_capacity_mg_n_per_h
    nitrite_capacity = capacity if nitrite_capacity is None else np.asarray(nitrite_capacity)
    return (
        held_back * warmth * grown_tan * capacity,
        held_back * warmth * grown_nitrite * nitrite_capacity,
        body.filter.half_tan_mg_n_per_l * span.volume_l,
        body.filter.half_nitrite_mg_n_per_l * span.volume_l,
    )


def _chord(capacity: FloatArray, half: FloatArray, start: FloatArray, end: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The straight line through F M/(K + M) at both ends of a step: its slope and its value at no ammonia."""
    both = capacity / ((half + start) * (half + end))
    return both * half, both * start * end


def _taken(lost: FloatArray, rate: FloatArray, slope: FloatArray) -> FloatArray:
    """The part of a loss at a rate that went by the filter's slope."""
    return slope * lost / np.where(rate > 0.0, rate, 1.0)


def filter_turnover_per_h(body: Body) -> float:
    """How often in an hour the filter could turn over the ammonia of the water, in the draw where it is briskest."""
    if body.filter is None or not body.filter_counts():
        return 0.0
    capacity, half = np.asarray(body.filter.capacity_mg_n_per_h), np.asarray(body.filter.half_tan_mg_n_per_l)
    return float(np.max(capacity / (half * body.volume_l)))


def filter_oxygen_share(do_mg_per_l: FloatArray) -> FloatArray:
    """The part of its full rate that nitrification keeps at an oxygen level."""
    return np.clip(do_mg_per_l / FULL_RATE_DO_MG_PER_L, 0.0, 1.0)
