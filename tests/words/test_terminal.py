"""The pages of the terminal: what comes first on one screen, and the whole plan."""

import re

import pytest

from tests.demos import DEMOS, demo_plan
from tests.papers.example_plan import example_plan
from tests.words.echo import echoing
from tests.words.keys_only import spoken_by
from waterplan.actions.record import Action, Kind, Who
from waterplan.stay.record import Moment
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import first_page, full_page, have_lines

PLAN = example_plan()


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_first_page_is_one_screen(units):
    lines = first_page(PLAN, units).splitlines()
    assert len(lines) <= 60
    assert max(map(len, lines)) <= 100


def test_it_says_who_when_what_to_do_and_what_was_refused():
    said = " ".join(first_page(PLAN).split())
    for words in ("Copper, goldfish", "Operation Thu 14 May 2026, 10:00", "as of Thu 14 May 2026, 09:00", "INVENTED"):
        assert words in said
    for words in (
        "Procedure: ready if done",
        "Turn the air on",
        "and 2 more",
        "Measure next",
        "Have ready",
        "Refused:",
    ):
        assert words in said


def test_much_to_say_is_cut_and_counted():
    many = tuple(
        Action(id=f"call/ask/home-pond/{n}", kind=Kind.ASK, moment=Moment.CALL, water="home-pond", who=Who.VET)
        for n in range(40)
    )
    first = PLAN.first_page.model_copy(
        update={"do_now": tuple(one.id for one in many), "refused": tuple(o.id for o in many)}
    )
    page = first_page(PLAN.model_copy(update={"actions": many + PLAN.actions, "first_page": first}))
    assert len(page.splitlines()) <= 60
    assert "and 37 more in the full plan" in page
    assert "37 more refused, in the full plan" in page
    assert "does not prescribe" in page


def test_the_full_page_has_every_action_and_judgement_once():
    page = full_page(PLAN)
    signs = sum(page.count(f"  {sign} ") for sign in "☐☑✓!?✗⊘")
    answered = {one.before for one in PLAN.judgements if one.before}
    assert signs == len(PLAN.actions) + len(PLAN.judgements) - len(answered)
    assert page.index("Sources") > page.index("Recheck")


def test_one_moment_alone():
    page = full_page(PLAN, "revival")
    assert "Revival" in page
    assert "Hospital:" not in page


def test_no_word_is_said_that_is_not_in_the_book():
    with spoken_by(echoing()):
        said = first_page(PLAN) + full_page(PLAN).split("⟨page.sources⟩")[0]
    said = re.sub(r"⟨[^⟩]*⟩", " ", " ".join(said.split()))
    own = (
        [one.name for one in PLAN.waters]
        + [text for one in PLAN.fish for text in (one.name, one.done)]
        + list(PLAN.title.values())
    )
    for text in sorted(filter(None, [*own, PLAN.made.version, PLAN.made.tables, "2.5 mg/mL"]), key=len, reverse=True):
        said = said.replace(text, " ")
    left = set(re.findall(r"[^\W\d_]{3,}", said)) - {"CaCO"}
    assert left <= {"min"}, left


@pytest.mark.parametrize("name", DEMOS)
def test_what_is_cut_off_the_first_page_ends_at_a_whole_item_under_its_title(name):
    """A line that goes on holds the unit of the number before it."""
    plan = demo_plan(name)
    page = first_page(plan)
    items = have_lines(Speaker(plan))
    if "more lines in the full plan" not in page:
        pytest.skip("all of it has room")
    said = " ".join(page.split())
    for item in items:
        title = str(item).partition(":")[0]
        assert (f" {title}: " in said.partition("Have ready")[2]) == (str(item) in said)
    assert "Have ready" not in said or any(str(item) in said for item in items)


def test_the_antidote_that_a_case_has_in_mind_is_not_refused_beside_the_same_that_is_ordered():
    """A vat whose tap water is to be neutralised, and a dose of the same that the case has in mind."""
    page = " ".join(first_page(demo_plan("hooked_tench")).split())
    assert page.count("sodium thiosulphate crystals to the quarantine vat") == 1
    assert "⊘ Sodium thiosulphate" not in page


@pytest.mark.parametrize("name", DEMOS)
def test_two_refusals_by_one_name_say_why(name):
    told = first_page(demo_plan(name)).partition("\nRefused")[2].partition("\n\n")[0]
    items = [" ".join(one.split()) for one in told.split("⊘")[1:]]
    names = [one.partition(".")[0] for one in items]
    assert all("Because:" in item for item, called in zip(items, names, strict=True) if names.count(called) > 1)


def test_no_way_out_is_one_that_is_refused_there():
    """No tub is fit for the fish of a hot pond, and moving them is refused."""
    page = " ".join(first_page(demo_plan("orfe_in_a_heatwave")).partition("\nRefused")[2].partition("\n\n")[0].split())
    assert "Moving the fish out of the home pond." in page
    assert "ove the fish" not in page
