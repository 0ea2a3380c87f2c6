"""Each hazard on waters made by hand; the limits are read off the printed tables."""

import numpy as np
import pytest

from tests.hazards.hand_made import exact, judged, laid_out, spread, subject, verdict_of
from waterplan.hazards.record import Hazard, Verdict
from waterplan.hazards.subject import Subject
from waterplan.hazards.verdict import hazard_row
from waterplan.stay.effects import Effects, SubstanceIn
from waterplan.stay.quantities import Q
from waterplan.stay.whole import stay

KOI = laid_out()


@pytest.mark.parametrize("hazard", Hazard)
def test_a_plain_water_is_within_every_limit(hazard: Hazard) -> None:
    about = subject(KOI)
    if not hazard_row(hazard, about.kind).applies:
        return
    if hazard in (Hazard.TEMPERATURE_STEP, Hazard.PH_CHANGE):
        return  # the tub that it comes from is not plain
    if hazard in (Hazard.SIGN, Hazard.DISEASE):
        assert not judged(about, hazard)  # that nothing was seen is not a judgement
        return
    assert {one.record.verdict for one in judged(about, hazard)} == {Verdict.WITHIN_LIMIT}


@pytest.mark.parametrize(
    ("hazard", "known", "said"),
    [
        # total chlorine: 0.011 mg/L over days, 0.019 over an hour (US EPA 1984)
        (Hazard.CHLORINE, {Q.CHLORINE: 0.01}, Verdict.WITHIN_LIMIT),
        (Hazard.CHLORINE, {Q.CHLORINE: 0.02}, Verdict.ACT_NOW),
        # un-ionised ammonia: 0.02 mg/L as NH3 is 0.0164 as N; at pH 7.5 and 18 °C 1.08 % of the total is un-ionised
        (Hazard.AMMONIA, {Q.AMMONIA: 1.4}, Verdict.WITHIN_LIMIT),
        (Hazard.AMMONIA, {Q.AMMONIA: 1.7}, Verdict.ACT_NOW),
        # nitrite: 0.1 mg/L as N is 0.328 as NO2, 0.5 is 1.64; 121 mg/L of chloride is ten times 12.1
        (Hazard.NITRITE, {Q.NITRITE: 0.4}, Verdict.WATCH),
        (Hazard.NITRITE, {Q.NITRITE: 0.4, Q.CHLORIDE: 121.0}, Verdict.WITHIN_LIMIT),
        (Hazard.NITRITE, {Q.NITRITE: 2.0}, Verdict.ACT_NOW),
        (Hazard.NITRITE, {Q.NITRITE: 2.0, Q.CHLORIDE: 121.0}, Verdict.WATCH),
        (Hazard.PH, {Q.PH: 8.6}, Verdict.WATCH),
        (Hazard.PH, {Q.PH: 9.1}, Verdict.ACT_NOW),
        (Hazard.PH, {Q.PH: 6.1}, Verdict.ACT_NOW),
        (Hazard.CARBON_DIOXIDE, {Q.CARBON_DIOXIDE: 22.0}, Verdict.WATCH),
        (Hazard.CARBON_DIOXIDE, {Q.CARBON_DIOXIDE: 31.0}, Verdict.ACT_NOW),
        # a koi is cared for from 3 to 30 °C (law for carp-like fish) and lives to 35
        (Hazard.TEMPERATURE, {Q.TEMPERATURE: 29.5}, Verdict.WITHIN_LIMIT),
        (Hazard.TEMPERATURE, {Q.TEMPERATURE: 30.5}, Verdict.ACT_NOW),
        # prolonged ceiling of carp-like fish 5 g/L, refused above 6
        (Hazard.SALT, {Q.SALT: 4.9}, Verdict.WITHIN_LIMIT),
        (Hazard.SALT, {Q.SALT: 5.5}, Verdict.WATCH),
        (Hazard.SALT, {Q.SALT: 6.5}, Verdict.ACT_NOW),
        (Hazard.ALKALINITY, {Q.ALKALINITY: 50.0}, Verdict.WATCH),
        (Hazard.ALKALINITY, {Q.ALKALINITY: 25.0}, Verdict.ACT_NOW),
        # 1 kg in 190 L is 5.3 kg/m3, over the 5 of a tank with a working filter
        (Hazard.STOCKING, {Q.VOLUME: 190.0}, Verdict.WATCH),
        (Hazard.VOLUME, {Q.VOLUME: exact(spread(200.0, 600.0))}, Verdict.WATCH),
    ],
)
def test_a_level_past_its_limit(hazard: Hazard, known: dict[Q, object], said: Verdict) -> None:
    assert verdict_of(subject(KOI, known=known), hazard) is said  # type: ignore[arg-type]


