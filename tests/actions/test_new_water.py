"""New water by its kind: what it is assumed to hold, what is done to it before a fish, and what never."""

from functools import cache

import pytest

from tests.actions.made import EXACT, act_on, context_of, ground_of, judged, only
from tests.actions.written import exactly
from tests.demos import demo_plan, longer_but_for
from waterplan import tables
from waterplan.actions.needs import need_of
from waterplan.actions.new_water import new_water
from waterplan.actions.record import Action, Kind
from waterplan.actions.source import amounts_of
from waterplan.actions.treating import degas, neutralise
from waterplan.case import read_case
from waterplan.case.choices import Source
from waterplan.hazards.record import Hazard, Verdict
from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import paper
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.effects import Changed
from waterplan.stay.quantities import Q
from waterplan.stay.waters import HOME, MAINS
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

READ = EXACT.partition("[mains_water]")[2].partition("[[vessels]]")[0]
WORST = ("chlorine", "ammonia")
# What becomes of new water is seen on the day on which it is poured.
TWO_DAYS = 'days = "2 days"\n'


def case_of(new: str) -> str:
    """The exact case with other new water."""
    return EXACT.replace(READ, f"\n{new}\n")


def plan_of(new: str) -> Plan:
    return treated(new=new)


def stated(kind: str, *more: str) -> str:
    return "\n".join([f'kind = "{kind}"', *more])


def told(found: Action) -> set[str]:
    return {why.code for why in (*found.steps, *found.cautions)}


@pytest.mark.parametrize("kind", [one.value for one in Source if one is not Source.HOT_TAP])
def test_each_kind_has_its_steps_and_what_is_never_done(kind: str) -> None:
    found = only(new_water(context_of(ground_of(case_of(stated(kind))))), Kind.NEW_WATER).action
    assert not found.refused_because
    rows = tables.rows("source_steps", kind=kind)
    assert told(found) >= {row["code"] for row in rows}
    assert {row["part"] for row in rows} == {"step", "never"}


def test_no_fish_goes_into_hot_tap_water_nor_into_what_was_filled_with_it() -> None:
    found = plan_of(stated("hot tap"))
    assert next(one for one in found.actions if one.kind is Kind.NEW_WATER).refused_because[0].code == "hot-tap"
    refused = {one.water for one in found.judgements if one.verdict is Verdict.REFUSED and "hot-tap" in one.id}
    assert refused == {MAINS, "hospital-1"}
    poured = [one for one in found.actions if one.kind is Kind.CHANGE and not one.refused_because]
    assert MAINS not in {one.source for one in poured}


def test_rain_is_buffered_for_the_least_that_it_may_hold() -> None:
    """By hand: nobody read it, so it may hold as little as 1 mg/L of alkalinity; 60 is wanted.

    A milligram of CaCO3 takes 84.007 / 50.043 = 1.6787 mg of bicarbonate: (60 - 1) x 1.6787 = 99.04 mg/L, 9.904 g in
    100 L. Read as 5 mg/L it is 55 x 1.6787 = 92.33 mg/L, 9.233 g. A scale shows tenths of a gram: 10.0 and 9.3.
    """
    for more, grams in (((), 10.0), (('alkalinity = "5 ± 0 mg/L as CaCO3"', 'ph = "5.6 ± 0"'), 9.3)):
        context = context_of(ground_of(case_of(stated("rain", *more))))
        found = only(new_water(context), Kind.NEW_WATER)
        assert act_on(context, found.action.amounts["bicarbonate"]) == grams
        assert act_on(context, found.action.amounts["litres"]) == 100.0
        after = context_of(context.ground, accepted=(found,)).stay
        assert after[MAINS].start[Q.ALKALINITY].min() >= 60.0
        assert after["hospital-1"].start[Q.ALKALINITY].min() >= 60.0


