"""From assessments to a set of judgements: nothing silent, nothing judged twice, figures that stand under their paths."""

from functools import cache

import numpy as np
import pytest

from tests.hazards.hand_made import laid_out
from waterplan.hazards.judging import Judged, judge_all
from waterplan.hazards.record import Hazard, Verdict
from waterplan.hazards.verdict import hazard_row
from waterplan.stay.effects import AirIsOn, Effects, Neutralised
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.whole import stay

BAG = '[[transports]]\nby = "bag with oxygen"\nvolume = "20 L, marked tub"\nhours = "2 h"\n'
WATERS = laid_out(vessel='filled_with = "mains water"', end=f'{BAG}[mains_water]\nchlorine = "0.5 mg/L, drop kit"')


@cache
def judged() -> dict[str, Judged]:
    return judge_all(WATERS)


@pytest.mark.longer
def test_every_water_has_a_judgement_of_each_hazard_that_it_can_have() -> None:
    found = judged()
    for water in WATERS.waters.values():
        if not water.place.stretches and not water.place.pours_into:
            continue
        for hazard in set(Hazard) - {
            Hazard.SIGN,
            Hazard.DISEASE,
        }:  # of which there is one only where something was seen
            said = [one for one in found.values() if (one.record.water, one.record.hazard) == (water.place.id, hazard)]
            assert bool(said) == hazard_row(hazard, water.place.kind).applies, (water.place.id, hazard)


def test_identities_are_paths_and_figures_stand_under_theirs() -> None:
    found = judged()
    for path, one in found.items():
        assert path == one.record.id
        assert path.startswith(f"{one.record.water}/{one.record.hazard}")
        for figure in (one.record.figure, one.record.until_harm):
            assert figure is None or figure in one.sums
    assert found["hospital-1/oxygen"].record.figure == "hospital-1/oxygen/lowest"
    assert found["home-pond/chlorine/call"].record.figure == "home-pond/chlorine/highest/call"


@pytest.mark.longer
def test_what_nothing_was_done_to_is_not_judged_twice() -> None:
    first = judged()
    effects = Effects().with_(Neutralised(action="prepare/neutralise/mains", water="mains"))
    after = judge_all(stay(WATERS.ground, effects))
    assert after["home-pond/oxygen/call"] is first["home-pond/oxygen/call"]
    assert after["mains/chlorine"] is not first["mains/chlorine"]
    assert first["mains/chlorine"].record.verdict is Verdict.ACT_NOW
    assert after["mains/chlorine"].record.verdict is Verdict.WITHIN_LIMIT
    assert after["hospital-1/chlorine"].record.verdict is Verdict.WITHIN_LIMIT
    # each has the figures of its own stay
    assert after["mains/chlorine"].sums["mains/chlorine/highest"].draws == pytest.approx(0.0)
    assert first["mains/chlorine"].sums["mains/chlorine/highest"].draws[0] == pytest.approx(0.5)


def test_a_power_cut_is_judged_where_there_is_power() -> None:
    found = judged()
    one = found["hospital-1/oxygen/power off"].record
    assert one.hazard is Hazard.OXYGEN
    assert one.verdict.rank <= Verdict.NOT_KNOWN.rank  # nothing has failed yet
    assert not any("power off" in path for path in found if path.startswith(("bag-1", "mains")))


def test_an_open_hazard_names_what_to_measure() -> None:
    found = judged()
    for one in found.values():
        if one.record.verdict is Verdict.NOT_KNOWN and any(given.decides for given in one.record.inputs):
            assert one.record.measure, one.id


def test_air_softens_oxygen_and_nothing_else_is_lost() -> None:
    tub = laid_out(use="revival", vessel='filled_with = "home water"')
    before = judge_all(tub)
    air = AirIsOn(action="prepare/air/revival-1", water="revival-1", l_per_min=10.0, stones=1)
    after = judge_all(stay(tub.ground, Effects().with_(air)))
    assert set(after) == set(before)
    assert after["revival-1/oxygen"].record.verdict.rank <= before["revival-1/oxygen"].record.verdict.rank


def test_a_bag_is_a_course_of_its_own() -> None:
    bag = WATERS["bag-1"]
    assert bag.place.kind is WaterKind.BAG
    course = bag.course(bag.place.stretches[0])
    # pure oxygen over the water: far more than air gives, and less with every hour
    oxygen = course.values[Q.OXYGEN]
    assert float(oxygen[1].min()) > 20.0
    assert (np.diff(oxygen[1:], axis=0) <= 1e-3).all()
    # ammonia gathers as it is given off: straight with time
    ammonia = course.values[Q.AMMONIA][:, 0].astype(float)
    hours = course.hours - course.start_h
    assert (ammonia - ammonia[0]) / np.where(hours > 0.0, hours, 1.0) == pytest.approx(
        np.where(hours > 0.0, (ammonia[-1] - ammonia[0]) / hours[-1], 0.0), rel=1e-3
    )
    # carbon dioxide gathers, and the pH falls with it once gas and water have shared what is there
    assert (np.diff(course.values[Q.PH][1:, 0]) < 0.0).all()