def test_oxygen_by_its_course() -> None:
    # koi, settled: alarm 5, emergency 3 mg/L
    assert verdict_of(subject(KOI, course={Q.OXYGEN: (9.0, 7.0)}), Hazard.OXYGEN) is Verdict.WITHIN_LIMIT
    assert verdict_of(subject(KOI, course={Q.OXYGEN: (9.0, 4.5)}), Hazard.OXYGEN) is Verdict.ACT_NOW
    assert verdict_of(subject(KOI, course={Q.OXYGEN: (9.0, 2.0)}), Hazard.OXYGEN) is Verdict.ACT_NOW


def test_the_clock_of_oxygen_is_that_to_the_emergency_level() -> None:
    about = subject(KOI, course={Q.OXYGEN: (9.0, 6.0, 3.0, 0.0)})
    one = judged(about, Hazard.OXYGEN)[0]
    assert about.stretch is not None
    third = (about.stretch.until_h - about.stretch.start_h) / 3.0
    clocks = {path.rpartition("/")[2]: sums.draws for path, sums in one.sums.items()}
    assert clocks["until-emergency"][0] == pytest.approx(2.0 * third, rel=1e-5)
    # print has it anywhere between 4 and 2: a third of the way from 6 to 3 before it, and from 3 to 0 after it
    assert (2.0 - 1.0 / 3.0) * third <= clocks["until-emergency"].min() < 1.75 * third
    assert 2.25 * third < clocks["until-emergency"].max() <= (2.0 + 1.0 / 3.0) * third
    # the alarm level, 5, is a third of the way from 6 to 3
    assert clocks["until-alarm"] == pytest.approx(np.full(41, (1.0 + 1.0 / 3.0) * third), rel=1e-5)


def test_oxygen_above_what_the_air_gives_is_not_credited() -> None:
    # 12 mg/L at 18 °C is 2.53 above saturation (9.47): falling by 6 it leaves 3.47 and not 6
    about = subject(KOI, known={Q.OXYGEN: 12.0}, course={Q.OXYGEN: (12.0, 6.0)})
    one = judged(about, Hazard.OXYGEN)[0]
    lowest = next(sums.draws for path, sums in one.sums.items() if path.endswith("lowest"))
    assert lowest == pytest.approx(np.full(41, 6.0), abs=0.02)
    hours = next(sums.draws for path, sums in one.sums.items() if path.endswith("until-alarm"))
    assert about.stretch is not None
    # from 9.47 to 5 is 4.47 of the 6 that it falls
    share = 4.47 / 6.0
    assert hours == pytest.approx(np.full(41, share * (about.stretch.until_h - about.stretch.start_h)), rel=0.01)


def test_the_sensitive_fish_decides() -> None:
    trout = laid_out(species="rainbow trout")
    # 0.01 mg/L as NH3 for trout-like fish is 0.0082 as N: half of carp's
    assert verdict_of(subject(trout, known={Q.AMMONIA: 1.0}), Hazard.AMMONIA) is Verdict.ACT_NOW
    assert verdict_of(subject(KOI, known={Q.AMMONIA: 1.0}), Hazard.AMMONIA) is Verdict.WITHIN_LIMIT
    unknown = laid_out(species="unknown")
    for hazard, quantity, value in (
        (Hazard.TEMPERATURE, Q.TEMPERATURE, 21.0),
        (Hazard.SALT, Q.SALT, 0.8),
        (Hazard.OXYGEN, Q.OXYGEN, 5.5),
    ):
        here = {quantity: value}
        strict, mild = (verdict_of(subject(made, known=here), hazard) for made in (unknown, KOI))
        assert strict.rank > mild.rank