def test_softened_water_keeps_its_alkalinity_and_is_not_buffered() -> None:
    soft, tap = (ground_of(case_of(stated(kind))) for kind in ("softened", "tap"))
    found = only(new_water(context_of(soft)), Kind.NEW_WATER).action
    assert not found.amounts
    there = [context_of(one).stay[MAINS].start for one in (soft, tap)]
    assert there[0][Q.ALKALINITY].tolist() == there[1][Q.ALKALINITY].tolist()
    assert there[0][Q.SALT].max() > there[1][Q.SALT].max()


def test_well_water_is_aired_until_it_holds_oxygen() -> None:
    """By hand: what is lacking of saturation sinks as exp(-k t), from all of it to a twentieth in ln 20 / k = 2.996 / k.

    From half of it, in ln 10 / k = 2.303 / k: 0.7686 of the time, whatever the stone's k is. Gas is at the air's own, and
    carbon dioxide (pH 8 at an alkalinity of 100: under 3 mg/L) at less than its limit.
    """
    hours = []
    for oxygen in (0, 50):
        more = (f'oxygen = "{oxygen} ± 0 % saturation"', 'temperature = "18 ± 0 °C"', 'ph = "8 ± 0"')
        text = stated("well", *more, 'alkalinity = "100 ± 0 mg/L as CaCO3"', 'gas_pressure = "100 ± 0 %"')
        ground = ground_of(case_of(text))
        context = context_of(ground, judged(ground, MAINS, Hazard.GAS_PRESSURE, limit=105.0))
        found = only(degas(context), Kind.DEGAS).action
        hours.append(context.figures.record(found.amounts["hours"]).best)
        assert next(one for one in found.cautions if one.code == "degas-until-it-reads").figures
    assert hours[1] / hours[0] == pytest.approx(2.302585 / 2.995732, rel=1e-3)


def test_carbon_dioxide_of_a_well_makes_the_airing_longer() -> None:
    """By hand: at pH 6.6 and an alkalinity of 300 there are some 150 mg/L; to 20 it takes ln 7.5 = 2.01 times 1 / k,

    and at pH 6.3 there is twice as much, ln 15 = 2.71 times.
    """
    hours = []
    for ph in (6.6, 6.3):
        more = (f'ph = "{ph} ± 0"', 'temperature = "18 ± 0 °C"', 'oxygen = "95 ± 0 % saturation"')
        ground = ground_of(
            case_of(stated("well", *more, 'alkalinity = "300 ± 0 mg/L as CaCO3"', 'gas_pressure = "100 ± 0 %"'))
        )
        context = context_of(ground, judged(ground, MAINS, Hazard.GAS_PRESSURE, limit=105.0))
        co2 = context.stay[MAINS].start[Q.CARBON_DIOXIDE][0]
        assert co2 == pytest.approx(150.0 if ph == 6.6 else 300.0, rel=0.15)
        hours.append(context.figures.record(only(degas(context), Kind.DEGAS).action.amounts["hours"]).best)
    assert hours[1] / hours[0] == pytest.approx(2.71 / 2.01, rel=0.05)


def grams_for(new: str) -> float:
    """Thiosulphate for a batch of new water of which nobody read the chlorine; none where nobody asks for it."""
    ground = ground_of(case_of(new))
    context = context_of(ground, judged(ground, MAINS, Hazard.CHLORINE, verdict=Verdict.NOT_KNOWN))
    made = [one.action for one in neutralise(context) if one.action.water == MAINS]
    return max((act_on(context, one.amounts["thiosulphate"]) or 0.0 for one in made), default=0.0)


def test_standing_takes_chlorine_away_and_leaves_chloramine() -> None:
    """By hand: 4 mg/L of the worst mains is 0.4 g in 100 L, 7 g of thiosulphate for each: 2.8 g.

    Where only chlorine was in it, 0.2 mg/L at the most is left: 0.02 g, 0.14 g of thiosulphate, 0.2 on a scale.
    """
    chloramine = 'disinfectant = "chloramine"'
    assert grams_for(chloramine) == pytest.approx(2.8, abs=0.2)  # the band's end is not the range's
    assert grams_for(stated("aged", chloramine)) == grams_for(stated("aged")) == grams_for(chloramine)
    assert grams_for(stated("aged", 'disinfectant = "chlorine"')) == pytest.approx(0.2, abs=0.051)


