"""The grammar of a written value."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan import tables
from waterplan.case.measures import Measure
from waterplan.case.part import kind_of, said
from waterplan.case.reading import PARTS, SECTIONS
from waterplan.case.values import BadValue, Quantity, Reading, example, how_known, parse_reading
from waterplan.published import FloatArray
from waterplan.spread import COVERAGE, Kind
from waterplan.units import Family

KINDS = {
    (part.__name__, key): (kind_of(part.model_fields[key]), said(part.model_fields[key])[1])
    for part in PARTS
    for key in part.known_keys()
    if not (key == "by" or (part.__name__ == "Case" and key in SECTIONS))
}


def quantity(record: str, key: str) -> Quantity:
    kind, _ = KINDS[record, key]
    assert isinstance(kind, Measure)
    return kind.quantity


WEIGHT, PH = quantity("Patient", "weight"), quantity("Water", "ph")
TEMPERATURE, OXYGEN = quantity("Water", "temperature"), quantity("Water", "oxygen")
TAN, NITRITE = quantity("Water", "tan"), quantity("Water", "nitrite")
SALT, VOLUME = quantity("Water", "salinity"), quantity("Vessel", "volume")
CHLORINE, STOCK = quantity("Water", "chlorine"), quantity("Intended", "iodine_stock")
FEED, ALKALINITY = quantity("Intended", "feed"), quantity("Water", "alkalinity")
EVERY = [
    pytest.param(kind.quantity, written, id=f"{record}.{key}")
    for (record, key), (kind, written) in KINDS.items()
    if isinstance(kind, Measure) and record not in {"Water", "MainsWater"}  # a vessel has their keys
]


def read(text: str, of: Quantity) -> Reading:
    reading = parse_reading(text, of)
    assert reading is not None
    return reading


def refusal(text: str, of: Quantity) -> BadValue:
    with pytest.raises(BadValue) as bad:
        parse_reading(text, of)
    assert repr(text) == bad.value.read
    return bad.value


# -- numbers ------------------------------------------------------------------------------------------------------


@given(st.floats(0.001, 149.0), st.sampled_from(["{:.3f}", "{:.6g}", "{:.3e}", "+{:.4f}"]))
def test_a_number_is_read_as_it_was_written(value: float, form: str) -> None:
    written = form.format(value)
    assert read(f"{written} kg", WEIGHT).measured.best == pytest.approx(float(written))


@given(
    st.floats(0.0, 45.0).map(lambda value: round(value, 3)), st.floats(0.001, 5.0).map(lambda value: round(value, 3))
)
def test_a_plus_minus_is_the_half_width_of_a_95_percent_interval(value: float, error: float) -> None:
    for sign in ("±", "+/-", " ± ", " +/- "):
        measured = read(f"{value}{sign}{error} °C", TEMPERATURE).measured
        assert measured.best == pytest.approx(value)
        assert measured.kind is Kind.NORMAL
        assert measured.spread == pytest.approx(error / COVERAGE)
        assert (measured.floor, measured.ceiling) == (0.0, 45.0)


@pytest.mark.parametrize(
    ("text", "of", "best", "error"),
    [
        ("0.62 ± 10% kg", WEIGHT, 0.62, 0.062),
        ("0.62 ± 10 % kg", WEIGHT, 0.62, 0.062),
        ("64.4 ± 1.8 °F", TEMPERATURE, 18.0, 1.0),
        ("10 ± 1 % PVP-I", STOCK, 10.0, 1.0),
        ("0.5 ± 0.1 %/day", FEED, 0.5, 0.1),
        ("7.8 ± 0.2", PH, 7.8, 0.2),
        ("7.8 ± 0.2, my own eyes", PH, 7.8, 0.2),
        ("2 ± 0.5 lb", WEIGHT, 0.90718474, 0.226796185),
    ],
)
def test_the_unit_belongs_to_the_value_and_to_its_error(text: str, of: Quantity, best: float, error: float) -> None:
    measured = read(text, of).measured
    assert measured.best == pytest.approx(best)
    assert measured.spread * COVERAGE == pytest.approx(error)


def test_an_error_of_nothing_is_exact() -> None:
    assert read("2 ± 0 g/L", SALT).measured.kind is Kind.EXACT


@pytest.mark.parametrize("spaced", ["0.62kg", " 0.62   kg ", "0.62\tkg", "0.62 kg , scales", "0.62 kg,scales"])
def test_blanks_do_not_matter(spaced: str) -> None:
    assert read(spaced, WEIGHT).measured.best == 0.62


@pytest.mark.parametrize("text", ["not measured", "Not Measured", "  not   measured "])
def test_not_measured_is_data(text: str) -> None:
    assert parse_reading(text, WEIGHT) is None


# -- what is refused, with what would do --------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "",
        "  ",
        "kg",
        "nan kg",
        "NaN",
        "inf kg",
        "-inf °C",
        "about 1 kg",
        "~1 kg",
        ">1 kg",
        "½ kg",
        "one kg",
        "0.62 kg,",
    ],
)
def test_what_is_no_number_is_refused_with_an_example(text: str) -> None:
    assert "such as '1.1 kg'" in refusal(text, WEIGHT).would_do


@pytest.mark.parametrize(
    ("text", "of"),
    [
        ("0,62 kg", WEIGHT),
        ("0,62 kg, scales", WEIGHT),
        ("1,234 kg", WEIGHT),
        ("1.5 ± 0,1 kg", WEIGHT),
        ("7,8", PH),
        ("7.8 ± 0,1", PH),
        ("<0,25 mg/L as N", TAN),
    ],
)
def test_a_decimal_comma_is_never_guessed_at(text: str, of: Quantity) -> None:
    assert refusal(text, of).would_do == "write a decimal point, not a comma"


@pytest.mark.parametrize(
    ("text", "of", "would_do"),
    [
        ("0.62", WEIGHT, "write the unit: 'g', 'kg', 'lb', 'oz'"),
        ("60 gal", VOLUME, "say which gallon: 'US gal' (3.785 L) or 'imp gal' (4.546 L)"),
        ("3 ppt", SALT, "write g/L"),
        ("0.3 %", SALT, "0.3 % is 3 g/L"),
        ("90 ppm", OXYGEN, "ppm has no stated basis"),
        ("0.4 mS/cm", quantity("Water", "conductivity"), "brings it to 25 °C"),
        ("0.4 mg/L", NITRITE, "write the basis"),
        ("0.4 ppm", NITRITE, "write the basis"),
        ("0.4 NO2", NITRITE, "write the basis"),
        ("0.4 mg/L NO2", NITRITE, "'mg/L as NO2'"),
        ("0.5 mg/L", TAN, "write the basis"),
        ("3 dH", ALKALINITY, "'mg/L as CaCO3' or '°dKH'"),
        ("10 %", STOCK, "'% PVP-I'"),
        ("1 % iodine", STOCK, "'% PVP-I'"),
        ("1.2.3 kg", WEIGHT, "use one of"),
        ("1-2 kg", WEIGHT, "use one of"),
        ("1 234 kg", WEIGHT, "use one of"),
        ("1 lb 3 oz", WEIGHT, "use one of"),
    ],
)
def test_a_unit_is_never_guessed_at(text: str, of: Quantity, would_do: str) -> None:
    assert would_do in refusal(text, of).would_do


@pytest.mark.parametrize(
    ("text", "of", "limits"),
    [
        ("60 °C", TEMPERATURE, "water temperature must be 0 to 45 °C"),
        ("-1 °C", TEMPERATURE, "water temperature must be 0 to 45 °C"),
        ("140 °F", TEMPERATURE, "water temperature must be 0 to 45 °C (32 to 113 °F)"),
        ("-0.62 kg", WEIGHT, "weight of the fish must be 0.0001 to 150 kg"),
        ("0 kg", WEIGHT, "weight of the fish must be 0.0001 to 150 kg"),
        ("1e400 kg", WEIGHT, "weight of the fish must be 0.0001 to 150 kg"),
        ("15", PH, "pH must be 4 to 11"),
        ("80 g/L", SALT, "salt in the water must be 0 to 45 g/L"),
        ("-38 cm", quantity("Patient", "length"), "length of the fish must be 0.5 to 200 cm"),
    ],
)
def test_what_cannot_be_is_refused_with_its_limits(text: str, of: Quantity, limits: str) -> None:
    assert refusal(text, of).would_do == limits


@pytest.mark.parametrize("error", ["-0.1", "1e400"])
def test_an_error_cannot_be_negative_or_endless(error: str) -> None:
    assert refusal(f"0.62 ± {error} kg", WEIGHT).would_do == "the ± must be zero or more"


def test_an_unknown_way_of_finding_it_is_refused_with_the_list() -> None:
    for how in ("magic", "scales, twice"):
        assert refusal(f"0.62 kg, {how}", WEIGHT).would_do == (
            "after the comma say how it was found: scales, spring scale, estimate, guess, owner's word"
        )


@pytest.mark.parametrize(
    ("text", "of", "same"),
    [
        ("0.62 KG, Scales", WEIGHT, "0.62 kg, scales"),
        ("60 l, MARKED TUB", VOLUME, "60 L, marked tub"),
        ("0.4 MG/L AS NO2, drop kit", NITRITE, "0.4 mg/L as NO2, drop kit"),
        ("0.4 mg/L,basis unknown", NITRITE, "0.4 mg/L, basis unknown"),
        ("0.4 mg/L unknown basis, drop kit", NITRITE, "0.4 mg/L, basis unknown, drop kit"),
        ("0.4 mg/l, basis not known", NITRITE, "0.4 mg/L, basis unknown"),
    ],
)
def test_capitals_do_not_matter(text: str, of: Quantity, same: str) -> None:
    assert replace(read(text, of), text="") == replace(read(same, of), text="")


@pytest.mark.parametrize("text", ["unknown", "Not known", "NOT MEASURED"])
def test_what_is_not_known_is_no_reading(text: str) -> None:
    assert parse_reading(text, VOLUME) is None


# -- shares of saturation, conductivity ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "best", "error", "percent"),
    [
        ("8.1 mg/L", 8.1, None, False),
        ("92 % saturation", 92.0, None, True),
        ("92 %", 92.0, None, True),
        ("92 ± 3 % sat", 92.0, 3.0, True),
        ("92 ± 3 % saturation, oxygen meter", 92.0, 3.0, True),
        ("8 ± 10 % mg/L", 8.0, 0.8, False),
    ],
)
def test_oxygen_is_a_level_or_a_share_of_saturation(text: str, best: float, error: float | None, percent: bool) -> None:
    reading = read(text, OXYGEN)
    assert (reading.measured.best, reading.percent) == (best, percent)
    if error is not None:
        assert reading.measured.spread * COVERAGE == pytest.approx(error)


def test_all_gases_are_a_share_of_the_air_pressure_or_so_much_above_it() -> None:
    of = quantity("Water", "gas_pressure")
    assert (read("104 %", of).measured.best, read("104 %", of).percent) == (104.0, True)
    assert (read("-5 mmHg", of).measured.best, read("-5 mmHg", of).percent) == (-5.0, False)
    # 4 kPa are 30.0 mmHg of 133.322 Pa.
    assert read("4 kPa, gas pressure meter", of).measured.best == pytest.approx(30.002, abs=1e-3)


# -- what was not measured with anything --------------------------------------------------------------------------


@pytest.mark.parametrize("how", ["guess", "owner's word", "estimate"])
@pytest.mark.parametrize("of", [TEMPERATURE, OXYGEN, WEIGHT, VOLUME, TAN, PH], ids=lambda of: of.instrument_name)
def test_a_guess_of_anything_is_taken_with_a_large_error(how: str, of: Quantity) -> None:
    unit = next(iter(of.family.units))
    value = "7500" if unit == "mL" else "7.5"
    guessed, measured = (read(f"{value} {unit}{said}", of).measured for said in (f", {how}", ""))
    assert guessed.spread >= measured.spread


def test_of_a_temperature_a_guess_is_twice_as_far_off_as_where_nobody_said_how() -> None:
    times = tables.row("instruments", instrument="guess", quantity="any", part="times").value
    half = times * instrument("not stated", TEMPERATURE, "absolute")
    assert read("17 °C, guess", TEMPERATURE).measured.spread * COVERAGE == pytest.approx(half)
    assert read("17 °C, guess", TEMPERATURE).rows == (
        "instruments/guess/any/times",
        "instruments/not stated/temperature/absolute",
    )


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    for of in (WEIGHT, PH, NITRITE, STOCK):
        try:
            reading = parse_reading(text, of)
        except BadValue as bad:
            assert bad.would_do  # noqa: PT017 - either end is right
        else:
            assert reading is None or math.isfinite(reading.measured.best)


# -- the error of an instrument -----------------------------------------------------------------------------------


def instrument(name: str, of: Quantity, part: str) -> float:
    return tables.row("instruments", instrument=name, quantity=of.instrument_name, part=part).value


def test_an_absolute_error_is_the_instruments_row() -> None:
    measured = read("17.5 °C, digital thermometer", TEMPERATURE).measured
    assert measured.spread * COVERAGE == pytest.approx(instrument("digital thermometer", TEMPERATURE, "absolute"))


def test_a_relative_error_is_a_share_of_the_value() -> None:
    measured = read("60 L, marked tub", VOLUME).measured
    assert measured.kind is Kind.LOGNORMAL
    # The row's half-width of 95 % is two standard deviations of the value's own share.
    half = instrument("marked tub", VOLUME, "relative")
    assert measured.spread == pytest.approx(math.sqrt(math.log1p((half / 2) ** 2)))


def test_of_two_errors_the_larger_counts() -> None:
    absolute, relative = (instrument("drop kit", TAN, part) for part in ("absolute", "relative"))
    small = read("0.5 mg/L as N, drop kit", TAN).measured
    large = read("5 mg/L as N, drop kit", TAN).measured
    assert small.spread * COVERAGE == pytest.approx(absolute)
    assert large.spread * COVERAGE == pytest.approx(5.0 * relative)


def test_without_a_method_the_error_is_that_of_not_knowing() -> None:
    reading = read("17.5 °C", TEMPERATURE)
    assert reading.how == "not stated"
    assert reading.measured.spread * COVERAGE == pytest.approx(instrument("not stated", TEMPERATURE, "absolute"))
    assert reading.measured.spread > read("17.5 °C, thermometer", TEMPERATURE).measured.spread


def test_the_row_that_gave_the_error_is_cited() -> None:
    reading = read("17.5 °C, digital thermometer", TEMPERATURE)
    assert reading.rows == ("instruments/digital thermometer/temperature/absolute",)
    assert read("17.5 ± 0.5 °C", TEMPERATURE).rows == ()


def test_what_was_read_with_one_meter_says_so() -> None:
    first, second = read("17.5 °C, digital thermometer", TEMPERATURE), read("18 °C, digital thermometer", TEMPERATURE)
    assert first.meter == second.meter != ""
    assert read("7.8, pH meter", PH).meter not in {"", first.meter}
    for text in ("17.5 °C", "17.5 ± 0.5 °C"):
        assert read(text, TEMPERATURE).meter == ""
    assert read("60 L, marked tub", VOLUME).meter == "", "each tub has marks of its own"
    assert read("0 mg/L as N, photometer", TAN).meter == "", "nothing was seen"


# -- censored readings --------------------------------------------------------------------------------------------


def drawn(text: str, of: Quantity) -> FloatArray:
    """Quantiles of a reading at 1, 2 ... 99 %."""
    return read(text, of).measured.at(np.arange(1, 100) / 100.0)


def test_no_colour_has_the_error_of_the_kit_up_to_what_it_can_show() -> None:
    """The first colour of the kit is 0.25 mg/L and its error a step, half of a normal one above 0.

    Of 0 ± 0.25 the standard deviation is 0.25 / 1.96 = 0.1276, and the 95th percentile of its positive half 1.96 x 0.1276 = 0.25.
    """
    measured = read("0 mg/L as N, drop kit", TAN).measured
    assert measured.censored
    assert (measured.best, measured.floor) == (0.0, 0.0)
    assert measured.at(np.array([0.95]))[0] == pytest.approx(0.25, rel=1e-3)
    # Limits of 0.01 to 0.02 mg/L lie below a kit that reads to 0.05: a "0" of chlorine is censored, not clear.
    assert read("0 mg/L, drop kit", CHLORINE).measured.censored
    assert not read("0.25 mg/L as N, drop kit", TAN).measured.censored


@pytest.mark.parametrize("text", ["<0.25 mg/L as N", "< 0.25 mg/L as N, drop kit", "<0.1 mg/L as N, drop kit"])
def test_one_colour_of_a_kit_is_one_reading_however_it_is_written(text: str) -> None:
    assert read(text, TAN).measured == read("0 mg/L as N, drop kit", TAN).measured


def test_below_more_than_the_first_step_lies_between_nothing_and_that() -> None:
    measured = read("<0.5 mg/L as N, drop kit", TAN).measured
    assert measured.censored
    assert (measured.kind, measured.floor, measured.ceiling) == (Kind.UNIFORM, 0.0, 0.5)


@pytest.mark.parametrize(
    ("how", "of", "unit"),
    [
        ("drop kit", TAN, "mg/L as N"),
        ("photometer", TAN, "mg/L as N"),
        ("drop kit", NITRITE, "mg/L as NO2"),
        ("drop kit", CHLORINE, "mg/L"),
        ("photometer", CHLORINE, "mg/L"),
    ],
)
def test_a_higher_reading_of_a_kit_is_never_milder_and_is_used_as_stated(how: str, of: Quantity, unit: str) -> None:
    levels = [0.0, 0.005, 0.01, 0.02, 0.03, 0.05, 0.06, 0.12, 0.13, 0.2, 0.25, 0.5]
    found = [drawn(f"{level} {unit}, {how}", of) for level in levels]
    assert all((higher > lower).all() for lower, higher in pairwise(found))
    assert [read(f"{level} {unit}, {how}", of).measured.best for level in levels] == pytest.approx(levels)


@pytest.mark.parametrize("text", ["<0 mg/L as N", "<-1 mg/L as N", "<0.25 ± 0.1 mg/L as N"])
def test_a_censored_reading_is_above_zero_and_has_no_error_of_its_own(text: str) -> None:
    refusal(text, TAN)


@pytest.mark.parametrize(("text", "of"), [("<0.6 kg", WEIGHT), ("<7", PH), ("<20 °C", TEMPERATURE), ("<60 L", VOLUME)])
def test_less_than_says_nothing_of_a_weight(text: str, of: Quantity) -> None:
    assert "what a kit cannot see" in refusal(text, of).would_do


# -- a basis that is not known ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("of", "as_n", "as_ion"),
    [
        # 0.4 mg/L as N is 0.4 x 46.005/14.007 of nitrite; 0.4 mg/L as NH3 is 0.4 x 14.007/17.031 of nitrogen.
        (NITRITE, 0.4 * 46.005 / 14.007, 0.4),
        (TAN, 0.4, 0.4 * 14.007 / 17.031),
    ],
)
@pytest.mark.parametrize("how", ["", ", drop kit"])
def test_of_an_unknown_basis_the_worse_is_carried(of: Quantity, as_n: float, as_ion: float, how: str) -> None:
    reading = read(f"0.4 mg/L, basis unknown{how}", of)
    assert reading.measured.best == pytest.approx(max(as_n, as_ion))


def test_an_unknown_basis_may_be_censored_too() -> None:
    reading = read("<0.1 mg/L, basis unknown, drop kit", NITRITE)
    assert reading.measured.ceiling == pytest.approx(0.1 * 46.005 / 14.007)


def test_only_ammonia_and_nitrite_have_a_basis_to_be_unknown() -> None:
    for of in (OXYGEN, SALT, WEIGHT):
        assert "only ammonia and nitrite" in refusal("0.4 mg/L, basis unknown", of).would_do


# -- the schema's own words ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("of", "said"), EVERY)
def test_the_example_of_every_key_can_be_read(of: Quantity, said: str) -> None:
    assert read(said, of).measured.best is not None
    assert read(example(of).strip("'"), of).measured.best is not None


@pytest.mark.parametrize(("of", "said"), EVERY)
def test_every_way_of_finding_it_that_is_offered_is_taken(of: Quantity, said: str) -> None:
    unit = next(iter(of.family.units))
    known = {Family.PH: 7.5, Family.TEMPERATURE: 18.0, Family.PRESSURE: 95.0, Family.TOTAL_GAS: 102.0}
    middle = known.get(of.family, 1.0)
    scale = 1000.0 if unit in {"mm", "g", "mL"} else 1.0
    for how in how_known(of):
        assert read(f"{middle * scale:g} {unit}, {how}", of).how == how


@pytest.mark.parametrize(("of", "said"), EVERY)
def test_a_bare_number_of_what_has_a_unit_is_refused(of: Quantity, said: str) -> None:
    if of.family is not Family.PH:
        assert refusal("1", of).would_do


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("ca. 300 gal", ("begin with the number", "estimate", "say which gallon")),
        ("about 1,5 gal", ("begin with the number", "decimal point", "say which gallon")),
        ("1,5 gal", ("decimal point", "say which gallon")),
        ("300 gal, dipstick", ("say which gallon", "after the comma say how it was found")),
    ],
)
def test_all_that_is_wrong_with_one_value_is_told_at_once(text: str, parts: tuple[str, ...]) -> None:
    """Each round of putting right costs a caller a minute: what would be told next is told with it."""
    told = refusal(text, VOLUME).would_do
    assert all(part in told for part in parts)
    assert told.count("gallon:") == 1


def test_what_is_intended_has_no_way_of_being_found() -> None:
    assert "after a comma" not in refusal("about 10 % PVP-I", STOCK).would_do


# By hand: 45 °C is 113 °F, 0 °C is 32 °F; 1 ft is 0.3048 m, so -500 m is -1,640 ft and 5,000 m is 16,404 ft.
@pytest.mark.parametrize(
    ("text", "of", "told"),
    [
        ("900 °F", TEMPERATURE, "0 to 45 °C (32 to 113 °F)"),
        ("90 °C", TEMPERATURE, "0 to 45 °C"),
        ("90 C", TEMPERATURE, "0 to 45 °C"),
        ("90000 ft", quantity("Place", "altitude"), "-500 to 5,000 m (-1,640 to 16,400 ft)"),
    ],
)
def test_a_limit_is_told_in_the_unit_that_was_written_too(text: str, of: Quantity, told: str) -> None:
    assert refusal(text, of).would_do.endswith(f"must be {told}")
