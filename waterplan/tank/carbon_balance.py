"""One step of alkalinity and inorganic carbon, and the pH and carbon dioxide they end at."""

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
# The end of a step is worked out again, each time with one step of Newton's method from where the pH was going, until
# the pH moves by less than this; the method squares its error, which is then 1e-8.
_MOST_PASSES, _PH_TOLERANCE = 30, 1e-4


def advance_carbon(
    body: Body, span: Span, ways: tuple[Way, ...], nitrogen: NitrogenStep, breathed_mmol_per_h: FloatArray
) -> None:
    """Moves alkalinity, inorganic carbon and pH on by a step; ammonia and nitrogen are already those of its end."""
    h, out, volume = span.hours, span.outflow_per_h, span.volume_l
    alkalinity, inorganic = body.alkalinity_meq, body.carbon_mmol
    alkalinity_in = carbon_in = np.zeros(body.draws)
    if body.exchange:
        source = body.exchange.source
        alkalinity_in = span.flow_l_per_h * source.alkalinity_mg_caco3_per_l * MEQ_PER_MG_CACO3
        carbon_in = span.flow_l_per_h * carbon.carbon_mmol_per_l(source)
    flowing = settling(out * h)
    # Fish give off NH3, which takes up an acid; turning it to nitrite gives back two.
    given = (nitrogen.excreted_mg + nitrogen.digested_mg) / MG_N_PER_MEQ
    into = alkalinity_in + given / h
    alkalinity_end = (
        flowing.left * alkalinity + h * flowing.first * into - MEQ_PER_MG_N_TO_NITRITE * nitrogen.to_nitrite_late_mg
    )

    at_end = span.end.constants
    solubility = mean(span.start.co2_solubility_mmol_per_l_kpa, span.end.co2_solubility_mmol_per_l_kpa)
    stripped = np.zeros(body.draws)
    for way in ways:
        stripped = stripped + co2_transfer_l_per_h(way.l_per_h, way.gas_l_per_h, solubility, span.mean_c)
    dry_kpa = body.room.air_pressure_kpa - mean(span.start.vapour_kpa, span.end.vapour_kpa)
    from_air = stripped * solubility * dry_kpa * (np.asarray(body.room.co2_in_air_ppm) * 1e-6)
    supply = carbon_in + breathed_mmol_per_h + from_air

    # Carbon dioxide is written as slope x carbon + rest; what is left of its curve goes into the rest, a straight line.
    tan, per_litre = body.tan_mg / MG_N_PER_MEQ / volume, 1.0 / volume
    now = body.carbonate
    rest = now.dioxide - now.slope * inorganic * per_litre
    s = settling((out + stripped * now.slope * per_litre) * h)
    first = supply - stripped * rest
    unforced = s.left * inorganic + h * (s.first * first)
    per_change = h * s.second * stripped
    alkalinity_then = alkalinity_end * per_litre
    found = carbon.shares(now.ph if body.ph_drift_per_h is None else now.ph + body.ph_drift_per_h * h, at_end)
    pull, steady = per_change * per_litre, (unforced + per_change * rest) * per_litre
    for _ in range(_MOST_PASSES):
        below = 1.0 + pull * (found.dioxide - now.slope)
        end_per_litre = steady / below
        moved = found.ph_step(
            end_per_litre, alkalinity_meq_per_l=alkalinity_then, tan_mmol_per_l=tan, dioxide_pull=pull / below
        )
        rest_end = (found.dioxide - now.slope) * end_per_litre
        found = carbon.shares(found.ph + moved, at_end)
        if max(moved.max(), -moved.min()) < _PH_TOLERANCE:
            break
    end = end_per_litre * volume
    rest_mean, change = 0.5 * (rest + rest_end), stripped * (rest - rest_end)
    then = found.carbonate(end_per_litre, tan_mmol_per_l=tan)
    integral = h * (s.first * inorganic + h * (s.second * first + s.third * change))

    ledger, acid = body.ledger, MEQ_PER_MG_N_TO_NITRITE * nitrogen.to_nitrite_mg
    ledger.add(Quantity.ALKALINITY, "ammonia given off", given)
    ledger.add(Quantity.ALKALINITY, "filter", -acid)
    ledger.add(Quantity.CARBON, "breathed out", breathed_mmol_per_h * h)
    to_air = stripped * (now.slope * integral * per_litre + rest_mean * h)
    ledger.add(Quantity.CARBON, "to and from the air", from_air * h - to_air)
    if body.exchange:
        ledger.add(Quantity.ALKALINITY, "exchange in", alkalinity_in * h)
        ledger.add(Quantity.ALKALINITY, "exchange out", alkalinity_end - alkalinity - into * h + acid)
        ledger.add(Quantity.CARBON, "exchange in", carbon_in * h)
        ledger.add(Quantity.CARBON, "exchange out", -out * integral)
    body.alkalinity_meq, body.carbon_mmol = alkalinity_end, end
    body.carbonate, body.ph_drift_per_h = then, (then.ph - now.ph) / h


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