def test_water_of_a_well_is_not_neutralised_but_where_chlorine_goes_in() -> None:
    assert grams_for(stated("well")) == 0.0
    assert grams_for(stated("well", 'disinfectant = "chlorine"')) == grams_for('disinfectant = "chlorine"')


@pytest.mark.parametrize(
    "unknown",
    longer_but_for(
        ('ph = "7.6 ± 0"', stated("aged")),
        ['ph = "7.6 ± 0"', stated("tap"), stated("softened"), stated("hot tap"), stated("aged")],
    ),
)
def test_an_unknown_source_is_never_milder_than_chloraminated_mains(unknown: str) -> None:
    """Verdicts of chlorine and ammonia, the neutraliser, and the ammonia that it leaves, in the tap and in what it fills."""
    worst = plan_of("\n".join(['ph = "7.6 ± 0"', 'disinfectant = "chloramine"']))
    found = plan_of(unknown if unknown.startswith("ph") else f'{unknown}\nph = "7.6 ± 0"')
    mine, theirs = ({one.id: one for one in each.judgements} for each in (found, worst))
    for path, one in theirs.items():
        if one.hazard in WORST and one.water in (MAINS, "hospital-1") and one.before is None:
            assert mine[path].verdict.rank >= one.verdict.rank, path
    for path in (f"{MAINS}/neutralise/thiosulphate", f"{MAINS}/neutralise/ammonia-left"):
        assert (found.figures[path].act_on or 0.0) >= (worst.figures[path].act_on or 0.0)


GASSED = """temperature = "9 ± 0 °C"
ph = "6.5 ± 0"
oxygen = "2 ± 0 mg/L"
alkalinity = "160 ± 0 mg/L as CaCO3"
carbon_dioxide = "60 ± 0 mg/L"
gas_pressure = "118 ± 0 %"
"""


@pytest.mark.parametrize(
    ("water", "total"),
    [
        pytest.param(stated("well", 'disinfectant = "none"', 'tan = "0.3 ± 0 mg/L as N"'), 0.3, id="well"),
        pytest.param(
            stated("tap", 'disinfectant = "chloramine"', 'tan = "0 ± 0 mg/L as N"', 'chlorine = "2 ± 0 mg/L"'),
            0.395,
            id="chloramine",
        ),
    ],
)
def test_gas_that_kills_is_driven_out_and_what_that_frees_of_ammonia_is_told(water: str, total: float) -> None:
    """2 mg/L of chloramine, 70.9 of chlorine to 14 of nitrogen, leave 0.395. At pH 6.5 and 9 °C a two-thousandth of either
    is un-ionised. Brought to 18 °C and aired, 3.2 mmol/L of alkalinity over the 0.017 of carbon dioxide of open air (420
    ppm of 0.041 mol/L) stand at pH 6.4 + log10(188) = 8.67: 1 / (1 + 10^(9.467 - 8.67)) = 13.8 %; the law bears 0.0164.
    """
    found = plan_of(f"{water}\n{GASSED}")
    (degassing,) = (one for one in found.actions if one.kind is Kind.DEGAS and one.water == MAINS)
    assert degassing.is_open
    (cost,) = (one for one in degassing.costs if one.code == "airing-frees-ammonia")
    assert found.figures[cost.figures["ammonia"]].act_on == pytest.approx(0.138 * total, rel=0.06)
    after = next(one for one in found.judgements if one.id == cost.words["judgement"])
    assert after.water == MAINS
    assert after.verdict is Verdict.ACT_NOW
    assert [one.is_open for one in found.actions if one.kind is Kind.ASK and one.water == MAINS] == [True]


