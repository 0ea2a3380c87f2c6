"""The equations of the tank against printed and hand-worked values, and what they refuse."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tank.worked_values import inputs, worked
from waterplan.errors import ImpossibleInput
from waterplan.tank import aeration, air_needed, biofilter, cylinder, heat

_EQUATIONS: dict[str, Callable[..., float]] = {
    name: getattr(room, name)
    for room, names in (
        (
            aeration,
            ("standard_transfer_mg_per_h", "surface_transfer_l_per_h"),
        ),
        (heat, ("evaporation_kg_per_h",)),
        (
            biofilter,
            ("filter_capacity_mg_n_per_h",),
        ),
        (cylinder, ("cylinder_minutes",)),
        (air_needed, ("air_flow_to_strip_l_per_min",)),
    )
    for name in names
}
_ROWS = [(name, row) for name in _EQUATIONS for row in worked("tank_equations", name)]


@pytest.mark.parametrize(("name", "row"), _ROWS, ids=lambda value: value if isinstance(value, str) else "")
def test_worked(name: str, row: dict[str, str]) -> None:
    first, *rest = inputs(row).items()
    found = _EQUATIONS[name](first[1], **dict(rest))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(("name", "row"), _ROWS, ids=lambda value: value if isinstance(value, str) else "")
def test_arrays_and_floats_agree(name: str, row: dict[str, str]) -> None:
    first, *rest = inputs(row).items()
    alone = _EQUATIONS[name](first[1], **dict(rest))
    many = _EQUATIONS[name](np.full(3, first[1]), **{key: np.full(3, value) for key, value in rest})
    assert isinstance(alone, float)
    assert many == pytest.approx(np.full(3, alone), rel=1e-12)


@pytest.mark.parametrize(("name", "row"), _ROWS, ids=lambda value: value if isinstance(value, str) else "")
def test_not_finite_is_impossible(name: str, row: dict[str, str]) -> None:
    given_inputs = inputs(row)
    for spoilt in given_inputs:
        first, *rest = (given_inputs | {spoilt: float("nan")}).items()
        with pytest.raises(ImpossibleInput, match=spoilt):
            _EQUATIONS[name](first[1], **dict(rest))


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("standard_transfer_mg_per_h", {"air_flow_l_per_min": -1.0}),
        ("cylinder_minutes", {"gauge_bar": -10.0}),
        ("evaporation_kg_per_h", {"area_m2": -1.0}),
    ],
)
def test_impossible(name: str, wrong: dict[str, float]) -> None:
    first, *rest = (inputs(worked("tank_equations", name)[0]) | wrong).items()
    with pytest.raises(ImpossibleInput, match=next(iter(wrong))):
        _EQUATIONS[name](first[1], **dict(rest))


@given(depth=st.floats(0.1, 3.0), temp=st.floats(2.0, 32.0), level=st.floats(0.0, 7.0))
def test_a_diffuser_says_what_the_two_equations_say(depth: float, temp: float, level: float) -> None:
    stone = aeration.Diffuser(air_flow_l_per_min=5.0, depth_m=depth, alpha=0.8, beta=0.97)
    full = 14.6 - 0.25 * temp  # any saturation will do
    standard = aeration.standard_transfer_mg_per_h(5.0, sote_percent_per_m=2.0, depth_m=depth)
    # ASCE: field over standard transfer is alpha (beta Cs - C) / 9.092 x 1.024^(t - 20).
    by_ratio = standard * 0.8 * (0.97 * full - level) / 9.092 * 1.024 ** (temp - 20.0)
    assert stone.transfer_l_per_h(temp) * (stone.ceiling * full - level) == pytest.approx(by_ratio, rel=1e-9)


def test_oxygen_bubbles_dissolve_the_same_share_as_air() -> None:
    air, oxygen = (
        aeration.Diffuser(air_flow_l_per_min=1.0, depth_m=0.5, alpha=1.0, beta=1.0, gas=gas) for gas in aeration.Gas
    )
    # A litre of either at no oxygen gives up 1 % over half a metre at 2 %/m.
    assert air.transfer_l_per_h(20.0) * 9.092 == pytest.approx(60 * 278.7 * 0.01, rel=1e-3)
    assert oxygen.transfer_l_per_h(20.0) * 9.092 / 0.20946 == pytest.approx(60 * 1330.2 * 0.01, rel=1e-3)


def test_an_empty_cylinder_and_no_flow() -> None:
    assert cylinder.cylinder_minutes(10.0, gauge_bar=5.0, oxygen_flow_l_per_min=1.0) == 0.0
    assert cylinder.cylinder_minutes(10.0, gauge_bar=100.0, oxygen_flow_l_per_min=0.0) == np.inf