def test_ammonia_is_judged_at_the_ph_that_was_read_where_that_is_worse() -> None:
    # read: pH 8.5; the course has it fall to 7.0, where 2 mg/L would be harmless
    course = {Q.PH: (8.5, 7.0), Q.AMMONIA: (0.1, 1.9), Q.UNIONISED_AMMONIA: (0.01, 0.006)}
    about = subject(KOI, known={Q.PH: 8.5, Q.AMMONIA: 0.1}, course=course)
    first, total = judged(about, Hazard.AMMONIA)
    assert first.record.verdict is Verdict.ACT_NOW
    assert [why.code for why in first.record.why] == ["ammonia-at-read-ph"]
    assert total.record.id == "hospital-1/ammonia/total"
    assert total.record.verdict is Verdict.WITHIN_LIMIT


def test_total_ammonia_has_a_cap_whatever_the_ph() -> None:
    about = subject(KOI, known={Q.PH: 6.3, Q.AMMONIA: 2.5})
    first, total = judged(about, Hazard.AMMONIA)
    assert first.record.verdict is Verdict.WITHIN_LIMIT
    assert total.record.verdict is Verdict.ACT_NOW


def test_an_assumption_that_decides_leaves_it_open_and_is_named() -> None:
    known = {Q.CHLORINE: exact(spread(0.0, 0.2), assumed="home-pond/chlorine")}
    one = judged(subject(KOI, known=known), Hazard.CHLORINE)[0].record
    assert one.verdict is Verdict.NOT_KNOWN
    assert [(need.water, need.quantity) for need in one.measure] == [("home-pond", "chlorine")]
    surely = {Q.CHLORINE: exact(spread(0.1, 4.0), assumed="mains/chlorine")}
    two = judged(subject(KOI, known=surely), Hazard.CHLORINE)[0].record
    assert (two.verdict, two.whatever) == (Verdict.ACT_NOW, True)


def test_a_pond_is_judged_before_dawn() -> None:
    # nobody read it at dawn: it may have sunk to a quarter of saturation, 2.4 mg/L
    one = judged(subject(KOI, "home-pond", known={Q.OXYGEN: 9.0}), Hazard.OXYGEN)[0].record
    assert one.verdict is Verdict.NOT_KNOWN
    assert [need.quantity for need in one.measure] == ["oxygen at dawn"]
    # in the afternoon it is under the emergency level already: so it is in the night
    low = judged(subject(KOI, "home-pond", known={Q.OXYGEN: 2.0}), Hazard.OXYGEN)[0].record
    assert (low.verdict, low.whatever) == (Verdict.ACT_NOW, True)


def test_steps_between_waters() -> None:
    # the fish comes out of the induction tub; after an anaesthetic within 1 °C, 2 at most; pH within 0.5, 1 at most
    made = KOI
    for change, said in ((0.5, Verdict.WITHIN_LIMIT), (1.5, Verdict.WATCH), (2.5, Verdict.ACT_NOW)):
        before = subject(made, "induction-1")
        about = subject(before.stay, known={Q.TEMPERATURE: 18.0 + change})
        assert verdict_of(about, Hazard.TEMPERATURE_STEP) is said
    for change, said in ((-0.4, Verdict.WITHIN_LIMIT), (0.7, Verdict.WATCH), (-1.2, Verdict.ACT_NOW)):
        before = subject(made, "induction-1")
        about = subject(before.stay, known={Q.PH: 7.5 + change})
        assert verdict_of(about, Hazard.PH_CHANGE) is said


