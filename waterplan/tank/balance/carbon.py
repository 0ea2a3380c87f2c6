"""One step of alkalinity and inorganic carbon, and the pH and carbon dioxide they end at."""

import numpy as np

from waterplan.published import FloatArray
from waterplan.tank.aeration import co2_transfer_l_per_h
from waterplan.tank.balance import carbonate
from waterplan.tank.balance.exponentials import settling
from waterplan.tank.balance.heat import Span
from waterplan.tank.balance.nitrogen import NitrogenStep
from waterplan.tank.balance.oxygen import Way
from waterplan.tank.balance.warmth import mean
from waterplan.tank.biofilter import MEQ_PER_MG_N_TO_NITRITE
from waterplan.tank.body import Body

MG_N_PER_MEQ = 14.007
# The end of a step is worked out with one step of Newton's method from where the pH was going, and again until the pH
# moves by less than this; the method squares its error, which is then 1e-4 or less.
_MOST_PASSES, _PH_TOLERANCE = 30, 1e-2


def advance_carbon(
    body: Body, span: Span, ways: tuple[Way, ...], nitrogen: NitrogenStep, breathed_mmol_per_h: FloatArray
) -> None:
    """Moves alkalinity, inorganic carbon and pH on by a step; ammonia and nitrogen are already those of its end."""
    # Fish give off NH3, which takes up an acid; turning it to nitrite gives back two.
    given = (nitrogen.excreted_mg + nitrogen.digested_mg) / MG_N_PER_MEQ
    alkalinity_end = body.alkalinity_meq + given - MEQ_PER_MG_N_TO_NITRITE * nitrogen.to_nitrite_mg

    solubility = mean(span.start.co2_solubility_mmol_per_l_kpa, span.end.co2_solubility_mmol_per_l_kpa)
    stripped = np.zeros(body.draws)
    for way in ways:
        stripped += co2_transfer_l_per_h(way.l_per_h, way.gas_l_per_h, solubility, span.mean_c)
    dry_kpa = body.room.air_pressure_kpa - mean(span.start.vapour_kpa, span.end.vapour_kpa)
    from_air = stripped * solubility * dry_kpa * (np.asarray(body.room.co2_in_air_ppm) * 1e-6)
    end_mmol, carbonate = _aired(body, span, stripped, breathed_mmol_per_h + from_air, alkalinity_end)
    body.ph_drift_per_h = (carbonate.ph - body.carbonate.ph) / span.hours
    body.alkalinity_meq, body.carbon_mmol, body.carbonate = alkalinity_end, end_mmol, carbonate


def _aired(
    body: Body, span: Span, stripped: FloatArray, supply: FloatArray, alkalinity_end_meq: FloatArray
) -> tuple[FloatArray, carbonate.Carbonate]:
    """Inorganic carbon and pH at the end of the step, so much water being freed of carbon dioxide in an hour.

    Carbon dioxide is written as slope x carbon + rest; what is left of its curve goes into the rest, a straight line.
    """
    h, now, inorganic, at_end = span.hours, body.carbonate, body.carbon_mmol, span.end.constants
    per_litre = 1.0 / span.volume_l
    tan, alkalinity = body.tan_mg * (per_litre / MG_N_PER_MEQ), alkalinity_end_meq * per_litre
    slope = now.slope * per_litre
    rest = now.dioxide - slope * inorganic
    s = settling(stripped * slope * h)
    first, per_change = supply - stripped * rest, h * s.second * stripped
    steady = (s.left * inorganic + h * (s.first * first) + per_change * rest) * per_litre
    pull = per_change * per_litre
    found = carbonate.shares(now.ph if body.ph_drift_per_h is None else now.ph + body.ph_drift_per_h * h, at_end)
    for _ in range(_MOST_PASSES):
        below = 1.0 + pull * (found.dioxide - now.slope)
        moved = found.ph_step(
            steady / below, alkalinity_meq_per_l=alkalinity, tan_mmol_per_l=tan, dioxide_pull=pull / below
        )
        found = carbonate.shares(found.ph + moved, at_end)
        if max(moved.max(), -moved.min()) < _PH_TOLERANCE:
            break
    end_per_litre = steady / (1.0 + pull * (found.dioxide - now.slope))
    return end_per_litre * span.volume_l, found.carbonate(end_per_litre, tan_mmol_per_l=tan)
