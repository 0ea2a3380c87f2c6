"""Sums that need no case: values in, the same records out as a plan has, for the command line and the screens."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from waterplan import tables
from waterplan.actions.record import Action
from waterplan.case.fishes import Intended, Patient, Transport
from waterplan.case.part import Part, quantity_of
from waterplan.case.values import BadValue, Quantity, Reading, parse_reading
from waterplan.case.waters import HomePond, Place, Water
from waterplan.errors import CaseError, Mistake
from waterplan.fish import size
from waterplan.fish.species import Species, known_species, other_names, species
from waterplan.hazards.limit_rows import oxygen_level
from waterplan.hazards.record import Hazard, Judgement, Limit, Side, Verdict, Why
from waterplan.hazards.tank_size import of_its_size, of_its_water
from waterplan.hazards.verdict import hazard_row, verdict
from waterplan.plan.made import made_with, rows_and_sources
from waterplan.plan.record import FirstPage, Plan
from waterplan.published import FloatArray, Numbers
from waterplan.spread import Draws, chance
from waterplan.stay.figures import Figures
from waterplan.stay.inputs import Inputs, by_altitude_kpa
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.water import oxygen

# The values are keys of a case, and are read as those are.
_PARTS: Mapping[str, type[Part]] = {
    **dict.fromkeys(("temperature", "salinity", "ph", "tan", "gas_pressure"), Water),
    **dict.fromkeys(("weight", "length"), Patient),
    **dict.fromkeys(("volume", "depth", "wanted_within"), HomePond),
    "room": Intended,
    "oxygen": Transport,
    "altitude": Place,
}
_SEA_LEVEL = "0 ± 0 m"


@dataclass(slots=True)
class Values:
    """Reads the few values of a quick sum, and tells all that is wrong with them together."""

    inputs: Inputs = field(default_factory=lambda: Inputs(draws=Draws()))
    figures: Figures = field(default_factory=Figures)
    mistakes: list[Mistake] = field(default_factory=list)
    judgements: list[Judgement] = field(default_factory=list)
    fish: str = ""

    def wrong(self, where: str, read: str, would_do: str) -> None:
        """Adds a mistake."""
        self.mistakes.append(Mistake(where=where, read=read, would_do=would_do))

    def reading(self, name: str, text: str, key: str = "", *, of: Quantity | None = None) -> Reading | None:
        """A value as it was written, or None where nothing was; `key` is its key in a case where that is not its name."""
        if not text.strip():
            return None
        try:
            return parse_reading(text, of or quantity_of(_PARTS[key or name], key or name))
        except BadValue as bad:
            self.wrong(name, bad.read, bad.would_do)
            return None

    def draws(self, name: str, text: str, key: str = "", *, of: Quantity | None = None) -> FloatArray | None:
        """The draws of a value, or None where nothing was written."""
        read = self.reading(name, text, key, of=of)
        return None if read is None else self.inputs.of_reading(name, read)

    def level_of_oxygen(self, text: str) -> FloatArray | None:
        """The draws of dissolved oxygen in mg/L, or None where nothing was written."""
        return self.draws("oxygen", text, of=replace(quantity_of(Water, "oxygen"), otherwise=None))

    def air_pressure_kpa(self, altitude: str = "") -> FloatArray:
        """Air pressure at an altitude as it was written; a quick sum of which none is told is one of the sea's level."""
        return by_altitude_kpa(self.needed("altitude", altitude.strip() or _SEA_LEVEL, "640 m"), self.inputs)

    def need(self, name: str, found: object, would_do: str) -> None:
        """Tells of a value that is lacking, unless what is wrong with it has been told."""
        if found is None and name not in {mistake.where for mistake in self.mistakes}:
            self.wrong(name, "nothing", would_do)

    def needed(self, name: str, text: str, such_as: str, key: str = "") -> FloatArray:
        """The draws of a value that the sum needs; nothing, and the mistake, where it is lacking or cannot be read."""
        found = self.draws(name, text, key)
        self.need(name, found, f"give it, such as {such_as!r}")
        return np.zeros(self.inputs.size) if found is None else found

    def species(self, name: str) -> Species:
        """A species that is known, or the mistake."""
        known, name = known_species(), other_names().get(name.casefold(), name)
        if name not in known:
            self.wrong("species", repr(name), "use one of " + ", ".join(known))
        self.fish = name if name in known else known[0]
        return species(self.fish)

    def stop_if_wrong(self) -> None:
        """Raises CaseError with every mistake."""
        if self.mistakes:
            raise CaseError("these values", self.mistakes)

    def judge(
        self, hazard: Hazard, figure: str, row: tables.Row, *why: Why, at: Numbers | None = None, harm: Numbers = np.inf
    ) -> None:
        """Holds a figure against the value of a row, or against what that comes to, by the table of verdicts as a plan does.

        `at` is what the row comes to here, and `harm` where harm begins, both in the unit of the figure; of oxygen, which is
        short and not too much, no level of harm is asked.
        """
        one, level = self.figures.sums[figure], np.asarray(row.value if at is None else at)
        side = Side.AT_LEAST if hazard is Hazard.OXYGEN else Side.AT_MOST
        water, kind = ("this bag", WaterKind.BAG) if hazard is Hazard.STOCKING else ("this water", WaterKind.HOSPITAL)
        share = chance(one.draws <= level if side is Side.AT_MOST else one.draws >= level)
        found = verdict(hazard_row(hazard, kind).severity, kept=share, avoided=chance(one.draws <= harm))
        judgement = Judgement(
            id=f"{water}/{hazard}",
            hazard=hazard,
            moment=Moment.PREPARE,
            water=water,
            figure=figure,
            verdict=found,
            chance=share,
            chance_counts="errors of the readings",
            limit=Limit.of_row(row, value=float(np.ravel(level)[0]), unit=one.unit, side=side),
            why=() if found is Verdict.WITHIN_LIMIT else why,
        )
        self.judgements.append(judgement)

    def plan(self, title: str, actions: Sequence[Action] = ()) -> Plan:
        """What was worked out, in the form of a plan."""
        figures = {path: self.figures.record(path) for path in self.figures.sums}
        return Plan(
            made=made_with(self.inputs.draws),
            figures=figures,
            fish=(),
            waters=(),
            judgements=tuple(self.judgements),
            actions=tuple(actions),
            moments=(),
            first_page=FirstPage(),
            title={"sum": title} | ({"fish": self.fish} if self.fish else {}),
            **rows_and_sources(figures, self.judgements, actions, self.inputs.rows),
        )


