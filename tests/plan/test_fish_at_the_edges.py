"""Fry, very large fish, fish of several kinds in one water, the sea, and which fish is where: worked by hand.

Oxygen of a cyprinid, as printed: 67.4 W^-0.193 e^(0.0562 t) mg/kg/h, W in g (Yamanaka 2013). At 20 degrees e^1.124 = 3.07713.
500 fry of 2 g: 2^-0.193 = 0.874783; 67.4 x 0.874783 x 3.07713 = 181.429 mg/kg/h; together 1 kg, 181.4 mg/h.
One fish of 1 kg: 1000^-0.193 = 0.263633; 67.4 x 0.263633 x 3.07713 = 54.677 mg/h. The fry take 500^0.193 = 3.318 times that.
"""

from datetime import UTC, datetime

import numpy as np
import pytest

from waterplan import tables
from waterplan.case import read_case
from waterplan.errors import CaseError
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.spread import Draws
from waterplan.stay.effects import Effects
from waterplan.stay.whole import lay_out, stay

AT = datetime(2026, 5, 14, 5, 30, tzinfo=UTC)
TANK = '[[vessels]]\nname = "tank"\nuse = "hospital"\nvolume = "2000 ± 1 L"\n'
WATER = (
    '[home_water]\ntemperature = "{temperature}"\noxygen = "8 ± 0.1 mg/L"\nph = "7.2 ± 0.05"\n'
    'tan = "0.05 ± 0.01 mg/L as N"\nnitrite = "0.05 ± 0.01 mg/L as NO2"\nsalinity = "{salt}"\nchlorine = "0 ± 0.001 mg/L"\n'
    'alkalinity = "120 ± 5 mg/L as CaCO3"\ngas_pressure = "100 ± 0.5 %"\n'
)


def text(*fish: str, temperature: str = "20 ± 0 °C", salt: str = "0.2 ± 0 g/L", more: str = TANK) -> str:
    patients = "".join(f"[[patients]]\n{one}\n" for one in fish)
    return f"waterplan_case = 1\n{patients}{WATER.format(temperature=temperature, salt=salt)}{more}"


def made(*fish: str, **others: str) -> Plan:
    return plan(read_case(text(*fish, **others)), as_of=AT, draws=64)


def judged(*fish: str, **others: str) -> Plan:
    """The same before anything is done, for what asks for judgements alone."""
    return plan(read_case(text(*fish, **others)), as_of=AT, draws=64, actions=False)


def of(found: Plan, water: str, hazard: Hazard, part: str = "") -> Judgement:
    path = "/".join(filter(None, (water, hazard.value, part)))
    return next(one for one in found.judgements if one.id == path)


def one(species: str, weight: str, count: int = 1, more: str = "") -> str:
    return f'species = "{species}"\nweight = "{weight}"\ncount = {count}\n{more}'


# -- fry ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fish", "mg_per_h"), [(one("koi", "2 ± 0 g", 500), 181.429), (one("koi", "1 ± 0 kg"), 54.677)]
)
def test_fry_take_what_each_takes_by_its_own_weight(fish: str, mg_per_h: float) -> None:
    ground = lay_out(read_case(text(fish)), draws=Draws(count=16))
    (at_hand,) = ground.fish.values()
    takes = at_hand.breathing(ground.inputs, np.full(ground.inputs.size, 20.0))
    assert at_hand.together_kg[0] == pytest.approx(1.0)
    assert takes.uptake_mg_per_kg_h[0] * takes.biomass_kg[0] == pytest.approx(mg_per_h, rel=1e-4)


@pytest.mark.longer
def test_a_tank_of_fry_runs_out_of_oxygen_sooner_than_one_of_a_fish_as_heavy() -> None:
    small, large = (
        next(
            j
            for j in judged(fish).judgements
            if j.water == "hospital-1" and j.hazard is Hazard.OXYGEN and "power" in j.id
        )
        for fish in (one("koi", "2 ± 0 g", 3000), one("koi", "6 ± 0 kg"))
    )
    assert small.verdict.rank >= large.verdict.rank


# -- very large fish --------------------------------------------------------------------------------------------------------


