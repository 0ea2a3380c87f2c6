"""What a plan says: figures, judgements, actions, reasons, in both systems of units."""

import re
from datetime import datetime
from pathlib import Path

import pytest

import waterplan
from tests.demos import demo_plan
from tests.papers.example_plan import example_plan
from waterplan import tables
from waterplan.hazards.record import Why
from waterplan.papers.way_home import acclimations
from waterplan.words.lines import action_line, cautions, judgement_line, measure_line
from waterplan.words.speaker import Speaker

PLAN = example_plan()
JUDGEMENTS = {one.id: one for one in PLAN.judgements}
ACTIONS = {one.id: one for one in PLAN.actions}
LOOKS = [Path(waterplan.__file__).parent / room / "pages" / "look.css" for room in ("papers", "screens")]


@pytest.fixture
def speaker():
    return Speaker(PLAN)


def test_a_figure_is_the_number_to_act_by_with_its_unit(speaker):
    assert speaker.figure("induction-1/volume") == "24.4 L"
    assert speaker.with_band("induction-1/oxygen/until-alarm") == "24 min (24 to 109)"
    assert speaker.figure("hospital-1/oxygen/until-emergency") == "never within 24 h"
    assert speaker.with_band("home-pond/oxygen/until-emergency/power-cut") == "6 h 10 min (6:10 or more)"


@pytest.mark.parametrize(
    ("low", "high", "act_on", "end", "said"),
    [
        (20.0, 611.0, 615.0, "high", "615 L (20 to 615)"),
        (20.0, 611.0, 800.0, "high", "800 L (20 to 620)"),  # the next that can be had, not that end
        (57.0, 90.0, 55.0, "low", "55 L (55 to 90)"),
        (57.0, 90.0, 60.0, "low", "60 L (57 to 90)"),
    ],
)
def test_what_is_acted_on_reads_the_same_in_its_band(low, high, act_on, end, said):
    figure = PLAN.figures["induction-1/volume"].model_copy(
        update={"low": low, "high": high, "act_on": act_on, "act_end": end}
    )
    made = PLAN.model_copy(update={"figures": {"tub/volume": figure}})
    assert Speaker(made).with_band("tub/volume") == said


def test_a_us_reader_is_told_of_the_same_figure_in_other_units():
    us = Speaker(PLAN, "us")
    # 24.4 L / 3.785411784 = 6.4458 US gal, an amount at its low end; 21 °C are 69.8 °F; air and oxygen stay in L/min.
    assert us.figure("induction-1/volume") == "6.44 US gal"
    assert us.figure("hospital-1/temperature/kept") == "69.8 °F"
    assert us.figure("induction-1/air/flow") == "6 L/min"
    assert us.figure("induction-1/tricaine/mass") == "2.6 g"


def test_a_marked_figure_carries_what_it_is():
    marked = Speaker(PLAN, marked=True)
    assert str(marked.figure("induction-1/volume")) == '<span data-figure="induction-1/volume">24.4 L</span>'
    assert 'data-row="oxygen_levels/' in marked.limit(PLAN.judgements[3].limit)


def test_a_judgement_is_one_line(speaker):
    said = judgement_line(speaker, JUDGEMENTS["induction-1/oxygen/before"])
    for words in (
        "✗ act now",
        "the white basin",
        "5.6 mg/L",
        "at least 6 mg/L",
        "24 min",
        "14 times in 20",
        "errors of",
    ):
        assert words in said
    assert "within limit if done" in judgement_line(speaker, JUDGEMENTS["induction-1/oxygen"])
    assert "Measure chlorine in the garden pond" in judgement_line(speaker, JUDGEMENTS["home-pond/chlorine"])
    assert "whatever" in judgement_line(speaker, JUDGEMENTS["revival-1/chlorine"])
    assert "18 °C to 26 °C" in judgement_line(speaker, JUDGEMENTS["hospital-1/temperature"])
    for plain in ("home-pond/oxygen", "mains/chlorine"):
        assert "in 20" not in judgement_line(speaker, JUDGEMENTS[plain])


def test_an_action_begins_with_its_verb_and_ends_with_its_stop(speaker):
    assert action_line(speaker, ACTIONS["procedure/air/induction-1"]) == (
        "☐ Turn the air on in the white basin: 6 L/min through 2 air stones; by Thu 14 May, 10:24; "
        "keep it on while a fish is in it."
    )
    warm = action_line(speaker, ACTIONS["hospital/warm/hospital-1"])
    assert warm.startswith("☐ Warm the hospital tank to 21 °C")
    assert warm.endswith("then hold.")


def test_parts_are_told_with_the_whole(speaker):
    change = ACTIONS["hospital/change/hospital-1"].model_copy(update={"part_every_h": 0.5})
    said = action_line(speaker, change)
    assert "225 L" in said
    # Half an hour lies between two parts of one change.
    assert "each day; in 2 parts at 10:00, 10:30: 115 + 110" in said
    assert "450 g of salt" in said


def test_what_is_measured_out_is_never_lost(speaker):
    action = ACTIONS["hospital/warm/hospital-1"]
    more = action.model_copy(update={"amounts": {**action.amounts, "tracer-salt": "hospital-1/salt/change"}})
    assert "salt for a tracer test 450 g" in action_line(speaker, more)


