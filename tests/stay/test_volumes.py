"""Volumes in the stay, against geometry worked by hand and printed tracer values."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan import tables
from waterplan.case import read_case
from waterplan.spread import Draws, band
from waterplan.stay.figures import Figures
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd, Origin
from waterplan.stay.volume.found import Found, find_volume, volume_as_stated
from waterplan.stay.volume.ways import is_guess

HEAD = 'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1.1 kg, scales"\n'
TUB = '[[vessels]]\nname = "blue tub"\nuse = "revival"\nvolume = "60 L, marked tub"\n'
METER = '[[volumes]]\nof = "home pond"\nby = "meter"\nmeter_before = "1000 L"\nmeter_after = "{after} L"\n'
# 2,984 g of pure salt that raise the salt by 0.4 g/L: 7,460 L; the two readings are good to 0.002 g/L.
TRACER = """[[volumes]]
of = "home pond"
by = "tracer"
salt = "2.984 ± 0 kg"
purity = "100 ± 0 %"
reads = "salinity in g/L"
reads_to = 0.002
before = "inlet 0.1"
after = \"\"\"
inlet 5 0.5
outlet 5 0.5
drain 5 0.5
shelf 5 0.5
skimmer 5 0.5
\"\"\"
"""
# Stations that differ by half of the rise: water that is not mixed.
UNMIXED = TRACER.replace("skimmer 5 0.5", "skimmer 5 0.3")
BOX = """[[volumes]]
of = "home pond"
{part}by = "shape"
plan = "rectangle"
profile = "vertical walls, flat floor"
made = "rigid tub from its size"
length = "{length} ± 0 m"
width = "{width} ± 0 m"
rim = "{rim} ± 0 m"
below_rim = "0 ± 0 m"
{more}"""


def found_in(text: str, *, vessel: int | None = None, draws: int = 512) -> tuple[Found, Figures, Inputs]:
    """The volume of the pond, or of a vessel by its place, in a case of text."""
    case = read_case(HEAD + text, file="case")
    inputs, figures = Inputs(draws=Draws(count=draws)), Figures()
    chosen = None if vessel is None else case.vessels[vessel]
    water = "home-pond" if chosen is None else f"{chosen.use}-{vessel + 1}"
    return find_volume(case, inputs, figures, water=water, vessel=chosen), figures, inputs


def pond(text: str) -> Found:
    return found_in(text + TUB)[0]


def tub(sizes: str, use: str = "hospital") -> Found:
    return found_in(f'[[vessels]]\nname = "tub"\nuse = "{use}"\n{sizes}', vessel=0)[0]


def codes(found: Found) -> list[str]:
    return [why.code for way in found.record.ways for why in way.refused]


# -- what the section says ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sizes", "litres", "surface", "wall"),
    [
        # 2 x 1 x 0.5 m: 1,000 L; the floor is 2 m2, the walls 6 m x 0.5 m.
        ('shape = "rectangle"\nlength = "2 ± 0 m"\nwidth = "1 ± 0 m"\ndepth = "0.5 ± 0 m"\n', 1000.0, 2.0, 5.0),
        # A circle of 2 m: pi m2; 0.5 m deep that is 1,570.8 L, and 2 pi x 0.5 m2 of wall.
        ('shape = "round"\ndiameter = "2 ± 0 m"\ndepth = "0.5 ± 0 m"\n', 500.0 * math.pi, math.pi, 2.0 * math.pi),
        # An oval of 4 x 1 m has the area of that circle, and is taken for it.
        (
            'shape = "oval"\nlength = "4 ± 0 m"\nwidth = "1 ± 0 m"\ndepth = "0.5 ± 0 m"\n',
            500.0 * math.pi,
            math.pi,
            2.0 * math.pi,
        ),
        # 1,000 L over 2 m2 stand 0.5 m deep, whatever the rim is.
        ('volume = "1000 ± 0 L"\nshape = "rectangle"\nlength = "2 ± 0 m"\nwidth = "1 ± 0 m"\n', 1000.0, 2.0, 5.0),
        # 500 pi L that stand 0.5 m deep have pi m2.
        (f'volume = "{500.0 * math.pi} ± 0 L"\ndepth = "0.5 ± 0 m"\n', 500.0 * math.pi, math.pi, 2.0 * math.pi),
    ],
)
def test_sizes_by_geometry(sizes: str, litres: float, surface: float, wall: float) -> None:
    found = tub(sizes)
    assert found.surface_m2 is not None
    assert found.wall_m2 is not None
    assert found.depth_m is not None
    np.testing.assert_allclose(found.litres.draws, litres, rtol=1e-7)
    np.testing.assert_allclose(found.surface_m2, surface, rtol=1e-7)
    np.testing.assert_allclose(found.depth_m, 0.5, rtol=1e-7)
    np.testing.assert_allclose(found.wall_m2, wall, rtol=1e-7)
    assert not found.guessed
    assert found.litres.origin is Origin.MEASURED


def test_of_litres_alone_no_surface_follows() -> None:
    found = tub('volume = "60 L, marked tub"\n')
    assert found.surface_m2 is None
    assert found.depth_m is None
    assert found.wall_m2 is None
    assert found.litres.measured_with == "marked tub"
    assert found.litres.text == "60 L, marked tub"


def test_a_pond_with_sloping_sides_holds_less_than_its_box() -> None:
    sizes = '[home_pond]\nshape = "rectangle"\nlength = "4 ± 0 m"\nwidth = "2.5 ± 0 m"\ndepth = "1 ± 0 m"\n'
    # 10 m3; of them pond_walls says 0.72 for sloping sides, 0.8 where nobody said.
    assert pond(sizes + 'walls = "sloping"\n').litres.draws[0] == pytest.approx(7200.0)
    assert not pond(sizes + 'walls = "sloping"\n').guessed
    unknown = pond(sizes)
    assert unknown.litres.draws[0] == pytest.approx(8000.0)
    assert unknown.guessed
    vertical = pond(sizes + 'walls = "vertical"\n')
    assert vertical.litres.draws.max() <= 10000.0


@pytest.mark.parametrize(
    ("written", "guess"),
    [
        ("60 L, marked tub", False),
        ("60 ± 2 L", False),
        ("60 L, owner's word", True),
        ("60 L", True),
    ],
)
def test_which_figures_are_guesses(written: str, guess: bool) -> None:
    assert tub(f'volume = "{written}"\n').guessed is guess


def test_the_sizes_are_weighed_with_a_figure_that_is_only_the_owners_word() -> None:
    sizes = (
        'shape = "rectangle"\nlength = "4 m, tape"\nwidth = "2.5 m, tape"\ndepth = "1 m, tape"\nwalls = "vertical"\n'
    )
    found = pond(f'[home_pond]\nvolume = "12000 L, owner\'s word"\n{sizes}')
    assert [way.by for way in found.record.ways] == ["stated", "rectangle"]
    assert found.record.agree
    assert not found.guessed
    assert found.litres.draws[0] == pytest.approx(10000.0, rel=0.01)
    stated = pond(f'[home_pond]\nvolume = "12000 L, timed fill"\n{sizes}')
    assert [way.by for way in stated.record.ways] == ["stated"]


# -- where nothing gives a volume ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["home", "induction", "irrigation", "revival", "hospital", "dip", "bag", "box"])
def test_a_volume_nobody_gave_lies_anywhere_in_the_range_of_its_kind(kind: str) -> None:
    row = tables.row("defensible_ranges", kind=kind, quantity="volume")
    inputs, figures = Inputs(draws=Draws(count=512)), Figures()
    water = f"{kind}-pond" if kind == "home" else f"{kind}-1"
    found = volume_as_stated(inputs, figures, water=water, reading=None)
    assert found.guessed
    assert found.litres.origin is Origin.ASSUMED
    assert found.litres.assumed == {f"{water}/volume"}
    assert found.litres.why == "not measured"
    drawn = found.litres.draws[1:]
    assert (drawn.min(), drawn.max()) == (row.low, row.high)
    assert (drawn == row.low).mean() == pytest.approx((drawn == row.high).mean(), abs=0.01)
    assert found.record.ways == ()
    assert row.id in figures.record(f"{water}/volume").rows


def test_a_case_that_says_nothing_of_the_pond_has_an_assumed_one() -> None:
    found = pond("")
    assert found.litres.origin is Origin.ASSUMED
    assert found.litres.draws.size == 513


# -- made up to a mark --------------------------------------------------------------------------------------------------


def test_a_bucket_one_fills_oneself_has_the_marks_error() -> None:
    case = read_case(HEAD + '[[vessels]]\nname = "b"\nuse = "dip"\nvolume = "12 L"\n', file="case")
    reading = case.vessels[0].volume
    assert reading is not None
    assert is_guess(reading)
    inputs, figures = Inputs(draws=Draws(count=512)), Figures()
    filled = volume_as_stated(inputs, figures, water="dip-1", reading=reading, made_up=True)
    # One sd of a marked tub is 1.5 %: the band is 12 x (1 -+ 1.645 x 0.015).
    low, best, high = band(filled.litres.draws)
    assert (low, best, high) == pytest.approx((11.707, 12.0, 12.300), abs=0.01)
    assert not filled.guessed
    guessed = volume_as_stated(inputs, figures, water="dip-2", reading=reading)
    assert guessed.guessed
    assert band(guessed.litres.draws).high > 18.0


# -- measured in [[volumes]] --------------------------------------------------------------------------------------------


def test_a_meter_alone() -> None:
    found, figures, inputs = found_in(METER.format(after=6000) + TUB)
    # A totalling meter is good to ± 2 % (95 of 100): one sd 1.02 %, so 5,000 L are 4,916 to 5,084.
    assert band(found.litres.draws) == pytest.approx((4916.0, 5000.0, 5085.0), abs=6.0)
    assert found.litres.measured_with == "meter"
    assert not found.guessed
    assert found.record.agree is None
    (way,) = found.record.ways
    assert way.figure == "home-pond/volume/1"
    assert way.readings["meter_after"] == "6000 L"
    assert list(inputs.columns) == ["home-pond/volume/1/meter"]
    assert "vessel_methods/water meter" in figures.record("home-pond/volume").rows
    assert figures.record("home-pond/volume").act_end is ActEnd.LOW
    assert found.record.use_for["antidote"] == "home-pond/volume/most"
    assert figures.record("home-pond/volume/most").act_end is ActEnd.HIGH


def test_a_tracer_gives_the_litres_and_leaves_its_salt() -> None:
    found = pond(TRACER)
    assert found.litres.draws[0] == pytest.approx(7460.0, rel=1e-6)
    assert found.salt_added_g is not None
    np.testing.assert_allclose(found.salt_added_g.draws, 2984.0, rtol=1e-12)
    assert found.salt_added_g.came_from == "volumes/1"
    # Salt over litres is the rise that was read, in every draw: within the ± 0.002 g/L of each of its six readings.
    np.testing.assert_allclose(found.salt_added_g.draws / found.litres.draws, 0.4, atol=0.006)
    assert pond(METER.format(after=6000)).salt_added_g is None


@pytest.mark.parametrize(
    ("reads", "before", "after", "grams_per_l", "share"),
    [
        # The printed values of tests/published_values/vessel_tracer.csv: 606.6 mg/L of chloride are a gram of salt, and
        # 0.2 mS/cm more over 0.2 mS/cm are 0.0972 g/L with the ± 2.8 % that is stated.
        ("chloride in mg/L", 0.0, 606.6, 1.0, 0.0001),
        ("conductivity at 25 °C in mS/cm", 0.2, 0.4, 0.0972, 0.028),
        ("conductivity at 25 °C in µS/cm", 200.0, 300.0, 0.0486, 0.028),
    ],
)
def test_a_tracer_by_printed_values(reads: str, before: float, after: float, grams_per_l: float, share: float) -> None:
    text = (
        f'[[volumes]]\nof = "home pond"\nby = "tracer"\nsalt = "1 ± 0 kg"\npurity = "100 ± 0 %"\nreads = "{reads}"\n'
        f'reads_to = {after / 1000}\nbefore = "inlet {before}"\nafter = "inlet 5 {after}"\n'
    )
    assert pond(text).litres.draws[0] == pytest.approx(1000.0 / grams_per_l, rel=share)


def test_a_salt_read_with_two_meters_went_in_once() -> None:
    other = TRACER.replace("reads_to = 0.002", "reads_to = 1").replace(" 5 0.5", " 5 0.52")
    found = pond(TRACER + other)
    assert codes(found) == ["rise-too-small"]
    assert found.salt_added_g is not None
    np.testing.assert_allclose(found.salt_added_g.draws, 2984.0)
    twice = pond(TRACER + other.replace("2.984", "1.000"))
    assert twice.salt_added_g is not None
    np.testing.assert_allclose(twice.salt_added_g.draws, 3984.0)


def test_a_tracer_that_is_not_mixed_is_refused_and_its_salt_is_there_all_the_same() -> None:
    found, figures, _ = found_in('[home_pond]\nvolume = "7500 L, marked tub"\n' + UNMIXED + TUB)
    assert codes(found) == ["stations-differ"]
    # The rises are 0.4 at four stations and 0.2 at one: 0.2 of a mean of 0.36.
    (why,) = found.record.ways[0].refused
    assert figures.draws(why.figures["spread"])[0] == pytest.approx(100.0 * 0.2 / 0.36)
    assert found.record.ways[0].figure is None
    assert found.litres.draws[0] == pytest.approx(7500.0)
    assert not found.guessed
    assert found.salt_added_g is not None


def test_without_another_way_a_refused_tracer_leaves_the_volume_open() -> None:
    found = pond(UNMIXED)
    assert found.litres.origin is Origin.ASSUMED
    assert found.guessed
    assert codes(found) == ["stations-differ"]


def test_ways_that_agree_are_weighed_and_surer_than_each() -> None:
    found, figures, _ = found_in('[home_pond]\nvolume = "7500 L, marked tub"\n' + TRACER + TUB)
    assert found.record.agree
    assert found.litres.measured_with == "several ways"
    widths = []
    for path in ("home-pond/volume/1", "home-pond/volume/2", "home-pond/volume"):
        low, _, high = band(figures.draws(path))
        widths.append(high - low)
    assert widths[2] < min(widths[:2])
    assert 7460.0 < found.litres.draws[0] < 7500.0


def test_ways_that_do_not_agree_are_a_guess_and_the_odd_one_is_named() -> None:
    found = pond('[home_pond]\nvolume = "7500 L, marked tub"\n' + TRACER + METER.format(after=16000))
    assert found.record.agree is False
    assert found.guessed
    assert found.record.odd == "home-pond/volume/2"
    low, _, high = band(found.litres.draws)
    assert low < 7700.0
    assert high > 14500.0


def test_the_same_survey_twice_is_one_survey() -> None:
    once, twice = pond(METER.format(after=6000)), pond(2 * METER.format(after=6000))
    assert codes(twice) == ["survey-given-twice"]
    np.testing.assert_array_equal(once.litres.draws, twice.litres.draws)
    # Written in another order and with another weight of the same salt it is the same survey still.
    lines = TRACER.split('"""')
    rows = "\n".join(reversed(lines[1].strip().split("\n")))
    again = f'{lines[0]}"""\n{rows}\n"""\n'.replace("2.984", "2.98")
    assert codes(pond(TRACER + again)) == ["survey-given-twice"]
    # Another reading of the meter is another measurement.
    assert codes(pond(METER.format(after=6000) + METER.format(after=6010))) == []


