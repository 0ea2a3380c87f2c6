"""From a sum to a finding."""

import numpy as np
import pytest

from waterplan import tables
from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.findings import Caution, Finding, Moment, Verdict
from waterplan.first_plan.answers import Answer, Limit, Side, answer
from waterplan.fish.uptake import cyprinid_routine_mg_per_kg_h
from waterplan.published import Status, remark

BEST_OUT = np.array([7.0, *np.linspace(4.0, 10.0, 101)])


def found(**answer_: object) -> Finding:
    return answer(Moment.CALL, "key", "Title", lambda: Answer(text="so", **answer_))  # type: ignore[arg-type]


def values(best: float, *drawn: float) -> np.ndarray:
    return np.array([best, *drawn])


def test_the_band_goes_into_the_finding() -> None:
    finding = found(values=BEST_OUT, unit="mg/L")
    assert finding.value == 7.0
    assert finding.low == pytest.approx(4.3, abs=0.04)
    assert finding.high == pytest.approx(9.7, abs=0.04)
    assert finding.verdict is Verdict.FIGURE
    assert finding.chance is None


@pytest.mark.parametrize(
    ("side", "bound", "chance", "verdict"),
    [
        (Side.AT_LEAST, 4.0, 1.0, Verdict.PASS),
        (Side.AT_LEAST, 5.0, 0.832, Verdict.WATCH),  # the best figure passes, 17 in 100 draws do not
        (Side.AT_LEAST, 8.0, 0.337, Verdict.ACT),
        (Side.AT_MOST, 10.0, 1.0, Verdict.PASS),
        (Side.AT_MOST, 8.0, 0.663, Verdict.WATCH),
        (Side.AT_MOST, 5.0, 0.168, Verdict.ACT),
    ],
)
def test_a_limit_is_judged_by_the_best_figure_and_by_the_draws(
    side: Side, bound: float, chance: float, verdict: Verdict
) -> None:
    finding = found(values=BEST_OUT, unit="mg/L", limit=Limit(value=bound, side=side))
    assert finding.limit == bound
    assert finding.chance == pytest.approx(chance, abs=0.011)
    assert finding.verdict is verdict
    assert finding.limit_words.startswith(side.value)


@pytest.mark.parametrize(
    ("side", "best", "bound", "worst", "verdict"),
    [
        (Side.AT_MOST, 1.0, 2.0, 5.0, Verdict.PASS),
        (Side.AT_MOST, 3.0, 2.0, 5.0, Verdict.WATCH),
        (Side.AT_MOST, 6.0, 2.0, 5.0, Verdict.ACT),
        (Side.AT_LEAST, 50.0, 60.0, 30.0, Verdict.WATCH),
        (Side.AT_LEAST, 20.0, 60.0, 30.0, Verdict.ACT),
    ],
)
def test_between_watching_and_acting(side: Side, best: float, bound: float, worst: float, verdict: Verdict) -> None:
    limit = Limit(value=bound, side=side, worst=worst)
    assert found(values=np.full(11, best), limit=limit).verdict is verdict


def test_a_limit_may_be_drawn_too() -> None:
    # A tank that is needed against a tank that is there, draw by draw.
    limit = Limit(value=values(5.0, 5.0, 1.0, 5.0, 5.0), side=Side.AT_MOST)
    finding = found(values=values(2.0, 2.0, 2.0, 2.0, 9.0), limit=limit)
    assert finding.chance == 0.5
    assert finding.limit == 5.0


def test_sure_enough_is_nineteen_in_twenty() -> None:
    for failing, verdict in ((5, Verdict.PASS), (6, Verdict.WATCH)):
        drawn = [1.0] * failing + [3.0] * (100 - failing)
        assert found(values=values(3.0, *drawn), limit=Limit(value=2.0, side=Side.AT_LEAST)).verdict is verdict


def test_a_verdict_that_the_sum_gives_stands() -> None:
    finding = found(values=BEST_OUT, limit=Limit(value=4.0, side=Side.AT_LEAST), verdict=Verdict.ACT)
    assert finding.verdict is Verdict.ACT


def test_a_time_that_never_comes_is_a_number() -> None:
    finding = found(values=np.full(11, np.inf), unit="min", limit=Limit(value=10.0, side=Side.AT_LEAST))
    assert (finding.value, finding.low, finding.high) == (np.inf, np.inf, np.inf)
    assert finding.verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("error", "verdict", "text", "standing"),
    [
        (Unanswerable("[home_water] ph"), Verdict.QUESTION, "Give [home_water] ph.", False),
        (Refused("salt kills it"), Verdict.REFUSED, "Salt kills it.", False),
        (Refused("no fish bears it", standing=True), Verdict.REFUSED, "No fish bears it.", True),
        (ImpossibleInput("ph", 15, "0 to 14"), Verdict.REFUSED, "Ph = 15: impossible, it must be 0 to 14.", False),
    ],
)
def test_what_cannot_be_answered_becomes_a_finding_without_a_number(
    error: Exception, verdict: Verdict, text: str, standing: bool
) -> None:
    def make() -> Answer:
        tables.row("defaults", what="altitude")
        raise error

    finding = answer(Moment.CALL, "key", "Title", make)
    assert (finding.verdict, finding.answer, finding.standing) == (verdict, text, standing)
    assert finding.value is None
    assert finding.chance is None
    assert finding.citations, "what was looked up before it failed is still cited"


def test_sources_status_and_cautions_are_those_of_the_sum_that_ran() -> None:
    def make() -> Answer:
        remark("Sea level is assumed.")
        tables.row("defaults", what="altitude")
        cyprinid_routine_mg_per_kg_h(np.array([1.0, 1.0, 2.0]), water_temp_c=20.0)
        return Answer(text="so", cautions=(Caution(text="own", serious=True),))

    finding = answer(Moment.CALL, "key", "Title", make)
    assert {citation.source for citation in finding.citations} == {"waterplan", "yamanaka_2013"}
    assert finding.status is Status.JUDGEMENT
    own, leak, said = finding.cautions
    assert own.text == "own"
    assert "Outside the fitted range" in leak.text
    assert said.text == "Sea level is assumed."


def test_a_stray_draw_outside_the_fitted_range_is_not_worth_a_caution() -> None:
    for strays, cautions in ((1, 0), (3, 1)):
        weights = np.full(200, 0.05)
        weights[:strays] = 0.2

        def make(weights: np.ndarray = weights) -> Answer:
            cyprinid_routine_mg_per_kg_h(weights, water_temp_c=20.0)
            return Answer(text="so")

        assert len(answer(Moment.CALL, "key", "Title", make).cautions) == cautions


def test_any_other_fault_is_not_swallowed() -> None:
    def make() -> Answer:
        raise LookupError("no row")

    with pytest.raises(LookupError):
        answer(Moment.CALL, "key", "Title", make)
