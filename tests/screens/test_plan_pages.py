"""The pages of a plan: what comes first, the seven moments, what is out of date, and in which words."""

import re

import pytest

from tests.demos import demo_plan, longer_but_for
from tests.screens.running import app, checked, downloads, open_demo, page, planned, press, texts
from tests.words.keys_only import keys_only, spoken_by
from waterplan.published import EQUATIONS
from waterplan.screens.answers import Answer
from waterplan.screens.reader import UNITS
from waterplan.stay.record import Moment
from waterplan.units import System
from waterplan.words.catalogue import language
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker


def test_an_empty_session_asks_for_a_case():
    test = app()
    assert [title.value for title in test.title] == ["Do now"]
    assert "There is no plan yet" in texts(test)
    assert "it does not prescribe" in texts(test)
    assert downloads(test) == {}


def test_the_first_page_says_what_the_terminal_says():
    told = re.sub(r"<[^>]+>", "", texts(page("plan_pages.first", answer_case=planned())))
    plan = planned().plan
    speaker = Speaker(plan)
    assert "INVENTED CASE" in told
    for path in plan.first_page.do_now:
        assert action_line(speaker, speaker.actions[path]) in told
    for one in plan.moments:
        assert speaker.say(f"moment.{one.moment}") in told
    for path in plan.first_page.have_ready:
        assert f"{speaker.figure_name(path)}: {speaker.figure(path)}" in told
    assert "Refused: potassium permanganate" in told
    assert "2 more on the pages" in told


def test_every_number_of_the_first_page_carries_what_it_is():
    html = texts(page("plan_pages.first", answer_case=planned()))
    plan = planned().plan
    carried = set(re.findall(r'data-figure="([^"]+)"', html))
    assert set(plan.first_page.have_ready) <= carried <= set(plan.figures)


@pytest.mark.parametrize("moment", Moment)
def test_each_moment_has_its_judgements_by_danger_and_its_actions(moment):
    test = page(
        "plan_pages.moment",
        f'__import__("waterplan.stay.record").stay.record.Moment("{moment}")',
        answer_case=planned(),
    )
    html, plan = texts(test), planned().plan
    assert [title.value for title in test.title] == [moment.value.capitalize()]
    state = next(one for one in plan.moments if one.moment is moment)
    past = {one.before for one in plan.judgements}
    shown = [one for one in plan.judgements if one.id in state.judgements and one.id not in past]
    assert html.count('class="card ') == 1 + len(shown) + sum(
        bool(one.refused_because) for one in plan.actions if one.id in state.actions
    )
    assert html.count("What this is based on") == len(shown)


def test_what_is_not_known_is_one_list_and_its_judgements_are_folded_away():
    html = texts(
        page("plan_pages.moment", '__import__("waterplan.stay.record").stay.record.Moment.CALL', answer_case=planned())
    )
    lists, _, judged = html.partition("How the water is judged")
    assert "Measure this" in lists
    assert "1 judgement waits" in lists
    assert "card not-known" in lists
    assert "card not-known" not in judged


def test_a_basis_names_inputs_equation_limit_and_what_the_band_hangs_on():
    html = texts(
        page(
            "plan_pages.moment",
            '__import__("waterplan.stay.record").stay.record.Moment.PROCEDURE',
            answer_case=planned(),
        )
    )
    for words in ("Inputs", "worked out; it decides", "Yamanaka", "outside the range it was fitted to", "86 of 100"):
        assert words in html
    assert "oxygen_levels/cyprinid/anaesthetised/alarm" in html


def test_a_plan_of_older_fields_says_so_and_hands_nothing_out():
    fresh, old = (
        page("plan_pages.first", answer_case=planned()),
        page("plan_pages.first", answer_case=planned(old=True)),
    )
    assert len(downloads(fresh)) >= 5
    assert not any(downloads(fresh).values())
    assert "Out of date" not in texts(fresh)
    assert "Out of date" in texts(old)
    assert all(downloads(old).values())
    assert all("out of date" in label for label in downloads(old))


@pytest.mark.longer
def test_units_are_the_readers_choice_and_change_no_plan():
    test = open_demo(app(), "ordinary_goldfish")
    test = press(test, "make")
    plan = test.session_state["answer case"].plan
    assert plan.made.draws == 64
    before = texts(test)
    test.session_state[UNITS] = System.US
    test = checked(test.run())
    assert test.session_state["answer case"].plan is plan
    assert " US gal" in texts(test)
    assert " US gal" not in before
    assert "[not" not in before


@pytest.mark.longer
def test_the_pages_have_no_word_but_the_phrase_books_and_the_cases():
    book = keys_only(language())
    plan = planned().plan
    own = " ".join(
        [
            *(one.name for one in (*plan.waters, *plan.fish)),
            *plan.title.values(),
            *(one.done for one in plan.fish),
            *(one.unit for one in plan.figures.values()),
            *(one.text for one in plan.written),
            *(f"{one.who} {one.year} {one.title}" for one in plan.sources.values()),
            *(
                EQUATIONS[each.name].summary if each.name in EQUATIONS else each.name
                for one in plan.judgements
                for each in one.equations
            ),
        ]
    )
    for name, given in (
        ("plan_pages.first", ""),
        *(("plan_pages.moment", f'__import__("waterplan.stay.record").stay.record.Moment("{m}")') for m in Moment),
    ):
        with spoken_by(book):
            html = texts(page(name, given, answer_case=planned()))
        seen = re.sub(r"<code>[^<]*</code>|<[^>]+>|⟨[^⟩]*⟩", " ", html)
        left = [word for word in re.findall(r"[A-Za-z]{3,}", seen) if word not in own]
        assert left == [], name


@pytest.mark.longer
def test_a_session_keeps_few_plans_and_no_draws():
    test = page("plan_pages.first", answer_case=planned(), plans={f"case {n}": planned().plan for n in range(6)})
    assert len(test.session_state["plans"]) == 6
    test = app()
    for name in ("night_call", "well_and_new_fish"):
        test = press(open_demo(test, name), "make")
    assert len(test.session_state["plans"]) == 2
    first = test.session_state["plans"]
    # The same inputs again are the same plan, and nothing is worked out twice.
    test = press(open_demo(test, "night_call"), "make")
    assert len(test.session_state["plans"]) == 2
    assert test.session_state["answer case"].plan is next(reversed(first.values()))


# What only a file or a program has: the path of a row or of a key, markup for code.
FILE_SYNTAX = re.compile(r"<code|\b[a-z_]+\[\d+\]|\b[a-z]+_[a-z_]+\b|\b[a-z]+-\d+/[a-z]")


def demo_planned():
    """The answer of a demo, as the screens would have it."""
    made = demo_plan("heron_goldfish")
    return Answer(given=planned().given, plan=made)


@pytest.fixture(scope="module")
def demo():
    return demo_planned()


@pytest.mark.parametrize("moment", longer_but_for((Moment.CALL, Moment.HOSPITAL), Moment))
def test_no_page_of_a_moment_shows_the_syntax_of_a_file_and_few_findings_stand_open(demo, moment):
    given = f'__import__("waterplan.stay.record").stay.record.Moment("{moment}")'
    html = texts(page("plan_pages.moment", given, answer_case=demo))
    seen = re.sub(r"</?(?!code)[^>]+>", " ", html)
    assert FILE_SYNTAX.findall(re.sub(r"https?://\S+", "", seen)) == []
    # What keeps its limit waits behind one line.
    assert "card within-limit" not in html.partition("How the water is judged")[2].partition('class="fold"')[0]