def test_a_figure_without_any_error_is_not_weighed_with_others() -> None:
    found = pond('[home_pond]\nvolume = "7000 ± 0 L"\n' + TRACER)
    assert codes(found) == ["no-error-stated"]
    assert found.litres.draws[0] == pytest.approx(7460.0, rel=1e-6)
    assert found.record.ways[1].figure == "home-pond/volume/2"


def test_what_stands_in_the_water_and_hangs_on_to_it() -> None:
    # 5,000 L by the meter; 12 m of pipe of 100 mm bore hold 94.25 L, filters 180 L; 1 cm lower on 8 m2 is 80 L less.
    more = 'pipe_length = "12 ± 0 m"\npipe_bore = "100 ± 0 mm"\nfilter_bodies = "180 ± 0 L"\nlevel_fall = "1 ± 0 cm"\n'
    found, figures, _ = found_in(METER.format(after=6000) + more + 'surface = "8 ± 0 m2"\n' + TUB)
    assert found.litres.draws[0] == pytest.approx(5000.0 + 94.248 + 180.0 - 80.0, abs=0.01)
    corrections = {key: figures.draws(path)[0] for key, path in found.record.ways[0].corrections.items()}
    assert corrections == pytest.approx({"pipes": 94.248, "filters": 180.0, "level": -80.0}, abs=0.001)
    np.testing.assert_allclose(found.surface_m2, 8.0)
    # A centimetre over 8 m2.
    assert figures.draws("home-pond/centimetre")[0] == pytest.approx(80.0)


