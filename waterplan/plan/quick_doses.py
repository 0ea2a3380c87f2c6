"""One dose, injection, salt or iodine without a case: values in, the record of a plan's action out."""

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from typing import TypeVar

import numpy as np
from pydantic import ValidationError

from waterplan import tables
from waterplan.actions.doses.draft import Draft
from waterplan.actions.doses.injection import Weighed, one_injection, weight_from
from waterplan.actions.doses.orders import work_out
from waterplan.actions.doses.task import Around, Task
from waterplan.actions.doses.water import DoseWater, substance_things
from waterplan.actions.record import Kind, Who
from waterplan.case.bottle import parse_amount
from waterplan.case.model import Dose, Injection, Patient
from waterplan.case.part import Part, faults_of
from waterplan.case.treatments import KNOWN_THINGS
from waterplan.case.values import BadValue, Reading
from waterplan.case.waters import WATER_KEYS, MainsWater
from waterplan.dose import substances
from waterplan.dose.injection import WeightFrom
from waterplan.dose.substances import Kind as Sum
from waterplan.fish import size
from waterplan.fish.species import species
from waterplan.hazards.conflict import fish_things
from waterplan.plan.quick import Values
from waterplan.plan.record import Plan
from waterplan.stay import prepare
from waterplan.stay.equipment import room_co2_ppm
from waterplan.stay.figures import Figures
from waterplan.stay.record import Moment, Origin, WaterKind
from waterplan.stay.state import Known
from waterplan.stay.volume.found import volume_as_stated
from waterplan.stay.waters import Place
from waterplan.water.atmosphere import air_pressure_kpa

TUB, FISH = "tub", "patient-1"
DOSE_KEYS, INJECTION_KEYS = Dose.known_keys(), Injection.known_keys()
_LONG = {"level": "prolonged"}
Made = TypeVar("Made", bound=Part)


def quick_dose(texts: Mapping[str, str], *, already: Sequence[str] = (), today: datetime | None = None) -> Plan:
    """What to weigh or draw up of a substance for a use, what the water is then like, and what must not meet.

    Parameters
    ----------
    texts : mapping of str to str
        The keys of a dose (`into` are its litres), those of a water, and `species`, `eaten`, `wound`, `disinfectant`.
        A `strength` in grams or millilitres is what has gone in.
    already : sequence of str
        What is there already, by the names of the table of conflicts.
    today : datetime, optional
        The day that the age of a bottle counts to; now without it.

    Returns
    -------
    Plan
        One action with its figures; refused, it says why.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values, texts = Values(), _by_its_unit(texts)
    dose = _part(Dose, DOSE_KEYS, texts, values)
    water = _part(MainsWater, (*WATER_KEYS, "disinfectant"), texts, values)
    patient = _part(Patient, ("species", "eaten", "wound"), texts, values)
    litres = dose.volume if dose is not None else None
    if dose is not None and litres is None and "into" not in {one.where for one in values.mistakes}:
        values.wrong("into", repr(texts.get("into", "").strip()), "write its litres, such as '40 L, marked tub'")
    there = _things(already, values)
    values.stop_if_wrong()
    assert dose is not None
    assert litres is not None
    assert water is not None
    assert patient is not None
    tub = _tub(values, dose, litres, water, patient, there)
    chlorine = water.readings.get("chlorine")
    task = Task(
        dose=dose,
        water=tub,
        draft=Draft(
            kind=Kind.DOSE,
            moment=Moment.PREPARE,
            water=None,
            who=Who.NURSE,
            path=f"{TUB}/{dose.substance}",
            figures=values.figures,
            substance=dose.substance,
        ),
        around=Around(
            inputs=values.inputs,
            day=today or datetime.now(tz=UTC),
            eaten=patient.eaten,
            wound_said=patient.wound is not None or not tub.species,
            disinfectant=str(water.disinfectant or ""),
            chlorine=None if chlorine is None else values.inputs.of_reading(f"{TUB}/chlorine", chlorine),
            co2_in_air_ppm=room_co2_ppm(values.inputs),
            aired_share=values.inputs.value(tables.row("hospital_demands", demand="start of saturation")),
        ),
    )
    return values.plan("dose", actions=[work_out(task).action])


def quick_salt(
    *, exposure: str, strength: str, volume: str, species_name: str, present: str = "0 ± 0 g/L", again: str = ""
) -> Plan:
    """Salt for a level held for days (`level`), a bath or a dip.

    Parameters
    ----------
    exposure : str
        `level`, `bath` or `dip`.
    strength, volume, present : str
        Values with their units; `present` is what the water holds already.
    species_name : str
        One of the species known.
    again : str
        The strength once more, where it is above the usual ceiling.

    Returns
    -------
    Plan
        One action with its figures.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    return quick_dose(
        {
            "substance": "salt",
            "use": _LONG.get(exposure, exposure),
            "into": volume,
            "strength": strength,
            "again": again,
            "species": species_name,
            "salinity": present,
        }
    )