def quick_oxygen(*, temperature: str, altitude: str = "", salinity: str = "", species_name: str = "unknown") -> Plan:
    """Oxygen that water can hold at a temperature and altitude, against what a species is to have.

    Parameters
    ----------
    temperature, altitude, salinity : str
        Values with their units; altitude and salt may be left out.
    species_name : str
        One of the species known.

    Returns
    -------
    Plan
        Figures `water/oxygen/saturation`, `water/oxygen/limit` and `water/air pressure`.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = Values()
    temp = values.needed("temperature", temperature, "18 °C")
    salt = values.draws("salinity", salinity)
    kind = values.species(species_name)
    pressure = values.air_pressure_kpa(altitude)
    values.stop_if_wrong()
    salt = np.zeros(values.inputs.size) if salt is None else np.maximum(salt, 0.0)
    full = np.asarray(oxygen.saturation_mg_per_l(temp, salinity_g_per_kg=salt, air_pressure_kpa=pressure))
    values.figures.put("water/air pressure", pressure, unit="kPa")
    row = oxygen_level([kind.oxygen_group], state="settled", level="alarm")
    values.figures.put(
        "water/oxygen/saturation", full, unit="mg/L", act_end=ActEnd.LOW, equations=[oxygen.saturation_mg_per_l]
    )
    values.figures.put("water/oxygen/limit", row.value, unit="mg/L", act_end=ActEnd.HIGH, rows=[row.id])
    values.judge(Hazard.OXYGEN, "water/oxygen/saturation", row)
    return values.plan("oxygen")


def quick_tank(
    *,
    species_name: str,
    weight: str = "",
    length: str = "",
    temperature: str = "",
    ph: str = "",
    filter_state: str = "",
) -> Plan:
    """The hospital tank for a species and weight: the smallest that serves, and what each demand asks.

    Parameters
    ----------
    species_name : str
        One of the species known.
    weight, length : str
        One of the two is enough.
    temperature, ph : str
        Without them oxygen and ammonia are not counted.
    filter_state : str
        seeded, unseeded, damaged or maturing; unseeded without it.

    Returns
    -------
    Plan
        Figures `hospital/size/needed`, and `hospital/size/<demand>` of each of its parts.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = Values()
    kind = values.species(species_name)
    heavy, long = values.draws("weight", weight), values.draws("length", length)
    values.need("weight", heavy if heavy is not None else long, "give a weight or a length, such as '0.62 kg'")
    temp, acidity = values.draws("temperature", temperature), values.draws("ph", ph)
    demands = {row["demand"]: row for row in tables.table("hospital_demands")}
    states = [name.removeprefix("density ") for name in demands if "density" in name]
    if filter_state and filter_state not in states:
        values.wrong("filter", repr(filter_state), "use one of " + ", ".join(states))
    values.stop_if_wrong()
    scatter = values.inputs.of("length to weight", size.about_its_weight(kind.name))
    if heavy is None:
        assert long is not None
        heavy = np.asarray(size.weight_of_species_kg(long, species=kind.name)) * scatter
    if long is None:
        long = np.asarray(size.length_of_species_cm(heavy, species=kind.name)) / np.cbrt(scatter)
    asked = [*of_its_size(long, values.inputs.weighed(heavy), filter_state or "unseeded")]
    if temp is not None:
        asked += of_its_water(values.inputs, kind, heavy, temp, acidity, filter_state)
    put = partial(values.figures.put, unit="L", act_end=ActEnd.HIGH, rows=[row.id for row in demands.values()])
    largest = np.maximum.reduce([litres for _, _, litres in asked])
    put("hospital/size/needed", largest, equations=[equation for _, equation, _ in asked])
    for name, equation, litres in asked:
        put(f"hospital/size/{name}", litres, equations=[equation])
    return values.plan("tank")
