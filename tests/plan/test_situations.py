"""What a plan says where something is unknown, refused, impossible, censored or logged since."""

from datetime import datetime, timedelta

import pytest

from tests.plan.by_hand import EXACT, NH3_LIMIT_MG_N_PER_L, exact, figures, shown, unionised_share
from waterplan.findings import Finding, Moment, Verdict
from waterplan.first_plan.first_case.log import log_from_text
from waterplan.first_plan.first_case.model import Case, Logged
from waterplan.first_plan.first_case.reading import case_from_document, document_from_text
from waterplan.first_plan.whole import Plan, plan
from waterplan.published import Status

DRAWS = 256
OPERATION = datetime(2026, 5, 14, 10)


def planned(*changes: tuple[str, str], **options: object) -> Plan:
    return plan(exact(*changes), draws=DRAWS, **options)  # type: ignore[arg-type]


def without(*keys: str) -> Case:
    """The case by hand without the lines of some keys of the home water."""
    head, _, rest = EXACT.partition("[home_water]")
    water, _, tail = rest.partition("[mains_water]")
    kept = [line for line in water.splitlines() if line.split(" =")[0] not in keys]
    text = f"{head}[home_water]" + "\n".join(kept) + f"\n[mains_water]{tail}"
    return case_from_document(document_from_text(text, file="by hand"), file="by hand")


def text_of(made: Plan, key: str) -> str:
    return shown(made.finding(key))


def cautions_of(finding: Finding) -> str:
    return " | ".join(caution.text for caution in finding.cautions)


# -- what was not measured is grey, never good --------------------------------------------------------------------


def test_a_reading_that_is_lacking_is_grey() -> None:
    made = plan(without("nitrite", "alkalinity"), draws=DRAWS)
    for key in ("home nitrite", "home alkalinity", "home chlorine"):
        finding = made.finding(key)
        assert finding.verdict is Verdict.NOT_MEASURED
        assert finding.value is None
        assert finding.answer.startswith("Not measured")
    assert made.finding("nitrite guard").verdict is Verdict.NOT_MEASURED


@pytest.mark.parametrize(
    ("keys", "verdict"),
    [
        (("oxygen",), Verdict.ACT),  # the ammonia of the case is red whatever the oxygen
        (("tan",), Verdict.QUESTION),
        (("oxygen", "tan"), Verdict.QUESTION),
        (("ph",), Verdict.QUESTION),  # ammonia without its pH says nothing of what is un-ionised
    ],
)
def test_whether_it_is_an_emergency_cannot_be_said_without_oxygen_and_ammonia(
    keys: tuple[str, ...], verdict: Verdict
) -> None:
    made = plan(without(*keys), draws=DRAWS)
    assert made.finding("emergency").verdict is verdict
    assert "Not known" in made.finding("emergency").answer
    assert made.finding("pond fit").verdict in {Verdict.WATCH, Verdict.ACT}, "never good"


def test_a_measured_red_is_never_hidden_by_what_is_grey() -> None:
    made = plan(without("oxygen", "nitrite", "alkalinity"), draws=DRAWS)
    assert made.finding("emergency").verdict is Verdict.ACT
    assert "Un-ionised ammonia" in made.finding("emergency").answer
    assert made.finding("pond fit").verdict is Verdict.ACT


def test_a_pond_that_was_not_measured_at_all_is_no_pond_to_go_back_to() -> None:
    text = EXACT.replace(EXACT[EXACT.index("[home_water]") : EXACT.index("[mains_water]")], "")
    made = plan(case_from_document(document_from_text(text, file="x"), file="x"), draws=DRAWS)
    assert made.finding("pond fit").verdict is Verdict.QUESTION
    assert made.finding("emergency").verdict is Verdict.QUESTION


def test_tap_water_that_was_not_tested_is_taken_for_chlorinated() -> None:
    made = planned(('chlorine = "0.5 ± 0 mg/L"\n', ""))
    finding = made.finding("mains chlorine")
    assert finding.verdict is Verdict.NOT_MEASURED
    assert "chlorinated until a test" in finding.answer


