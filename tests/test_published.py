"""Provenance: who is told of what, and what is guarded."""

import threading

import numpy as np
import pytest

from waterplan import published, tables
from waterplan.errors import ImpossibleInput, Limits
from waterplan.published import Citation, Leak, Numbers, Status, Trail, relay, remark, require_possible, watch

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
    assert equation.citation == Citation(
        source="emerson_1975", locator="nowhere", status=Status.AS_QUOTED, used_for=equation.name
    )


def test_a_status_that_does_not_exist_is_refused_at_once() -> None:
    with pytest.raises(ValueError, match="rumour"):
        warmth(status="rumour")


def test_statuses_are_ranked_from_the_strongest_to_the_weakest() -> None:
    assert [status.value for status in sorted(Status, key=lambda status: status.rank)] == [
        "published",
        "as quoted",
        "derived",
        "from memory",
        "common practice",
        "judgement",
    ]


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


# -- who is told --------------------------------------------------------------------------------------------------


def test_a_watch_hears_of_the_equation_once_however_often_it_runs() -> None:
    double = warmth()
    with watch() as trail:
        double(10.0)
        double(12.0)
    assert [citation.source for citation in trail.citations] == ["emerson_1975"]
    assert not trail.leaks


def test_nothing_is_heard_outside_a_watch() -> None:
    double = warmth()
    with watch() as trail:
        pass
    double(10.0)
    assert not trail.citations


def test_watches_nest_and_each_hears_its_own_part() -> None:
    double = warmth()
    with watch() as outer:
        with watch() as inner:
            double(10.0)
        remark("after the inner one")
    assert list(inner.citations) == list(outer.citations)
    assert not inner.remarks
    assert list(outer.remarks) == ["after the inner one"]


def test_a_watch_that_ends_in_an_error_hears_no_more() -> None:
    with pytest.raises(ZeroDivisionError), watch() as trail:
        raise ZeroDivisionError
    warmth()(10.0)
    assert not trail.citations


def test_one_thread_does_not_hear_another() -> None:
    double = warmth()
    with watch() as trail:
        thread = threading.Thread(target=double, args=(10.0,))
        thread.start()
        thread.join()
    assert not trail.citations


def test_a_leak_carries_how_far_and_how_many() -> None:
    double = warmth()
    with watch() as trail:
        double(np.array([10.0, 31.0, 40.0, 20.0]), ph=7.0)
    (leak,) = trail.leaks
    assert leak == Leak(
        equation=leak.equation, argument="water_temp_c", low=10.0, high=40.0, fitted=Limits(0.0, 30.0), share=0.5
    )


def test_the_ends_of_the_fitted_range_do_not_leak() -> None:
    double = warmth()
    with watch() as trail:
        double(0.0, ph=6.0)
        double(30.0, ph=9.0)
    assert not trail.leaks


def test_an_earlier_sum_is_relayed_to_whoever_watches_later() -> None:
    double = warmth()
    with watch() as earlier:
        double(35.0)
        remark("assumed")
    with watch() as later:
        relay(earlier)
    assert later == earlier
    with watch() as third:
        relay(later)
        relay(later)
    assert third == earlier


def test_a_row_that_is_used_is_heard_of_with_its_own_status() -> None:
    with watch() as trail:
        row = tables.row("defaults", what="scale division")
    (citation,) = trail.citations
    assert citation == Citation(
        source=row.source, locator=row.locator, status=Status(row.status), used_for="defaults: scale division"
    )
    with watch() as trail:
        tables.table("defaults")
    assert not trail.citations, "looking through a table is not using a figure"


# -- the trail ----------------------------------------------------------------------------------------------------


def citation(status: Status) -> Citation:
    return Citation(source="waterplan", locator="", status=status, used_for=status.value)


def test_the_weakest_status_decides() -> None:
    trail = Trail()
    assert trail.status is Status.DERIVED, "a sum of exact inputs with no source"
    trail.note(citation(Status.PUBLISHED))
    assert trail.status is Status.PUBLISHED
    for status in (Status.FROM_MEMORY, Status.AS_QUOTED, Status.DERIVED):
        trail.note(citation(status))
    assert trail.status is Status.FROM_MEMORY
    trail.note(citation(Status.JUDGEMENT))
    assert trail.status is Status.JUDGEMENT


def test_a_remark_is_kept_once_and_in_order() -> None:
    with watch() as trail:
        for text in ("one", "two", "one"):
            remark(text)
    assert list(trail.remarks) == ["one", "two"]
