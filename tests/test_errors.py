"""What is said of input that cannot be."""

import pytest

from waterplan.errors import CaseError, ImpossibleInput, Limits, Mistake


def test_impossible_input_names_argument_value_and_limits() -> None:
    error = ImpossibleInput("weight_kg", -1.0, Limits(0.0, 1000.0), unit="kg")
    assert isinstance(error, ValueError)
    assert (error.argument, error.value, error.limits) == ("weight_kg", -1.0, Limits(0.0, 1000.0))
    assert str(error) == "weight_kg = -1.0: impossible, it must be 0 to 1000 kg"


def test_a_quantity_without_a_unit_ends_without_a_blank() -> None:
    assert str(ImpossibleInput("ph", 15, Limits(0.0, 14.0))) == "ph = 15: impossible, it must be 0 to 14"


def test_of_many_values_it_says_how_many_were_wrong() -> None:
    error = ImpossibleInput("ph", "15", Limits(0.0, 14.0), many=" (2 of 9 values, the first at [4])")
    assert str(error) == "ph = 15 (2 of 9 values, the first at [4]): impossible, it must be 0 to 14"


def test_a_mistake_says_where_what_and_what_would_do() -> None:
    mistake = Mistake(where="patient.weight", read="'0,62 kg'", would_do="write a decimal point, not a comma")
    assert str(mistake) == "patient.weight: read '0,62 kg'; write a decimal point, not a comma"


@pytest.mark.parametrize(("count", "head"), [(1, "1 thing to put right"), (3, "3 things to put right")])
def test_a_case_error_tells_all_mistakes_together(count: int, head: str) -> None:
    mistakes = [Mistake(where=f"key {number}", read="this", would_do="that") for number in range(count)]
    error = CaseError("pond.toml", mistakes)
    lines = str(error).splitlines()
    assert lines[0] == f"pond.toml: {head}"
    assert lines[1:] == [f"  key {number}: read this; that" for number in range(count)]
    assert error.mistakes == tuple(mistakes)
    assert error.file == "pond.toml"