def test_a_zero_of_chlorine_is_not_clear_and_not_red() -> None:
    made = planned(('salinity = "0 ± 0 g/L"', 'salinity = "0 ± 0 g/L"\nchlorine = "0 mg/L, drop kit"'))
    finding = made.finding("home chlorine")
    assert finding.verdict is Verdict.FIGURE
    # The kit reads to 0.05 mg/L; half of its first step is what it may have missed; harm begins at 0.011 (EPA 1984).
    assert figures(shown(finding)) == [0.025, 0.011]


def test_a_kit_that_showed_no_ammonia_gives_a_band_and_no_point() -> None:
    made = planned(('tan = "0.5 ± 0 mg/L as N"', 'tan = "<0.25 mg/L as N, drop kit"'))
    finding = made.finding("home tan")
    assert finding.answer.startswith("At most")
    assert finding.high == pytest.approx(0.95 * 0.25 * unionised_share(8.0, 20.0), rel=0.02)


# -- a key that is missing is asked for by its name ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("gone", "key", "give"),
    [
        ('ph = "8 ± 0"\n', "home tan", "[home_water] ph"),
        ('temperature = "21 ± 0 °C"\n', "ramp", "[intended] temperature"),
        ('use = "hospital"', "ramp", 'a vessel with use = "hospital"'),
        ('use = "hospital"', "daily change", 'a vessel with use = "hospital"'),
        ('use = "revival"', "revival tub", 'a vessel with use = "revival"'),
        ('use = "induction"', "check-by", 'a vessel with use = "induction"'),
    ],
)
def test_what_is_lacking_is_named_as_a_key(gone: str, key: str, give: str) -> None:
    finding = planned((gone, 'use = "dip"' if gone.startswith("use") else "")).finding(key)
    assert finding.verdict is Verdict.QUESTION
    assert finding.answer == f"Give {give}."
    assert finding.value is None


def test_what_was_not_measured_in_a_vessel_is_that_of_the_water_it_was_filled_with() -> None:
    finding = planned(('salinity = "0.5 ± 0 g/L"\n', "")).finding("salt")
    assert finding.value == pytest.approx(640 * 2.0)
    assert "The salinity of the tank was not measured: that of the home water is taken." in cautions_of(finding)


def test_without_any_measured_salt_none_is_dosed() -> None:
    made = planned(
        ('salinity = "0.5 ± 0 g/L"\n', ""), ('alkalinity = "120 ± 0 mg/L as CaCO3"\nsalinity = "0 ± 0 g/L"\n', "")
    )
    assert made.finding("salt").verdict is Verdict.QUESTION
    assert made.finding("salt").answer == "Give salinity of the tank, or of the home water."
    # Oxygen is computed all the same, with the assumption beside it.
    assert "none is counted" in cautions_of(made.finding("saturation"))


def test_the_altitude_that_was_not_given_is_a_named_default() -> None:
    made = planned(('station_pressure = "101.325 ± 0 kPa"\n', ""))
    assert "sea level is assumed" in cautions_of(made.finding("pressure"))
    assert "sea level is assumed" in cautions_of(made.finding("alarm: pool")), "it travels with every sum it enters"
    assert made.finding("pressure").value == pytest.approx(101.325)


def test_a_fish_larger_than_its_tub_is_a_question() -> None:
    made = planned(('"41 ± 0 L"', '"0.9 ± 0 L"'))
    assert made.finding("alarm: tub").verdict is Verdict.QUESTION
    assert "smaller than the fish" in made.finding("alarm: tub").answer


# -- a basis that is not known ------------------------------------------------------------------------------------


def test_nitrite_of_an_unknown_basis_is_computed_both_ways_asked_for_and_not_dosed() -> None:
    made = planned(('"0.2 ± 0 mg/L as NO2"', '"0.4 ± 0 mg/L, basis unknown"'))
    finding = made.finding("home nitrite")
    # 0.4 mg/L as N is 1.314 mg/L of NO2: over the watch level of 0.1 mg/L as N (0.328 as NO2), below 0.5 (1.642).
    said = text_of(made, "home nitrite").replace("as NO2", "")
    assert figures(said) == pytest.approx([1.31, 0.4])
    assert finding.value == pytest.approx(0.4 * 46.005 / 14.007)
    assert finding.verdict is Verdict.WATCH
    assert "ask which it is" in finding.answer
    assert "Ask what the kit reports" in cautions_of(finding)
    guard = made.finding("nitrite guard")
    assert guard.verdict is Verdict.REFUSED
    assert guard.value is None
    assert "ask what the kit reports" in guard.answer


