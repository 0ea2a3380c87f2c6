"""The record of a volume: its band, which end is used for what, measured shapes, corrections."""

import numpy as np
import pytest

from waterplan.errors import ImpossibleInput
from waterplan.spread import Draws, Measured
from waterplan.vessel.corrections import Correction, corrected
from waterplan.vessel.forms import Form, Plan, Profile, measured_volume
from waterplan.vessel.measured_liner import MeasuredShelf, measured_liner_volume
from waterplan.vessel.volume import Method, Use, Volume, mean_and_error, relative_sd, student

DRAWS = Draws()
POND = Volume(
    litres=DRAWS.of("pond", Measured.within_factor(10000.0, 0.1)), method=Method.GRID, words="measured", cautions=("x",)
)


@pytest.mark.parametrize("use", Use)
def test_what_harms_by_excess_or_by_want_takes_the_low_end_and_an_antidote_the_high(use: Use) -> None:
    working = POND.working(use)
    low, _, high = POND.band
    assert working.litres == (high if use is Use.ANTIDOTE else low)
    assert f"the {working.end} end" in working.words
    assert f"{working.litres:,.0f} L" in working.words


def test_a_volume_known_exactly_has_one_end() -> None:
    tub = Volume(litres=300.0, method=Method.STATED, words="marked")
    assert tub.working(Use.ANTIDOTE).litres == tub.working(Use.OXYGEN).litres == 300.0
    assert tub.relative_sd == 0.0
    assert tub.litres_in_percent(25.0) == 75.0


@pytest.mark.parametrize("litres", [0.0, -5.0, float("nan"), np.array([100.0, 90.0, -1.0])])
def test_no_water_is_no_volume(litres: object) -> None:
    with pytest.raises(ImpossibleInput):
        Volume(litres=litres, method=Method.STATED, words="")  # type: ignore[arg-type]


def test_a_stated_plus_minus_is_read_as_a_95_percent_interval() -> None:
    assert relative_sd("water meter") == pytest.approx(0.02 / 1.96, rel=1e-3)
    assert relative_sd("liner pond from its size") == 0.12


def test_students_draws() -> None:
    # 95th percentiles of t with 4 and with 100 degrees of freedom, from the printed tables: 2.132 and 1.660.
    for freedom, printed in ((4.0, 2.132), (100.0, 1.660)):
        drawn = student(DRAWS, "t", sd=1.0, freedom=freedom)
        assert np.percentile(drawn[1:], 95.0) == pytest.approx(printed, rel=0.01)
        assert drawn[0] == 0.0


def test_mean_and_error_of_the_thermometers_twenty_readings() -> None:
    # JCGM 100:2008, 4.4.3 and table 1, from memory: mean 100.14 °C, standard error 0.33 °C.
    read = (
        "96.90 98.18 98.25 98.61 99.03 99.49 99.56 99.74 99.89 100.07 "
        "100.33 100.42 100.68 100.95 101.11 101.20 101.57 101.84 102.36 102.79"
    )
    mean, error = mean_and_error([float(one) for one in read.split()])
    assert mean == pytest.approx(100.14, abs=0.01)
    assert error == pytest.approx(0.33, abs=0.005)
    assert mean_and_error([3.0])[1] == np.inf


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
    assert found.band.best == pytest.approx(1000.0 * np.pi / 4.0 * 1.44 * 0.7)
    # In squares: twice 0.0102 / 1.2, 0.0051 / 0.7 for the rim and for the freeboard, and 2 % for the shape.
    expected = np.sqrt((2 * 0.0102 / 1.2) ** 2 + 2 * (0.0051 / 0.7) ** 2 + 0.02**2)
    assert found.relative_sd == pytest.approx(expected, rel=0.05)


def test_an_informal_pond_says_that_it_reads_high() -> None:
    assert any("20 to 60 % high" in caution for caution in tub(Form.INFORMAL).cautions)
    assert tub(Form.INFORMAL).relative_sd > 0.15


def test_water_below_the_floor_is_refused() -> None:
    with pytest.raises(ImpossibleInput):
        tub(freeboard=0.9)


def test_more_rock_than_water_is_refused() -> None:
    with pytest.raises(ImpossibleInput):
        corrected(POND, [Correction(what="rock", litres=-20000.0)])


def test_a_measured_liner_pond_by_hand() -> None:
    found = measured_liner_volume(
        sizes=sizes(
            length_m=Measured.exact(6.0),
            width_m=Measured.exact(4.0),
            brim_m=Measured.exact(1.5),
        ),
        shelves=[
            MeasuredShelf(depth_m=Measured.exact(0.3), width_m=Measured.plus_minus(0.25, 0.05)),
            MeasuredShelf(depth_m=Measured.exact(1.0), width_m=Measured.exact(0.5), length_m=Measured.exact(1.2)),
        ],
        freeboard_m=Measured.exact(0.05),
        draws=DRAWS,
        name="pond",
    )
    # 6 x 4 x 0.25 of water above the shelf, 5.5 x 3.5 x 1.2 below it, less a step of 0.6 m2 and 0.5 m.
    assert found.band.best == pytest.approx(1000.0 * (6.0 + 23.1 - 0.3))
    assert found.relative_sd == pytest.approx(0.12, rel=0.05)
    assert "all round" in found.readings[3].read
    with pytest.raises(ImpossibleInput, match="sizes"):
        measured_liner_volume(
            sizes=sizes(length_m=Measured.exact(6.0)), freeboard_m=Measured.exact(0.0), draws=DRAWS, name="pond"
        )
