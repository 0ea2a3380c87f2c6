"""What goes, or has gone, into the waters and the fish of a case."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from pydantic import ValidationInfo
from pydantic.json_schema import SkipJsonSchema

from waterplan import tables
from waterplan.case.bottle import Amount, Bottle, parse_amount, parse_bottle
from waterplan.case.choices import Buffer, Washed
from waterplan.case.kinds import Flag, OneOf, Text, plain_text
from waterplan.case.measures import VALUE, intended, litres, measure
from waterplan.case.part import Fault, Part
from waterplan.case.references import INTO, PatientsNamed, Target, WaterNamed
from waterplan.case.times import Tonight, When, WhenMeant
from waterplan.case.values import BadValue, Reading, parse_reading
from waterplan.dose import conflicts, substances
from waterplan.units import Family

# What a fish may have been given by its weight.
DRUGS = tuple(dict.fromkeys(row["drug"] for row in tables.table("drugs")))
# What the rules for conflicts can speak of, in a file's words.
KNOWN_THINGS = tuple(sorted(thing.replace("_", " ") for thing in conflicts.conflict_things()))
# unit of a table's row -> how a level in it is written
_LEVELS = {
    "mg/L": intended(Family.DOSE_LEVEL, "wanted_mg_per_l"),
    "g/L": intended(Family.SALT, "salinity_g_per_l"),
    "uL/L": intended(Family.FORMALIN_LEVEL, "formalin_ul_per_l"),
    "% v/v": intended(Family.SPIRIT, "spirit_percent_vv"),
    "mg/L as N": measure(Family.AMMONIA, "tan_mg_n_per_l", "tan"),
    "mg/L as NO2": measure(Family.NITRITE, "nitrite_mg_no2_per_l", "nitrite"),
    "mg/L as CaCO3": measure(Family.ALKALINITY, "alkalinity_mg_caco3_per_l", "alkalinity"),
    "°C": measure(Family.TEMPERATURE, "water_temp_c", "temperature"),
    "ph": measure(Family.PH, "ph", "ph"),
}


def unit_of(thing: str) -> str:
    """The unit in which a level of something that is there already is written; "ph" for a pH, empty for none."""
    return "ph" if thing == "ph" else conflicts.conflict_things()[thing].unit


def _level(raw: object, info: ValidationInfo) -> Reading | None:
    """A level in the unit of its substance, or of the thing that is there; None where that has been reported as wrong."""
    thing, name = info.data.get("what"), info.data.get("substance")
    if thing is None and name is None:
        return None
    unit = unit_of(thing) if thing is not None else substances.substance(str(name)).unit
    if not unit:
        raise BadValue(repr(raw), "it has no level: leave it out")
    return parse_reading(plain_text(raw), _LEVELS[unit].quantity)


def _label(raw: object, info: ValidationInfo) -> Bottle:
    """What a label says; BadValue where it cannot be that of its substance."""
    text, name = plain_text(raw), info.data.get("substance")
    found = parse_bottle(text)
    unfit = _unfit(found, name) if name else ""
    if unfit:
        raise BadValue(repr(text), unfit)
    return found


def _unfit(bottle: Bottle, name: str) -> str:
    """Why a label cannot be that of a substance; empty where it can, or where it is refused whatever its strength is."""
    if bottle.detergent or bottle.tincture:
        return ""
    of_iodine, of_spirit = bottle.pvp_iodine_percent is not None, bottle.percent_vv is not None
    iodine, spirit, eugenol = (name == one for one in ("povidone-iodine", "ethanol", "eugenol"))
    bare = bottle.active_fraction is not None and not bottle.of_eugenol and bottle.text != "pure"
    rules = (
        (iodine and not of_iodine, "write '10 % PVP-I' or '1 % available iodine': the two differ tenfold"),
        (of_iodine and not iodine, "% PVP-I and % available iodine are of povidone-iodine only"),
        (spirit and not of_spirit, "write '96 % v/v'"),
        (of_spirit and not spirit, "% v/v is taken of ethanol only: write % w/v or mg/mL"),
        (bottle.of_eugenol and not eugenol, "% eugenol is taken of eugenol only"),
        (
            eugenol and bare,
            "write the share of eugenol, such as '85 % eugenol', or 'pure': mg/L clove oil is not mg/L eugenol",
        ),
    )
    return next((would_do for unfit, would_do in rules if unfit), "")


LEVEL, LABEL = Text(_level, words=VALUE), Text(_label)
# What was weighed, drawn up or counted.
WENT_IN = Text(lambda raw, _: parse_amount(plain_text(raw)))


@dataclass(frozen=True, slots=True)
class Thing(OneOf):
    """Something that can be there already, by its name in the table of conflicts."""

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The name as the table has it."""
        return str(OneOf.read(self, raw, info)).replace(" ", "_")


