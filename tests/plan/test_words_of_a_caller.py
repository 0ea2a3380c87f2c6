"""What a caller says, and which signs that is: first aid does not wait for the right word."""

import pytest
from click.testing import CliRunner

from waterplan import cli
from waterplan.case.seen import SIGNS
from waterplan.plan import quick_call
from waterplan.plan.quick_call import signs_of

GASPING = ("gasping at the surface",)
SAID = {
    "fish gasps": GASPING,
    "gasps": GASPING,
    "gasp": GASPING,
    "Gasping for air": GASPING,
    "the koi are gulping": GASPING,
    "gasping, and not eating": GASPING,
    "gasping on the left side of the pond": GASPING,
    "my koi isn't breathing": ("not breathing",),
    "it does not breathe any more": ("not breathing",),
    "one of them lies on its side": ("lying on its side",),
    "all the fish are dead": ("many fish down",),
    "it jumped out of the pond": ("jumped out",),
    "left the hose on all night": ("hose left running",),
    "power cut since six": ("power is off",),
    "sunken eyes": ("ill for days",),
    "it froze last night": ("iced over",),
    "gasping since the thunderstorm": (*GASPING, "heavy rain"),
    "not gasping": (),
    "a rainbow trout": (),
    "wobbly": (),
}


@pytest.mark.parametrize("said", SAID)
def test_the_words_of_a_caller_mean_a_sign_or_several_or_none(said):
    assert signs_of([said]) == SAID[said]


def test_words_that_a_shell_took_apart_are_taken_together():
    assert signs_of(["fish", "gasps"]) == GASPING
    assert signs_of(["gasping", "jumped out"]) == (*GASPING, "jumped out")


def test_each_sign_is_heard_in_its_own_words(monkeypatch):
    monkeypatch.setattr(quick_call, "SIGNS", ())
    assert all(sign in signs_of([sign]) for sign in SIGNS)


def call(*words, code=0):
    done = CliRunner().invoke(cli.main, ["call", *words])
    assert done.exit_code == code
    assert "[1]" not in done.output
    return done


def test_first_aid_is_given_whatever_the_word_is():
    """How the words were read stands apart, so that the page is the same as for the sign's own name."""
    page = call(*GASPING, "--as-of", "2026-05-14T10:00")
    assert page.stderr == ""
    other = call("fish gasps", "--as-of", "2026-05-14T10:00")
    assert other.stdout == page.stdout
    assert "gasping at the surface" in other.stderr
    none = call("wobbly fish", "--as-of", "2026-05-14T10:00")
    assert "Turn the air on" in none.stdout
    assert all(sign in none.stderr for sign in SIGNS)
    assert 'Name a sign so: "' in none.stderr


def test_what_is_wrong_is_told_by_the_option_that_it_was_given_with():
    told = call("gasps", "--fish", "lots", "--pond", "8000 gal", "--meant", "x", "--tan", "much", code=2).stderr
    assert all(f"  {option}: " in told for option in ("--fish", "--pond", "--meant", "--tan"))