@pytest.mark.longer
@pytest.mark.parametrize(
    ("side", "lengths", "verdict"),
    [
        # 1.2 m / 0.95 m = 1.26 and 3.6 / 0.95 = 3.79, less than 4; 4 / 0.95 = 4.21.
        ("1.2 ± 0 m", 1.2632, Verdict.WATCH),
        ("3.6 ± 0 m", 3.7895, Verdict.WATCH),
        ("4 ± 0 m", 4.2105, Verdict.WITHIN_LIMIT),
    ],
)
def test_the_length_of_a_very_large_fish_decides_its_tank(side: str, lengths: float, verdict: Verdict) -> None:
    sides = f'shape = "rectangle"\nlength = "{side}"\nwidth = "2 ± 0 m"\ndepth = "1 ± 0 m"\n'
    tank = f'[[vessels]]\nname = "tank"\nuse = "hospital"\n{sides}'
    found = judged(one("koi", "16 ± 0 kg", more='length = "95 ± 0 cm"\n'), more=tank)
    room = of(found, "hospital-1", Hazard.STOCKING, "room")
    assert found.figures[room.figure or ""].best == pytest.approx(lengths, abs=1e-4)
    assert room.verdict is verdict
    assert room.limit is not None
    assert room.limit.value == 4.0


# -- kinds with rules of their own, alone and together ---------------------------------------------------------------------------

# Limits of the tables for each kind: oxygen of a settled fish, salt for days, temperature with care.
KINDS = {
    "koi": (5.0, 5.0, (3.0, 30.0)),
    "orfe": (6.0, None, (4.0, 22.0)),
    "rainbow trout": (6.0, 5.0, (2.0, 20.0)),
    "sturgeon": (6.0, 0.5, (4.0, 24.0)),
}


@pytest.mark.parametrize("species", KINDS)
def test_each_kind_has_its_own_oxygen_salt_and_temperature(species: str) -> None:
    oxygen, salt, (low, high) = KINDS[species]
    found = judged(one(species, "1 ± 0 kg"), temperature="18 ± 0 °C", more="")
    limits = {h: of(found, "home-pond", h).limit for h in (Hazard.OXYGEN, Hazard.SALT, Hazard.TEMPERATURE)}
    assert all(limit is not None for limit in limits.values())
    assert limits[Hazard.OXYGEN].value == oxygen
    assert salt is None or limits[Hazard.SALT].value == salt
    assert (limits[Hazard.TEMPERATURE].value, limits[Hazard.TEMPERATURE].upper) == (low, high)


def test_of_a_koi_and_a_sturgeon_in_one_water_the_strictest_of_each_holds() -> None:
    """Oxygen 6 (of 5 and 6), salt 0.5 (of 5 and 0.5), temperature 4 to 24 (of 3 to 30 and 4 to 24)."""
    found = judged(one("koi", "1 ± 0 kg"), one("sturgeon", "2 ± 0 kg"), temperature="18 ± 0 °C", more="")
    limits = {h: of(found, "home-pond", h).limit for h in (Hazard.OXYGEN, Hazard.SALT, Hazard.TEMPERATURE)}
    assert (limits[Hazard.OXYGEN].value, limits[Hazard.SALT].value) == (6.0, 0.5)
    assert (limits[Hazard.TEMPERATURE].value, limits[Hazard.TEMPERATURE].upper) == (4.0, 24.0)


@pytest.mark.longer
@pytest.mark.parametrize(
    ("kinds", "apart"),
    [
        (("koi", "rainbow trout"), True),  # 18 to 25 and 10 to 16: no degree is both
        (("koi", "sturgeon"), False),  # 18 to 25 and 16 to 20: 18 to 20
        (("nile tilapia", "goldfish"), True),  # 26 to 31 and 15 to 22
        (("koi", "koi"), False),
        (("koi", "unknown"), False),
    ],
)
def test_kinds_of_which_no_temperature_suits_all_do_not_belong_together(kinds: tuple[str, ...], apart: bool) -> None:
    ranges = [tables.row("species_ranges", species=kind, range="preferred temperature") for kind in kinds]
    found = judged(*(one(kind, "1 ± 0 kg") for kind in kinds), temperature="18 ± 0 °C")
    told = [j for j in found.judgements if "do-not-belong-together" in {why.code for why in j.why}]
    assert bool(told) is apart
    assert all(j.verdict is Verdict.WATCH for j in told)
    if apart:
        assert max(row.low for row in ranges) > min(row.high for row in ranges)
        assert {j.water for j in told} == {"home-pond", "hospital-1"}


# -- the sea ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("species", ["clownfish", "seabass", "marine fish"])
def test_a_fish_of_the_sea_is_not_taken_and_the_kinds_that_are_stand_beside_it(species: str) -> None:
    with pytest.raises(CaseError, match="sturgeon"):
        read_case(text(one(species, "1 kg")))