def test_ammonia_of_an_unknown_basis_shows_both_and_acts_on_the_worse() -> None:
    made = planned(('tan = "0.5 ± 0 mg/L as N"', 'tan = "0.4 ± 0 mg/L, basis unknown"'))
    share = unionised_share(8.0, 20.0)
    as_nh3 = 0.4 * 14.007 / 17.031
    shown_figures = figures(text_of(made, "home tan"))
    assert shown_figures[1] == 0.4
    assert shown_figures[0] == pytest.approx(0.4 * share, rel=0.04)
    assert shown_figures[-1] == pytest.approx(as_nh3, rel=0.01)
    assert made.finding("home tan").value == pytest.approx(0.4 * share)


# -- refusals -----------------------------------------------------------------------------------------------------


def test_a_whole_fish_is_never_put_into_iodine() -> None:
    finding = planned().finding("iodine: fish")
    assert finding.verdict is Verdict.REFUSED
    assert finding.standing
    assert finding.value is None
    # Half the goldfish died in 158.8 mg/L of product: 1.6 to 16 mg/L of iodine, 6 to 63 times less than the egg dip.
    assert {158.8, 1.6, 16.0, 100.0, 6.3, 63.0} <= set(figures(finding.answer))
    assert "yalsuyi_2022" in {citation.source for citation in finding.citations}


@pytest.mark.parametrize(
    ("species", "salt", "dip", "refused"),
    [
        ("sturgeon", "2", "20", {"salt", "salt dip"}),
        ("orfe", "2", "20", {"salt dip"}),
        ("koi", "6.5", "35", {"salt", "salt dip"}),
        ("koi", "6", "30", set()),
        ("sturgeon", "1", "1", set()),
    ],
)
def test_salt_is_refused_above_the_species_ceiling(species: str, salt: str, dip: str, refused: set[str]) -> None:
    made = planned(
        ('[patient]\nspecies = "koi"', f'[patient]\nspecies = "{species}"'),
        ('salt = "2 ± 0 g/L"', f'salt = "{salt} ± 0 g/L"'),
        ('salt_dip = "20 ± 0 g/L"', f'salt_dip = "{dip} ± 0 g/L"'),
    )
    found = {key for key in ("salt", "salt dip") if made.finding(key).verdict is Verdict.REFUSED}
    assert found == refused
    for key in refused:
        assert "ceiling" in made.finding(key).answer
        assert made.finding(key).value is None
    hospital = next(part for part in made.moments if part.moment is Moment.HOSPITAL)
    if "salt" in refused:
        assert not any("dissolve" in step.what for step in hospital.steps), "no step doses what was refused"


def test_a_level_above_the_usual_one_needs_the_veterinarians_word() -> None:
    made = planned(('salt = "2 ± 0 g/L"', 'salt = "5.5 ± 0 g/L"'))
    assert "only with the veterinarian's word" in cautions_of(made.finding("salt"))
    assert "only with the veterinarian's word" not in cautions_of(planned().finding("salt"))


def test_a_weak_fish_is_never_dipped() -> None:
    made = planned(('name = "Tansy"', 'name = "Tansy"\ncondition = "weak"'))
    assert made.finding("salt dip").verdict is Verdict.REFUSED
    assert made.finding("salt").verdict is not Verdict.REFUSED


def test_a_tank_that_holds_enough_salt_gets_none() -> None:
    made = planned(('salinity = "0.5 ± 0 g/L"', 'salinity = "2.5 ± 0 g/L"'))
    assert made.finding("salt").value == 0.0
    assert made.finding("salt").answer.startswith("None:")
    hospital = next(part for part in made.moments if part.moment is Moment.HOSPITAL)
    assert not any("dissolve" in step.what for step in hospital.steps)


def test_a_dose_below_the_scale_says_so() -> None:
    made = planned(
        ('length = "1.6 ± 0 m"\nwidth = "0.8 ± 0 m"\ndepth = "0.5 ± 0 m"', 'volume = "10 ± 0 L"'),
        ('salinity = "0.5 ± 0 g/L"', 'salinity = "0.5 ± 0 g/L"'),
        ('salt = "2 ± 0 g/L"', 'salt = "0.75 ± 0 g/L"'),
    )
    # 10 L x 0.25 g/L = 2.5 g, of which a scale that shows 1 g can weigh 2.
    assert made.finding("salt").value == pytest.approx(2.5)
    assert figures(text_of(made, "salt"))[0] == 2.0
    assert "too little for a scale" in cautions_of(made.finding("salt"))


