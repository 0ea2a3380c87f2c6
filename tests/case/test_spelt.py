"""Values as people type them: capitals and units written out."""

import pytest

from waterplan import tables
from waterplan.case import read_case
from waterplan.case.fishes import Patient
from waterplan.case.part import quantity_of
from waterplan.case.values import BadValue, parse_reading
from waterplan.case.waters import HomePond, Vessel, Water
from waterplan.fish.species import known_species, other_names
from waterplan.units import SPELT, Family


@pytest.mark.parametrize(
    ("part", "key", "text", "value"),
    [
        (Vessel, "volume", "500 ml", 0.5),  # 500 / 1000 L
        (Vessel, "volume", "0.5 l", 0.5),
        (Vessel, "volume", "20 litres", 20.0),
        (Vessel, "volume", "20 Liters, marked tub", 20.0),
        (Patient, "weight", "1.8 KG", 1.8),
        (Patient, "weight", "1.8 kilos", 1.8),
        (Patient, "weight", "600 ± 20 grams", 0.6),  # 600 / 1000 kg
        (Patient, "length", "0.4 metres", 40.0),  # 0.4 x 100 cm
        (Water, "temperature", "18 degrees C", 18.0),
        (Vessel, "heater", "300 watts", 300.0),
        (Water, "alkalinity", "100 mg/l as caco3", 100.0),
    ],
)
def test_a_value_is_read_as_it_is_typed(part, key, text, value):
    assert parse_reading(text, quantity_of(part, key)).measured.best == pytest.approx(value)


@pytest.mark.parametrize(
    ("part", "key", "text"), [(HomePond, "volume", "500 gallons"), (Patient, "weight", "3 litres")]
)
def test_what_is_in_doubt_or_of_another_quantity_is_still_asked_for(part, key, text):
    with pytest.raises(BadValue):
        parse_reading(text, quantity_of(part, key))


def test_every_spelling_stands_for_a_label_of_the_list_and_for_none_that_is_one():
    labels = {label for family in Family for label in family.units}
    assert set(SPELT.values()) <= labels
    assert not {label.casefold() for label in labels} & SPELT.keys()


@pytest.mark.parametrize("name", ["ghost carp", "Ghost  Carp", "ghost_koi", "nishikigoi"])
def test_another_name_of_a_species_leads_to_it(name: str) -> None:
    """A ghost carp is a cross of koi and mirror carp (common practice)."""
    assert read_case({"patients": [{"species": name}]}).patients[0].species == "koi"


def test_no_other_name_is_the_name_of_a_species_or_leads_to_two() -> None:
    listed = [name for row in tables.table("species") for name in row["also"].split("; ") if name]
    assert len(listed) == len(set(listed)) == len(other_names())
    assert not set(listed) & set(known_species())
