"""What is done to a water, against sums by hand: amounts add up, and what was assumed stays an assumption."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from waterplan.stay.operations import air, bring_to_temperature, change, dose, fill, neutralise
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin
from waterplan.stay.state import Known, State, chloride_mg_per_l, derived
from waterplan.water.gas import nitrogen_umol_per_kg

ORDINARY = {
    Q.VOLUME: 100.0,
    Q.TEMPERATURE: 20.0,
    Q.OXYGEN: 9.0,
    Q.PH: 7.5,
    Q.ALKALINITY: 100.0,
    Q.AMMONIA: 1.0,
    Q.NITRITE: 0.2,
    Q.NITRATE: 10.0,
    Q.SALT: 1.0,
    Q.CHLORINE: 0.0,
}


def water(*, assumed: tuple[Q, ...] = (), draws: int = 3, **changed: float) -> State:
    levels = ORDINARY | {Q[name.upper()]: level for name, level in changed.items()}
    known = {
        quantity: Known(
            draws=np.full(draws, level),
            origin=Origin.ASSUMED if quantity in assumed else Origin.MEASURED,
            assumed=frozenset({f"tub/{quantity}"}) if quantity in assumed else frozenset(),
        )
        for quantity, level in levels.items()
    }
    known[Q.NITROGEN] = Known(
        draws=np.full(draws, float(nitrogen_umol_per_kg(levels[Q.TEMPERATURE]))), origin=Origin.WORKED_OUT
    )
    return derived(State(known=MappingProxyType(known), air_pressure_kpa=np.full(draws, 101.325)))


def test_a_change_keeps_the_volume_and_dilutes() -> None:
    # a quarter of 100 L with water of no ammonia: 0.75 mg/L; the same in two parts of an eighth: 0.875² = 0.765625
    clean = water(ammonia=0.0)
    assert change(water(), clean, 25.0, came_from="x")[Q.AMMONIA][0] == pytest.approx(0.75)
    halves = change(water(), clean, 25.0, came_from="x", parts=2)
    assert halves[Q.AMMONIA][0] == pytest.approx(0.765625)
    assert halves[Q.VOLUME][0] == pytest.approx(100.0)


def test_nothing_mixed_with_nothing_is_still_a_water() -> None:
    # H67: levels and temperature stay what they were, and nothing is divided by nothing.
    for litres in (0.0, 10.0):
        mixed = change(water(volume=0.0), water(volume=0.0), litres, came_from="x")
        assert mixed[Q.VOLUME][0] == pytest.approx(0.0, abs=1e-5)
        assert {quantity: mixed[quantity][0] for quantity in (Q.TEMPERATURE, Q.AMMONIA, Q.SALT)} == pytest.approx(
            {Q.TEMPERATURE: 20.0, Q.AMMONIA: 1.0, Q.SALT: 1.0}
        )


def test_a_change_with_worse_water_makes_worse() -> None:
    worse = change(water(), water(ammonia=3.0, ph=8.5), 50.0, came_from="x")
    assert worse[Q.AMMONIA][0] == pytest.approx(2.0)
    assert worse[Q.UNIONISED_AMMONIA][0] > water()[Q.UNIONISED_AMMONIA][0]


def test_what_a_kit_did_not_see_is_unseen_in_the_mixture_too() -> None:
    """A kit showed no chlorine in either water: none is seen in the two together; with 0.3 mg/L in one there is some."""

    def read(level: float, *, unseen: bool) -> State:
        state = water(chlorine=level)
        return state.with_known({Q.CHLORINE: replace(state.known[Q.CHLORINE], censored=unseen)})

    nothing, none_by_kit, some = read(0.0, unseen=False), read(0.025, unseen=True), read(0.3, unseen=False)
    mixed = {
        (True, True): change(none_by_kit, none_by_kit, 25.0, came_from="x"),
        (True, False): change(none_by_kit, nothing, 25.0, came_from="x"),
        (False, True): change(nothing, none_by_kit, 25.0, came_from="x"),
    }
    assert all(one.known[Q.CHLORINE].censored for one in mixed.values())
    assert not change(none_by_kit, some, 25.0, came_from="x").known[Q.CHLORINE].censored
    assert not change(some, none_by_kit, 25.0, came_from="x").known[Q.CHLORINE].censored
    assert not change(nothing, nothing, 25.0, came_from="x").known[Q.CHLORINE].censored


def test_what_is_mixed_from_an_assumption_is_assumed() -> None:
    mixed = change(water(), water(assumed=(Q.CHLORINE,), chlorine=1.0), 50.0, came_from="x")
    assert mixed.known[Q.CHLORINE].origin is Origin.ASSUMED
    assert mixed.known[Q.CHLORINE].assumed == {"tub/chlorine"}
    assert mixed.known[Q.SALT].origin is not Origin.ASSUMED


def test_salt_and_bicarbonate_are_weighed_in() -> None:
    # 200 g in 100 L: 2 g/L more; 84.007 g of bicarbonate bring 1 mol of alkalinity: 10 meq/L = 500.43 mg/L as CaCO3
    salted = dose(water(), came_from="x", salt_g=200.0)
    assert salted[Q.SALT][0] == pytest.approx(3.0)
    buffered = dose(water(), came_from="x", bicarbonate_g=84.007)
    assert buffered[Q.ALKALINITY][0] == pytest.approx(600.43, abs=0.01)
    assert salted.known[Q.AMMONIA] is water().known[Q.AMMONIA] or salted[Q.AMMONIA][0] == 1.0


def test_no_more_salt_dissolves_than_water_can_hold() -> None:
    """9 kg in 10 L: 317 g/L is brine, and the rest lies on the bottom; a level that is possible can be judged."""
    salted = dose(water(volume=10.0), came_from="salt", salt_g=9_000.0)
    assert salted[Q.SALT] == pytest.approx(317.0)
    assert np.all(salted.saturation_mg_per_l > 0.0)


def test_an_acid_takes_alkalinity_and_frees_carbon_dioxide() -> None:
    # 50 mmol of acid in 100 L: 0.5 meq/L, 25.02 mg/L as CaCO3 less; carbon stays, so carbon dioxide rises and pH falls
    soured = dose(water(), came_from="x", acid_mmol=50.0)
    assert soured[Q.ALKALINITY][0] == pytest.approx(100.0 - 25.02, abs=0.02)
    assert soured[Q.PH][0] < 7.2
    assert soured[Q.CARBON_DIOXIDE][0] > 2.0 * water()[Q.CARBON_DIOXIDE][0]


def test_a_substance_is_followed_through_a_change() -> None:
    treated = dose(water(), came_from="case/dose", substance="praziquantel", substance_g=0.2)
    assert treated.contents["praziquantel"].draws[0] == pytest.approx(2.0)
    halved = change(treated, water(), 50.0, came_from="x")
    assert halved.contents["praziquantel"].draws[0] == pytest.approx(1.0)


def test_warming_keeps_the_gas_and_raises_its_pressure() -> None:
    # 6 °C water in balance with air comes to 133 % total gas at 20 °C (Colt 1984; corrections: more than 2 % a degree)
    cold = water(temperature=6.0)
    cold = cold.with_known({Q.OXYGEN: Known(draws=cold.saturation_mg_per_l, origin=Origin.MEASURED)})
    assert cold[Q.GAS_PRESSURE][0] == pytest.approx(100.0, abs=0.2)
    warm = bring_to_temperature(cold, np.full(3, 20.0), came_from="x")
    assert warm[Q.GAS_PRESSURE][0] == pytest.approx(133.0, abs=2.0)
    assert warm[Q.OXYGEN][0] == pytest.approx(cold[Q.OXYGEN][0])


def test_airing_lets_the_gas_out_and_brings_the_ph_to_the_air() -> None:
    warm = bring_to_temperature(water(temperature=6.0, salt=0.0), np.full(3, 20.0), came_from="x")
    aired = air(warm, share=0.95, co2_in_air_ppm=420.0, came_from="y")
    assert aired[Q.OXYGEN][0] == pytest.approx(0.95 * 9.09, abs=0.02)
    assert aired[Q.GAS_PRESSURE][0] < 100.5
    # 2.0 meq/L over 420 ppm: pK1 6.38 and KH 10^-1.41 at 20 °C (Plummer & Busenberg 1982) give
    # 6.38 + log10(2.0e-3/(420e-6 x 10^-1.41)) = 8.47
    assert aired[Q.PH][0] == pytest.approx(8.47, abs=0.05)


def test_neutralising_leaves_the_ammonia_of_chloramine() -> None:
    # 2 mg/L of chloramine as Cl2 carries 2 x 14.007/70.906 = 0.395 mg/L of nitrogen
    tap = water(chlorine=2.0, ammonia=0.1)
    safe = neutralise(tap, came_from="x", ammonia_mg_n_per_l=2.0 * 14.007 / 70.906)
    assert safe[Q.CHLORINE][0] == 0.0
    assert safe[Q.AMMONIA][0] == pytest.approx(0.495, abs=0.001)


def test_filling_keeps_the_water_and_takes_other_litres() -> None:
    tub = fill(water(), Known(draws=np.full(3, 25.0), origin=Origin.MEASURED), came_from="prepare/fill/induction-1")
    assert tub[Q.VOLUME][0] == 25.0
    assert tub.known[Q.PH].came_from == "prepare/fill/induction-1"
    assert tub.known[Q.PH].origin is Origin.WORKED_OUT


def test_chloride_begins_at_none_and_is_mixed_as_any_solute() -> None:
    # 1 g/L of sodium chloride holds 35.453/58.443 = 0.6066 g of chloride; what a meter called salt holds none for sure
    assert chloride_mg_per_l(water())[0] == 0.0
    litres = water()[Q.VOLUME][0]
    salted = dose(water(), came_from="x", salt_g=litres)
    assert chloride_mg_per_l(salted)[0] == pytest.approx(606.6, abs=0.5)
    assert chloride_mg_per_l(change(salted, water(), litres / 4.0, came_from="y"))[0] == pytest.approx(455.0, abs=0.5)
    read = water().with_known({Q.CHLORIDE: Known(draws=np.full(3, 40.0), origin=Origin.MEASURED)})
    assert chloride_mg_per_l(read)[0] == 40.0
    assert chloride_mg_per_l(dose(read, came_from="x", salt_g=litres))[0] == pytest.approx(646.6, abs=0.5)
