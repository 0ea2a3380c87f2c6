"""Grams of feed, by the ration and the weight; and the ammonia that the protein of a feed becomes."""

from datetime import UTC, datetime

import pytest

from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

AT = datetime(2026, 5, 14, 8, tzinfo=UTC)


def made(intended: str, water: str = "") -> Plan:
    text = (
        'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1.2 ± 0 kg"\n[[vessels]]\nname = "vat"\nuse = "hospital"\n'
        f'volume = "1000 ± 1 L"\ntemperature = "18 ± 0.1 °C"\n{water}\n[intended]\noperation_at = 2026-05-14T10:00:00\n'
        f'temperature = "18 °C"\ndays = "2 days"\n{intended}'
    )
    return plan(read_case(text), as_of=AT, draws=64)


def feed(plan: Plan) -> Action | None:
    return next((one for one in plan.actions if one.kind is Kind.FEED), None)


def test_a_ration_is_grams_a_day_and_grams_a_meal() -> None:
    # 0.5 % of 1.2 kg is 6 g a day, 3 g in each of two meals; the first a day after the operation at the soonest.
    one = feed(plan := made('feed = "0.5 ± 0 %/day"\nmeals = 2'))
    assert one is not None
    assert plan.figures[one.amounts["feed"]].act_on == pytest.approx(6.0)
    assert plan.figures[one.amounts["meal"]].act_on == pytest.approx(3.0)
    assert one.at is not None
    assert one.at >= datetime(2026, 5, 15, 10, tzinfo=UTC)
    assert not one.costs


def test_more_than_a_patient_is_given_is_said() -> None:
    # The table's most at 15 to 20 °C is 0.5 % a day.
    one = feed(made('feed = "2 %/day"'))
    assert one is not None
    assert "more-feed-than-a-patient-is-given" in {why.code for why in one.costs}


@pytest.mark.longer
def test_no_feed_is_ordered_where_none_is_meant_or_something_stops_it() -> None:
    assert feed(made("")) is None
    assert feed(made('feed = "0 %/day"')) is None
    bad = made('feed = "0.5 %/day"', 'ph = "8.6 ± 0.05"\ntan = "4 ± 0.1 mg/L as N"')
    assert [one for one in bad.actions if one.kind is Kind.STOP_FEEDING]
    assert feed(bad) is None


@pytest.mark.longer
def test_ammonia_of_a_feed_follows_its_protein() -> None:
    # 0.092 kg of nitrogen for each kilogram of protein (Timmons & Ebeling 2007): as much more for each more.
    def most(protein: str) -> float:
        found = made(f'feed = "2 ± 0 %/day"\nprotein = "{protein} ± 0 %"').figures["hospital-1/ammonia/highest"].best
        assert found is not None
        return found

    little, some, more = most("10"), most("30"), most("50")
    assert more > some > little
    assert more - some == pytest.approx(some - little, rel=0.02)