def test_more_taken_off_than_there_is_is_refused() -> None:
    box = BOX.format(part="", length=2, width=1, rim=0.5, more='rock = "5000 ± 0 kg"\n')
    # A cubic metre, less 5 t of rock of 2.6 kg/L, 1,923 L.
    assert codes(pond(box)) == ["more-taken-off-than-there-is"]


def test_parts_add_up_and_what_takes_their_place_is_taken_off() -> None:
    # 3 x 2 x 1 m is 6,000 L, 2 x 1 x 0.4 m is 800 L, and a block of 1 x 0.5 x 0.5 m takes 250 L.
    text = BOX.format(part='part = "deep end"\n', length=3, width=2, rim=1, more="")
    text += BOX.format(part='part = "plant bay"\n', length=2, width=1, rim=0.4, more="")
    added = pond(text)
    assert added.litres.draws[0] == pytest.approx(6800.0)
    np.testing.assert_allclose(added.surface_m2, 8.0)
    assert [(way.by, way.part, way.figure) for way in added.record.ways] == [
        ("parts", None, "home-pond/volume/parts"),
        ("shape", "deep end", "home-pond/volume/part-1/1"),
        ("shape", "plant bay", "home-pond/volume/part-2/1"),
    ]
    block = BOX.format(part='part = "block"\n', length=1, width=0.5, rim=0.5, more='takes_place = "yes"\n')
    assert pond(text + block).litres.draws[0] == pytest.approx(6550.0)
    bay = pond(text + UNMIXED.replace('by = "tracer"', 'part = "filter bay"\nby = "tracer"'))
    assert "part-without-volume" in codes(bay)
    assert bay.litres.origin is Origin.ASSUMED


