"""What a case says of a measured volume: what is read, and what is refused with its row and its reason."""

import numpy as np
import pytest

from tests.case.small import SMALL, assert_plain, case_of
from waterplan.case import fields, write_case
from waterplan.case.document import document_from_text
from waterplan.case.reading import WAYS
from waterplan.case.volume.measurement import By
from waterplan.case.volume.measuring import described
from waterplan.case.volume.rows import split_rows
from waterplan.errors import CaseError
from waterplan.spread import Draws, band

# A box, 4 m by 3 m and 0.8 m deep at every place and at the wall's foot: 9.6 m3.
OUTLINE = 'outline = """\n0 0 0.8\n4 0 0.8\n4 3 0.8\n0 3 0.8\n"""\n'
ROWS = ["1 1 0.8", "2 1 0.8", "3 1 0.8", "1 2 0.8", "2 2 0.8", "3 2 0.8"]
SOUNDINGS = 'soundings = """\n' + "\n".join(ROWS) + '\n"""\n'
# 995 g of sodium chloride that raise the salt by 0.2 g/L: 4,975 L.
TRACER = """salt = "1 ± 0 kg"
purity = "99.5 ± 0 %"
reads = "salinity in g/L"
reads_to = 0.002
before = "deep end 0.1"
after = "deep end 3 0.3"
"""
GIVEN = {
    By.SOUNDINGS: f'unit = "m"\n{OUTLINE}{SOUNDINGS}',
    By.TRACER: TRACER,
    # A bowl of 4 m2 at the top and none at 1 m; the conic rule for its slices gives 4/3 m3 for the whole cone, and a
    # smooth curve through three areas of a cone lies within a hundredth of it.
    By.CONTOURS: 'unit = "m"\ncontours = """\n0 4\n0.25 2.25\n0.5 1\n0.75 0.25\n1 0\n"""\n',
    # Ten litres in 40 s are 15 L/min: 1,800 L in two hours.
    By.TIMED: 'bucket = "10 ± 0 L"\nseconds = "40\\n41\\n39"\nfill_time = "2 ± 0 h"\n',
    By.METER: 'meter_before = "1000 L"\nmeter_after = "3500 L"\n',
    # 200 L that lower it by 1 cm: 20 m2, and 0.5 m deep on the mean.
    By.DRAWN: 'drawn = "200 ± 0 L"\nfall = "1 ± 0.05 cm"\nmean_depth = "0.5 ± 0 m"\n',
    By.SHAPE: 'plan = "rectangle"\nprofile = "vertical walls, flat floor"\nmade = "rigid tub from its size"\n'
    'length = "2 ± 0 m"\nwidth = "1 ± 0 m"\nrim = "0.6 ± 0 m"\nbelow_rim = "10 ± 0 cm"\n',
    # 12 cells of 1 m2, each 0.5 m deep.
    By.GRID: 'unit = "m"\ngrid = """\n0.5,0.5,0.5,0.5\n0.5,0.5,0.5,0.5\n0.5,0.5,0.5,0.5\n-,,,\n"""\nspacing = "1 ± 0 m"\n'
    'edge = "the water stands against a wall"\nwall_depth = "0.5 ± 0 m"\nsurface = "12 m2"\n',
    # Two sections of 2 m2, 3 m apart.
    By.LINES: 'unit = "cm"\nlines = """\n1 0 50\n1 200 50\n1 400 50\n2 0 50\n2 200 50\n2 400 50\n"""\nspacing = "3 ± 0 m"\n'
    'edge = "the water stands against a wall"\nwall_depth = "50 ± 0 cm"\nsurface = "24 m2"\n',
}
LITRES = {
    By.SOUNDINGS: 9600.0,
    By.TRACER: 4975.0,
    By.CONTOURS: 4000.0 / 3.0,
    By.TIMED: 1800.0,
    By.METER: 2500.0,
    By.DRAWN: 10000.0,
    By.SHAPE: 1000.0,
    By.GRID: 6000.0,
    By.LINES: 12000.0,
}


def text_of(by, given=None, of="home pond"):
    return f'{SMALL}[[volumes]]\nof = "{of}"\nby = "{by}"\n{GIVEN[by] if given is None else given}'


def told(by, given):
    with pytest.raises(CaseError) as error:
        case_of(text_of(by, given))
    found = {}
    assert_plain(str(error.value))
    for one in error.value.mistakes:
        key = one.where.removeprefix("volumes[1].")
        found[key] = f"{found.get(key, '')}{one.read} | {one.would_do}\n"
    return found


@pytest.mark.parametrize("by", By)
def test_each_way_is_read_and_gives_the_volume_worked_out_by_hand(by):
    (given,) = case_of(text_of(by)).volumes
    low, best, high = band(described(given, "x").volume(Draws(count=400), "pond").litres)
    assert best == pytest.approx(LITRES[by], rel=0.015)
    assert low < best < high


