"""A bag: its ammonia while it is closed and once it is open, and how it is packed where it is too full."""

from functools import cache

import pytest

from tests.demos import longer_but_for
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Verdict
from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import paper
from waterplan.plan.record import Plan, Readiness
from waterplan.plan.whole import plan
from waterplan.stay.record import Moment
from waterplan.words.speaker import Speaker

CASE = """
waterplan_case = 1
[patient]
species = "koi"
weight = "{kg} ± 0 kg"
length = "{cm} ± 0 cm"
[home_pond]
volume = "10000 ± 0 L"
[home_water]
temperature = "20 ± 0 °C"
ph = "{ph} ± 0"
oxygen = "9 ± 0 mg/L"
tan = "0.2 ± 0 mg/L as N"
nitrite = "0.05 ± 0 mg/L as NO2"
alkalinity = "100 ± 0 mg/L as CaCO3"
salinity = "0.2 ± 0 g/L"
chlorine = "0 ± 0 mg/L"
[transport]
by = "bag with oxygen"
volume = "{litres} ± 0 L"
temperature = "20 ± 0 °C"
hours = "{hours} h"
[intended]
operation_at = 2026-05-14T10:00:00
"""


@cache
def plan_of(kg: float = 2.0, ph: float = 8.2, litres: float = 8.0, hours: float = 4.0) -> Plan:
    cm = round(40.0 * kg ** (1 / 3), 1)
    return plan(read_case(CASE.format(kg=kg, cm=cm, ph=ph, litres=litres, hours=hours)), draws=64)


def best(found: Plan, path: str) -> float:
    value = found.figures[path].best
    assert value is not None
    return value


def packed(found: Plan) -> Action:
    (one,) = (one for one in found.actions if one.kind is Kind.PACK)
    return one


def acted(found: Plan, name: str) -> float:
    act_on = found.figures[packed(found).amounts[name]].act_on
    assert act_on is not None
    return act_on


def test_a_closed_bag_is_judged_at_its_own_later_ph() -> None:
    """By hand: 2 kg give off 5 mg/kg/h for 4 h into 8 - 2 = 6 L: 40 / 6 = 6.67 mg/L of nitrogen, on 0.2 that were there.

    It takes 67.4 x 2000^-0.193 x e^1.124 = 47.8 mg/kg/h at rest, 2.5 times that for half an hour, 1.5 times for the next hour,
    and 1.4 times as it is carried: 6.25 times an hour's in all, 598 mg, or 598 / 31.998 x 0.9 = 16.8 mmol of carbon dioxide.
    Filled at pH 7.4 with 2.0 meq/L (pK1 6.38), 6 L hold 6 x (2.0 + 2.0 / 10^1.02) = 13.1 mmol. Of the 29.9 mmol
    6 x 2.48 = 14.9 are bicarbonate; 15.0 are shared between 6 L of water and 24 L of gas, which hold 1 / (24.06 x 0.0391) =
    1.06 times as much a litre: 15.0 / 31.5 = 0.477 mmol/L, pH 6.38 + log10(2.48 / 0.477) = 7.10. There a share of
    1 / (1 + 10^2.30) = 0.0050 is un-ionised; at the pH of 7.4 (pKa 9.40 at 20 °C) it would be twice that.
    """
    found = plan_of(ph=7.4)
    ph = best(found, "bag-1/ph/farthest")
    assert ph == pytest.approx(7.10, abs=0.05)
    by_hand = 6.87 / (1.0 + 10.0 ** (9.40 - ph))
    assert best(found, "bag-1/un-ionised ammonia/highest") == pytest.approx(by_hand, rel=0.05)


def test_an_open_bag_is_judged_at_the_ph_to_which_it_airs() -> None:
    """By hand: 6.67 mg/L of nitrogen bring 6.67 / 14.007 = 0.476 meq/L of alkalinity to the 2.0: 2.474 meq/L.

    Open air of 420 ppm puts 0.0391 x 0.00042 x 0.977 = 1.60e-5 mol/L of carbon dioxide into water of 20 °C. With pK1 = 6.38
    the pH is 6.38 + log10(2.474e-3 / 1.60e-5) = 8.57; a share of 1 / (1 + 10^0.83) = 0.129 of 6.87 mg/L is 0.89 mg/L.
    """
    found = plan_of()
    assert best(found, "bag-1/un-ionised ammonia/opened") == pytest.approx(0.89, rel=0.08)
    opened = next(one for one in found.judgements if one.id == "bag-1/ammonia/opened")
    assert opened.verdict is Verdict.WATCH
    assert [why.code for why in opened.why] == ["lift-the-fish-out-of-the-bag"]


