"""The 25 questions are answered for two invented cases, and `DEVELOPERS.md` shows what the records say."""

import math

import pytest

from tests.plan import questions


@pytest.mark.parametrize("name", questions.CASES)
@pytest.mark.parametrize("question", questions.QUESTIONS, ids=lambda one: str(one.number))
def test_a_question_has_a_figure_with_its_limit_and_what_it_rests_on(name: str, question: questions.Question) -> None:
    answer = next(one for one in questions.of_case(name) if one.question is question)
    assert answer.figures, f"{name}: no figure answers how: {question.asked}"
    assert answer.limits or not question.limited, f"{name}: nothing to hold it against: {question.asked}"
    assert answer.basis, f"{name}: nothing it rests on: {question.asked}"


@pytest.mark.parametrize("name", questions.CASES)
def test_the_figures_of_an_answer_have_a_band(name: str) -> None:
    """At least one figure of each answer says how far it may be off, but for what is ordered or counted."""
    bare = [one.question.number for one in questions.of_case(name) if not any("(" in figure for figure in one.figures)]
    assert bare == []


def test_the_page_shows_what_the_records_say() -> None:
    """Word for word; a number may differ in its last digit between machines."""
    told, made = questions.told(), questions.whole()
    assert questions.words_of(told) == questions.words_of(made), "run python -m tests.plan.questions"
    pairs = zip(questions.numbers_of(told), questions.numbers_of(made), strict=True)
    assert [pair for pair in pairs if not math.isclose(*pair, rel_tol=0.03, abs_tol=0.02)] == []


def test_there_are_twenty_five() -> None:
    assert [one.number for one in questions.QUESTIONS] == list(range(1, 26))
