"""Water drawn from a pond that is salted has the salt that went in by then, in tubs and in what changes pour in: by mass."""

from datetime import datetime, timedelta
from functools import cache

import pytest

from tests.demos import one_paper
from tests.visible_text import text_of
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import full_page

POND_L, TANK_L, BEFORE = 8000.0, 400.0, 0.2
READ = """ph = "7.6 ± 0"
alkalinity = "115 ± 0 mg/L as CaCO3"
salinity = "0.2 ± 0 g/L"
tan = "0 ± 0 mg/L as N"
chlorine = "0 ± 0 mg/L"
"""
CASE = f"""waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.31 ± 0 kg"
eaten = false
wound = "closed"
[home_pond]
volume = "{POND_L:g} ± 0 L"
[home_water]
taken = 2026-05-01T05:00:00
ph_taken = 2026-04-30T16:00:00
temperature = "18 ± 0 °C"
oxygen = "8.4 ± 0 mg/L"
nitrite = "{{nitrite}} ± 0 mg/L as NO2"
{READ}{{mains}}[[vessels]]
name = "basin"
use = "induction"
volume = "40 ± 0 L"
[[vessels]]
name = "wake tub"
use = "revival"
volume = "80 ± 0 L"
air = "6 L/min"
[[vessels]]
name = "tank"
use = "hospital"
volume = "{TANK_L:g} ± 0 L"
filled_with = "home water"
filter = "unseeded"
heater = "400 W"
air = "8 L/min"
lid = true
[intended]
operation_at = 2026-05-01T10:00:00
days = "14 days"
feed = "0 %/day"
{{intended}}"""
TAP = f"""[mains_water]
taken = 2026-05-01T05:00:00
disinfectant = "none"
temperature = "18 ± 0 °C"
nitrite = "0 ± 0 mg/L as NO2"
{READ}"""
DOSE = """[[doses]]
substance = "salt"
use = "prolonged"
strength = "2 g/L"
bottle = "powder"
scale = "10 g"
grade = "rock salt, fit for people or livestock"
into = "home pond"
at = 2026-05-{}:00
"""
HALF_CHANGED = '[[events]]\nat = 2026-05-{}:00\nwhat = "water change"\nwater = "home pond"\nvolume = "4000 ± 0 L"\n'


@cache
def made(*more: str, nitrite: str = "0", mains: str = "", intended: str = "") -> Plan:
    text = CASE.format(nitrite=nitrite, mains=mains, intended=intended)
    return plan(read_case(text + "".join(more)), draws=64)


def ordered(of: Plan, kind: Kind, water: str) -> list[Action]:
    return [one for one in of.actions if (one.kind, one.water) == (kind, water) and one.is_open]


def parts_g(of: Plan) -> list[float]:
    """What is weighed into the pond, part by part."""
    (dose,) = ordered(of, Kind.DOSE, "home-pond")
    return list(dose.part_amounts["mass"])


def salt_of_tank(of: Plan, day: float) -> float:
    course = of.series["hospital-1/salt/stay"]
    return next(level for hour, level in zip(course.hours, course.best, strict=True) if hour >= 24.0 * day)


def told(of: Plan) -> str:
    return " ".join(full_page(of).split())


def state(of: Plan) -> dict[str, str]:
    return {one.moment.value: one.state.value for one in of.moments}


def best(of: Plan, path: str) -> float:
    level = of.figures[path].best
    assert level is not None
    return level


def test_a_tank_that_has_no_other_water_is_changed_with_the_salt_of_its_pond_and_is_ready() -> None:
    """Two quarters a day leave 0.75 x 0.75 of the difference: of 1.75 g/L 0.77 is made good on the first day."""
    found = made(DOSE.format("01T15:00"))
    (daily,) = ordered(found, Kind.CHANGE, "hospital-1")
    assert (daily.source, daily.parts) == ("home-pond", 2)
    assert state(found)["hospital"] != "not ready"
    litres = found.figures[daily.amounts["litres"]].act_on
    assert litres is not None
    pond = BEFORE + sum(parts_g(found)) / POND_L
    stays = (1.0 - litres / 2.0 / TANK_L) ** 2
    for day in (1, 2, 5):
        assert salt_of_tank(found, day + 0.1) == pytest.approx(pond - (pond - BEFORE) * stays**day, rel=0.02)
    assert "The home pond is salted from Fri 1 May, 15:00 on: its water brings up to 2 g/L of salt" in told(found)


