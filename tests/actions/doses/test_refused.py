"""What keeps a dose from hurting: every refusal has its reason, orders nothing, and does nothing to a water."""

import pytest

from tests.actions.doses.dosed import all_doses, amount, cautions, codes, dose, one, table
from waterplan import tables
from waterplan.actions.record import Kind
from waterplan.words.catalogue import language

TRICAINE = {"strength": "110 mg/L", "bottle": "powder", "scale": "0.1 g", "buffer": "one to one"}
COPPER = {"strength": "0.2 mg/L", "again": "0.2 mg/L", "bottle": "1 mg/mL"}
FORMALIN = {"strength": "150 uL/L", "syringe": "0.1 mL"}


@pytest.mark.parametrize(
    ("substance", "use", "into", "keys", "case", "why"),
    [
        ("tricaine", "induction", "tub", TRICAINE | {"strength": "1000 mg/L"}, {}, "more-than-twice-the-highest-level"),
        ("tricaine", "induction", "tub", TRICAINE | {"strength": ""}, {}, "enter-the-dose"),
        ("tricaine", "induction", "tub", TRICAINE | {"strength": "0 mg/L"}, {}, "nothing-is-to-be-given"),
        (
            "tricaine",
            "induction",
            "tub",
            TRICAINE | {"strength": "150 mg/L"},
            {"tub": "40 L, owner's word"},
            "measure-the-volume-first",
        ),
        ("tricaine", "induction", "tub", TRICAINE, {"eaten": "yes"}, "forbidden-by-rule"),
        ("tricaine", "induction", "tub", TRICAINE, {"eaten": ""}, "enter-whether-it-may-be-eaten"),
        ("tricaine", "induction", "tub", TRICAINE, {"in_tub": 'oxygen_saturation = "40 %"'}, "forbidden-by-rule"),
        # H59: a bottle weaker than the strength wanted.
        ("tricaine", "induction", "tub", {"strength": "100 mg/L", "bottle": "0.05 mg/mL"}, {}, "bottle-too-weak"),
        ("ethanol", "instruments", "1 ± 0 L", {"bottle": "50 % v/v"}, {}, "bottle-too-weak"),
        ("formalin", "bath", "tub", FORMALIN | {"strength": "300 uL/L"}, {}, "above-the-highest-level"),
        (
            "copper",
            "bath",
            "1000 L, owner's word",
            {"strength": "0.2 mg/L", "again": "0.2 mg/L", "bottle": "10 mg/mL"},
            {},
            "forbidden-by-rule",
        ),
        ("quaternary ammonium", "bath", "tub", {"strength": "1 mg/L", "bottle": "50 % w/v"}, {}, "not-offered"),
        ("malachite green", "bath", "tub", {"strength": "0.1 mg/L"}, {}, "not-offered"),
        # D34: a fish is not put into iodine, and no scrub with detergent goes near one.
        ("povidone-iodine", "fish", "tub", {}, {}, "no-fish-into-iodine"),
        ("povidone-iodine", "wound", "1 ± 0 L", {"bottle": "7.5 % PVP-I, scrub"}, {}, "forbidden-by-rule"),
        ("chlorhexidine", "instruments", "1 ± 0 L", {"bottle": "5 % w/v"}, {}, "not-offered"),
        ("potassium permanganate", "equipment", "1 ± 0 L", {}, {}, "not-offered"),
        ("salt", "prolonged", "tank", {"strength": "7 g/L"}, {}, "above-the-highest-level"),
        ("salt", "prolonged", "tank", {"strength": "5.5 g/L"}, {}, "write-it-a-second-time"),
        ("salt", "dip", "50 ± 0 L", {"strength": "5 g/L"}, {"species": "sturgeon"}, "above-the-highest-level"),
        ("eugenol", "induction", "tub", {"strength": "40 mg/L"}, {}, "enter-the-share-of-eugenol"),
        ("propofol", "induction", "tub", {"strength": "5 mg/L"}, {}, "enter-the-strength-on-the-label"),
        ("ethanol", "instruments", "1 ± 0 L", {}, {}, "enter-the-strength-on-the-label"),
        (
            "thiosulphate pentahydrate",
            "hose left running",
            "home pond",
            {},
            {},
            "enter-the-water-that-the-hose-brought",
        ),
        ("sodium sulphite", "hose left running", "home pond", {"added": "500 ± 0 L"}, {}, "not-into-water-with-fish"),
        ("povidone-iodine", "nets", "10 ± 0 L", {"washed": "no"}, {}, "wash-first"),
        ("povidone-iodine", "nets", "10 ± 0 L", {"strength": "10000 mg/L"}, {}, "write-it-a-second-time"),
        ("praziquantel", "bath", "100 ± 0 L", {"strength": "2 mg/L"}, {}, "write-it-a-second-time"),
        (
            "praziquantel",
            "bath",
            "100 ± 0 L",
            {"strength": "2 mg/L", "again": "20 mg/L"},
            {},
            "written-twice-and-not-the-same",
        ),
        # 15 uL/L in 2 L is 0.03 mL: a hundredfold dilution of it is 3 mL, three divisions.
        ("formalin", "indefinite", "2 ± 0 L", {"strength": "15 uL/L", "syringe": "1 mL"}, {}, "use-a-finer-syringe"),
        ("salt", "prolonged", "tank", {"strength": "3 g/L", "grade": "road salt"}, {}, "not-this-salt"),
        ("formalin", "bath", "tub", FORMALIN, {"wound": "open"}, "forbidden-by-rule"),
    ],
)
def test_what_is_refused_says_why(
    substance: str, use: str, into: str, keys: dict[str, str], case: dict[str, str], why: str
) -> None:
    made, _ = one(substance, use, into, case=case, **keys)
    assert why in codes(made)
    assert not made.effects
    assert not made.action.amounts