def test_zeolite_in_the_filter_is_a_serious_caution_beside_salt() -> None:
    made = planned(('walls = "sloping"', 'walls = "sloping"\nzeolite = "yes"'))
    (zeolite,) = [caution for caution in made.finding("salt").cautions if "zeolite" in caution.text]
    assert zeolite.serious


# -- impossible, and the next step --------------------------------------------------------------------------------


def test_new_water_that_brings_the_limit_itself_makes_a_change_impossible() -> None:
    made = planned(
        ('ph = "7 ± 0"', 'ph = "8.5 ± 0"'),
        ('tan = "0 ± 0 mg/L as N"', 'tan = "0.6 ± 0 mg/L as N"'),
    )
    # It airs to about pH 7.96.
    assert NH3_LIMIT_MG_N_PER_L / unionised_share(7.9, 21.0) < 0.6
    finding = made.finding("daily change")
    assert finding.verdict is Verdict.ACT
    assert finding.answer.startswith("Impossible: not even a full change every day holds un-ionised ammonia")
    assert "(the new water itself brings 0.6 mg/L as N)" in text_of(made, "daily change")
    assert "Next:" in finding.answer
    assert finding.value is None
    assert made.finding("tank by ammonia").answer.startswith("No tank of any size")
    assert made.finding("tank").verdict is Verdict.ACT
    owner = [step.what for part in made.moments for step in part.steps]
    assert not any(step.startswith("Change") for step in owner), "no step asks for what cannot be done"


def test_more_than_the_tank_holds_is_impossible_and_never_over_a_hundred_per_cent() -> None:
    made = planned(
        ('weight = "1 ± 0 kg"', 'weight = "3 ± 0 kg"'),
        ('length = "1.6 ± 0 m"\nwidth = "0.8 ± 0 m"\ndepth = "0.5 ± 0 m"', 'volume = "100 ± 0 L"'),
    )
    # 3 kg x 3 mg/kg/h x 2^0.1 x 24 h / 2 mg/L = 116 L a day and more, from a tank of 100 L.
    assert 3 * 3 * 2**0.1 * 24 / 2.0 > 100.0
    finding = made.finding("daily change")
    assert finding.value is None
    assert finding.answer.startswith("Impossible:")
    assert "larger tank" in finding.answer
    assert "%" not in text_of(made, "daily change")
    assert finding.verdict is Verdict.ACT


def test_between_half_the_tank_and_all_of_it_the_plan_says_what_would_do() -> None:
    made = planned(('length = "1.6 ± 0 m"\nwidth = "0.8 ± 0 m"\ndepth = "0.5 ± 0 m"', 'volume = "110 ± 0 L"'))
    # 77 mg N a day at the 0.98 mg/L that pH 7.6 allows at 21 °C: 79 L a day by the best figures, from 109 L.
    assert 0.5 < 77.2 / (NH3_LIMIT_MG_N_PER_L / unionised_share(7.6, 21.0)) / 109.0 < 1.0
    assert made.finding("daily change").verdict is Verdict.ACT
    assert "more than half of the tank" in made.finding("daily change").answer


def test_a_chloraminated_mains_that_was_not_tested_is_a_question() -> None:
    made = planned(('disinfectant = "chlorine"\nchlorine = "0.5 ± 0 mg/L"', 'disinfectant = "chloramine"'))
    assert made.finding("daily change").verdict is Verdict.QUESTION
    assert "[mains_water] chlorine" in made.finding("daily change").answer


def test_mains_of_an_unknown_disinfectant_is_said_beside_the_change() -> None:
    made = planned(('disinfectant = "chlorine"\n', ""))
    assert "What disinfects the tap water was not said" in cautions_of(made.finding("daily change"))


def test_a_tub_that_is_at_its_alarm_already_leaves_no_time() -> None:
    made = planned(('oxygen = "8.64 ± 0 mg/L"', 'oxygen = "5.5 ± 0 mg/L"'))
    assert made.finding("alarm: tub").value == 0.0
    assert made.finding("alarm: tub").verdict is Verdict.ACT
    assert made.finding("alarm: tub").answer.startswith("No time at all")
    assert made.finding("check-by: tub").value == 0.0
    assert made.finding("check-by: tub").verdict is Verdict.ACT
    assert made.finding("check-by: tub").answer.startswith("At once")