@pytest.mark.parametrize(("at", "went_in"), [("01T08:30", 1), ("01T11:00", 0)])
def test_a_tub_has_what_went_into_its_pond_before_the_first_fish_goes_in(at: str, went_in: int) -> None:
    """A part at 08:30 is in what is drawn for 10:00, the one 12 h later is not; at 11:00 the tank is to be full already."""
    found = made(DOSE.format(at))
    wanted = BEFORE + sum(parts_g(found)[:went_in]) / POND_L
    for tub in ("induction-1", "revival-1", "hospital-1"):
        assert best(found, f"{tub}/salt/as found") == pytest.approx(wanted, rel=0.01)
    for tub in ("induction-1", "revival-1"):
        assert best(found, f"{tub}/salt/step") == pytest.approx(0.0, abs=0.02)
    later = "Fill the basin, the wake tub, the tank after the salt that is due by then is in"
    assert (later in told(found)) is bool(went_in)
    assert ("Fill the tank before it goes in" in told(found)) is not bool(went_in)
    card = text_of(one_paper(found, "tub-cards.html")).replace("\n", " ")
    assert (f"salt {wanted:.1f} g/L as in the home pond once the salt that is due there is in" in card) is bool(went_in)


def test_a_tub_that_was_read_before_the_salt_goes_in_has_none_of_it() -> None:
    text = CASE.replace('volume = "40 ± 0 L"\n', 'volume = "40 ± 0 L"\ntaken = 2026-05-01T07:30:00\nph = "7.6 ± 0"\n')
    case = text.format(nitrite="0", mains="", intended="") + DOSE.format("01T08:30")
    found = plan(read_case(case), draws=16)
    assert best(found, "induction-1/salt/as found") == pytest.approx(BEFORE)
    assert best(found, "revival-1/salt/as found") > 2.0 * BEFORE
    assert "Fill the wake tub, the tank after the salt" in told(found)


@pytest.mark.parametrize("mains", ["", TAP], ids=["pond alone", "tap too"])
def test_salt_against_nitrite_is_in_what_is_drawn_and_is_not_weighed_in_again(mains: str) -> None:
    """Sodium chloride is 60.66 % chloride by mass; ten times as much of that as nitrite is what the salt is for."""
    found = made(nitrite="3", mains=mains)
    (salt,) = ordered(found, Kind.SALT, "home-pond")
    grams = found.figures[salt.amounts["salt"]].act_on
    assert grams is not None
    for tub in ("induction-1", "revival-1", "hospital-1"):
        chloride, nitrite = (best(found, f"{tub}/{name}/as found") for name in ("chloride", "nitrite"))
        assert chloride == pytest.approx(606.6 * grams / POND_L, rel=0.01)
        if not mains:  # nothing was changed before they are filled
            assert chloride >= 10.0 * nitrite
        assert not ordered(found, Kind.SALT, tub)


def test_a_nitrite_that_only_stops_an_anaesthetic_leaves_the_pond_for_the_tank() -> None:
    """0.8 mg/L, of which its salt keeps out 0.8, in a tank that was filled with it and has no other water."""
    found = made(nitrite="0.8")
    changes = ordered(found, Kind.CHANGE, "hospital-1")
    assert [one.source for one in changes] == ["home-pond"]  # and no fresh tank is changed for what it was filled with
    assert state(found)["hospital"] != "not ready"


def test_a_pond_that_is_changed_before_its_salt_keeps_it_and_one_changed_after_loses_half() -> None:
    for change, kept in (("03T09:00", 1.0), ("08T09:00", 0.5)):
        found = made(DOSE.format("06T09:00"), HALF_CHANGED.format(change), mains=TAP)
        wanted = BEFORE + kept * sum(parts_g(found)) / POND_L
        assert best(found, "home-pond/salt/highest/home/after") == pytest.approx(wanted, rel=0.01)


