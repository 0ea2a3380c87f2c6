"""One step of alkalinity and inorganic carbon, and the pH and carbon dioxide they end at."""

from typing import NamedTuple

import numpy as np

from waterplan.published import FloatArray
from waterplan.tank import carbon
from waterplan.tank.biofilter import MEQ_PER_MG_N_TO_NITRITE
from waterplan.tank.body import MEQ_PER_MG_CACO3, Body
from waterplan.tank.exponentials import settling
from waterplan.tank.heat_balance import Span
from waterplan.tank.ledger import Quantity
from waterplan.tank.nitrogen_balance import NitrogenStep
from waterplan.tank.oxygen_balance import Way
from waterplan.tank.warmth import mean

MG_N_PER_MEQ = 14.007
# Transfer of carbon dioxide through a film against that of oxygen: (1.92/2.10)^(2/3), from the diffusion coefficients.
CO2_FILM_RATIO = 0.94
# The end of a step is worked out with one step of Newton's method from where the pH was going, and again until the pH
# moves by less than this; the method squares its error, which is then 1e-5 or less.
_MOST_PASSES, _PH_TOLERANCE = 30, 3e-3


class _Airing(NamedTuple):
    """What airing did to the carbon in a step."""

    end_mmol: FloatArray
    integral_mmol_h: FloatArray
    to_air_mmol: FloatArray
    carbonate: carbon.Carbonate


def advance_carbon(
    body: Body, span: Span, ways: tuple[Way, ...], nitrogen: NitrogenStep, breathed_mmol_per_h: FloatArray
) -> None:
    """Moves alkalinity, inorganic carbon and pH on by a step; ammonia and nitrogen are already those of its end."""
    h, out = span.hours, span.outflow_per_h
    alkalinity, ledger = body.alkalinity_meq, body.ledger
    alkalinity_in = carbon_in = body.none
    if body.exchange:
        source = body.exchange.source
        alkalinity_in = span.flow_l_per_h * source.alkalinity_mg_caco3_per_l * MEQ_PER_MG_CACO3
        carbon_in = span.flow_l_per_h * carbon.carbon_mmol_per_l(source)
    # Fish give off NH3, which takes up an acid; turning it to nitrite gives back two.
    given = (nitrogen.excreted_mg + nitrogen.digested_mg) / MG_N_PER_MEQ
    into = alkalinity_in + given / h
    alkalinity_end = span.flowing.left * alkalinity + h * span.flowing.first * into
    acid = body.none
    if nitrogen.form is not None:
        alkalinity_end -= MEQ_PER_MG_N_TO_NITRITE * nitrogen.to_nitrite_late_mg
        acid = MEQ_PER_MG_N_TO_NITRITE * nitrogen.to_nitrite_mg
        ledger.add(Quantity.ALKALINITY, "filter", -acid)

    solubility = mean(span.start.co2_solubility_mmol_per_l_kpa, span.end.co2_solubility_mmol_per_l_kpa)
    stripped = np.zeros(body.draws)
    for way in ways:
        stripped += co2_transfer_l_per_h(way.l_per_h, way.gas_l_per_h, solubility, span.mean_c)
    dry_kpa = body.room.air_pressure_kpa - mean(span.start.vapour_kpa, span.end.vapour_kpa)
    from_air = stripped * solubility * dry_kpa * (np.asarray(body.room.co2_in_air_ppm) * 1e-6)
    aired = _aired(body, span, stripped, carbon_in + breathed_mmol_per_h + from_air, alkalinity_end)

    ledger.add(Quantity.ALKALINITY, "ammonia given off", given)
    ledger.add(Quantity.CARBON, "breathed out", breathed_mmol_per_h * h)
    ledger.add(Quantity.CARBON, "to and from the air", from_air * h - aired.to_air_mmol)
    if body.exchange:
        ledger.add(Quantity.ALKALINITY, "exchange in", alkalinity_in * h)
        ledger.add(Quantity.ALKALINITY, "exchange out", alkalinity_end - alkalinity - into * h + acid)
        ledger.add(Quantity.CARBON, "exchange in", carbon_in * h)
        ledger.add(Quantity.CARBON, "exchange out", -out * aired.integral_mmol_h)
    body.ph_drift_per_h = (aired.carbonate.ph - body.carbonate.ph) / h
    body.alkalinity_meq, body.carbon_mmol, body.carbonate = alkalinity_end, aired.end_mmol, aired.carbonate


def _aired(body: Body, span: Span, stripped: FloatArray, supply: FloatArray, alkalinity_end_meq: FloatArray) -> _Airing:
    """Inorganic carbon over the step, so much water being freed of carbon dioxide in an hour.

    Carbon dioxide is written as slope x carbon + rest; what is left of its curve goes into the rest, a straight line.
    """
    h, now, inorganic, at_end = span.hours, body.carbonate, body.carbon_mmol, span.end.constants
    per_litre = 1.0 / span.volume_l
    tan, alkalinity = body.tan_mg * (per_litre / MG_N_PER_MEQ), alkalinity_end_meq * per_litre
    slope = now.slope * per_litre
    rest = now.dioxide - slope * inorganic
    s = settling((span.outflow_per_h + stripped * slope) * h)
    first, per_change = supply - stripped * rest, h * s.second * stripped
    steady = (s.left * inorganic + h * (s.first * first) + per_change * rest) * per_litre
    pull = per_change * per_litre
    found = carbon.shares(now.ph if body.ph_drift_per_h is None else now.ph + body.ph_drift_per_h * h, at_end)
    for _ in range(_MOST_PASSES):
        below = 1.0 + pull * (found.dioxide - now.slope)
        moved = found.ph_step(
            steady / below, alkalinity_meq_per_l=alkalinity, tan_mmol_per_l=tan, dioxide_pull=pull / below
        )
        found = carbon.shares(found.ph + moved, at_end)
        if max(moved.max(), -moved.min()) < _PH_TOLERANCE:
            break
    bent = found.dioxide - now.slope
    end_per_litre = steady / (1.0 + pull * bent)
    rest_end = bent * end_per_litre
    change = stripped * (rest - rest_end)
    integral = h * (s.first * inorganic + h * (s.second * first + s.third * change))
    return _Airing(
        end_mmol=end_per_litre * span.volume_l,
        integral_mmol_h=integral,
        to_air_mmol=stripped * (slope * integral + (0.5 * h) * (rest + rest_end)),
        carbonate=found.carbonate(end_per_litre, tan_mmol_per_l=tan),
    )


def co2_transfer_l_per_h(
    oxygen_l_per_h: FloatArray, gas_l_per_h: FloatArray | None, solubility: FloatArray, temp_c: FloatArray
) -> FloatArray:
    """Water freed of carbon dioxide in an hour; bubbles carry off no more than they can hold."""
    film = CO2_FILM_RATIO * oxygen_l_per_h
    if gas_l_per_h is None:
        return film
    # What a litre of gas holds against a litre of water, 1/(K0 R T), R = 8.314 L kPa/mol/K.
    carried = gas_l_per_h * 1000.0 / (solubility * 8.314462 * (temp_c + 273.15))
    return np.asarray(carried * -np.expm1(-film / np.maximum(carried, 1e-300)))