def test_warm_water_has_the_lower_ceiling_of_formalin() -> None:
    # 250 uL/L at the most, and 150 above 21 °C (extension leaflet).
    keys = FORMALIN | {"strength": "200 uL/L"}
    made, _ = one("formalin", "bath", **keys)
    assert codes(made) == set()
    warm, _ = one("formalin", "bath", case={"warm": "23 ± 0 °C"}, **keys)
    assert codes(warm) == {"above-the-highest-level"}


def test_a_dose_that_moves_the_ph_further_than_a_fish_bears_is_refused_though_its_ph_is_within_limits() -> None:
    """Alkalinity 60 mg/L as CaCO3 is 1.20 mmol/L; at pH 8.2 and 20 °C (pK1 6.38) 1.20 / 10^1.82 = 0.018 of it is CO2.

    110 mg/L of tricaine are 0.42 mmol/L of acid (261.3 g/mol): 0.78 is left and 0.018 + 0.42 = 0.44 is CO2, 19 mg/L; the pH
    is 6.38 + log10(0.78 / 0.44) = 6.63, 1.6 lower than where the fish comes from, where 0.5 is borne and 1 harms.
    """
    case = {"in_tub": 'alkalinity = "60 ± 0 mg/L as CaCO3"\nph = "8.2 ± 0"', "home_ph": "8.2"}
    made, at_hand = one("tricaine", "induction", case=case, **TRICAINE | {"buffer": "none"})
    assert "ph-change-of-the-bath" in codes(made)
    assert not made.effects
    assert {way.kind for way in made.action.instead} >= {Kind.CHEMISTRY}
    figures = next(why for why in made.action.refused_because if why.code == "ph-change-of-the-bath").figures
    assert at_hand.figures.record(figures["entered"]).best == pytest.approx(6.63, abs=0.05)