def test_no_salt_is_weighed_into_new_water_that_brings_it() -> None:
    """A tank that is kept at 2 g/L: its 0.2 g/L of new water wants 1.8 g for each litre, and salted to 2 g/L none."""
    found = made(DOSE.format("06T09:00"), intended='salt = "2 g/L"\n')
    first, then = sorted(ordered(found, Kind.CHANGE, "hospital-1"), key=lambda one: one.at or datetime.max)
    litres, salt = (found.figures[first.amounts[name]].act_on for name in ("litres", "salt"))
    assert litres is not None
    assert salt == pytest.approx((2.0 - BEFORE) * litres, rel=0.02)
    weighed = found.figures[then.amounts["salt"]].act_on if "salt" in then.amounts else 0.0
    assert (weighed or 0.0) <= 0.06 * litres  # the pond is dosed to a little less than 2 g/L
    assert first.until is not None
    assert then.at is not None
    assert first.until < datetime.fromisoformat("2026-05-06T09:00:00+00:00") <= then.at
    assert then.at - first.until <= timedelta(days=1)
    assert salt_of_tank(found, 9.0) == pytest.approx(2.0, rel=0.05)


def test_no_salt_comes_to_zeolite_with_the_water_of_a_pond() -> None:
    zeolite = '[[already]]\nwhat = "zeolite"\nwhere = "tank"\ngrams = "500 g"\n'
    found = made(DOSE.format("03T08:30"), zeolite)
    dosed = datetime.fromisoformat("2026-05-03T08:30:00+00:00")
    changes = ordered(found, Kind.CHANGE, "hospital-1")
    assert changes
    assert all((one.until or one.at or dosed) < dosed for one in changes)
    assert max(found.series["hospital-1/salt/stay"].best) < 1.5 * BEFORE


def test_a_fish_goes_home_into_what_its_pond_holds_by_then() -> None:
    """It goes on the 15th; what is meant for the 20th is not there yet."""
    for at, there in (("06T09:00", 2.0), ("20T09:00", BEFORE)):
        found = made(DOSE.format(at))
        (way,) = ordered(found, Kind.ACCLIMATE, "home-pond")
        assert best(found, way.steps[-1].figures["salt"]) == pytest.approx(there, rel=0.05)


def test_what_is_not_salt_is_kept_out_of_the_tubs_by_filling_them_first() -> None:
    bath = DOSE.format("01T08:30").replace("prolonged", "bath").replace('"salt"', '"potassium permanganate"')
    found = made(bath.replace("2 g/L", "2 mg/L").replace('grade = "rock salt, fit for people or livestock"\n', ""))
    assert ordered(found, Kind.DOSE, "home-pond")
    assert "Fill the basin, the wake tub, the tank before it goes in" in told(found)


def test_salt_that_was_due_and_is_not_done_comes_with_the_water_from_now_on() -> None:
    """Two days late, at 09:00: its first part is in the change of 10:00, and the second, 12 h later, in that of the next day."""
    text = CASE.format(nitrite="0", mains="", intended="") + DOSE.format("01T15:00")
    now = datetime.fromisoformat("2026-05-03T09:00:00+00:00")
    found = plan(read_case(text), as_of=now, draws=64)
    (dose,) = ordered(found, Kind.DOSE, "home-pond")
    assert dose.at == now
    (daily,) = ordered(found, Kind.CHANGE, "hospital-1")
    litres = found.figures[daily.amounts["litres"]].act_on
    assert litres is not None
    first, second = parts_g(found)
    stays, level, pond = (1.0 - litres / 2.0 / TANK_L) ** 2, BEFORE, BEFORE
    for day, part in ((0, first), (1, second)):
        pond += part / POND_L
        level = pond - (pond - level) * stays
        assert salt_of_tank(found, day + 0.2) == pytest.approx(level, rel=0.02)


def test_a_pond_whose_nitrite_is_under_its_limit_is_not_refused_for_holding_as_little_as_the_tank() -> None:
    """On the third day nothing was read again: nitrite of the tank is not known, and 0 of the pond makes it no worse."""
    text = CASE.format(nitrite="0", mains="", intended="")
    found = plan(read_case(text), as_of=datetime.fromisoformat("2026-05-03T09:00:00+00:00"), draws=64)
    assert [one.source for one in ordered(found, Kind.CHANGE, "hospital-1")] == ["home-pond"]


def test_the_ward_is_told_of_the_limit_that_holds_once_the_salt_of_the_pond_is_in() -> None:
    told = " ".join(text_of(one_paper(made(nitrite="3"), "hospital.html")).split())
    assert "nitrite at most 0.32 mg/L as NO₂ until all the salt is in, then at most 1.6" in told