def test_a_crowded_bag_takes_more_water() -> None:
    """By hand: a bag carries 0.05 kg in a litre, so a koi of 0.6 kg takes 0.6 / 0.05 = 12 L, where 8 L hold 75 kg/m³."""
    found = plan_of(kg=0.6, ph=7.0, hours=1.0)
    assert acted(found, "litres") == 12.0
    after = next(one for one in found.judgements if one.id == "bag-1/stocking/after")
    assert (after.verdict, best(found, after.figure or "")) == (Verdict.WITHIN_LIMIT, pytest.approx(50.0))
    told = {why.code for why in packed(found).cautions}
    assert told >= {"fewer-fish-in-the-bag", "or-a-box-with-air", "lift-the-fish-out-of-the-bag"}


def test_a_fish_that_no_bag_carries_is_refused_or_has_a_shorter_way() -> None:
    """By hand: 2 kg take 2 / 0.05 = 40 L, and a large bag holds 20. Its carbon dioxide bounds the way all the same."""
    one = packed(plan_of())
    assert "litres" not in one.amounts
    assert "no-bag-will-do" in {why.code for why in (*one.costs, *one.refused_because)}


def test_a_fish_beyond_what_farms_load_has_no_bag_however_short_the_way() -> None:
    """By hand: farms load 0.9 lb/US gal at least, 108 kg/m³: 2.16 kg in the largest bag of 20 L. A koi of 2.5 kg wants
    2.5 / 0.05 = 50 L in a box with air; no minutes are named in which it might go all the same."""
    found = plan_of(kg=2.5, hours=1.0)
    one = packed(found)
    assert [why.code for why in one.refused_because] == ["no-bag-will-do"]
    assert best(found, one.refused_because[0].figures["wanted"]) == pytest.approx(50.0)
    assert next(why.code for way in one.instead for why in way.because) == "or-a-box-with-air"


def test_fish_too_heavy_together_have_as_many_bags_as_they_take() -> None:
    """By hand: a bag of 20 L carries 20 x 0.05 = 1 kg: two of 0.4 kg, and the patient of 0.9 alone. Six of them take three,
    with the patient's four."""
    text = CASE.format(kg=0.9, cm=38.6, ph=7.4, litres=15.0, hours=1.0)
    shoal = '[[patients]]\nspecies = "koi"\ncount = 6\nweight = "0.4 ± 0 kg"\nlength = "29.5 ± 0 cm"\n'
    text = text.replace("[patient]", "[[patients]]").replace("[home_pond]", f"{shoal}[home_pond]")
    found = plan(read_case(text), draws=64)
    (why,) = (why for way in packed(found).instead for why in way.because if why.code == "several-bags")
    assert best(found, why.figures["bags"]) == 4.0
    assert best(found, why.figures["litres"]) == 20.0


@pytest.mark.parametrize("worse", [{"kg": 2.1}, {"litres": 7.0}])
def test_more_fish_or_less_water_makes_the_way_no_longer(worse: dict[str, float]) -> None:
    """The clock of carbon dioxide: 40 mg/L to 80 mg/L is what fish stand on the way, and a heavier fish is there sooner."""
    assert acted(plan_of(hours=9.0, **worse), "hours") < acted(plan_of(hours=9.0), "hours")


def test_a_bag_that_is_large_enough_is_left_as_it_is() -> None:
    found = plan_of(kg=0.3, ph=7.0, litres=10.0, hours=1.0)
    assert not [one for one in found.actions if one.kind is Kind.PACK]


@pytest.mark.parametrize(
    ("pond", "closed", "gas", "said"),
    [
        # The standard atmosphere, 101.325 (1 - 2.25577e-5 h)^5.25588: 84.556 kPa at 1,500 m: 101.325 / 84.556 = 1.198.
        ("1500 ± 0 m", "0 ± 0 m", 119.8, "bag-swells-on-the-way-up"),
        ("0 ± 0 m", "1500 ± 0 m", None, "bag-shrinks-on-the-way-down"),
    ],
)
def test_a_bag_that_was_closed_at_another_height(pond: str, closed: str, gas: float | None, said: str) -> None:
    """Up: its water holds 119.8 % of what the air up there does. Down: its oxygen is 84.556 / 101.325 = 0.83 of that of as many
    litres closed at the pond, and lasts no longer."""
    text = CASE.format(kg=0.6, cm=33.7, ph=7.4, litres=12.0, hours=3.0).replace(
        "[home_pond]", f'[place]\naltitude = "{pond}"\n[home_pond]'
    )
    here = plan(read_case(text), draws=64)
    there = plan(read_case(text.replace("[transport]", f'[transport]\naltitude = "{closed}"')), draws=64)
    of_gas = next(one for one in there.judgements if one.id == "bag-1/gas pressure")
    assert said in {why.code for why in of_gas.why}
    assert said not in {why.code for one in here.judgements for why in one.why}
    if gas is not None:
        assert best(there, of_gas.figure or "") == pytest.approx(gas, abs=0.1)
    lasts = [best(one, "bag-1/oxygen/lowest") for one in (here, there)]
    assert lasts[1] > lasts[0] if gas else lasts[1] < lasts[0]


