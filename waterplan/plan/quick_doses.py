"""One dose, injection, salt or iodine without a case: values in, the record of a plan's action out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from types import MappingProxyType
from typing import TypeVar

import numpy as np
from pydantic import ValidationError

from waterplan import tables
from waterplan.actions.doses.draft import Draft
from waterplan.actions.doses.injection import Weighed, one_injection
from waterplan.actions.doses.orders import work_out
from waterplan.actions.doses.task import Around, Task
from waterplan.actions.doses.water import DoseWater, substance_things
from waterplan.actions.record import Kind, Who
from waterplan.case.model import Dose, Injection, Patient
from waterplan.case.part import Part
from waterplan.case.values import BadValue
from waterplan.case.waters import WATER_KEYS, MainsWater
from waterplan.dose import substances
from waterplan.dose.conflicts import conflict_things
from waterplan.dose.injection import WeightFrom
from waterplan.dose.substances import Kind as Sum
from waterplan.fish import size
from waterplan.fish.species import species
from waterplan.hazards.conflict import fish_things
from waterplan.plan.quick import Values
from waterplan.plan.record import Plan
from waterplan.published import FloatArray
from waterplan.spread import Measured
from waterplan.stay import prepare
from waterplan.stay.equipment import room_co2_ppm
from waterplan.stay.record import Moment, Origin, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.volume.found import volume_as_stated
from waterplan.stay.waters import Place
from waterplan.water.atmosphere import air_pressure_kpa

TUB, FISH = "tub", "patient-1"
DOSE_KEYS, INJECTION_KEYS = Dose.known_keys(), Injection.known_keys()
_GUESSES = frozenset({"owner's word", "estimate", "guess", "not stated"})
_LONG = {"level": "prolonged"}
Made = TypeVar("Made", bound=Part)


def quick_dose(texts: Mapping[str, str], *, already: Sequence[str] = (), today: datetime | None = None) -> Plan:
    """What to weigh or draw up of a substance for a use, what the water is then like, and what must not meet.

    Parameters
    ----------
    texts : mapping of str to str
        The keys of a dose (`into` are its litres), those of a water, and `species`, `eaten`, `wound`, `disinfectant`.
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
    values = Values()
    given = {key: text.strip() for key, text in texts.items() if text.strip()}
    dose = _part(Dose, {key: given[key] for key in DOSE_KEYS if key in given}, values)
    water = _part(MainsWater, {key: given[key] for key in (*WATER_KEYS, "disinfectant") if key in given}, values)
    patient = _part(Patient, {key: given[key] for key in ("species", "eaten", "wound") if key in given}, values)
    if dose is not None and dose.volume is None and "into" not in {one.where for one in values.mistakes}:
        values.wrong("into", repr(given.get("into", "")), "write its litres, such as '40 L, marked tub'")
    things = _things(already, values)
    values.stop_if_wrong()
    assert dose is not None
    assert water is not None
    assert patient is not None
    tub = _tub(values, dose, water, patient, things)
    moment = Moment.PREPARE
    task = Task(
        dose=dose,
        number=1,
        water=tub,
        draft=Draft(
            id=f"{moment}/{Kind.DOSE}/{TUB}/{dose.substance}",
            kind=Kind.DOSE,
            moment=moment,
            water=None,
            who=Who.NURSE,
            path=f"{TUB}/{dose.substance}",
            figures=values.figures,
            substance=dose.substance,
        ),
        around=_around(values, water, patient, tub, today),
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
    use = _LONG.get(exposure, exposure)
    return quick_dose(
        {
            "substance": "salt",
            "use": use,
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
    given = {key: text.strip() for key, text in texts.items() if text.strip()}
    injection = _part(Injection, {key: given[key] for key in INJECTION_KEYS if key in given}, values)
    keys = ("species", "weight", "length", "eaten")
    patient = _part(Patient, {key: given[key] for key in keys if key in given}, values)
    if patient is not None and patient.weight is None and patient.length is None:
        values.need("weight", None, "give a weight or a length, such as '0.62 kg, scales'")
    values.stop_if_wrong()
    assert injection is not None
    assert patient is not None
    day = today or datetime.now(tz=UTC)
    made = one_injection(injection, _weighed(values, patient), figures=values.figures, day=day)
    return values.plan("injection", actions=[made.action])


# -- the few arrays that they need --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _There:
    things: tuple[str, ...]
    contents: tuple[str, ...]


def _tub(values: Values, dose: Dose, water: MainsWater, patient: Patient, there: _There) -> DoseWater:
    """A tub of so many litres, with the water that was described, and anything in its range where it was not."""
    assert dose.volume is not None
    inputs = values.inputs
    found = volume_as_stated(inputs, values.figures, water=TUB, reading=dose.volume, made_up=True)
    pressure = np.full(inputs.size, float(air_pressure_kpa(0.0)))
    state = prepare.base_state(
        Place(id=TUB, name="", kind=WaterKind.HOME),
        {key: [reading] for key, reading in water.readings.items()},
        disinfectant=water.disinfectant,
        litres=found.litres,
        inputs=inputs,
        air_pressure_kpa=pressure,
    )
    kind = substances.kind_of(dose.substance, use=dose.use)
    known = species(patient.species)
    in_it = kind.with_fish or kind is Sum.DECHLORINATE
    things = (*fish_things([known], [patient]), *there.things) if in_it else there.things
    return DoseWater(
        id=TUB,
        litres=found.litres.draws,
        guessed=found.guessed,
        state=_holding(state, there.contents),
        species=(known,) if in_it else (),
        things=MappingProxyType(dict.fromkeys(things)),
    )


def _holding(state: State, contents: Iterable[str]) -> State:
    """The water with substances in it of which nobody knows how much."""
    nobody = Known(draws=np.zeros(state.size), origin=Origin.ASSUMED, why="level not known", assumed=frozenset({TUB}))
    return replace(state, contents=MappingProxyType(dict.fromkeys(contents, nobody)))


def _around(values: Values, water: MainsWater, patient: Patient, tub: DoseWater, today: datetime | None) -> Around:
    chlorine = water.readings.get("chlorine")
    read: FloatArray | None = None if chlorine is None else values.inputs.of_reading(f"{TUB}/chlorine", chlorine)
    return Around(
        inputs=values.inputs,
        day=today or datetime.now(tz=UTC),
        eaten=patient.eaten,
        wound_said=patient.wound is not None or not tub.species,
        disinfectant=str(water.disinfectant or ""),
        chlorine=read,
        co2_in_air_ppm=room_co2_ppm(values.inputs),
        aired_share=values.inputs.value(tables.row("hospital_demands", demand="start of saturation")),
    )


def _things(already: Sequence[str], values: Values) -> _There:
    found = [text.strip().replace(" ", "_") for text in already if text.strip()]
    for name in found:
        if name not in conflict_things():
            known = ", ".join(one.replace("_", " ") for one in sorted(conflict_things()))
            values.wrong("there", repr(name.replace("_", " ")), f"use one of {known}")
    named = substance_things()
    return _There(
        things=tuple(one for one in found if one not in named), contents=tuple(one for one in found if one in named)
    )


def _weighed(values: Values, patient: Patient) -> Weighed:
    kind = species(patient.species)
    weight = patient.weight
    if weight is None:
        assert patient.length is not None
        long = values.inputs.of_reading(f"{FISH}/length", patient.length)
        return Weighed(
            id=FISH,
            species=kind,
            weight_kg=_by_length(values, kind.name, long),
            found=WeightFrom.LENGTH,
            eaten=patient.eaten,
        )
    unsaid = weight.how in _GUESSES and "±" not in weight.text and "+/-" not in weight.text
    return Weighed(
        id=FISH,
        species=kind,
        weight_kg=values.inputs.of_reading(f"{FISH}/weight", weight),
        found=WeightFrom.GUESSED if unsaid else WeightFrom.WEIGHED,
        eaten=patient.eaten,
    )


def _by_length(values: Values, name: str, length_cm: FloatArray) -> FloatArray:
    scatter = values.inputs.of("length to weight", Measured.within_factor(1.0, size.LENGTH_WEIGHT_RELATIVE_SD))
    return np.asarray(size.weight_of_species_kg(length_cm, species=name)) * scatter


def _part(part: type[Made], given: Mapping[str, str], values: Values) -> Made | None:
    """A record of the case from a few texts; what is wrong with them goes to the mistakes."""
    try:
        made = part.model_validate(dict(given))
    except ValidationError as error:
        for one in error.errors(include_url=False):
            key, cause = str(one["loc"][0]), one.get("ctx", {}).get("error")
            if isinstance(cause, BadValue):
                values.wrong(key, cause.read, cause.would_do)
            else:
                values.wrong(key, repr(given[key]) if key in given else "nothing", "needed here")
        return None
    for fault in made.faults():
        values.wrong(*fault)
    return made