def test_the_step_of_ph_into_a_bath_is_from_the_water_that_the_fish_comes_from() -> None:
    """The bath of the test before comes to 6.63: 0.67 under a pond at 7.3, where 1 harms; a tub that stood at 8.2 harms nobody.

    From a pond at 8.6 into a tub at 7.2 is a step of 1.4 before anything goes in, and 1 by what 110 mg/L of bicarbonate
    beside the acid can make of it: they add 110 / 84.007 - 0.42 = 0.89 mmol/L to 1.2, and the pH rises by far less than 0.4.
    """
    keys = TRICAINE | {"buffer": "none"}
    high_tub = {"in_tub": 'alkalinity = "60 ± 0 mg/L as CaCO3"\nph = "8.2 ± 0"', "home_ph": "7.3"}
    assert codes(one("tricaine", "induction", case=high_tub, **keys)[0]) == set()
    low_tub = {"in_tub": 'alkalinity = "60 ± 0 mg/L as CaCO3"\nph = "7.2 ± 0"', "home_ph": "8.6"}
    made, at_hand = one("tricaine", "induction", case=low_tub, **TRICAINE)
    told = next(why for why in made.action.refused_because if why.code == "ph-change-of-the-bath")
    assert at_hand.figures.record(told.figures["before"]).best == 8.6


def test_a_bath_that_lies_above_the_water_that_the_fish_comes_from_gets_no_more_bicarbonate() -> None:
    hard = {"in_tub": 'alkalinity = "250 ± 0 mg/L as CaCO3"\nph = "8.4 ± 0"', "home_ph": "6.4"}
    made, _ = one("tricaine", "induction", case=hard, **TRICAINE | {"strength": "50 mg/L"})
    assert "ph-change-of-the-bath" in codes(made)
    assert [way.kind for way in made.action.instead] == [Kind.NEW_WATER]


def test_unbuffered_acid_in_soft_water_refuses_the_dose_and_shows_the_state_as_hypothetical() -> None:
    # D30: 110 mg/L take 21 mg/L of alkalinity; of 25 as CaCO3 4 are left, and the pH falls under 6.2.
    case = {"in_tub": 'alkalinity = "25 ± 0 mg/L as CaCO3"\nph = "7 ± 0"'}
    made, at_hand = one("tricaine", "induction", case=case, **TRICAINE | {"buffer": "none"})
    assert codes(made) & {"ph-of-the-bath", "forbidden-by-rule"}
    buffered, _ = one("tricaine", "induction", case=case, **TRICAINE)
    assert "ph-of-the-bath" not in codes(buffered)
    no_rule, at_hand = one(
        "tricaine",
        "induction",
        case={"in_tub": 'alkalinity = "50 ± 0 mg/L as CaCO3"\nph = "6.5 ± 0"'},
        **TRICAINE | {"strength": "200 mg/L", "buffer": "none"},
    )
    assert "ph-of-the-bath" in codes(no_rule)
    (water, state), *_ = at_hand.ground.hypothetical
    assert water == "induction-1"
    assert state.hypothetical


def test_no_choice_of_bicarbonate_does_not_block_the_dose() -> None:
    # D35: the grams of tricaine are the same whatever is chosen.
    made, at_hand = one("tricaine", "induction", **TRICAINE | {"buffer": ""})
    assert codes(made) == set()
    assert amount(made, at_hand, "mass") == 4.4
    assert "choose-the-bicarbonate" in cautions(made)


def test_whether_as_much_ran_over_does_not_block_the_antidote() -> None:
    for overflowed in ("", "yes", "no"):
        made, at_hand = one(
            "thiosulphate pentahydrate",
            "hose left running",
            "home pond",
            added="500 ± 0 L",
            overflowed=overflowed,
            scale="0.1 g",
        )
        # Nobody measured the mains: 4 mg/L, the worst that is plausible, x 500 L x 7 / 1000 = 14 g.
        assert amount(made, at_hand, "mass") == pytest.approx(14.0)


def test_a_salt_dip_on_the_day_of_an_anaesthetic_is_refused() -> None:
    # D31: 20 g/L, and the fish is operated on that day.
    made, _ = one("salt", "dip", "50 ± 0 L", strength="20 g/L", grade="non-iodised table salt")
    assert codes(made) == {"forbidden-by-rule"}
    assert made.action.refused_because[0].words["rule"] == "salt dip after anaesthesia"


