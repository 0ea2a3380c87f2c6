"""Whatever stands in a field or in a file that is handed over: it is told in plain words, and nothing falls over or runs."""

import re

import pytest

from tests.demos import longer_but_for
from tests.screens.running import checked, page, planned, press, texts, turn_to, widget
from waterplan.case.reading import SECTIONS
from waterplan.case.volume.measurement import By
from waterplan.screens.case_form import _TABS
from waterplan.screens.quick_sums import _SUMS
from waterplan.screens.reader import say

MARKUP = (
    '<script>alert(1)</script><img src=x onerror=alert(1)> [a](javascript:alert(1)) ![b](x.png) {{ 7*7 }} $x$ :red[x] "'
)
TEXTS = {
    "right to left": "\u202e mg/L \u05d3\u05d2 0.62 kg",
    "emoji": "\U0001f41f \U0001f469\u200d\U0001f52c \ufffe",
    "no number": "-1e999 kg",
    "control": "\x00\x07",
    "markup": MARKUP,
    "long": "9" * 10_000,
}
# All of them in one text each time, and each alone in the slow run.
ANY = [
    pytest.param("".join(TEXTS.values()), id="all"),
    *(pytest.param(text, id=name, marks=pytest.mark.slow) for name, text in TEXTS.items()),
]


def filled(test, text):
    """The same text in every field for text that the page has."""
    for kind in (test.text_input, test.text_area):
        for one in kind:
            one.input(text)
    return checked(test.run())


def pressed(test):
    """Every button that works something out."""
    for key in [one.key for one in test.button if str(one.key).startswith(("work", "make", "write", "lay out"))]:
        press(test, key)
    said = texts(test)
    assert "Traceback" not in said
    assert not re.search(r"<(script|img)\b(?! class=\"drawn\")", "".join(one.proto.body for one in test.get("html")))
    return test


@pytest.mark.parametrize("text", ANY)
@pytest.mark.parametrize("name", ["plan_pages.first", "call", "doses", "readings", "sources"])
def test_a_page_takes_any_text(name, text):
    pressed(filled(page(name), text))


@pytest.mark.parametrize("text", ANY)
def test_a_page_under_a_plan_takes_any_text(text):
    test = filled(page("plan_pages.first", answer_case=planned()), text)
    assert "Out of date" in texts(pressed(test))


@pytest.mark.longer
@pytest.mark.parametrize("text", ANY)
@pytest.mark.parametrize("tab", _TABS)
def test_every_table_of_the_case_takes_any_text(tab, text):
    test = turn_to(page("case_form"), say(f"case.tabs.{tab}"))
    for section in _TABS[tab]:
        if section and SECTIONS[section][1] and section != "patients":
            press(test, f"add {section}")
    pressed(filled(test, text))


@pytest.mark.parametrize("text", ANY)
@pytest.mark.parametrize("way", longer_but_for((By.SHAPE, By.SOUNDINGS, By.TRACER), By))
def test_every_way_of_a_volume_takes_any_text(way, text):
    test = page("volume")
    pressed(filled(checked(widget(test, "quick/volume/by").select(str(way)).run()), text))


@pytest.mark.parametrize("text", ANY)
@pytest.mark.parametrize("name", longer_but_for(tuple(_SUMS)[::3], _SUMS))
def test_every_sum_takes_any_text(name, text):
    pressed(filled(page("quick_sums", asked={"sum": name}), text))


FILES = {
    "an image": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "UTF-8 text"),
    "nothing in it": (b"", "there is nothing in this file"),
    "bytes": (b"\xff" * 64, "UTF-8 text"),
    "UTF-16": ("[patient]\nspecies = 'koi'\n".encode("utf-16"), "UTF-8 text"),
    "no rows": (b"taken,water,what,reading\n", ""),
    "TOML of another kind": (b"[tool.ruff]\nline-length = 120\n", ""),
    "a web page": (MARKUP.encode(), ""),
}
UPLOADS = {"plan_pages.first": ("upload", "mine.toml", 1), "readings": ("log", "mine.csv", 4)}
UPLOADS |= {"volume": ("soundings file", "mine.csv", 2)}
# Each kind of file once, by turns into each of the places; the others in the slow run.
TURNS = [
    pytest.param(name, file, marks=[] if (place + number) % len(UPLOADS) == 0 else pytest.mark.slow)
    for place, name in enumerate(UPLOADS)
    for number, file in enumerate(FILES)
]


def handed_over(name, content):
    """A page with a file handed over to it."""
    test = page(name)
    key, called, _ = UPLOADS[name]
    test.file_uploader(key=key).set_value((called, content, "text/plain"))
    return checked(test.run())


@pytest.mark.parametrize(("name", "file"), TURNS)
def test_a_file_of_another_kind_is_told_in_plain_words(name, file):
    content, told = FILES[file]
    test = handed_over(name, content)
    assert told in "".join(one.value for one in test.error).replace("\\", "")
    pressed(test)


@pytest.mark.parametrize("name", UPLOADS)
def test_a_file_is_as_large_as_the_page_says(name):
    _, _, mb = UPLOADS[name]
    (stated,) = (one.proto.max_upload_size_mb for one in page(name).file_uploader)
    assert stated == mb
    too_large = handed_over(name, b"#" * (mb * 1_000_000 + 1))
    assert f"over {mb} MB" in "".join(one.value for one in too_large.error).replace("\\", "")
    assert not any("over" in one.value for one in handed_over(name, b"#" * (mb * 1_000_000)).error)
