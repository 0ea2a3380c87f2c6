"""The fish of a case: each with its own weight, species and state, and what it takes from the water and gives to it."""

from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.case.model import Case, OtherFish, Patient
from waterplan.fish import excretion, size, uptake
from waterplan.fish.species import Species, species
from waterplan.published import FloatArray
from waterplan.stay.clock import HOURS, Clock
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import FishState
from waterplan.stay.state import Known
from waterplan.tank.fish_events import handled_shares
from waterplan.tank.occupants import Fish as TankFish

# An equation's own slope with temperature is taken over this span about the water's temperature.
_SPAN_C, _MIDDLE_C = 5.0, 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FishAtHand:
    """One fish, or several alike, in draws: `weight_kg` and `length_cm` are those of one of them.

    `fasted` where it is known not to have eaten lately: where nobody knows, it is taken to give more ammonia.
    """

    id: str
    name: str
    species: Species
    count: int
    patient: bool
    weight_kg: Known
    length_cm: Known
    fasted: bool

    @property
    def together_kg(self) -> FloatArray:
        """The weight of all of them [kg]."""
        return self.count * self.weight_kg.draws

    def breathing(self, inputs: Inputs, temp_c: FloatArray) -> TankFish:
        """What they take and give at rest at a temperature: the uptake of one by its own weight, times their number.

        Parameters
        ----------
        inputs : Inputs
            The draws of the equation's scatter, of the ammonia given off and of its Q10.
        temp_c : array, shape (draws + 1,)
            Temperature of the water [°C]; beyond that of a living pond it is taken at its end.

        Returns
        -------
        Fish
            The fish as the tank's engine takes it: kilograms together, rates for each kilogram and hour, their Q10.

        Notes
        -----
        The uptake is that of the species' model (`fish.uptake.UPTAKE_MODELS`); its Q10 is the model's own slope over 5 °C
        towards 20 °C. Ammonia is the row of `excretion` at 20 °C by `fish.excretion`.
        """
        model, alive = self.species.uptake_model, tables.glossary()["water_temp_c"].pond
        temp_c = np.clip(temp_c, *alive)  # beyond it no fish breathes, and the water's temperature is judged as it is
        takes = uptake.UPTAKE_MODELS[model]
        here = np.asarray(takes(self.weight_kg.draws, water_temp_c=temp_c))
        span = np.where(temp_c < _MIDDLE_C, _SPAN_C, -_SPAN_C)
        ratio = np.asarray(takes(self.weight_kg.draws, water_temp_c=temp_c + span)) / here
        fed = tables.row("excretion", state="fasted" if self.fasted else "lately fed")
        base = inputs.of_row("ammonia given off", fed)
        q10 = inputs.of_row("ammonia Q10", tables.row("temperature_effect", process="ammonia excretion Q10"))
        gives = excretion.excretion_at_temperature_mg_n_per_kg_h(base, water_temp_c=temp_c, q10=q10)
        # The scatter about the equation is one column for every fish that it is used on.
        scatter = inputs.of_row(f"oxygen uptake by {model}", tables.row("oxygen_uptake", model=model))
        return TankFish(
            name=self.id,
            biomass_kg=self.together_kg,
            uptake_mg_per_kg_h=here * scatter * stress(inputs, FishState.AT_REST),
            excretion_mg_n_per_kg_h=np.asarray(gives),
            rates_at_temp_c=temp_c,
            uptake_q10=ratio ** (10.0 / span),
            excretion_q10=np.asarray(q10),
        )


def stress(inputs: Inputs, state: FishState) -> FloatArray:
    """How many times its equation's uptake a fish takes in a state, of each draw: the table `stress_factors`."""
    return _times(inputs, "at rest" if state is FishState.AT_REST else "handled")


def more_than_at_rest(inputs: Inputs, state: FishState) -> FloatArray:
    """How many times its uptake at rest a fish takes in a state, of each draw; never less than once."""
    return np.maximum(stress(inputs, state) / stress(inputs, FishState.AT_REST), 1.0)


