"""Two readings that cannot both be right: both values are named, neither is chosen, each is in half of the draws."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from waterplan.fish.size import LENGTH_WEIGHT_RELATIVE_SD, weight_of_species_kg
from waterplan.hazards.limits import water_limit
from waterplan.hazards.record import Side, Why
from waterplan.hazards.subject import Assessed, Rests, Subject, subjects
from waterplan.spread import band
from waterplan.stay.fish import FishAtHand
from waterplan.stay.prepare import meet
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin
from waterplan.stay.state import Known, State
from waterplan.stay.waters import HOME
from waterplan.stay.whole import by_altitude_kpa
from waterplan.water.carbonate import co2_mg_per_l

_PER_CENT = 100.0
# A fish may be this many times as heavy, or as light, as the scatter about its species' relation.
_SCATTERS = 3.0


def hazards(subject: Subject) -> Iterator[Assessed]:
    """Each pair of readings that contradict each other; one judgement where none do."""
    found = [*_of_readings(subject), *_gases(subject), *_pressure(subject), *_sizes(subject)]
    yield from found
    if not found:
        yield Assessed(
            quantity="contradiction",
            passed=np.ones(subject.state.size, dtype=bool),
            why=(Why(code="readings-agree"),),
        )


def _open(subject: Subject, part: str, *, first: str, second: str, known: Known, code: str = "contradicts") -> Assessed:
    """A judgement that stays open until one of the two is read again."""
    quantity = part.replace("-", " ")
    return Assessed(
        quantity=quantity,
        rests=(Rests(water=subject.water.place.id, quantity=quantity, known=known),),
        part=part,
        why=(Why(code=code, words={"quantity": quantity, "first": first, "second": second}),),
    )


def _of_readings(subject: Subject) -> Iterator[Assessed]:
    """Two readings of one quantity: oxygen in mg/L and in per cent, salt weighed and by conductivity, two kits."""
    for quantity, known in subject.water.as_found.known.items():
        if known.against is not None:
            yield _open(subject, quantity.value, first=known.text or "", second=known.against, known=known)


def _gases(subject: Subject) -> Iterator[Assessed]:
    """Carbon dioxide against pH and alkalinity; oxygen against what the air gives."""
    state = subject.water.as_found
    carbon, ph = state.known[Q.CARBON_DIOXIDE], state.known[Q.PH]
    if carbon.origin is Origin.MEASURED and ph.origin is Origin.MEASURED and state.known[Q.ALKALINITY].is_known:
        by_ph = np.asarray(
            co2_mg_per_l(ph.draws, alkalinity_mg_caco3_per_l=state[Q.ALKALINITY], water_temp_c=state[Q.TEMPERATURE])
        )
        if not meet(carbon.draws, by_ph):
            yield _open(
                subject, Q.CARBON_DIOXIDE.value, first=carbon.text or "", second=f"pH {ph.text or ''}", known=carbon
            )
    yield from _oversaturated(subject, state)


def _oversaturated(subject: Subject, state: State) -> Iterator[Assessed]:
    """More oxygen than the air gives: a bloom in the sun, or a meter that reads too high; it may be either."""
    oxygen = state.known[Q.OXYGEN]
    if oxygen.origin is not Origin.MEASURED:
        return
    row = water_limit("oxygen_saturation", "watch")
    share = _PER_CENT * oxygen.draws / state.saturation_mg_per_l
    if band(share).low <= _PER_CENT * row.value:
        return
    yield Assessed(
        quantity="oxygen saturation",
        which="read",
        values=share,
        unit="%",
        side=Side.AT_MOST,
        limit=_PER_CENT * row.value,
        limit_row=row,
        severity="caution",
        rests=(Rests(water=subject.water.place.id, quantity=Q.OXYGEN.value, known=oxygen),),
        part=Q.OXYGEN.value,
        why=(Why(code="oxygen-above-air", words={"first": oxygen.text or ""}),),
    )


def _pressure(subject: Subject) -> Iterator[Assessed]:
    """A barometer against the altitude: one that is reduced to sea level reads too high on a hill."""
    place, ground = subject.stay.ground.case.place, subject.stay.ground
    if subject.water.place.id != HOME or place.station_pressure is None or place.altitude is None:
        return
    read = ground.inputs.of_reading("station pressure", place.station_pressure)
    if meet(read, by_altitude_kpa(ground.case, ground.inputs)):
        return
    known = Known(draws=ground.air_pressure_kpa, origin=Origin.MEASURED, text=place.station_pressure.text)
    yield _open(
        subject, "air-pressure", first=place.station_pressure.text or "", second=place.altitude.text or "", known=known
    )


def _sizes(subject: Subject) -> Iterator[Assessed]:
    """A weight against a length, for each fish in the first of its waters."""
    for fish in subject.fish:
        first = next((one for one in subjects(subject.stay) if fish in one.fish and one.stretch is not None), None)
        here = first is not None and first.water is subject.water and first.stretch is subject.stretch
        if here and _do_not_go_together(fish):
            made = _open(
                subject,
                f"weight-of-{fish.id}",
                first=fish.weight_kg.text or "",
                second=fish.length_cm.text or "",
                known=fish.weight_kg,
                code="weight-against-length",
            )
            yield replace(
                made, quantity="weight", rests=(Rests(water=fish.id, quantity="weight", known=fish.weight_kg),)
            )


def _do_not_go_together(fish: FishAtHand) -> bool:
    weight, length = fish.weight_kg, fish.length_cm
    if weight.origin is not Origin.MEASURED or length.origin is not Origin.MEASURED:
        return False
    by_length = np.asarray(weight_of_species_kg(length.draws, species=fish.species.name))
    beyond = (1.0 + LENGTH_WEIGHT_RELATIVE_SD) ** _SCATTERS
    return not meet(weight.draws, np.concatenate([by_length[:1], by_length[1:] * beyond, by_length[1:] / beyond]))