@pytest.mark.parametrize("by", By)
def test_what_is_saved_is_read_as_the_same(by):
    document = document_from_text(text_of(by), file="pond.toml")
    assert case_of(write_case(document)) == case_of(text_of(by))


@pytest.mark.parametrize("by", By)
def test_each_way_has_only_its_own_keys(by):
    (given,) = case_of(text_of(by)).volumes
    assert type(given) is WAYS[by]
    assert given.by is by
    foreign = {key for way in WAYS.values() for key in way.known_keys()} - set(WAYS[by].known_keys())
    for key in sorted(foreign)[:3]:
        found = told(by, GIVEN[by] + f'{key} = "1"\n')
        assert found[key].startswith(" | unknown key; known keys are of, by, ")


def test_feet_are_metres():
    feet = GIVEN[By.SOUNDINGS].replace('"m"', '"ft"')
    (given,) = case_of(text_of(By.SOUNDINGS, feet)).volumes
    best = described(given, "x").volume(Draws(count=64), "pond").litres[0]
    assert best == pytest.approx(9600.0 * 0.3048**3, rel=0.001)


def test_contours_of_upright_sides_narrow_by_what_hides_beside_them():
    """8 m2 upright to 0.5 m, then evenly to nothing at 1 m: 4 + 2 m3; unstated, a ledge may lie anywhere."""
    rows = 'unit = "m"\ncontours = """\n0 8\n0.75 4\n1 0\n"""\n'
    stated, unstated = (
        described(case_of(text_of(By.CONTOURS, rows + more)).volumes[0], "x").volume(Draws(count=400), "pond").litres
        for more in ('upright_to = "0.5 ± 0 m"\n', "")
    )
    assert stated[0] == pytest.approx(6000.0)
    assert np.ptp(stated) < np.ptp(unstated) / 2.0


def test_a_vessel_that_was_measured_needs_no_size_of_its_own():
    text = text_of(By.METER, of="grey tub").replace('volume = "60 L, marked tub"\n', "")
    assert case_of(text).volumes[0].of == "revival-1"


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("0 0\n1 0\n\n", (("0", "0"), ("1", "0"))),
        ("x,y\n0,0\n1,0", (("0", "0"), ("1", "0"))),
        ("depth m;area m2\n0;4", (("0", "4"),)),
        ("0;0\n1\t0", (("0", "0"), ("1", "0"))),
        ("inlet, left 0.4", (("inlet", "left 0.4"),)),
        ("0.4,,-", (("0.4", "", "-"),)),
        ("", ()),
    ],
)
def test_rows_are_parted_by_what_stands_between_them(text, rows):
    assert split_rows(text) == rows


@pytest.mark.parametrize(
    ("by", "old", "new", "key", "words"),
    [
        (By.SOUNDINGS, "4 0 0.8\n4 3 0.8", "4 3 0.8\n4 0 0.8", "outline", "a shore that crosses itself"),
        (By.SOUNDINGS, "4 3 0.8\n0 3 0.8\n", "", "outline", "at least three"),
        (By.SOUNDINGS, "3 2 0.8", "9 2 0.8", "soundings", "row 6: 9, 2 | 5.00 m outside the shore"),
        (By.SOUNDINGS, "1 2 0.8", "1 1 0.7", "soundings", "row 4: 0.7 m | row 1 gives 0.8 m at the same place"),
        (By.SOUNDINGS, "1 2 0.8", "1 2 x", "soundings", "row 4"),
        (By.SOUNDINGS, "1 2 0.8", "1 2 -0.8", "soundings", "row 4: -0.8 m | a depth is 0 or more"),
        (By.SOUNDINGS, 'unit = "m"', 'unit = "m"\ndeepest = "0.5 ± 0 m"', "soundings", "stated as 0.5 m"),
        (By.SOUNDINGS, 'unit = "m"\n', "", "unit", "needed here"),
        (By.SOUNDINGS, 'unit = "m"', 'unit = "m"\nsalt = "1 kg"', "salt", "unknown key"),
        (By.TRACER, "3 0.3", "3 0.05", "after", "row 1 (deep end): 0.05 after 0.1 before the salt"),
        (By.TRACER, "deep end 3 0.3", "deep end 0.3", "after", "row 1: deep end 0.3 | write the place, the hours"),
        (By.TRACER, "deep end 0.1", "deep end 4 x", "before", "row 1: deep end 4 x"),
        (By.TRACER, 'purity = "99.5 ± 0 %"\n', "", "purity", "bucket test"),
        (By.TRACER, 'reads = "salinity in g/L"\n', "", "reads", "needed here"),
        (By.TRACER, 'salt = "1 ± 0 kg"', 'salt = "1"', "salt", "write the unit"),
        (By.TRACER, "before", 'rock = "20 kg"\nbefore', "rock", "unknown key"),
        (By.TRACER, "before", 'level_fall = "2 cm"\nbefore', "surface", "area of the water's surface"),
        # A comma for a decimal point would make a reading a thousand times too large.
        (By.TRACER, "deep end 0.1", "deep end 0,1", "before", "write a decimal point"),
        (By.TRACER, "3 0.3", "3 0,3", "after", "row 1: deep end 3 0 3"),
        (By.TIMED, "40\\n", "40,5\\n", "seconds", "one filling to a line"),
        (By.SOUNDINGS, "1 2 0.8", "1;2;0,8", "soundings", "row 4"),
        (By.CONTOURS, "0.5 1\n", "0.5 3\n", "contours", "row 3: 3 m2 | larger than the 2.25 m2 above it"),
        (By.TIMED, "40\\n", "40 s\\n", "seconds", "write the seconds as a number"),
        (By.METER, "3500", "900", "meter_after", "900 after 1000"),
        (By.SHAPE, 'length = "2 ± 0 m"\n', "", "length", "this shape needs it"),
        (By.SHAPE, 'length = "2 ± 0 m"', 'length = "2 ± 0 m"\ndiameter = "1 m"', "diameter", "leave it out"),
        (By.SHAPE, '"10 ± 0 cm"', '"80 ± 0 cm"', "by", "0 or more"),
        (By.GRID, "0.5,0.5,0.5,0.5\n", "0.5,x,0.5,0.5\n", "grid", "place 2"),
        (By.GRID, 'surface = "12 m2"\n', "", "surface", "a wall needs the area"),
        (By.LINES, "1 200 50\n", "1 500 50\n", "lines", "line 1, row 3"),
        (By.LINES, "1 200 50\n", "1 200\n", "lines", "row 2: 1 200 |"),
    ],
)
def test_what_is_wrong_is_told_with_its_key_its_row_and_what_would_do(by, old, new, key, words):
    assert old in GIVEN[by]
    found = told(by, GIVEN[by].replace(old, new))
    assert key in found, found
    assert words in found[key], found[key]