FAR = f"""
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.42 ± 0 kg"
eaten = false
[home_pond]
volume = "4000 ± 0 L"
[home_water]
{exactly(temperature=20, ph=7.8, oxygen=8, tan=0.05, nitrite=0.05, alkalinity=110, salinity=0.3, chlorine=0)}[mains_water]
disinfectant = "chloramine"
{exactly(temperature=20, ph=8.3, chlorine=2, tan=0.5, nitrite=0.05, alkalinity=120, salinity=0.3)}[[vessels]]
name = "tank"
use = "hospital"
volume = "60 ± 0 L"
filter = "unseeded"
filled_with = "mains water"
air = "8 L/min"
[intended]
operation_at = 2026-06-09T14:00:00
days = "2 days"
"""
WAY = '[[transports]]\nby = "bag with oxygen"\nvolume = "20 ± 0 L"\nhours = "3 h"\n'


@pytest.mark.parametrize(("way", "away"), [(WAY, [180.0]), ("", [])])
def test_new_water_that_lies_hours_away_is_to_be_fetched(way: str, away: list[float]) -> None:
    """The tap holds ten times the pond's ammonia: the pond is the better source, and the fish's own way tells how far it is."""
    found = plan(read_case(FAR + way), draws=64)
    changes = [one for one in found.actions if one.kind is Kind.CHANGE and one.source == "home-pond" and one.is_open]
    assert changes
    for one in changes:
        assert [found.figures[path].act_on for name, path in one.amounts.items() if name == "away"] == away
        assert ("fetch it first" in action_line(Speaker(found), one)) is bool(away)


# -- neutraliser: once for each litre ---------------------------------------------------------------------------------

CHLORAMINE = """disinfectant = "chloramine"
temperature = "18 ± 0 °C"
ph = "7.6 ± 0"
oxygen = "9 ± 0 mg/L"
tan = "0 ± 0.01 mg/L as N"
nitrite = "0 ± 0.01 mg/L as NO2"
alkalinity = "100 ± 0 mg/L as CaCO3"
salinity = "0.2 ± 0 g/L"
chlorine = "2 ± 0 mg/L"
"""
ANTIDOTE = """
[[doses]]
substance = "thiosulphate pentahydrate"
use = "tap water"
into = "long tank"
bottle = "{bottle}"
scale = "0.1 g"
"""


@cache
def treated(more: str = "", new: str = CHLORAMINE) -> Plan:
    return plan(read_case(f"{case_of(new)}{TWO_DAYS}{more}", file="case"), draws=64)


@pytest.mark.parametrize("bottle", ["", "crystals", "10 mg/mL"])
def test_a_tub_of_tap_water_is_neutralised_once_and_a_page_says_so(bottle: str) -> None:
    """By hand: 1,000 L x 2 mg/L x 7 (what a mg of chlorine takes, rounded up as in the table) is 14 g."""
    made = treated(ANTIDOTE.format(bottle=bottle) if bottle else "")
    tank = [one for one in made.actions if one.substance == "thiosulphate pentahydrate" and one.water == "hospital-1"]
    due = [one for one in tank if one.is_open and one.kind in (Kind.NEUTRALISE, Kind.DOSE)]
    (ordered,) = due
    assert made.figures[ordered.amounts["thiosulphate"]].act_on == pytest.approx(14.0, abs=0.1)
    # What another bottle holds is not what was weighed: it is refused and says that the other is ordered.
    assert [one.kind for one in tank if one.refused_because] == ([Kind.DOSE] if bottle == "10 mg/mL" else [])
    (tap,) = [one for one in made.actions if one.kind is Kind.NEUTRALISE and one.water == MAINS]
    assert "never both" in action_line(Speaker(made), tap)
    assert "never both" not in action_line(Speaker(made), ordered)