def test_the_steps_of_the_way_home_are_a_line_each_on_a_page_and_run_on_in_plain_text():
    plan = demo_plan("ordinary_goldfish")
    (way,) = acclimations(plan)
    page = action_line(Speaker(plan, marked=True), way)
    marked = re.findall(r"<span data-step=[^>]*>(\(\d\))", page)
    assert marked == [f"({number})" for number in range(1, len(way.steps) + 1)]
    assert len(marked) > 1
    for look in LOOKS:
        assert "[data-step] { display: block;" in look.read_text(encoding="utf-8")
    assert "<" not in action_line(Speaker(plan), way)


def test_a_refusal_has_three_parts(speaker):
    said = action_line(speaker, ACTIONS["procedure/dose/home-pond/potassium permanganate"])
    assert said.startswith("⊘ Refused: potassium permanganate in the garden pond.")
    assert "Because: Formalin and potassium permanganate must never be in the same water." in said
    assert "Instead: Wait. Formalin is still in the garden pond. Ask the veterinarian." in said
    assert ".." not in said


def test_what_was_done_is_told_as_done(speaker):
    assert action_line(speaker, ACTIONS["call/people/home-pond"]).endswith("done Thu 14 May, 08:10.")


def test_a_reading_to_take_says_where_with_what_and_what_for(speaker):
    said = measure_line(speaker, PLAN.first_page.measure_next[0])
    assert said == "Chlorine in the blue tub, by drop kit. It decides chlorine: chlorine kills within the hour"


def test_a_reason_without_a_phrase_is_shown_and_does_not_break_a_paper(speaker):
    assert "not-in-the-book" in speaker.why(Why(code="not-in-the-book"))


@pytest.mark.parametrize(
    "code", ["must not meet", "wound-not-stated", "forbidden-by-rule", "forbidden-if-the-wound-is-open"]
)
def test_every_rule_of_what_must_not_meet_is_a_sentence_with_one_full_stop(speaker, code):
    """Malachite green is the name of a substance and of a rule: as a rule it is told as one."""
    for row in tables.table("conflicts"):
        said = speaker.why(Why(code=code, words={"rule": row["rule"]}))
        assert said.endswith(".")
        assert ".." not in said
        assert " " in said.strip()
        assert said.lower() != row["rule"].lower()


def test_no_substance_goes_by_the_name_that_the_tables_have_for_it(speaker):
    names = {row["thing"] for row in tables.table("dose_substances")} | {
        row["agent"] for row in tables.table("filter_damage")
    }
    assert not [one for one in names if "_" in speaker.word(one)]


def test_a_word_is_a_name_a_time_or_the_cases_own_text(speaker):
    assert speaker.word("home-pond") == "the garden pond"
    assert speaker.word("2026-05-14T10:00:00+02:00") == "Thu 14 May, 10:00"
    assert speaker.word("oxygen uptake of patient-1") == "oxygen uptake of Copper"
    assert speaker.word("something else") == "something else"
    assert speaker.clock(datetime(2027, 1, 3, 4, 5), "full") == "Sun 3 Jan 2027, 04:05"


@pytest.mark.parametrize("name", ["<b>tub</b>", "52.8 US gal tub", "a, b", "{{ 7 * 7 }}", "[bold]"])
def test_a_name_is_said_as_it_was_written(name):
    waters = tuple(one.model_copy(update={"name": name}) if one.id == "induction-1" else one for one in PLAN.waters)
    plan = PLAN.model_copy(update={"waters": waters})
    assert name in action_line(Speaker(plan), ACTIONS["procedure/air/induction-1"])
    marked = action_line(Speaker(plan, marked=True), ACTIONS["procedure/air/induction-1"])
    assert "<b>" not in marked


def test_a_bath_tells_its_minutes_and_the_clock_of_the_way_out(speaker):
    dose = next(one for one in PLAN.actions if one.kind == "dose" and one.is_open)
    figure = next(path for path, one in PLAN.figures.items() if one.unit == "min" and one.act_on)
    into = next(one.id for one in PLAN.waters if one.kind == "hospital")
    bath = dose.model_copy(
        update={
            "amounts": {**dose.amounts, "time": figure},
            "until": datetime(2026, 5, 14, 11),
            "words": {**dose.words, "out into": into},
        }
    )
    line = action_line(speaker, bath)
    assert (
        f"fish out after {speaker.figure(figure)} at most, at Thu 14 May, 11:00, into {speaker.name(into, article=True)}"
        in line
    )
    assert "at the first sign of distress" in line


def test_what_gets_worse_with_all_that_is_planned_is_said_once_and_names_each_thing():
    plan = demo_plan("orfe_in_a_heatwave")
    speaker = Speaker(plan)
    worse = {
        one.id: [why for why in one.costs if why.code == "less-well-with-all-that-is-planned"] for one in plan.actions
    }
    assert max(map(len, worse.values())) > 1
    for one in plan.actions:
        told = [text for text in cautions(speaker, one) if text.startswith("With all that is planned")]
        assert len(told) == bool(worse[one.id])
        for why in worse[one.id]:
            assert speaker.title(why.words["judgement"]) in told[0]