@pytest.mark.longer
@pytest.mark.parametrize("species", KINDS)
def test_brackish_water_is_an_emergency_for_a_pond_fish_in_every_water_that_holds_it(species: str) -> None:
    found = judged(one(species, "1 ± 0 kg"), salt="18 ± 0.1 g/L", temperature="18 ± 0 °C")
    salt = {j.water: j.verdict for j in found.judgements if j.hazard is Hazard.SALT and j.before is None}
    assert set(salt) >= {"home-pond", "hospital-1"}
    assert set(salt.values()) == {Verdict.ACT_NOW}


def test_salt_is_carried_into_what_the_water_can_hold() -> None:
    """9.092 mg/L at 20 degrees in fresh water and 8.2 at 18 g/kg (USGS tables, sea level): a tenth less."""
    fresh, brackish = (
        lay_out(read_case(text(one("koi", "1 kg"), salt=salt)), draws=Draws(count=16))
        for salt in ("0 ± 0 g/L", "18 ± 0 g/L")
    )
    held = [float(stay(ground, Effects())["home-pond"].start.saturation_mg_per_l[0]) for ground in (fresh, brackish)]
    assert held[0] == pytest.approx(9.09, abs=0.02)
    assert held[1] == pytest.approx(8.2, abs=0.05)


# -- who is where, and what a weighing would change ----------------------------------------------------------------------------


def test_each_tub_and_each_bag_has_the_fish_that_it_names() -> None:
    more = (
        '[intended]\noperation_at = 2026-05-14T10:00\ndays = "7 days"\n'
        '[[vessels]]\nname = "left"\nuse = "hospital"\nvolume = "500 L, marked tub"\npatients = "Ash"\n'
        '[[vessels]]\nname = "right"\nuse = "hospital"\nvolume = "500 L, marked tub"\npatients = ["Birch", "fry"]\n'
        '[[transports]]\nby = "bag with oxygen"\nvolume = "10 L, marked tub"\noxygen = "20 L"\npatients = "Ash"\n'
        '[[transports]]\nby = "bag with oxygen"\nvolume = "12 L, marked tub"\noxygen = "20 L"\npatients = "Birch, fry"\n'
    )
    fish = [one("koi", "1 kg", n, f'name = "{name}"\n') for name, n in (("Ash", 1), ("Birch", 1), ("fry", 30))]
    found = judged(*fish, more=more)
    inside = {water.id: {who.fish for who in water.occupants} for water in found.waters}
    assert inside["hospital-1"] == inside["bag-1"] == {"patient-1"}
    assert inside["hospital-2"] == inside["bag-2"] == {"patient-2", "patient-3"}
    loads = {j.water: found.figures[j.figure or ""].best for j in found.judgements if j.id.endswith("/stocking")}
    # 1 kg in 10 L are 100 kg/m3; 1 + 30 kg in 12 L are 2,583.
    assert loads["bag-1"] == pytest.approx(100.0)
    assert loads["bag-2"] == pytest.approx(31.0 / 12.0 * 1000.0)


INJECTED = '[[injections]]\ndrug = "meloxicam"\ndose = "1 mg/kg"\nstock = "5 mg/mL"\nweight_confirmed = true\n'


def test_a_guessed_weight_shows_what_a_weighing_would_change() -> None:
    guessed = made(one("koi", "2 kg, guess", more='eaten = "no"\n'), more=INJECTED, temperature="18 ± 0.1 °C")
    (asked,) = [one for one in guessed.first_page.measure_next if one.quantity == "weight"]
    assert asked.measured_with == "scales"
    assert any("injection" in path for path in asked.amounts)
    dose = next(path for action in guessed.actions for name, path in action.amounts.items() if name == "draw")
    shares = {share.input: share.share for share in guessed.figures[dose].hangs_on}
    assert shares["patient-1/weight"] > 0.9  # by nothing else is it wide
    weighed = made(one("koi", "2 kg, scales", more='eaten = "no"\n'), more=INJECTED, temperature="18 ± 0.1 °C")
    assert "weight" not in [one.quantity for one in weighed.first_page.measure_next]


@pytest.mark.parametrize(("weight", "slip"), [("0.235 kg, scales", True), ("2.35 kg, scales", False)])
def test_a_weight_that_does_not_go_with_the_length_is_asked_about_before_a_dose(weight: str, slip: bool) -> None:
    # A koi of 52 cm weighs about 2.4 kg: 0.235 kg is a slip of the decimal point.
    found = made(
        one("koi", weight, more='length = "52 cm, measuring board"\neaten = "no"\n'),
        more=INJECTED,
        temperature="18 ± 0 °C",
    )
    (injection,) = [one for one in found.actions if one.substance == "meloxicam"]
    assert ("weigh-and-measure-again" in {why.code for why in injection.refused_because}) is slip
    assert any("weight-of-patient-1" in j.id for j in found.judgements) is slip