def test_a_sounded_box() -> None:
    # A box of 6 x 4 x 1 m: 24,000 L. Along its walls the depth is 1 m as it is everywhere.
    soundings = "\n".join(f"{x} {y} 1" for x in (1, 3, 5) for y in (1, 3))
    text = (
        '[[volumes]]\nof = "home pond"\nby = "soundings"\nunit = "m"\n'
        f'outline = """\n0 0 1\n6 0 1\n6 4 1\n0 4 1\n"""\nsoundings = """\n{soundings}\n"""\n'
    )
    found = pond(text)
    assert found.litres.draws[0] == pytest.approx(24000.0, rel=0.002)
    assert found.surface_m2 is not None
    assert found.surface_m2[0] == pytest.approx(24.0)
    assert found.record.outline_m[1] == (6.0, 0.0)
    assert len(found.record.soundings_m) == 6
    # The cells of the drawing cover the shore, and lie 1 m deep.
    assert found.record.cell_m is not None
    assert len(found.record.floor_m) * found.record.cell_m**2 == pytest.approx(24.0, rel=0.1)
    assert [depth for _, _, depth in found.record.floor_m] == pytest.approx([1.0] * len(found.record.floor_m), abs=0.01)
    assert found.record.ways[0].readings["soundings"] == "6"


