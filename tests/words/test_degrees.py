"""Differences of temperature: in US units a step of degrees, and never a reading of a thermometer."""

import pytest

from tests.demos import DEMOS, demo_plan
from waterplan import tables
from waterplan.hazards.record import Hazard
from waterplan.words.lines import judgement_words
from waterplan.words.speaker import Speaker

# Tables of which each row in degrees is a difference, and what is one in others.
ALL_STEPS = "temperature_steps"
STEPS = (
    ("ramp_rates", "temperature"),
    ("defaults", "room swing"),
    ("heat_rates", "thermostat/band"),
    ("heat_rates", "thermostat/off"),
)


def test_a_step_of_one_degree_is_printed_as_nine_fifths() -> None:
    """After an anaesthetic the step is 1 °C: 1 x 9/5 = 1.8 °F. As a reading of a thermometer it would be 33.8 °F."""
    made = demo_plan("sturgeon_fin")
    us = Speaker(made, "us")
    steps = [one for one in made.judgements if one.hazard is Hazard.TEMPERATURE_STEP and one.limit]
    revived = [one for one in steps if one.limit and one.limit.value == 1.0]
    assert revived
    assert {us.limit(one.limit) for one in revived} == {"at most 1.8 °F"}
    for one in made.actions:
        if path := one.amounts.get("within"):
            assert made.figures[path].unit != "°C"


@pytest.mark.parametrize("name", DEMOS)
def test_no_step_reads_as_far_as_a_thermometer(name: str) -> None:
    """The figure of a step, in °F, is 9/5 of its °C: it cannot be 32 more."""
    made = demo_plan(name)
    us = Speaker(made, "us")
    for one in made.judgements:
        if (
            one.hazard is Hazard.TEMPERATURE_STEP
            and one.figure
            and (degrees := made.figures[one.figure].act_on) is not None
        ):
            shown = judgement_words(us, one)["figure"]
            assert float(str(shown).split()[0]) == pytest.approx(1.8 * degrees, rel=0.01, abs=0.01)


def test_degrees_inside_a_sentence_are_the_readers_too() -> None:
    """A convalescent is warmed by 1 °C an hour and 2 °C a day: 1.8 and 3.6 °F; above 21 °C, 21 x 9/5 + 32 = 69.8 °F."""
    us = Speaker(demo_plan("sturgeon_fin"), "us")
    assert "at most 1.8 °F an hour and 3.6 °F a day" in us.say("alarm.temperature")
    assert "above 69.8 °F" in us.say("rule.formalin in warm water")
    assert "above 21 °C" in Speaker(demo_plan("sturgeon_fin")).say("rule.formalin in warm water")


def test_the_tables_call_a_difference_a_step() -> None:
    named = [row for table, name in STEPS for row in tables.table(table) if name in row.id and "°C" in row.unit]
    assert len(named) == len(STEPS)
    for row in (*tables.table(ALL_STEPS), *named):
        assert row.unit == "°C step", row.id
