"""The fish of a case: each with its own weight, species and state, and what it takes from the water and gives to it."""

from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.case.model import Case, OtherFish, Patient
from waterplan.case.values import Reading
from waterplan.fish import excretion, size, uptake
from waterplan.fish.species import Species, species
from waterplan.published import FloatArray
from waterplan.spread import Measured
from waterplan.stay.clock import Clock
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import FishState, Origin
from waterplan.stay.state import Known
from waterplan.tank.occupants import Fish as TankFish

# An equation's own slope with temperature is taken over this span about the water's temperature.
_SPAN_C, _MIDDLE_C = 5.0, 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FishAtHand:
    """One fish, or several alike, in draws: `weight_kg` and `length_cm` are those of one of them."""

    id: str
    name: str
    species: Species
    count: int
    patient: bool
    weight_kg: Known
    length_cm: Known
    fed_lately: bool | None

    @property
    def together_kg(self) -> FloatArray:
        """The weight of all of them."""
        return self.count * self.weight_kg.draws

    def breathing(self, inputs: Inputs, temp_c: FloatArray) -> TankFish:
        """What they take and give at rest at a temperature: the uptake of one by its own weight, times their number."""
        takes = uptake.UPTAKE_MODELS[self.species.uptake_model]
        here = np.asarray(takes(self.weight_kg.draws, water_temp_c=temp_c))
        span = np.where(temp_c < _MIDDLE_C, _SPAN_C, -_SPAN_C)
        ratio = np.asarray(takes(self.weight_kg.draws, water_temp_c=temp_c + span)) / here
        base = inputs.of_row("ammonia given off", tables.row("excretion", state=self.fed_state))
        q10 = inputs.of_row("ammonia Q10", tables.row("temperature_effect", process="ammonia excretion Q10"))
        gives = excretion.excretion_at_temperature_mg_n_per_kg_h(base, water_temp_c=temp_c, q10=q10)
        return TankFish(
            name=self.id,
            biomass_kg=self.together_kg,
            uptake_mg_per_kg_h=here * self.uptake_scatter(inputs) * stress(inputs, FishState.AT_REST),
            excretion_mg_n_per_kg_h=np.asarray(gives),
            rates_at_temp_c=temp_c,
            uptake_q10=ratio ** (10.0 / span),
            excretion_q10=np.asarray(q10),
        )

    def uptake_scatter(self, inputs: Inputs) -> FloatArray:
        """The scatter about the species' equation: one column for every fish that it is used on."""
        model = self.species.uptake_model
        return inputs.of_row(f"oxygen uptake by {model}", tables.row("oxygen_uptake", model=model))

    @property
    def fed_state(self) -> str:
        """Whether it ate lately, as the table of ammonia has it: where nobody knows, the one that gives more."""
        return "fasted" if self.fed_lately is False else "lately fed"


_STRESS = {
    FishState.AT_REST: "at rest",
    FishState.HANDLED: "handled",
    FishState.ANAESTHETISED: "handled",
    FishState.RECOVERING: "handled",
}


def stress(inputs: Inputs, state: FishState) -> FloatArray:
    """How many times its equation's uptake a fish takes in a state."""
    words = _STRESS[state]
    return inputs.of_row(f"stress {words}", tables.row("stress_factors", state=words))


def fish_of(case: Case, inputs: Inputs, clock: Clock) -> dict[str, FishAtHand]:
    """Every fish of a case by its path: the patients, then the others of the home pond."""
    found = [_patient(one, number, inputs, clock) for number, one in enumerate(case.patients, 1)]
    found += [
        _other(one, number, inputs)
        for number, one in enumerate(case.other_fish, 1)
        if one.count > 0 and (one.weight or one.length)
    ]
    return {one.id: one for one in found}


def _patient(patient: Patient, number: int, inputs: Inputs, clock: Clock) -> FishAtHand:
    path = f"patient-{number}"
    weight, length = _size(path, patient.species, patient.weight, patient.length, inputs)
    return FishAtHand(
        id=path,
        name=patient.name,
        species=species(patient.species),
        count=patient.count,
        patient=True,
        weight_kg=weight,
        length_cm=length,
        fed_lately=_fed_lately(patient, clock),
    )


def _other(sort: OtherFish, number: int, inputs: Inputs) -> FishAtHand:
    path = f"other-{number}"
    weight, length = _size(path, sort.species, sort.weight, sort.length, inputs)
    return FishAtHand(
        id=path,
        name="",
        species=species(sort.species),
        count=sort.count,
        patient=False,
        weight_kg=weight,
        length_cm=length,
        fed_lately=True,
    )


def _fed_lately(patient: Patient, clock: Clock) -> bool | None:
    if patient.last_fed is None or clock.zero is None:
        return None
    since = -(clock.hours(patient.last_fed) or 0.0)
    return since < tables.row("timetable", what="lately fed").value * 24.0


def _size(path: str, kind: str, weight: Reading | None, length: Reading | None, inputs: Inputs) -> tuple[Known, Known]:
    """Weight [kg] and length [cm] of one fish: read, or one from the other by its species' length-weight relation."""
    scatter = inputs.of(f"{path}/length to weight", Measured.within_factor(1.0, size.LENGTH_WEIGHT_RELATIVE_SD))
    if length is not None:
        long = _read(f"{path}/length", length, inputs)
    elif weight is not None:
        drawn = inputs.of_reading(f"{path}/weight", weight)
        guess = np.asarray(size.length_of_species_cm(drawn, species=kind)) / np.cbrt(scatter)
        long = Known(draws=guess, origin=Origin.WORKED_OUT, came_from=f"{path}/weight")
    else:
        row = tables.row("defensible_ranges", kind="fish", quantity="length")
        long = Known(
            draws=inputs.over_range(f"{path}/length", row),
            origin=Origin.ASSUMED,
            came_from=row.id,
            why="not measured",
            assumed=frozenset({f"{path}/weight"}),
        )
    if weight is not None:
        return _read(f"{path}/weight", weight, inputs), long
    heavy = np.asarray(size.weight_of_species_kg(long.draws, species=kind)) * scatter
    return long.worked_out(heavy, f"{path}/length"), long


def _read(path: str, reading: Reading, inputs: Inputs) -> Known:
    return Known.of_reading(inputs.of_reading(path, reading), reading)