def test_a_sensitive_fish_among_the_others_stops_a_dose_for_the_pond() -> None:
    # B14: copper for the koi's pond with a sturgeon in it.
    keys = {"strength": "0.2 mg/L", "again": "0.2 mg/L", "bottle": "10 mg/mL"}
    others = '[[other_fish]]\nspecies = "sturgeon"\ncount = 1\nweight = "2 ± 0 kg"'
    made, _ = one("copper", "bath", "home pond", case={"others": others}, **keys)
    assert made.action.refused_because[0].words["rule"] == "copper and a sensitive species"
    salted, _ = one("salt", "prolonged", "home pond", case={"others": others}, strength="2 g/L")
    assert "above-the-highest-level" in codes(salted)
    alone, _ = one("salt", "prolonged", "home pond", strength="2 g/L")
    assert codes(alone) == set()


def test_oxygen_takers_wait_for_the_morning() -> None:
    # D32 and I74: "tonight" in green water.
    night = "2026-05-25T22:00:00"
    text = dose("potassium permanganate", "bath", "home pond", strength="2 mg/L", at=night)
    made, _ = all_doses(text)
    assert {why.words["rule"] for why in made[0].action.refused_because} == {"permanganate at night"}
    day, _ = all_doses(text.replace("T22", "T10"))
    assert codes(day[0]) == set()
    green, _ = all_doses(text.replace("T22", "T10") + table("already", what="algae", where="home pond"))
    assert {why.words["rule"] for why in green[0].action.refused_because} == {"permanganate with an algal bloom"}


def test_formalin_and_permanganate_are_refused_together() -> None:
    text = dose("potassium permanganate", "bath", "home pond", strength="2 mg/L")
    made, at_hand = all_doses(text + table("already", what="formalin", where="home pond"))
    assert made[0].action.refused_because[0].words["rule"] == "formalin with permanganate"
    # What is there already is in the pond's state, its level not known.
    assert not at_hand.stay["home-pond"].start.contents["formalin"].is_known


def test_two_doses_that_must_not_meet_are_not_both_ordered() -> None:
    first = dose("formalin", "indefinite", "home pond", strength="20 uL/L", at="2026-05-25T10:00:00")
    second = dose("potassium permanganate", "bath", "home pond", strength="2 mg/L", at="2026-05-26T10:00:00")
    made, _ = all_doses(first + second)
    assert [bool(proposal.effects) for proposal in made] == [True, False]


def test_chlorine_in_the_bath_refuses_the_dose() -> None:
    made, _ = one("tricaine", "induction", case={"in_tub": 'chlorine = "0.4 ± 0 mg/L"'}, **TRICAINE)
    assert codes(made) == {"chlorine-in-the-bath"}


@pytest.mark.parametrize(
    ("keys", "refused"),
    [
        ({"opened": "2026-05-01", "bottle": "10 mg/mL"}, False),
        # A month at the most (university guideline); the operation is on the 14th of May 2026.
        ({"opened": "2026-03-01", "bottle": "10 mg/mL"}, True),
        ({"opened": "2027-01-01", "bottle": "10 mg/mL"}, True),
        ({"expires": "2026-05-13"}, True),
        ({"expires": "2026-05-14"}, False),
        ({"opened": "2024-05-14"}, False),
    ],
)
def test_the_age_of_a_bottle(keys: dict[str, str], refused: bool) -> None:
    made, _ = one("tricaine", "induction", **TRICAINE | keys)
    assert bool(made.action.refused_because) is refused
    if keys.get("opened") == "2024-05-14":
        assert "stock-too-old" in cautions(made)


def test_an_antidote_past_its_date_is_better_than_none() -> None:
    made, _ = one(
        "thiosulphate pentahydrate", "hose left running", "home pond", added="500 ± 0 L", expires="2020-01-01"
    )
    assert codes(made) == set()
    assert "past-its-date" in cautions(made)


