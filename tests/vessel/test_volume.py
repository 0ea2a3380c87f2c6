"""The record of a volume: its litres and their error, and measured shapes."""

import numpy as np
import pytest

from waterplan.errors import ImpossibleInput
from waterplan.spread import Draws, Measured
from waterplan.vessel.agreement import relative_error
from waterplan.vessel.basin import Form
from waterplan.vessel.forms import Plan, Profile, measured_volume
from waterplan.vessel.liner import Shelf, measured_liner_volume
from waterplan.vessel.volume import Volume, relative_sd, student

DRAWS = Draws(count=4096)


@pytest.mark.parametrize("litres", [[0.0], [-5.0], [float("nan")], [100.0, 90.0, -1.0]])
def test_no_water_is_no_volume(litres: list[float]) -> None:
    with pytest.raises(ImpossibleInput, match="litres"):
        Volume(litres=np.array(litres))


def test_a_stated_plus_minus_is_read_as_a_95_percent_interval() -> None:
    assert relative_sd("water meter") == pytest.approx(0.02 / 1.96, rel=1e-3)
    assert relative_sd("liner pond from its size") == 0.12


def test_students_draws() -> None:
    # 95th percentiles of t with 4 and with 100 degrees of freedom, from the printed tables: 2.132 and 1.660.
    for freedom, printed in ((4.0, 2.132), (100.0, 1.660)):
        drawn = student(DRAWS, "t", sd=1.0, freedom=freedom)
        assert np.percentile(drawn[1:], 95.0) == pytest.approx(printed, rel=0.01)
        assert drawn[0] == 0.0


def sizes(**given: Measured) -> dict[str, Measured]:
    return given


def tub(form: Form = Form.RIGID, freeboard: float = 0.1) -> Volume:
    return measured_volume(
        Plan.CIRCLE,
        Profile.VERTICAL,
        sizes=sizes(diameter_m=Measured.plus_minus(1.2, 0.02), brim_m=Measured.plus_minus(0.8, 0.01)),
        freeboard_m=Measured.plus_minus(freeboard, 0.01, floor=0.0),
        form=form,
        draws=DRAWS,
        name="tub",
    )


def test_a_measured_tub_by_hand() -> None:
    found = tub()
    assert found.litres[0] == pytest.approx(1000.0 * np.pi / 4.0 * 1.44 * 0.7)
    # In squares: twice 0.0102 / 1.2, 0.0051 / 0.7 for the rim and for the freeboard, and 2 % for the shape.
    expected = np.sqrt((2 * 0.0102 / 1.2) ** 2 + 2 * (0.0051 / 0.7) ** 2 + 0.02**2)
    assert relative_error(found.litres) == pytest.approx(expected, rel=0.05)


def test_an_informal_pond_is_much_less_sure() -> None:
    assert relative_error(tub(Form.INFORMAL).litres) > 0.15


def test_water_below_the_floor_is_refused() -> None:
    with pytest.raises(ImpossibleInput):
        tub(freeboard=0.9)


def test_a_measured_liner_pond_by_hand() -> None:
    found = measured_liner_volume(
        sizes=sizes(
            length_m=Measured.exact(6.0),
            width_m=Measured.exact(4.0),
            brim_m=Measured.exact(1.5),
        ),
        shelves=[Shelf(0.3, 0.25), Shelf(1.0, 0.5, 1.2)],
        shelf_sd=0.05,
        freeboard_m=Measured.exact(0.05),
        form=Form.LINER,
        draws=DRAWS,
        name="pond",
    )
    # 6 x 4 x 0.25 of water above the shelf, 5.5 x 3.5 x 1.2 below it, less a step of 0.6 m2 and 0.5 m.
    assert found.litres[0] == pytest.approx(1000.0 * (6.0 + 23.1 - 0.3))
    assert relative_error(found.litres) == pytest.approx(0.12, rel=0.05)
    assert found.area_m2 is not None
    assert found.area_m2[0] == pytest.approx(24.0)