def test_high_ground_and_hot_water_cannot_hold_what_an_anaesthetised_fish_needs() -> None:
    # Corrections to the facts: above about 1,350 m, 7 mg/L cannot be reached at 25 °C by air at all.
    made = planned(
        ('[patient]\nspecies = "koi"', '[patient]\nspecies = "rainbow trout"'),
        ('station_pressure = "101.325 ± 0 kPa"', 'altitude = "1400 ± 0 m"'),
        ('temperature = "20 ± 0 °C"', 'temperature = "25 ± 0 °C"'),
    )
    assert made.finding("saturation").value < 7.0
    assert made.finding("saturation").verdict is Verdict.ACT


def test_ice_water_never_heals() -> None:
    made = planned(('"21 ± 0 °C"', '"0 ± 0 °C"'))
    for key in ("inspect", "removal", "removal range"):
        assert made.finding(key).answer.startswith("Never at this temperature")
    assert "far slower" in cautions_of(made.finding("inspect"))


# -- readings taken since -----------------------------------------------------------------------------------------

LOG = """taken,water,what,reading
2026-05-15T08:00,tank,temperature,20 ± 0 °C
2026-05-15T08:00,tank,ph,7.4 ± 0
2026-05-16T08:00,tank,temperature,22 ± 0 °C
2026-05-16T08:05,tank,tan,"<0.25 mg/L as N, drop kit"
2026-05-17T08:00,tank,temperature,22 ± 0 °C
2026-05-17T08:00,tank,tan,1.2 ± 0 mg/L as N
"""


def logged() -> tuple[Logged, ...]:
    return log_from_text(LOG, case=exact(), file="log.csv")


def test_the_newest_reading_replaces_the_cases_own() -> None:
    made = planned(readings=logged())
    # pH 7.4 of the 15th, 22 °C and 1.2 mg/L of the 17th.
    assert made.finding("ammonia: tank").value == pytest.approx(1.2 * unionised_share(7.4, 22.0))
    assert planned().finding("ammonia: tank").verdict is Verdict.NOT_MEASURED


@pytest.mark.parametrize(
    ("as_of", "value"),
    [
        (datetime(2026, 5, 16, 12), None),  # the kit showed nothing
        (datetime(2026, 5, 17, 7, 59), None),
        (datetime(2026, 5, 17, 8), 1.2),
    ],
)
def test_what_was_logged_after_the_time_of_the_plan_is_not_known_to_it(as_of: datetime, value: float | None) -> None:
    made = planned(readings=logged(), as_of=as_of)
    finding = made.finding("ammonia: tank")
    if value is None:
        assert finding.answer.startswith("At most")
        # Uniform to 0.25 mg/L at pH 7.4 and 22 °C.
        assert finding.high == pytest.approx(0.95 * 0.25 * unionised_share(7.4, 22.0), rel=0.02)
    else:
        assert finding.value == pytest.approx(value * unionised_share(7.4, 22.0))


def test_before_the_log_begins_the_cases_own_readings_stand() -> None:
    early = planned(readings=logged(), as_of=datetime(2026, 5, 14, 12))
    assert early.finding("ammonia: tank").verdict is Verdict.NOT_MEASURED
    assert early.finding("alarm: tank").value == planned().finding("alarm: tank").value


def test_the_order_of_the_readings_does_not_matter() -> None:
    assert planned(readings=logged()[::-1]).findings == planned(readings=logged()).findings


def test_a_reading_of_the_case_that_is_newer_than_the_log_stands() -> None:
    text = EXACT.replace('temperature = "18 ± 0 °C"', 'temperature = "18 ± 0 °C"\ntaken = 2026-05-20T08:00:00')
    case = case_from_document(document_from_text(text, file="x"), file="x")
    made = plan(case, readings=logged(), draws=DRAWS)
    assert made.finding("alarm: tank").value == pytest.approx(planned().finding("alarm: tank").value)


