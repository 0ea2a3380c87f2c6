"""The engine against scipy.integrate.solve_ivp on equations written out independently."""

import numpy as np
import pytest

from tests.tank import reference_odes as odes
from tests.tank.scenes import LINEAR, SHOWN, Scene
from waterplan.stay.course import record_every_h
from waterplan.stay.standing import LONG_STEP_H

_FIRST_ORDER = {"tan_capacity": 20e9, "tan_half": 1e9, "nitrite_capacity": 16e9, "nitrite_half": 1e9}
_MAINS = {"temp": 16.0, "do": 9.5, "tan": 0.3, "alkalinity_mg": 150.0, "ph": 7.8, "salt": 1.0}
_GEOMETRY = {"area_m2": 0.5, "transfer_m_per_day": 0.4, "wall_w_per_k": 11.0}


def linear_closed() -> Scene:
    """No curve anywhere: steady temperature, a filter of first order, oxygen in plenty."""
    return Scene(
        settings={**_GEOMETRY, **_FIRST_ORDER, "air_l_per_min": 8.0, "uptake_mg_h": 100.0, "excretion_mg_h": 4.0},
        start={"temp": 20.0, "do": 7.0, "tan": 1.0, "nitrite": 0.3},
        until_h=12.0,
    )


def linear_with_equal_rates() -> Scene:
    """The same where both steps of the filter have one rate, which a solution by eigenvectors cannot take."""
    scene = linear_closed()
    scene.settings["nitrite_capacity"] = scene.settings["tan_capacity"]
    return scene


def linear_warmth() -> Scene:
    """A tank that cools towards its room with a heater in its proportional band all the time; nothing breathes."""
    return Scene(
        settings={**_GEOMETRY, "surface_w_per_m2_k": 8.0, "room_c": 12.0, "heater_w": 900.0, "target_c": 20.0, "band_c": 18.0},
        start={"temp": 25.0, "do": 8.0},
        until_h=48.0,
        every_h=2.0,
    )  # fmt: skip


def hospital() -> Scene:
    """Everything at once: swing of the room, thermostat, evaporation, saturating filter, meals, changes, handling."""
    return Scene(
        settings={
            **_GEOMETRY, "surface_w_per_m2_k": 8.0, "evaporation_factor": 0.74, "room_c": 17.0, "swing_c": 3.0,
            "air_l_per_min": 8.0, "heater_w": 150.0, "target_c": 22.0, "uptake_mg_h": 100.0, "excretion_mg_h": 4.0,
            "tan_capacity": 20.0, "tan_half": 1.0, "nitrite_capacity": 16.0, "nitrite_half": 1.0,
        },
        start={"temp": 17.0, "do": 7.0, "tan": 1.0, "nitrite": 0.3},
        source=_MAINS,
        until_h=48.0,
        happenings=[
            (1.0, "handled", 2.5), (6.0, "feed", 5.0), (20.0, "change", 0.3), (30.0, "feed", 4.0), (44.0, "change", 0.5),
        ],
    )  # fmt: skip


def air_off() -> Scene:
    """The air stops for three hours over a filter that goes on: oxygen runs out and comes back."""
    return Scene(
        settings={
            **_GEOMETRY, "volume_l": 60.0, "level_l": 60.0, "air_l_per_min": 8.0, "uptake_mg_h": 150.0, "excretion_mg_h": 4.0,
            "tan_capacity": 12.0, "nitrite_capacity": 12.0,
        },
        start={"temp": 20.0, "do": 8.0, "tan": 1.0, "nitrite": 0.2},
        until_h=9.0,
        every_h=0.5,
        happenings=[(1.0, "air stops", None), (5.0, "air returns", None)],
    )  # fmt: skip


@pytest.mark.parametrize("method", ["LSODA", "Radau"])
@pytest.mark.parametrize("scene", [linear_closed, linear_with_equal_rates], ids=lambda made: made.__name__)
def test_linear_is_exact(scene: type[Scene], method: str) -> None:
    made = scene()
    reference = made.reference(rtol=1e-11, method=method)
    errors = made.errors(0.5, reference, LINEAR)
    assert max(errors.values()) < 1e-8, errors


@pytest.mark.parametrize("method", ["LSODA", "Radau"])
def test_linear_warmth_is_exact(method: str) -> None:
    scene = linear_warmth()
    errors = scene.errors(1.0, scene.reference(rtol=1e-11, method=method), ("water_temp_c",))
    assert errors["water_temp_c"] < 1e-8


@pytest.mark.parametrize("scene", [hospital, air_off], ids=lambda made: made.__name__)
def test_curved_within_a_thousandth_of_range(scene: type[Scene]) -> None:
    made = scene()
    errors = made.errors(0.5, made.reference(rtol=1e-9), SHOWN)
    assert max(errors.values()) < 1e-3, errors


@pytest.mark.parametrize("scene", [hospital, air_off], ids=lambda made: made.__name__)
def test_a_long_stay_is_within_a_hundredth_of_range_at_its_own_step(scene: type[Scene]) -> None:
    """Written down as a stay of over a week is, which is how often it is stepped."""
    made, week_h = scene(), 168.0
    made.every_h = record_every_h(2.0 * week_h)
    errors = made.errors(LONG_STEP_H, made.reference(rtol=1e-9), SHOWN)
    assert max(errors.values()) < 1e-2, errors


@pytest.mark.longer
@pytest.mark.parametrize(("capacity", "tan"), [(400.0, 0.05), (400.0, 3.0), (4000.0, 0.5)])
def test_a_brisk_filter_is_followed_as_well_in_few_steps(capacity: float, tan: float) -> None:
    scene = hospital()
    scene.every_h = 2.0
    scene.settings |= {"tan_capacity": capacity, "nitrite_capacity": 0.8 * capacity}
    scene.start |= {"tan": tan}
    errors = scene.errors(LONG_STEP_H, scene.reference(rtol=1e-9), SHOWN)
    assert max(errors.values()) < 1e-2, errors


def test_error_falls_with_the_square_of_the_step() -> None:
    scene = hospital()
    scene.until_h, scene.happenings = 12.0, []
    reference = scene.reference()
    coarse, fine = (scene.errors(step, reference, ("do_mg_per_l", "tan_mg_n_per_l")) for step in (0.5, 0.125))
    for name, error in fine.items():
        assert error < coarse[name] / 8.0, name


def test_reference_is_not_the_engine() -> None:
    """The reference's own saturation against a printed value, so that the two do not share a slip."""
    assert odes.saturation(20.0, 0.0, 101.325) == pytest.approx(9.092, abs=0.001)
    assert np.isclose(odes.ph_of(odes.carbon_of(7.0, 2.0, 0.1, 20.0), 2.0, 0.1, 20.0), 7.0)