def handled_for_h(inputs: Inputs) -> FloatArray:
    """How long a fish that was handled takes more in full [h]; it takes a third of it more for twice as long."""
    row = tables.row("timetable", what="handled for")
    return inputs.of_row("handled for", row) * HOURS[row.unit]


def on_the_way(inputs: Inputs, hours: float) -> FloatArray:
    """How many times its uptake at rest a fish takes in the mean of so many hours in a closed bag.

    Parameters
    ----------
    inputs : Inputs
        The draws of both factors, and of how long a fish that was handled takes more.
    hours : float
        Hours since the bag was closed [h].

    Returns
    -------
    array, shape (draws + 1,)
        The factor.

    Notes
    -----
    It was handled before; once that has worn off, or where it is more, it takes what a fish takes that is carried.
    """
    handled = more_than_at_rest(inputs, FishState.HANDLED)
    carried = np.maximum(_times(inputs, "carried") / stress(inputs, FishState.AT_REST), 1.0)
    if hours <= 0.0:
        return np.maximum(handled, carried)
    in_full, by_a_third = handled_shares(handled_for_h(inputs), 0.0, hours)
    worn = np.maximum(1.0 + (handled - 1.0) / 3.0, carried)
    return in_full * np.maximum(handled, carried) + by_a_third * worn + (1.0 - in_full - by_a_third) * carried


def _times(inputs: Inputs, words: str) -> FloatArray:
    return inputs.of_row(f"stress {words}", tables.row("stress_factors", state=words))


def others(case: Case) -> list[OtherFish]:
    """The other fish of the home pond, without those of which nothing tells the size."""
    return [one for one in case.other_fish if one.count > 0 and (one.weight or one.length)]


def fish_of(case: Case, inputs: Inputs, clock: Clock) -> dict[str, FishAtHand]:
    """Every fish of a case by its path: the patients, then the others of the home pond."""
    everyone: list[Patient | OtherFish] = [*case.patients, *others(case)]
    return {one.path: _at_hand(one, inputs, clock) for one in everyone}


def _at_hand(one: Patient | OtherFish, inputs: Inputs, clock: Clock) -> FishAtHand:
    weight, length = _size(one, inputs)
    inputs.weighed(weight.draws)
    patient = one if isinstance(one, Patient) else None
    return FishAtHand(
        id=one.path,
        name=patient.name if patient else "",
        species=species(one.species),
        count=one.count,
        patient=patient is not None,
        weight_kg=weight,
        length_cm=length,
        fasted=patient is not None and _fasted(patient, clock),
    )


def _fasted(patient: Patient, clock: Clock) -> bool:
    fed_h = None if patient.last_fed is None else clock.hours(patient.last_fed)
    return fed_h is not None and -fed_h >= tables.row("timetable", what="lately fed").value * 24.0


def _size(fish: Patient | OtherFish, inputs: Inputs) -> tuple[Known, Known]:
    """Weight [kg] and length [cm] of one fish: read, or one from the other by its species' length-weight relation."""
    heavy, long = f"{fish.path}/weight", f"{fish.path}/length"
    scatter = inputs.of(f"{long} to weight", size.about_its_weight(fish.species))
    if fish.length is not None:
        length = Known.of_reading(long, fish.length, inputs)
    elif fish.weight is not None:
        weight_kg = inputs.of_reading(heavy, fish.weight)
        length = Known.made(size.length_of_species_cm(weight_kg, species=fish.species) / np.cbrt(scatter), heavy)
    else:
        row = tables.row("defensible_ranges", kind="fish", quantity="length")
        length = Known.not_measured(inputs.over_range(long, row), heavy, row)
    if fish.weight is not None:
        return Known.of_reading(heavy, fish.weight, inputs), length
    return length.worked_out(size.weight_of_species_kg(length.draws, species=fish.species) * scatter, long), length