def test_less_oxygen_over_more_water_keeps_ammonia_down_and_is_accepted_when_entered() -> None:
    """Gas over the water takes carbon dioxide out of it, and so raises the pH and the share of ammonia that burns gills.

    By hand for 0.42 kg in 9.6 L for 3 h: with no gas all of about 4.5 mmol of carbon dioxide breathed out stays in the water,
    with three litres of gas to one of water about a quarter of it: log10 4, 0.6 of a pH, four times the share.
    """
    found = plan_of(kg=0.42, ph=7.8, litres=10.0, hours=3.0)
    one = packed(found)
    assert not one.refused_because
    litres, gas = acted(found, "litres"), acted(found, "gas")
    assert litres > 10.0
    assert gas < 3.0 * litres
    text = CASE.format(kg=0.42, cm=round(40.0 * 0.42 ** (1 / 3), 1), ph=7.8, litres=litres, hours=3.0)
    entered = plan(read_case(text.replace("[intended]", f'oxygen = "{gas} ± 0 L"\n[intended]', 1)), draws=64)
    assert not [each for each in entered.actions if each.kind is Kind.PACK]
    closed = next(each for each in entered.judgements if each.id == "bag-1/ammonia")
    assert closed.verdict is Verdict.WITHIN_LIMIT


def test_where_no_bag_keeps_the_limit_one_keeps_the_fish_from_harm() -> None:
    """As `kills` has it: past the limit less often than kept, and past what harms less than once in 20, is watched."""
    found = plan_of(kg=0.42, ph=8.0, litres=10.0, hours=3.0)
    before, after = (next(one for one in found.judgements if one.id == f"bag-1/ammonia{at}") for at in ("", "/after"))
    assert (before.verdict, after.verdict) == (Verdict.ACT_NOW, Verdict.WATCH)
    assert {"gas", "litres"} & set(packed(found).amounts)


def test_a_bag_that_is_only_watched_for_its_ammonia_is_not_refused() -> None:
    """A larger bag than any that the plan would take: past the limit of a pond by the end, and from harm for hours yet."""
    text = CASE.format(kg=0.42, cm=30.0, ph=7.9, litres=30.0, hours=6.0)
    found = plan(read_case(text.replace("[intended]", 'oxygen = "60 ± 0 L"\n[intended]', 1)), draws=64)
    (closed,) = (one for one in found.judgements if one.id == "bag-1/ammonia")
    assert closed.verdict is Verdict.WATCH
    assert not [one for one in found.actions if one.kind is Kind.PACK and one.refused_because]


def test_a_refused_bag_is_refused_on_its_card_and_home_is_not_ready() -> None:
    """250 kg/m³ for half an hour: nothing harms by the clock, and no bag is packed so."""
    found = plan_of(kg=2.5, ph=7.0, litres=10.0, hours=0.5)
    assert packed(found).refused_because
    home = next(one for one in found.moments if one.moment is Moment.HOME)
    assert home.state is Readiness.NOT_READY
    assert "bag-1/stocking" in home.because
    card = paper("transport.html", Drawings(Speaker(found, marked=True)))
    assert "No bag will do for this way" in card
    assert "Open within" not in card
    ready = paper("transport.html", Drawings(Speaker(plan_of(kg=0.3, ph=7.0, litres=10.0, hours=1.0), marked=True)))
    assert "refused" not in ready.casefold().split("</style>")[-1]
    assert "Open within" in ready


@pytest.mark.parametrize("hours", longer_but_for((1.0, 24.0), (1.0, 3.0, 9.0, 24.0)))
def test_one_bag_is_no_way_to_share_fish_out(hours: float) -> None:
    found = plan_of(kg=0.9, ph=8.4, litres=20.0, hours=hours)
    ways = [way for one in found.actions if one.kind is Kind.PACK for way in one.instead]
    assert "several-bags" not in {why.code for way in ways for why in way.because}
