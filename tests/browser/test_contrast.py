"""Our own colours against what they stand on, from the style sheet and the charts; no browser is needed for it."""

import re
from pathlib import Path

import pytest

import waterplan
from waterplan.charts import style

_PACKAGE = Path(waterplan.__file__).parent
SHEET = (_PACKAGE / "papers" / "pages" / "look.css").read_text(encoding="utf-8")
SCREEN = (_PACKAGE / "screens" / "pages" / "look.css").read_text(encoding="utf-8")
WHITE = "#ffffff"
# WCAG 2.1, criteria 1.4.3 (text) and 1.4.11 (lines and shapes that carry meaning).
TEXT, SHAPE = 4.5, 3.0


def luminance(colour):
    """Relative luminance by WCAG 2.1."""
    digits = colour.lstrip("#")
    parts = [int(digit * 2, 16) for digit in digits] if len(digits) == 3 else [*bytes.fromhex(digits)]
    red, green, blue = (
        part / 255 / 12.92 if part / 255 <= 0.04045 else ((part / 255 + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    """Contrast ratio by WCAG 2.1."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def variables():
    return dict(re.findall(r"--(\w+):\s*(#[0-9a-fA-F]{3,6})", SHEET))


def text_colours():
    """Every colour that the style sheet gives to text."""
    named = variables()
    found = re.findall(r"(?<![-\w])color:\s*(?:var\(--(\w+)\)|(#[0-9a-fA-F]{3,6}))", SHEET)
    return sorted({named[name] if name else colour for name, colour in found})


def test_the_measure_is_right():
    # The two ends that the definition fixes, and the grey that is known as the lightest to pass on white.
    assert contrast("#000", "#fff") == pytest.approx(21.0)
    assert contrast("#777777", "#fff") == pytest.approx(4.48, abs=0.01)


def test_the_style_sheet_has_colours_to_look_at():
    assert len(text_colours()) >= 4


@pytest.mark.parametrize("ground", [WHITE, variables()["soft"]])
@pytest.mark.parametrize("colour", text_colours())
def test_text_on_paper_can_be_read(colour, ground):
    assert contrast(colour, ground) >= TEXT


def grey(colour, opacity, ground):
    """A colour without its hue, let through on a ground: what an answer out of date is shown in."""
    (behind, *_) = bytes.fromhex(grey_of(ground)[1:])
    level = bytes.fromhex(grey_of(colour)[1:])[0]
    return "#" + f"{round(opacity * level + (1.0 - opacity) * behind):02x}" * 3


def grey_of(colour):
    """A colour without its hue."""
    digits = [*bytes.fromhex(colour.lstrip("#"))]
    level = sum(share * part for share, part in zip((0.2126, 0.7152, 0.0722), digits, strict=True))
    return "#" + f"{round(level):02x}" * 3


# By day on Streamlit's white, by night on the ground that the screens are served with.
SCREENS = dict(
    zip(("day", "night"), zip(*re.findall(r"light-dark\((#\w{6}), (#\w{6})\)", SCREEN), strict=True), strict=True)
)
GROUNDS = {
    "day": WHITE,
    "night": re.findall(r'"theme.dark.backgroundColor": "(#\w{6})"', (_PACKAGE / "cli.py").read_text(encoding="utf-8"))[
        0
    ],
}
NAMED = re.findall(r"--(\w+): light-dark", SCREEN)


@pytest.mark.parametrize("name", sorted(set(re.findall(r"(?<!-)color:\s*var\(--(\w+)\)", SCREEN))))
@pytest.mark.parametrize("when", GROUNDS)
def test_text_on_the_screen_can_be_read_by_day_and_by_night_also_where_it_is_out_of_date(name, when):
    colours = dict(zip(NAMED, SCREENS[when], strict=True))
    for ground in (GROUNDS[when], colours["card"]):
        assert contrast(colours[name], ground) >= TEXT
    (opacity,) = re.findall(r"grayscale\(1\); opacity: ([\d.]+)", SCREEN)
    assert contrast(grey(colours[name], float(opacity), GROUNDS[when]), GROUNDS[when]) >= TEXT


def test_no_colour_of_the_screen_is_for_the_day_alone():
    assert len(NAMED) == len(SCREENS["day"]) >= 8
    assert not re.findall(
        r"#[0-9a-fA-F]{3,6}\b(?!;? ?\))", re.sub(r"light-dark\([^)]*\)", "", SCREEN).replace("#root", "")
    )


@pytest.mark.parametrize("ground", [WHITE, style.BAND, style.WATER])
@pytest.mark.parametrize("colour", ["INK"])
def test_ink_can_be_read_on_every_ground(colour, ground):
    assert contrast(getattr(style, colour), ground) >= TEXT


@pytest.mark.parametrize("colour", ["EMERGENCY", "GREY"])
def test_words_in_a_chart_can_be_read(colour):
    assert contrast(getattr(style, colour), WHITE) >= TEXT


@pytest.mark.parametrize("colour", ["EMERGENCY", "INK"])
def test_words_and_rules_over_the_band_can_be_read(colour):
    # The band of the draws is drawn at 0.7 over white.
    band = bytes(round(0.7 * part + 0.3 * 255) for part in bytes.fromhex(style.BAND[1:]))
    assert contrast(getattr(style, colour), f"#{band.hex()}") >= TEXT


@pytest.mark.parametrize("colour", ["WATER_LINE", "WEIGHED", "GREY"])
def test_lines_and_shapes_can_be_seen(colour):
    assert contrast(getattr(style, colour), WHITE) >= SHAPE