def test_total_gas_by_depth() -> None:
    # nitrogen at 110 % of 559.3 umol/kg and oxygen at saturation: about 108 % in all, 58 mmHg
    deep = laid_out(vessel='depth = "1.2 ± 0.001 m"\nshape = "round"\ndiameter = "0.65 ± 0.001 m"')
    rich = {Q.NITROGEN: 615.2, Q.OXYGEN: 9.47}
    assert verdict_of(subject(deep, known=rich), Hazard.GAS_PRESSURE) is Verdict.WITHIN_LIMIT
    shallow = laid_out(vessel='depth = "0.2 ± 0.001 m"\nshape = "round"\ndiameter = "1.6 ± 0.001 m"')
    assert verdict_of(subject(shallow, known=rich), Hazard.GAS_PRESSURE) is Verdict.WATCH
    very = {Q.NITROGEN: 700.0, Q.OXYGEN: 9.47}
    assert verdict_of(subject(deep, known=very), Hazard.GAS_PRESSURE) is Verdict.ACT_NOW


def test_what_is_there_already_is_told_and_meets_the_rules() -> None:
    made = laid_out(
        end='[[already]]\nwhat = "formalin"\nwhere = "tub"\n[[already]]\nwhat = "permanganate"\nwhere = "tub"\nlevel = "2 mg/L"'
    )
    about = subject(made)
    found = {one.record.id: one.record.verdict for one in judged(about, Hazard.SUBSTANCE)}
    assert found["hospital-1/substance/formalin"] is Verdict.NOT_KNOWN
    rules = {one.record.id: one.record.verdict for one in judged(about, Hazard.CONFLICT)}
    assert rules["hospital-1/conflict/formalin with permanganate"] is Verdict.REFUSED


def test_a_substance_that_goes_in_is_met_by_every_fish_of_the_water() -> None:
    made = laid_out(species="sturgeon")
    effect = SubstanceIn(action="hospital/dose/hospital-1/copper", water="hospital-1", substance="copper", grams=0.04)
    dosed = stay(made.ground, Effects().with_(effect))
    about = subject(dosed, contents=dosed["hospital-1"].start.contents)
    rules = {one.record.id: one.record.verdict for one in judged(about, Hazard.CONFLICT)}
    assert rules["hospital-1/conflict/copper and a sensitive species"] is Verdict.REFUSED


def test_contradictions_name_both_values() -> None:
    case = laid_out(
        end='[home_water]\noxygen = "6 ± 0.2 mg/L"\noxygen_saturation = "120 ± 2 % saturation"\ntemperature = "18 ± 0.1 °C"\n'
        '[place]\naltitude = "1500 ± 10 m"\nstation_pressure = "101.3 ± 0.1 kPa"'
    )
    pond = case["home-pond"]
    about = Subject(stay=case, water=pond, stretch=pond.place.stretches[0])
    found = {one.record.id: one.record for one in judged(about, Hazard.CONTRADICTION)}
    assert {path.split("/")[-1] for path in found} == {"oxygen", "air-pressure"}
    words = next(one for path, one in found.items() if path.endswith("oxygen")).why[0].words
    assert words["first"].startswith("6 ± 0.2 mg/L")
    assert words["second"].startswith("120 ± 2 %")
    assert {one.verdict for one in found.values()} == {Verdict.NOT_KNOWN}


def test_a_weight_that_does_not_go_with_its_length() -> None:
    # a koi of 65 cm weighs about 4 kg, and not one
    slip = laid_out(more='length = "65 ± 1 cm"')
    light = laid_out(more='length = "38 ± 1 cm"')
    for made, parts in ((slip, ["weight-of-patient-1"]), (light, [])):
        pond = made["home-pond"]
        about = Subject(stay=made, water=pond, stretch=pond.place.stretches[0])
        found = [one.record.id.rpartition("/")[2] for one in judged(about, Hazard.CONTRADICTION)]
        assert [one for one in found if one.startswith("weight")] == parts