def quick_iodine(*, use: str, volume: str, stock: str = "") -> Plan:
    """Povidone-iodine for a use that is not a living fish; for a fish it is refused.

    Parameters
    ----------
    use : str
        What it is for, as in the table `iodine_uses`, or `fish`.
    volume : str
        The finished solution, such as `2 L`.
    stock : str
        The bottle, such as `10 % PVP-I`; the usual one without it.

    Returns
    -------
    Plan
        One action with its figures.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    return quick_dose({"substance": "povidone-iodine", "use": use, "into": volume, "bottle": stock})


def quick_injection(texts: Mapping[str, str], *, today: datetime | None = None) -> Plan:
    """What to draw up of a drug by body weight, with its dilution and its sites.

    Parameters
    ----------
    texts : mapping of str to str
        The keys of an injection, and `species`, `weight`, `length`, `eaten`.
    today : datetime, optional
        The day that the date on the vial counts to; now without it.

    Returns
    -------
    Plan
        One action with its figures; refused, it says why.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = Values()
    injection = _part(Injection, INJECTION_KEYS, texts, values)
    patient = _part(Patient, ("species", "weight", "length", "eaten"), texts, values)
    if patient is not None and patient.weight is None and patient.length is None:
        values.need("weight", None, "give a weight or a length, such as '0.62 kg, scales'")
    values.stop_if_wrong()
    assert injection is not None
    assert patient is not None
    values.fish, day = patient.species, today or datetime.now(tz=UTC)
    made = one_injection(injection, _weighed(values, patient), figures=values.figures, day=day)
    return values.plan("injection", actions=[made.action])


# -- the few arrays that they need --------------------------------------------------------------------------------------


def _tub(
    values: Values, dose: Dose, litres: Reading, water: MainsWater, patient: Patient, there: Iterable[str]
) -> DoseWater:
    """A tub of so many litres, with the water that was described, and anything in its range where it was not."""
    inputs = values.inputs
    found = volume_as_stated(inputs, Figures(), water=TUB, reading=litres, made_up=True)
    state = prepare.base_state(
        Place(id=TUB, name="", kind=WaterKind.HOME),
        {key: [reading] for key, reading in water.readings.items()},
        new_water=water,
        litres=found.litres,
        inputs=inputs,
        air_pressure_kpa=np.full(inputs.size, float(air_pressure_kpa(0.0))),
    )
    kind, held = substances.kind_of(dose.substance, use=dose.use), substance_things()
    fish = (species(patient.species),) if kind.with_fish or kind is Sum.DECHLORINATE else ()
    about = fish_things(fish, [patient]) if fish else ()
    values.fish = patient.species if fish else ""
    # Nobody knows how much there is of a substance that is there.
    nobody = Known(draws=np.zeros(state.size), origin=Origin.ASSUMED, why="level not known", assumed=frozenset({TUB}))
    return DoseWater(
        id=TUB,
        litres=found.litres.draws,
        guessed=found.guessed,
        state=replace(state, contents={one: nobody for one in there if one in held}),
        species=fish,
        things=frozenset((*about, *(one for one in there if one not in held))),
    )


def _things(already: Sequence[str], values: Values) -> list[str]:
    """What is there already, by the names of the table of conflicts."""
    found = [text.strip().replace("_", " ") for text in already if text.strip()]
    for name in found:
        if name not in KNOWN_THINGS:
            values.wrong("there", repr(name), "use one of " + ", ".join(KNOWN_THINGS))
    return [name.replace(" ", "_") for name in found]


def _weighed(values: Values, patient: Patient) -> Weighed:
    weight, length, inputs = patient.weight, patient.length, values.inputs
    if weight is not None:
        drawn, found = inputs.of_reading(f"{FISH}/weight", weight), weight_from(weight.how, weight.text)
    else:
        assert length is not None  # one of the two was asked for
        long = inputs.of_reading(f"{FISH}/length", length)
        scatter = inputs.of("length to weight", size.about_its_weight(patient.species))
        drawn = np.asarray(size.weight_of_species_kg(long, species=patient.species)) * scatter
        found = WeightFrom.LENGTH
    return Weighed(id=FISH, weight_kg=drawn, found=found, eaten=patient.eaten)


def _by_its_unit(texts: Mapping[str, str]) -> Mapping[str, str]:
    """The texts of a dose whose `strength` may be an amount that has gone in, told by its unit."""
    with suppress(BadValue):
        if parse_amount(texts.get("strength", "")) and not texts.get("went_in", "").strip():
            return {**texts, "went_in": texts["strength"], "strength": ""}
    return texts


def _part(part: type[Made], keys: Iterable[str], texts: Mapping[str, str], values: Values) -> Made | None:
    """A record of the case from a few texts; what is wrong with them goes to the mistakes."""
    given = {key: texts[key].strip() for key in keys if texts.get(key, "").strip()}
    try:
        made = part.model_validate(given)
    except ValidationError as error:
        for fault in faults_of(error, part):
            values.wrong(*fault)
        return None
    for fault in made.faults():
        values.wrong(*fault)
    return made