# -- identity is no name ------------------------------------------------------------------------------------------------


def test_the_name_of_a_tub_moves_no_draw() -> None:
    sizes = 'shape = "round"\ndiameter = "1 m, tape"\ndepth = "40 cm, tape"\n'
    named = [
        found_in(f'[[vessels]]\nname = "{name}"\nuse = "dip"\n{sizes}', vessel=0)[0].litres.draws
        for name in ("grey tub", "bucket 2", "home-pond/volume")
    ]
    np.testing.assert_array_equal(named[0], named[1])
    np.testing.assert_array_equal(named[0], named[2])


def test_a_tub_called_as_the_pond_is_has_not_the_ponds_measurements() -> None:
    text = METER.format(after=6000).replace("home pond", "home-pond") + TUB.replace("blue tub", "home pond")
    assert found_in(text, vessel=0)[0].litres.draws[0] == pytest.approx(60.0)
    assert found_in(text)[0].litres.draws[0] == pytest.approx(5000.0)


@settings(max_examples=20)
@given(
    length=st.floats(0.3, 8.0),
    width=st.floats(0.3, 8.0),
    depth=st.floats(0.2, 2.0),
    share=st.sampled_from(["tape", "estimate"]),
)
def test_a_box_holds_its_sizes_and_its_band_its_best_value(
    length: float, width: float, depth: float, share: str
) -> None:
    sizes = "".join(
        f'{key} = "{value:.3f} m, {share}"\n' for key, value in (("length", length), ("width", width), ("depth", depth))
    )
    found, figures, _ = found_in(
        f'[[vessels]]\nname = "tub"\nuse = "hospital"\nshape = "rectangle"\n{sizes}', vessel=0, draws=64
    )
    rounded = [float(f"{value:.3f}") for value in (length, width, depth)]
    assert found.litres.draws[0] == pytest.approx(1000.0 * math.prod(rounded), rel=1e-9)
    assert found.guessed is (share == "estimate")
    record = figures.record("hospital-1/volume")
    assert record.low is not None
    assert record.act_on is not None
    assert record.act_on <= record.low
    assert (found.litres.draws > 0.0).all()