@pytest.mark.parametrize(
    "name", longer_but_for(("heron_goldfish", ""), ("hooked_tench", "heron_goldfish", "ordinary_goldfish", ""))
)
def test_a_card_has_one_way_to_neutralise_a_tub(name: str) -> None:
    made = demo_plan(name) if name else treated()
    page = paper("tub-cards.html", Drawings(Speaker(made, marked=True)))
    rows = [row for row in page.split("<tr") if Speaker(made).say("tub.neutraliser") in row]
    assert rows
    assert all(row.count("Add ") <= 1 for row in rows)


def test_what_was_done_by_the_name_of_a_dose_is_not_ordered_again() -> None:
    done = '[[done]]\nat = 2026-05-14T07:00:00\nwhat = "dose"\nwater = "long tank"\nsubstance = "thiosulphate pentahydrate"\n'
    for more in (done, done + ANTIDOTE.format(bottle="crystals")):
        kinds = {Kind.NEUTRALISE, Kind.DOSE}
        tank = [one for one in treated(more).actions if one.water == "hospital-1" and one.kind in kinds]
        assert tank
        assert all(one.done is not None for one in tank)


WELL = CHLORAMINE.replace('"chloramine"', '"none"').replace('chlorine = "2 ± 0 mg/L"\n', "")


@pytest.mark.parametrize("kind", ["well", "rain"])
def test_chlorine_is_not_looked_for_where_nobody_ever_puts_it_in(kind: str) -> None:
    made = treated(new=f'kind = "{kind}"\n{WELL}')
    assert not [one for one in made.actions if one.kind is Kind.NEUTRALISE and one.water in (MAINS, "hospital-1")]
    asked = {one.quantity for one in made.first_page.measure_next if one.water == MAINS}
    assert "chlorine" not in asked
    judged_ = [one for one in made.judgements if one.hazard is Hazard.CHLORINE and one.water in (MAINS, "hospital-1")]
    assert judged_
    assert {one.verdict for one in judged_} == {Verdict.WITHIN_LIMIT}
    # Where mains are said to have none it is read all the same.
    tap = treated(new=WELL)
    assert any(one.verdict is not Verdict.WITHIN_LIMIT for one in tap.judgements if one.water == MAINS)


def test_water_of_a_pond_that_was_read_as_free_of_chlorine_gets_no_neutraliser() -> None:
    for chlorine, wanted in (("0 ± 0.005 mg/L", False), ("0.3 ± 0.01 mg/L", True), ("", True)):
        text = EXACT.replace('chlorine = "0.3 ± 0 mg/L"', f'chlorine = "{chlorine}"' if chlorine else "")
        ground = ground_of(text)
        context = context_of(ground)
        pours = Changed(litres=0.0, source=HOME)
        amounts = amounts_of(need_of(context, context.stay["hospital-1"]), pours, 100.0, "change")
        assert ("thiosulphate" in amounts) is wanted


def test_new_water_is_made_ready_for_the_fish_that_it_is_poured_to() -> None:
    """The trout of the pond never meets the tap's water, which fills the koi's tank alone."""
    context = context_of(
        ground_of(EXACT + '[[other_fish]]\nspecies = "rainbow trout"\ncount = 1\nweight = "1 ± 0 kg"\n')
    )
    met = {water: {one.name for one in need_of(context, context.stay[water]).species} for water in (HOME, MAINS)}
    assert met == {HOME: {"koi", "rainbow trout"}, MAINS: {"koi"}}


def test_a_tub_that_is_aired_is_not_changed_for_its_own_water() -> None:
    """60 mg/L of carbon dioxide goes with the air that the tub is given: what it was filled with does it no good."""
    new = f'kind = "well"\n{WELL}carbon_dioxide = "60 ± 1 mg/L"\n'.replace("7.6", "6.5")
    filled = case_of(new).replace('use = "revival"', 'use = "revival"\nfilled_with = "mains water"\nair = "6 L/min"')
    made = plan(read_case(filled, file="case"), draws=64)
    tub = [one for one in made.actions if one.water == "revival-1" and one.is_open]
    assert any(one.kind is Kind.AIR for one in tub)
    assert not [one for one in tub if one.kind is Kind.CHANGE]
