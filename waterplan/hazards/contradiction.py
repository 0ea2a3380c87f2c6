"""Two readings that cannot both be right: both values are named, and the worse counts."""

from collections.abc import Iterator

import numpy as np

from waterplan import tables
from waterplan.fish.size import LENGTH_WEIGHT_RELATIVE_SD, weight_of_species_kg
from waterplan.hazards.acidity import of_one_hour
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Rests, Subject, none_found, subjects
from waterplan.spread import band
from waterplan.stay.fish import FishAtHand
from waterplan.stay.inputs import ALTITUDE_OF_POND, by_altitude_kpa
from waterplan.stay.prepare import meet
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Origin
from waterplan.stay.state import Known
from waterplan.stay.waters import HOME
from waterplan.water.carbonate import co2_mg_per_l

_PER_CENT = 100.0
# A fish may be this many times as heavy, or as light, as the scatter about its species' relation.
_SCATTERS = 3.0


def hazards(subject: Subject) -> Iterator[Assessed]:
    """Each pair of readings that contradict each other; one judgement where none do."""
    looked_for = (_of_readings, _at_its_end, _carbon_dioxide, _oversaturated, _pressure, _sizes)
    found = [one for function in looked_for for one in function(subject)]
    yield from found or [none_found(subject, "contradiction", "readings-agree")]


def _open(subject: Subject, part: str, known: Known, second: str | None, *, fish: str = "") -> Assessed:
    """A judgement that stays open until one of the two is read again."""
    told = part.replace("-", " ")
    quantity, code = ("weight", "weight-against-length") if fish else (told, "contradicts")
    words = {"quantity": told, "first": known.text or "", "second": second or ""}
    return Assessed(
        quantity=quantity,
        rests=(Rests(water=fish or subject.water.place.id, quantity=quantity, known=known),),
        part=part,
        why=(Why(code=code, words=words),),
    )


def _of_readings(subject: Subject) -> Iterator[Assessed]:
    """Two readings of one quantity: oxygen in mg/L and in per cent, salt weighed and by conductivity, two kits."""
    for quantity, known in subject.water.as_found.known.items():
        if known.against is not None:
            yield _open(subject, quantity.value, known, known.against)


def _at_its_end(subject: Subject) -> Iterator[Assessed]:
    """A kit that shows the last colour of its card: the water may hold far more."""
    for quantity, known in subject.water.as_found.known.items():
        row = tables.find("instruments", instrument=known.measured_with or "", quantity=quantity.key, part="largest")
        if row is not None and known.draws[0] >= row.value:
            words = {"quantity": quantity.value, "first": known.text or ""}
            rests = (Rests(water=subject.water.place.id, quantity=quantity.value, known=known),)
            why = (Why(code="kit-at-its-end", words=words),)
            yield Assessed(quantity=quantity.value, rests=rests, part=f"{quantity.value}/end-of-the-scale", why=why)


def _carbon_dioxide(subject: Subject) -> Iterator[Assessed]:
    """Carbon dioxide against pH and alkalinity, where they are of one hour."""
    state = subject.water.as_found
    read, ph, alkalinity = (state.known[one] for one in (Q.CARBON_DIOXIDE, Q.PH, Q.ALKALINITY))
    if read.against is not None:  # it is said already
        return
    if {read.origin, ph.origin} == {Origin.MEASURED} and alkalinity.is_known and of_one_hour(subject):
        by_ph = co2_mg_per_l(ph.draws, alkalinity_mg_caco3_per_l=alkalinity.draws, water_temp_c=state[Q.TEMPERATURE])
        if not meet(read.draws, np.asarray(by_ph)):
            yield _open(subject, Q.CARBON_DIOXIDE.value, read, f"pH {ph.text or ''}")


def _oversaturated(subject: Subject) -> Iterator[Assessed]:
    """More oxygen than the air gives: a bloom in the sun, or a meter that reads too high; it may be either."""
    state = subject.water.as_found
    oxygen, row = state.known[Q.OXYGEN], water_limit("oxygen_saturation", "watch")
    share = _PER_CENT * oxygen.draws / state.saturation_mg_per_l
    if oxygen.origin is Origin.MEASURED and band(share).low > _PER_CENT * row.value:
        yield Assessed(
            quantity="oxygen saturation",
            which="read",
            values=share,
            unit="%",
            act_end=ActEnd.BEST,
            limit=row,
            limit_at=_PER_CENT * row.value,
            severity="caution",
            rests=(Rests(water=subject.water.place.id, quantity=Q.OXYGEN.value, known=oxygen),),
            part=Q.OXYGEN.value,
            why=(Why(code="oxygen-above-air", words={"first": oxygen.text or ""}),),
        )


def _pressure(subject: Subject) -> Iterator[Assessed]:
    """A barometer against the altitude: one that is reduced to sea level reads too high on a hill."""
    ground = subject.stay.ground
    pressure, altitude = ground.case.place.station_pressure, ground.case.place.altitude
    if subject.water.place.id != HOME or pressure is None or altitude is None:
        return
    read = ground.inputs.of_reading("station pressure", pressure)
    if not meet(read, by_altitude_kpa(ground.inputs.of_reading(ALTITUDE_OF_POND, altitude), ground.inputs)):
        known = Known(draws=ground.air_pressure_kpa, origin=Origin.MEASURED, text=pressure.text)
        yield _open(subject, "air-pressure", known, altitude.text)


def _sizes(subject: Subject) -> Iterator[Assessed]:
    """A weight against a length, for each fish in the first of its waters."""
    for fish in subject.fish:
        first = next((one for one in subjects(subject.stay) if fish in one.fish and one.stretch is not None), None)
        here = first is not None and first.water is subject.water and first.stretch is subject.stretch
        if here and _do_not_go_together(fish):
            yield _open(subject, f"weight-of-{fish.id}", fish.weight_kg, fish.length_cm.text, fish=fish.id)


def _do_not_go_together(fish: FishAtHand) -> bool:
    weight, length = fish.weight_kg, fish.length_cm
    if {weight.origin, length.origin} != {Origin.MEASURED}:
        return False
    by_length = np.asarray(weight_of_species_kg(length.draws, species=fish.species.name))
    beyond = (1.0 + LENGTH_WEIGHT_RELATIVE_SD) ** _SCATTERS
    return not meet(weight.draws, np.concatenate([by_length[:1], by_length[1:] * beyond, by_length[1:] / beyond]))