def test_all_that_is_wrong_with_the_soundings_is_told_together():
    bad = GIVEN[By.SOUNDINGS].replace("3 2 0.8", "9 2 0.8").replace("1 2 0.8", "1 2 x")
    with pytest.raises(CaseError) as error:
        case_of(text_of(By.SOUNDINGS, bad))
    assert [one.read.partition(":")[0] for one in error.value.mistakes] == ["row 4", "row 6"]


ROWS = [one for one in fields() if one.section == "volumes" and one.kind in {"rows, one to a line", "number"}]


@pytest.mark.parametrize("key", ROWS, ids=lambda one: one.key)
def test_the_example_of_rows_and_numbers_is_such(key):
    if key.kind == "number":
        assert float(key.example) >= 0
    else:
        assert len(split_rows(key.example)) == 1


def test_shelves_are_taken_off_a_liner_pond():
    # 4 x 3 x 1 m with upright walls: 12 m3 to the rim. A shelf all round, 0.5 m down and 0.5 m wide, leaves 3 x 2 m
    # below it: 6 + 3 = 9 m3; filled to 0.2 m below the rim 2.4 m3 less.
    given = (
        'plan = "rectangle"\nprofile = "leaning walls, flat floor"\nmade = "liner pond from its size"\nwall_slope = 0\n'
        'length = "4 ± 0 m"\nwidth = "3 ± 0 m"\nrim = "1 ± 0 m"\nbelow_rim = "20 ± 0 cm"\nunit = "cm"\nshelves = "50 50"\n'
    )
    found = described(case_of(text_of(By.SHAPE, given)).volumes[0], "x").volume(Draws(count=64), "pond")
    assert found.litres[0] == pytest.approx(6600.0, rel=1e-6)
    assert found.area_m2 is not None
    assert found.area_m2[0] == pytest.approx(12.0)


def test_shelves_of_another_plan_are_refused_and_not_taken_for_a_rectangles():
    given = 'plan = "circle"\nprofile = "leaning walls, flat floor"\ndiameter = "4 m"\nunit = "cm"\nshelves = "50 50"\n'
    with pytest.raises(CaseError, match=r"volumes\[1\]\.shelves: read given; shelves go with a rectangle"):
        case_of(text_of(By.SHAPE, given))


def test_a_shelf_without_an_end_is_told_in_its_row():
    given = (
        'plan = "rectangle"\nprofile = "leaning walls, flat floor"\nmade = "liner pond from its size"\nwall_slope = 0\n'
        'length = "4 m"\nwidth = "3 m"\nrim = "1 m"\nbelow_rim = "20 cm"\nunit = "cm"\nshelves = "50 inf"\n'
    )
    with pytest.raises(CaseError, match=r"volumes\[1\]\.shelves: read row 1: 50 inf"):
        case_of(text_of(By.SHAPE, given))


def test_what_takes_the_place_of_water_is_a_part_with_a_name():
    given = GIVEN[By.METER] + "takes_place = true\n"
    with pytest.raises(CaseError, match=r"volumes\[1\]\.part: read nothing; name the part"):
        case_of(text_of(By.METER, given))