def test_degree_days_that_were_logged_move_the_dates() -> None:
    # Days 0 (08:00 on the 15th), 1 and 2 at 20, 22 and 22 °C: 64 degree-days; then 21 °C as intended.
    made = planned(readings=logged())
    assert made.finding("healing so far").value == pytest.approx(64.0)
    assert made.finding("inspect").value == pytest.approx(3 + (300 - 64) / 21)
    assert "Provisional" not in cautions_of(made.finding("inspect"))
    assert "Provisional" in cautions_of(planned().finding("inspect"))
    only_two = planned(readings=logged(), as_of=datetime(2026, 5, 16, 12))
    assert only_two.finding("healing so far").value == pytest.approx(42.0)


def test_days_between_two_readings_lie_on_a_straight_line() -> None:
    text = "taken,water,what,reading\n2026-05-14T12:00,tank,temperature,18 ± 0 °C\n2026-05-17T12:00,tank,temperature,21 ± 0 °C\n"
    made = planned(readings=log_from_text(text, case=exact(), file="log.csv"))
    assert made.finding("healing so far").value == pytest.approx(18 + 19 + 20 + 21)


def test_a_milestone_that_the_log_has_passed_has_the_day_it_was_passed() -> None:
    rows = "".join(
        f"{OPERATION + timedelta(days=day, hours=1):%Y-%m-%dT%H:%M},tank,temperature,20 ± 0 °C\n" for day in range(30)
    )
    readings = log_from_text("taken,water,what,reading\n" + rows, case=exact(), file="log.csv")
    made = planned(readings=readings)
    assert made.finding("healing so far").value == pytest.approx(600.0)
    assert made.finding("inspect").value == pytest.approx(15.0)  # 300 degree-days at 20 °C
    assert made.finding("removal").value == pytest.approx(22.5)


def test_clock_times_count_from_the_time_of_the_plan() -> None:
    as_of = datetime(2026, 5, 14, 15)
    made = planned(as_of=as_of)
    hospital = next(part for part in made.moments if part.moment is Moment.HOSPITAL)
    assert next(step.at for step in hospital.steps if "no further" in step.what) == as_of + timedelta(hours=1)


def test_without_a_clock_the_steps_count_in_hours() -> None:
    made = planned(("operation_at = 2026-05-14T10:00:00\n", ""))
    hospital = next(part for part in made.moments if part.moment is Moment.HOSPITAL)
    assert all(step.at is None for step in hospital.steps)
    assert any(step.what.startswith("1 h after the ramp begins") for step in hospital.steps)
    assert "give [intended] operation_at for the date" in made.finding("inspect").answer


def test_what_was_logged_after_the_operation_is_not_the_step_of_the_day() -> None:
    made = planned(readings=logged())
    assert made.finding("step: pool to tank").value == pytest.approx(2.0), "20 to 18 °C, as it was on the day"


# -- what a fish lately ate ---------------------------------------------------------------------------------------


def test_within_five_days_of_a_meal_ammonia_is_higher() -> None:
    fed = planned(("last_fed = 2026-05-01", "last_fed = 2026-05-12T18:00:00"))
    assert fed.finding("daily change").value > 1.4 * planned().finding("daily change").value
    unknown = planned(("last_fed = 2026-05-01\n", ""))
    assert unknown.finding("daily change").value == planned().finding("daily change").value
    assert "When it last ate was not given" in cautions_of(unknown.finding("daily change"))


# -- weakest status -----------------------------------------------------------------------------------------------


def test_what_rests_on_other_findings_is_no_stronger_than_they_are() -> None:
    made = planned()
    for key in ("emergency", "pond fit"):
        home = [finding for finding in made.findings if finding.key.startswith("home ")]
        assert made.finding(key).status is max((finding.status for finding in home), key=lambda status: status.rank)
    assert made.finding("emergency").status is Status.JUDGEMENT


def test_days_that_say_something_of_herpesvirus_are_counted_for_koi_and_never_release_it() -> None:
    log = "taken,water,what,reading\n" + "".join(
        f"2026-05-{15 + day:02d}T12:00,tank,temperature,{temp} °C\n" for day, temp in enumerate([23, 23, 17, 14])
    )
    made = planned(readings=log_from_text(log, case=exact(), file="log.csv"))
    found = made.finding("quarantine")
    assert found.value == 2.0
    assert "2 of the 30 logged days" in shown(found)
    assert "1 lay in 16 to 18 °C" in shown(found)
    assert "releases no fish" in shown(found)
    with pytest.raises(KeyError):
        planned().finding("quarantine")