class Dose(Part):
    """Something that is meant to go into a water, or into litres made up for it."""

    ordinal: SkipJsonSchema[int] = 1
    substance: Annotated[str, OneOf(substances.known_substances(), needed=True)]
    """what it is: `tricaine`"""
    use: Annotated[str, OneOf(substances.every_use(), needed=True)]
    """what it is for: `induction`"""
    into: Annotated[Target, INTO]
    """a vessel by its name, home pond, or litres and how they were found: `home pond`"""
    strength: Annotated[Reading | None, LEVEL] = None
    """level that the veterinarian wants: `100 mg/L`"""
    went_in: Annotated[Amount | None, WENT_IN] = None
    """what has gone in, to find its level: `5 g`"""
    bottle: Annotated[Bottle | None, LABEL] = None
    """what the label says: `10 mg/mL`"""
    bottle_name: Annotated[str, Text()] = ""
    """what the bottle is called on its label; it is kept and shown, and decides nothing: `blue pond powder`"""
    scale: Annotated[Reading | None, intended(Family.SCALE, "division_g")] = None
    """smallest division of the scale: `0.1 g`"""
    syringe: Annotated[Reading | None, intended(Family.SYRINGE, "division_ml")] = None
    """division of the syringe: `1 mL`"""
    drop: Annotated[Reading | None, intended(Family.SYRINGE, "drop_ml")] = None
    """size of one drop: `0.05 mL`"""
    at: Annotated[datetime | Tonight | None, WhenMeant()] = None
    """when it is meant to go in, a time or tonight; at night what takes oxygen is refused: `tonight at 22:00`"""
    opened: Annotated[datetime | None, When()] = None
    """when the bottle was opened or made up: `2026-05-02`"""
    buffer: Annotated[Buffer | None, OneOf(Buffer)] = None
    """bicarbonate for tricaine: `what the water needs`"""
    added: Annotated[Reading | None, litres()] = None
    """water that a hose brought: `800 L, owner's word`"""
    overflowed: Annotated[bool | None, Flag()] = None
    """did as much run over: `false`"""
    expires: Annotated[datetime | None, When()] = None
    """the date on the label after which it is not used: `2026-10-31`"""
    again: Annotated[Reading | None, LEVEL] = None
    """the level once more, where it is far from the reported range: `100 mg/L`"""
    washed: Annotated[Washed | None, OneOf(Washed)] = None
    """are the things to be disinfected clean: `yes`"""
    grade: Annotated[str | None, OneOf(tuple(row["grade"] for row in tables.rows("salt_grades")))] = None
    """which salt it is: `non-iodised table salt`"""
    changed: Annotated[Reading | None, litres()] = None
    """water changed each day while it is salted: `60 L`"""

    @property
    def went_in_at(self) -> datetime | None:
        """When what has gone in went in, where that is known."""
        return self.at if isinstance(self.at, datetime) else None

    @property
    def volume(self) -> Reading | None:
        """The litres that are made up for it, where it goes into no water of the case."""
        return self.into.litres

    def faults(self) -> Iterator[Fault]:
        """A use that the substance has not, and amounts that are said twice."""
        yield from super().faults()
        known = substances.uses_of(self.substance)
        if self.use not in known:
            yield Fault("use", repr(self.use), f"for {self.substance} use one of " + ", ".join(known))
        elif known[self.use] is substances.Kind.DECHLORINATE and self.strength is not None:
            yield Fault("strength", self.strength.text, "leave it out: the chlorine in the water decides")
        if self.went_in is not None and isinstance(self.at, Tonight):
            yield Fault("at", repr(self.at.text), "write when it went in, or leave out went_in")
        if self.went_in is not None and self.strength is not None:
            yield Fault("went_in", repr(self.went_in.text), "give either the strength or what went in")


class Injection(Part):
    """A drug that is meant to go into the fish, by its weight."""

    ordinal: SkipJsonSchema[int] = 1
    drug: Annotated[str, Text()]
    """drug: `meloxicam`"""
    dose: Annotated[Reading | None, intended(Family.BODY_DOSE, "dose_mg_per_kg")] = None
    """dose by weight: `1 mg/kg`"""
    stock: Annotated[Reading | None, intended(Family.STOCK, "stock_mg_per_ml")] = None
    """strength on the vial: `5 mg/mL`"""
    syringe: Annotated[Reading | None, intended(Family.SYRINGE, "division_ml")] = None
    """division of the syringe: `0.01 mL`"""
    weight_confirmed: Annotated[bool | None, Flag()] = None
    """does the vet take a weight that was not weighed: `false`"""
    again: Annotated[Reading | None, intended(Family.BODY_DOSE, "dose_mg_per_kg")] = None
    """the dose once more, where it is far from the reported range: `1 mg/kg`"""
    expires: Annotated[datetime | None, When()] = None
    """the date on the vial after which it is not used: `2026-10-31`"""


class Already(Part):
    """What is there already, in a water, a filter or the fish; `what` is a name of the table `conflict_things`."""

    what: Annotated[str, Thing(KNOWN_THINGS, needed=True)]
    """what it is: `zeolite`"""
    where: Annotated[str, WaterNamed()] = ""
    """in which water: a vessel's name or home pond; all of them without it: `home pond`"""
    level: Annotated[Reading | None, LEVEL] = None
    """its level, where it is known: `0.5 mg/L`"""
    grams: Annotated[Reading | None, intended(Family.SCALE, "amount_g")] = None
    """how much of it there is, such as zeolite in the filter: `250 g`"""
    since: Annotated[datetime | None, When()] = None
    """since when: `2026-05-08`"""


class Done(Part):
    """What has been done already, so that it is not ordered again."""

    at: Annotated[datetime, When()]
    """when: `2026-05-14T09:30`"""
    what: Annotated[str, Text()]
    """what was done, in the words of the plan: `water change`"""
    water: Annotated[str, WaterNamed()] = ""
    """in which water: `home pond`"""
    substance: Annotated[str | None, OneOf((*substances.known_substances(), *DRUGS))] = None
    """what went in, of a dose or of a drug that was injected: `salt`"""
    dose: Annotated[Reading | None, intended(Family.BODY_DOSE, "dose_mg_per_kg")] = None
    """of a drug, how much by weight: `0.2 mg/kg`"""
    patients: Annotated[tuple[int, ...], PatientsNamed()] = ()
    """of a drug, to which patients, by name or number; all of them without it: `Copper`"""
    volume: Annotated[Reading | None, litres()] = None
    """litres changed or added: `60 L, marked tub`"""
    amount: Annotated[Amount | None, WENT_IN] = None
    """how much went in: `200 g`"""
