"""Provenance: who is told of what, and what is guarded."""

import numpy as np
import pytest

from waterplan import published
from waterplan.errors import ImpossibleInput, Limits
from waterplan.published import Numbers, Status, outside_fitted, require_possible

CALLED: list[object] = []


@pytest.fixture(autouse=True)
def _own_register(monkeypatch: pytest.MonkeyPatch) -> None:
    """Equations made here do not stay in the register of the house."""
    monkeypatch.setattr(published, "EQUATIONS", {})
    CALLED.clear()


def warmth(**options: object) -> object:
    """A small equation: twice the temperature, plus the pH where one is given."""

    @published.published(
        source="emerson_1975",
        locator="nowhere",
        status=str(options.pop("status", "published")),
        fitted={"water_temp_c": (0.0, 30.0), "ph": (6.0, 9.0)},
        **options,  # type: ignore[arg-type]
    )
    def double(water_temp_c: Numbers, *, ph: Numbers | None = None, label: str = "") -> Numbers:
        """Twice the warmth.

        More of it.
        """
        CALLED.append((water_temp_c, ph, label))
        return water_temp_c * 2.0 + (0.0 if ph is None else ph)

    return double


# -- what is registered -------------------------------------------------------------------------------------------


def test_an_equation_is_registered_with_its_provenance() -> None:
    warmth(status="as quoted")
    (equation,) = published.EQUATIONS.values()
    assert equation.name.endswith("test_published.double")
    assert equation.summary == "Twice the warmth."
    assert equation.status is Status.AS_QUOTED
    assert equation.fitted["water_temp_c"] == Limits(0.0, 30.0)
    assert (equation.source, equation.locator) == ("emerson_1975", "nowhere")


def test_a_status_that_does_not_exist_is_refused_at_once() -> None:
    with pytest.raises(ValueError, match="rumour"):
        warmth(status="rumour")


# -- what is guarded ----------------------------------------------------------------------------------------------


def test_scalar_in_scalar_out() -> None:
    double = warmth()
    for value in (10, 10.0, np.float64(10.0), np.int32(10), np.array(10.0)):
        result = double(value)
        assert type(result) is float
        assert result == 20.0


def test_lists_and_integer_arrays_become_float_arrays() -> None:
    double = warmth()
    result = double([1, 2, 3])
    assert isinstance(result, np.ndarray)
    assert result.dtype == np.float64
    assert result.tolist() == [2.0, 4.0, 6.0]


def test_what_is_no_glossary_name_and_what_is_none_pass_untouched() -> None:
    warmth()(1.0, label="7")
    assert CALLED == [(1.0, None, "7")]


@pytest.mark.parametrize(
    ("value", "shown"), [(200.0, "200"), (-40.0, "-40"), (float("nan"), "nan"), (float("inf"), "inf")]
)
def test_an_impossible_scalar_is_told_with_its_limits_and_nothing_is_computed(value: float, shown: str) -> None:
    double = warmth()
    with pytest.raises(ImpossibleInput) as error:
        double(value)
    assert str(error.value) == f"water_temp_c = {shown}: impossible, it must be -5 to 100 °C"
    assert not CALLED


def test_an_impossible_array_is_told_by_count_and_first_place() -> None:
    double = warmth()
    values = np.array([[10.0, 20.0], [np.nan, 500.0]])
    with pytest.raises(ImpossibleInput) as error:
        double(values)
    message = "water_temp_c = nan (2 of 4 values, the first at [1, 0]): impossible, it must be -5 to 100 °C"
    assert str(error.value) == message
    assert error.value.argument == "water_temp_c"


def test_a_keyword_is_guarded_as_the_first_argument_is() -> None:
    with pytest.raises(ImpossibleInput, match="ph = 15"):
        warmth()(10.0, ph=15.0)


def test_an_equation_may_be_narrower_than_the_glossary() -> None:
    double = warmth(possible={"water_temp_c": (1.0, 40.0)})
    assert double(1.0) == 2.0
    with pytest.raises(ImpossibleInput, match="it must be 1 to 40 °C"):
        double(0.5)


def test_the_limits_belong_to_what_is_possible() -> None:
    require_possible("x", [0.0, 1.0], Limits(0.0, 1.0))
    require_possible("x", np.array([]), Limits(0.0, 1.0))
    with pytest.raises(ImpossibleInput):
        require_possible("x", np.nextafter(1.0, 2.0), Limits(0.0, 1.0))


# -- what it was fitted to ------------------------------------------------------------------------------------------


def test_values_outside_the_fitted_range_are_named_and_still_computed() -> None:
    @published.published(
        source="waterplan", locator="for this test", status="derived", fitted={"water_temp_c": (0.0, 40.0)}
    )
    def doubled(water_temp_c: Numbers) -> Numbers:
        """Twice a temperature."""
        return 2.0 * water_temp_c

    beyond = np.array([20.0, 50.0, 60.0])
    assert outside_fitted(doubled, water_temp_c=beyond) == ("water_temp_c",)
    assert outside_fitted(doubled, water_temp_c=np.array([0.0, 40.0])) == ()
    assert outside_fitted(doubled, water_temp_c=np.append(np.full(999, 20.0), 41.0)) == ()  # less than a hundredth
    assert list(doubled(beyond)) == [40.0, 100.0, 120.0]
