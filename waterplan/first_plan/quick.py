"""Four sums that need no case: a line in, a short answer with band, source and caution out."""

from collections.abc import Mapping
from dataclasses import replace

from waterplan.dose import salt
from waterplan.errors import CaseError, Mistake
from waterplan.findings import Finding, Moment, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.call import oxygen_level
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.dose_waters import vessel_water
from waterplan.first_plan.first_case.model import Body, Case, Intended, Patient, Place, Vessel, Water
from waterplan.first_plan.first_case.schema import SECTIONS, Filter, Use
from waterplan.first_plan.first_case.values import BadValue, Reading, parse_reading
from waterplan.first_plan.hospital import DEMANDS, smallest_tank, tank_by
from waterplan.first_plan.prepare import iodine_bath
from waterplan.first_plan.procedure import whole_fish_iodine
from waterplan.first_plan.salting import salt_to_level, short_salt
from waterplan.fish.species import known_species
from waterplan.spread import Draws

IODINE_USES = ("instruments", "nets", "eggs", "hands", "wound", "fish")


def quick_oxygen(*, temperature: str, altitude: str = "", salinity: str = "", species: str = "goldfish") -> Finding:
    """Oxygen that water can hold at a temperature and altitude."""
    given = _Given()
    readings = given.water({"temperature": temperature, "salinity": salinity})
    given.need("temperature", readings.get("temperature"), "give the temperature, such as '18 °C'")
    place = Place(altitude=given.one("place", "altitude", altitude))
    desk = given.desk(
        Case(patient=given.patient(species), vessels=(), place=place, home_water=Water(readings=readings))
    )

    def make(desk: Desk) -> Answer:
        values = desk.saturation_mg_per_l(HOME)
        level = oxygen_level(desk, "settled", "alarm")
        pressure = desk.air_pressure_kpa()[0]
        return Answer(
            text=f"{amount(values[0], unit='mg/L')} at saturation, {amount(pressure, unit='kPa')} of air pressure; "
            f"{desk.species.words} needs {amount(level, unit='mg/L')} or more.",
            unit="mg/L",
            values=values,
            limit=Limit(value=level, side=Side.AT_LEAST),
            method="saturation for temperature, salt and air pressure",
        )

    return desk.answer(Moment.PREPARE, "quick oxygen", "Oxygen that this water can hold", make)


def quick_tank(
    *, species: str, weight: str = "", length: str = "", temperature: str = "", ph: str = "", filter_state: str = ""
) -> tuple[Finding, ...]:
    """The hospital tank for a species and weight: the smallest that serves, then each demand."""
    given = _Given()
    patient = given.patient(species, weight=weight, length=length)
    given.need("weight", patient.weight or patient.length, "give a weight or a length, such as '0.62 kg'", or_="length")
    if filter_state and filter_state not in tuple(Filter):
        given.wrong("filter", repr(filter_state), "use one of " + ", ".join(Filter))
    readings = given.water({"temperature": temperature, "ph": ph})
    desk = given.desk(Case(patient=patient, vessels=(), home_water=Water(readings=readings)), filter_state=filter_state)
    smallest = desk.answer(Moment.HOSPITAL, "tank", "Smallest tank that serves", smallest_tank)
    by_demand = [
        desk.answer(Moment.HOSPITAL, demand, f"Smallest tank by {demand}", tank_by, demand) for demand in DEMANDS
    ]
    # There is no case here, so what is lacking is not named as a case key.
    return tuple(
        replace(finding, answer=finding.answer.replace("[home_water] ", "the ")) for finding in (smallest, *by_demand)
    )


