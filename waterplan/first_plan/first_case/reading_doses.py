"""The doses of a case: values whose unit depends on the substance, and waters that are named or given in litres."""

from collections.abc import Callable, Collection
from typing import Any

from waterplan.dose import substances
from waterplan.dose.conflicts import conflict_things
from waterplan.dose.substances import Kind
from waterplan.first_plan.first_case import model
from waterplan.first_plan.first_case.bottle import Amount, Bottle, parse_amount, parse_bottle
from waterplan.first_plan.first_case.schema import SECTIONS
from waterplan.first_plan.first_case.values import BadValue, Quantity, Reading, parse_reading
from waterplan.units import Family

HOME_POND = "home pond"
_MG_PER_L = Quantity(family=Family.DOSE_LEVEL, term="wanted_mg_per_l", instrument_name="intended")
# unit of a table's row -> how a level in it is written
_LEVELS = {
    "mg/L": _MG_PER_L,
    "g/L": Quantity(family=Family.SALT, term="salinity_g_per_l", instrument_name="intended"),
    "uL/L": Quantity(family=Family.FORMALIN_LEVEL, term="formalin_ul_per_l", instrument_name="intended"),
    "% v/v": Quantity(family=Family.SPIRIT, term="spirit_percent_vv", instrument_name="intended"),
    "mg/L as N": Quantity(family=Family.AMMONIA, term="tan_mg_n_per_l", instrument_name="tan"),
    "mg/L as NO2": Quantity(family=Family.NITRITE, term="nitrite_mg_no2_per_l", instrument_name="nitrite"),
    "mg/L as CaCO3": Quantity(family=Family.ALKALINITY, term="alkalinity_mg_caco3_per_l", instrument_name="alkalinity"),
    "°C": Quantity(family=Family.TEMPERATURE, term="water_temp_c", instrument_name="temperature"),
}


class DoseReader:
    """Reads `doses` and `already` against the vessels of the case, and tells what is wrong with them."""

    def __init__(self, vessels: Collection[str], wrong: Callable[[str, object, str], None]) -> None:
        self.vessels = vessels
        self.wrong = wrong

    def dose(self, values: dict[str, Any], where: str) -> model.Dose | None:
        """One dose, or None where it cannot be told what it is."""
        if not {"substance", "use", "into"} <= values.keys():
            return None
        name, use = values["substance"], values["use"]
        known = substances.uses_of(name)
        if use not in known:
            self.wrong(f"{where}.use", repr(use), f"for {name} use one of " + ", ".join(known))
            return None
        into, volume = self.water(values.pop("into"), f"{where}.into")
        strength = self.level(values.pop("strength", None), substances.substance(name).unit, f"{where}.strength")
        bottle = self.bottle(values.pop("bottle", None), name, f"{where}.bottle")
        again = self.level(values.pop("again", None), substances.substance(name).unit, f"{where}.again")
        went_in = self.amount(values.pop("went_in", None), f"{where}.went_in")
        if went_in is not None and strength is not None:
            self.wrong(f"{where}.went_in", repr(went_in.text), "give either the strength or what went in")
        if known[use] is Kind.DECHLORINATE and strength is not None:
            self.wrong(f"{where}.strength", strength.text, "leave it out: the chlorine in the water decides")
        return model.Dose(
            **values, into=into, volume=volume, strength=strength, bottle=bottle, went_in=went_in, again=again
        )

    def already(self, values: dict[str, Any], where: str) -> model.Already | None:
        """One thing that is there already."""
        if "what" not in values:
            return None
        what = values["what"].replace(" ", "_")
        unit = conflict_things()[what].unit
        level = values.get("level")
        if level is not None and not unit and what != "ph":
            self.wrong(f"{where}.level", repr(level), "it has no level: leave it out")
            return None
        if what == "ph":
            unit = "ph"
        reading = self.level(level, unit, f"{where}.level")
        place = values.get("where", "")
        if place and place not in {HOME_POND, *self.vessels}:
            self.wrong(f"{where}.where", repr(place), f"use one of {self.waters()}, or leave it out for all of them")
        best = reading.measured.best if reading is not None else None
        return model.Already(what=what, where=place, level=best, since=values.get("since"))

    def waters(self) -> str:
        """The names that a water may be given by."""
        return ", ".join((HOME_POND, *self.vessels))

    def water(self, text: str, where: str) -> tuple[str, Reading | None]:
        """The water that a text names, or the litres that it gives."""
        if text == HOME_POND or text in self.vessels:
            return text, None
        field = SECTIONS["vessels"].field("volume")
        assert field is not None  # by construction of the schema
        assert field.quantity is not None
        try:
            reading = parse_reading(text, field.quantity)
        except BadValue as bad:
            whose = (
                bad.would_do if text.lstrip("-+.~ ")[:1].isdigit() else "write its litres, such as '20 L, marked tub'"
            )
            self.wrong(where, bad.read, f"use one of {self.waters()}, or {whose}")
            return text, None
        if reading is None:
            self.wrong(where, repr(text), f"use one of {self.waters()}, or write its litres")
        return text, reading

    def level(self, text: str | None, unit: str, where: str) -> Reading | None:
        """A level in the unit of its row."""
        if text is None:
            return None
        quantity = _LEVELS.get(unit)
        if unit == "ph":
            quantity = Quantity(family=Family.PH, term="ph", instrument_name="ph")
        assert quantity is not None, f"no way to write a level in {unit}"  # a test goes through every row
        try:
            return parse_reading(text, quantity)
        except BadValue as bad:
            self.wrong(where, bad.read, bad.would_do)
            return None

    def amount(self, text: str | None, where: str) -> Amount | None:
        """What has gone in."""
        if text is None:
            return None
        try:
            return parse_amount(text)
        except BadValue as bad:
            self.wrong(where, bad.read, bad.would_do)
            return None

    def bottle(self, text: str | None, name: str, where: str) -> Bottle | None:
        """A label that fits its substance."""
        if text is None:
            return None
        try:
            found = parse_bottle(text)
        except BadValue as bad:
            self.wrong(where, bad.read, bad.would_do)
            return None
        unfit = _unfit(found, name)
        if unfit:
            self.wrong(where, repr(text), unfit)
            return None
        return found


def _unfit(bottle: Bottle, name: str) -> str:
    """Why a label cannot be that of a substance; empty where it can."""
    if (name == "povidone-iodine") != (bottle.pvp_iodine_percent is not None):
        return (
            "write '10 % PVP-I' or '1 % available iodine': the two differ tenfold"
            if name == "povidone-iodine"
            else "% PVP-I and % available iodine are of povidone-iodine only"
        )
    if (name == "ethanol") != (bottle.percent_vv is not None):
        return "write '96 % v/v'" if name == "ethanol" else "% v/v is taken of ethanol only: write % w/v or mg/mL"
    if bottle.of_eugenol and name != "eugenol":
        return "% eugenol is taken of eugenol only"
    if name == "eugenol" and bottle.active_fraction is not None and not bottle.of_eugenol and bottle.text != "pure":
        return "write the share of eugenol, such as '85 % eugenol', or 'pure': mg/L clove oil is not mg/L eugenol"
    return ""
