"""The bad input that a dose must stand: in a case file, on the page and on the command line, told or refused alike."""

import pytest
from click.testing import CliRunner

from tests.plans import METRIC, case_of
from tests.screens.running import checked, page, press, texts
from waterplan.cli import main
from waterplan.errors import CaseError
from waterplan.first_plan.whole import plan

BATH = {
    "substance": "tricaine",
    "use": "induction",
    "into": "40 L, marked tub",
    "strength": "100 mg/L",
    "bottle": "powder",
}
SALT = {"substance": "salt", "use": "dip", "into": "40 L, marked tub", "strength": "25 g/L"}
COPPER = {
    "substance": "copper",
    "use": "bath",
    "into": "400 L, marked tub",
    "strength": "0.2 mg/L",
    "again": "0.2 mg/L",
    "bottle": "10 mg/mL",
}
FISH = {"species": "goldfish", "eaten": "no"}

BAD = [
    pytest.param(BATH | {"bottle": "120 % pure"}, FISH, "nothing is purer than 100 %", id="above pure, by share"),
    pytest.param(
        {"substance": "hypochlorite", "use": "equipment", "into": "20 L, marked tub", "bottle": "150 % w/v"},
        FISH,
        "not stronger than the pure substance",
        id="above pure, by volume",
    ),
    pytest.param(BATH | {"strength": "-100 mg/L"}, FISH, "must be 0 to 50000 mg/L", id="negative level"),
    pytest.param(BATH | {"strength": "0 mg/L"}, FISH, "the level is 0", id="nothing"),
    pytest.param(BATH | {"into": "0 L, marked tub"}, FISH, "volume of water must be", id="no water"),
    pytest.param(BATH | {"into": "-5 L, marked tub"}, FISH, "volume of water must be", id="negative water"),
    pytest.param(BATH | {"strength": "100 ppm"}, FISH, "ppm has no stated basis", id="ppm without its basis"),
    pytest.param(BATH | {"bottle": "10 %"}, FISH, "a bare % does not say of what", id="% without its basis"),
    pytest.param(BATH | {"bottle": "1:10"}, FISH, "is read in two ways", id="1 to n without its meaning"),
    pytest.param(BATH | {"into": "40 gal, marked tub"}, FISH, "say which gallon", id="a gallon without its country"),
    pytest.param(BATH, FISH | {"eaten": "yes"}, "fish that may be eaten", id="a food fish"),
    pytest.param(BATH, {"species": "goldfish"}, "may be eaten", id="a food fish, not said"),
    pytest.param(COPPER, FISH | {"species": "sturgeon"}, "Little and others 2012", id="a species that bears no copper"),
    pytest.param(
        SALT, FISH | {"species": "sturgeon"}, "above the ceiling of 1 g/L", id="a species that bears little salt"
    ),
    pytest.param(
        SALT | {"use": "prolonged", "strength": "7 g/L"},
        FISH,
        "above the ceiling of 6 g/L",
        id="above the ceiling, salt",
    ),
    pytest.param(
        {"substance": "formalin", "use": "bath", "into": "400 L, marked tub", "strength": "300 uL/L"},
        FISH,
        "250 µL/L is the highest level allowed (published, Merck",
        id="above the ceiling, formalin",
    ),
    pytest.param(BATH | {"strength": "1000 mg/L"}, FISH, "twice the highest", id="a slip of ten"),
    pytest.param(
        BATH | {"bottle": "10 mg/mL", "opened": "2020-01-01"}, FISH, "the stock is too old", id="a stock past its age"
    ),
    pytest.param(BATH | {"expires": "2020-01-01"}, FISH, "past the date on its label", id="a label past its date"),
]

_LABELS = {
    "substance": "Substance",
    "use": "Use",
    "into": "Water, and how its volume was found",
    "strength": "Level that the veterinarian wants",
    "again": "The level once more, where it is far from all that is told of",
    "bottle": "What the label of the bottle says",
    "opened": "Opened or made up on",
    "expires": "Not to be used after (label)",
    "species": "Species",
    "eaten": "May it, or a fish from its water, be eaten?",
}


@pytest.mark.parametrize(("dose", "fish", "words"), BAD)
def test_in_a_case_file(dose, fish, words):
    lines = ["waterplan_case = 1", "[patient]", 'weight = "1 kg, scales"']
    lines += [f'{key} = "{value}"' for key, value in fish.items()]
    lines += ["[[vessels]]", 'name = "tub"', 'use = "revival"', 'volume = "60 L, marked tub"', "[[doses]]"]
    lines += [
        f"{key} = {value}" if key in {"opened", "expires"} else f'{key} = "{value}"' for key, value in dose.items()
    ]
    # Salt in the water and the day of the plan, so that each is refused for what is wrong with it and nothing else.
    lines += ["[home_water]", 'salinity = "0 ± 0 g/L"', "[intended]", "operation_at = 2026-05-14T10:00:00"]
    told = answer_to("\n".join(lines))
    assert words.lower() in told.lower()


def answer_to(text):
    """What a case is told: all that is wrong with the file, or what its dose came to."""
    try:
        made = plan(case_of(text), draws=64)
    except CaseError as error:
        told = str(error)
    else:
        (card,) = made.dose_cards
        assert not card.portions
        return METRIC.render(card.finding.answer)
    assert "doses[1]" in told
    assert "case.toml" in told
    return told


@pytest.mark.parametrize(("dose", "fish", "words"), BAD)
def test_on_the_command_line(dose, fish, words):
    options = {key: value for key, value in (dose | fish).items() if key not in {"substance", "use"}}
    options |= {"salinity": "0 ± 0 g/L"} if dose["substance"] == "salt" else {}
    command = ["dose", dose["substance"], dose["use"]]
    done = CliRunner().invoke(
        main, [*command, *(word for key, value in options.items() for word in (f"--{key}", value))]
    )
    assert words.lower() in done.output.lower()
    assert done.exit_code in {0, 2}  # answered as refused, or told what is wrong; never a traceback
    assert "Draw up" not in done.output
    assert "Weigh" not in done.output


@pytest.mark.parametrize(("dose", "fish", "words"), BAD)
def test_on_the_page(dose, fish, words):
    test = page("doses")
    if dose["substance"] == "salt":
        test = _set(test, "Salt in the water", "0 ± 0 g/L")
    for key, value in (dose | fish).items():
        test = _set(test, _LABELS[key], value)
    text = texts(press(test, "Work it out")).replace("\\", "")
    assert words.lower() in text.lower()
    assert "In this order" not in text


def _set(test, label, value):
    key = f"quick/dose/{label}"
    found = next(one for kind in (test.text_input, test.selectbox) for one in kind if one.key == key)
    return checked((found.select(value) if hasattr(found, "select") else found.input(value)).run())