def quick_salt(
    *, exposure: str, strength: str, volume: str, species: str, present: str = "0 ± 0 g/L", temperature: str = ""
) -> Finding:
    """Salt for a level held for days, a bath or a dip."""
    given = _Given()
    wanted = given.one("intended", "salt_dip", strength, said="strength")
    given.need("strength", wanted, "give the strength, such as '3 g/L'")
    readings = given.water({"salinity": present, "temperature": temperature}, said={"salinity": "present"})
    body = Body(volume=given.one("vessels", "volume", volume))
    given.need("volume", body.volume, "give the volume, such as '200 L, marked tub'")
    tank = Vessel(name="water", use=Use.HOSPITAL, body=body, water=Water(readings=readings))
    case = Case(patient=given.patient(species), vessels=(tank,), intended=Intended(salt=wanted))
    if exposure not in tuple(salt.Exposure):
        given.wrong("exposure", repr(exposure), "use one of " + ", ".join(salt.Exposure))
    desk = given.desk(case)
    assert wanted is not None  # told of above
    if exposure == salt.Exposure.PROLONGED:
        return desk.answer(Moment.HOSPITAL, "quick salt", "Salt for a level held for days", salt_to_level)
    of = salt.Exposure(exposure)

    def make(desk: Desk) -> Answer:
        place = vessel_water(desk, tank)
        where, already = amount(float(place.litres[0]), unit="L"), desk.water(tank.name, "salinity")
        return short_salt(desk, of, wanted.measured.best, place, where, already)

    return desk.answer(Moment.HOSPITAL, "quick salt", f"Salt {exposure}", make)


def quick_iodine(*, use: str, volume: str, stock: str = "") -> Finding:
    """Povidone-iodine for a stated use; a whole fish is refused."""
    given = _Given()
    if use not in IODINE_USES:
        given.wrong("use", repr(use), "use one of " + ", ".join(IODINE_USES))
    litres = given.one("vessels", "volume", volume)
    given.need("volume", litres, "give the finished solution, such as '2 L'")
    bottle = given.one("intended", "iodine_stock", stock, said="stock")
    case = Case(patient=given.patient("goldfish"), vessels=(), intended=Intended(iodine_stock=bottle))
    desk = given.desk(case)
    assert litres is not None  # told of above
    if use == "fish":
        return desk.answer(Moment.PREPARE, "quick iodine", "Povidone-iodine bath for a whole fish", whole_fish_iodine)
    title = f"Povidone-iodine for {use}"
    return desk.answer(Moment.PREPARE, "quick iodine", title, iodine_bath, use, litres.measured.best)


class _Given:
    """Reads the few values of a quick sum and tells all that is wrong with them together."""

    def __init__(self) -> None:
        self.mistakes: list[Mistake] = []

    def wrong(self, where: str, read: str, would_do: str) -> None:
        self.mistakes.append(Mistake(where=where, read=read, would_do=would_do))

    def need(self, where: str, found: Reading | None, would_do: str, *, or_: str = "") -> None:
        """Tells of a value that is lacking, unless what is wrong with it has been told already."""
        if found is None and not {where, or_} & {mistake.where for mistake in self.mistakes}:
            self.wrong(where, "nothing", would_do)

    def one(self, section: str, key: str, text: str, *, said: str = "") -> Reading | None:
        """One value read as a key of the case; a mistake in it is told under the name it was asked for by."""
        field = SECTIONS[section].field(key)
        if not text.strip() or field is None or field.quantity is None:
            return None
        try:
            return parse_reading(text, field.quantity)
        except BadValue as bad:
            self.wrong(said or key, bad.read, bad.would_do)
            return None

    def water(self, texts: Mapping[str, str], *, said: Mapping[str, str] | None = None) -> dict[str, Reading]:
        """The readings of a water from their texts."""
        names = said or {}
        found = {key: self.one("home_water", key, text, said=names.get(key, key)) for key, text in texts.items()}
        return {key: reading for key, reading in found.items() if reading is not None}

    def patient(self, species: str, *, weight: str = "", length: str = "") -> Patient:
        """A patient of a species."""
        if species not in known_species():
            self.wrong("species", repr(species), "use one of " + ", ".join(known_species()))
            species = known_species()[0]
        return Patient(
            species=species,
            weight=self.one("patient", "weight", weight),
            length=self.one("patient", "length", length),
        )

    def desk(self, case: Case, *, filter_state: str = "") -> Desk:
        """A desk over the case, or CaseError with all mistakes."""
        if self.mistakes:
            raise CaseError("these values", self.mistakes)
        return Desk(case=case, draws=Draws(), assumed_filter=Filter(filter_state) if filter_state else None)