# 20 mg/L is the regulation's level for warm-water fish; the water of the tub is at pH 7.6 and 100 mg/L of alkalinity.
@pytest.mark.parametrize(
    ("ph", "alkalinity", "strength", "refused", "told"),
    [
        ("7.6", "100", "20", set(), set()),
        ("7.6", "60", "20", set(), {"chloramine-T in soft water"}),
        ("7.2", "100", "20", set(), {"chloramine-T below pH 7.5"}),
        ("6.9", "100", "8", set(), {"chloramine-T below pH 7.5"}),
        ("6.9", "100", "20", {"chloramine-T in acid water"}, set()),
    ],
)
def test_chloramine_t_in_soft_or_acid_water(
    ph: str, alkalinity: str, strength: str, refused: set[str], told: set[str]
) -> None:
    water = f'ph = "{ph} ± 0"\nalkalinity = "{alkalinity} ± 0 mg/L as CaCO3"'
    made, at_hand = one("chloramine-T", "bath", strength=f"{strength} mg/L", scale="0.01 g", case={"in_tub": water})
    said = {why.words.get("rule") for why in made.action.refused_because}
    assert said - {None} == refused
    cautioned = {why.words.get("rule", "") for why in made.action.cautions}
    assert {rule for rule in cautioned if rule.startswith("chloramine-T ")} - {"chloramine-T and the filter"} == told
    if not refused:
        assert amount(made, at_hand, "time") == 60.0


@pytest.mark.parametrize(
    ("substance", "use", "keys", "case", "way"),
    [
        ("formalin", "bath", FORMALIN, {"in_tub": 'oxygen_saturation = "40 %"'}, Kind.AIR),
        ("formalin", "bath", FORMALIN, {"wound": "open"}, Kind.WAIT),
        ("copper", "bath", COPPER, {"in_tub": 'alkalinity = "20 ± 0 mg/L as CaCO3"'}, Kind.DOSE),
    ],
)
def test_the_way_out_of_a_rule_is_its_own(
    substance: str, use: str, keys: dict[str, str], case: dict[str, str], way: Kind
) -> None:
    """Waiting makes no soft water hard and brings no oxygen; it closes a wound."""
    made, _ = one(substance, use, case=case, **keys)
    assert way in {instead.kind for instead in made.action.instead}
    assert made.action.refused_because


def test_every_way_out_of_a_rule_is_a_kind_of_action() -> None:
    for row in tables.table("conflicts"):
        assert not row["instead"] or Kind(row["instead"])
        assert row["stops"] or not row["instead"], row.id


@pytest.mark.parametrize(
    ("count", "code"), [("1", "attended-one-fish-at-a-time"), ("200", "attended-a-netful-at-a-time")]
)
def test_two_hundred_fry_are_not_dipped_one_at_a_time(count: str, code: str) -> None:
    case = {"weight": f'0.002 ± 0 kg"\ncount = {count}\nlength = "4 ± 0 cm'}
    made, _ = one("salt", "bath", "10 ± 0 L", strength="5 g/L", scale="0.1 g", case=case)
    assert code in cautions(made)


@pytest.mark.parametrize(
    ("buffer", "tan", "way", "told"),
    [
        ("none", "0 ± 0", Kind.CHEMISTRY, ("Buffer the water first", "gram for gram")),
        ("one to one", "0 ± 0", Kind.CHEMISTRY, ("twice as much",)),
        ("two to one", "0 ± 0", Kind.NEW_WATER, ("holds its pH by itself",)),
        ("one to one", "8 ± 0", Kind.NEW_WATER, ("holds its pH by itself",)),
    ],
)
def test_a_refusal_for_its_ph_offers_no_way_that_the_case_has_gone(
    buffer: str, tan: str, way: Kind, told: tuple[str, ...]
) -> None:
    """One to one and two to one are the rows of the table; on ammonia more bicarbonate makes more of it un-ionised."""
    alkalinity = 60 if buffer == "none" else 30  # else the acid takes all of it
    in_tub = f'ph = "9.3 ± 0"\nalkalinity = "{alkalinity} ± 0 mg/L as CaCO3"\ntan = "{tan} mg/L as N"'
    made, _ = one("tricaine", "induction", case={"in_tub": in_tub, "home_ph": "9.3"}, **TRICAINE | {"buffer": buffer})
    ways = [(each.kind, each.because[0]) for each in made.action.instead if each.because[0].code.startswith("first-ph")]
    assert ways
    assert {kind for kind, _ in ways} == {way}
    for _, why in ways:
        assert any(part in language().say(f"why.{why.code}", **why.words) for part in told)
