"""The papers on a printer without colours: each thing that has a colour has a sign or words too, and is dark enough."""

import re
from html.parser import HTMLParser
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from tests.browser.test_contrast import SHAPE, SHEET, WHITE, contrast
from tests.demos import DEMOS, demo_papers, one_paper
from tests.papers.example_plan import example_plan
from waterplan.charts.above import _DEPTHS
from waterplan.charts.style import EMERGENCY
from waterplan.papers.drawings import _STAGES
from waterplan.words.catalogue import language

# What stands in a colour, by its class: what its text begins with, or that it has words of its own.
SIGNED = {
    one: language()[f"sign.{one.replace('-', ' ')}"]
    for one in ("act-now", "refused", "watch", "not-known", "within-limit")
}
WORDED = {"invented": r"INVENTED", "stop": r"REFUSED|LIVE FISH"}
# Lines to read a value off, whose axis has the numbers; the depths, each with its number written on it.
READ_OTHERWISE = {"#e3e8ea", *_DEPTHS}


class Coloured(HTMLParser):
    """The text of each element of a page by its classes."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, set[str], list[str]]] = []
        self.told: list[tuple[set[str], str]] = []
        self.feed(re.sub(r"<(?:style|svg).*?</(?:style|svg)>", "", text, flags=re.DOTALL))

    def handle_starttag(self, tag, attrs):
        if tag not in {"meta", "br", "link"}:
            self.open.append((tag, set((dict(attrs).get("class") or "").split()), []))

    def handle_endtag(self, tag):
        _, classes, words = self.open.pop()
        self.told.append((classes, " ".join(" ".join(words).split())))
        if self.open:
            self.open[-1][2].extend(words)

    def handle_data(self, data):
        if self.open:
            self.open[-1][2].append(data)


def pages() -> list[tuple[str, str]]:
    return [(f"{demo}/{name}", text) for demo in DEMOS for name, text in demo_papers(demo).items() if ".html" in name]


def test_each_class_with_a_colour_is_known_here():
    """A new colour needs its sign or its words: it is to be put into one of the two tables above."""
    rules = re.findall(r"([^{}]+)\{([^{}]*)\}", SHEET)
    coloured = {
        one
        for names, what in rules
        if re.search(r"(?<![-\w])color:(?!\s*var\(--ink\))", what)
        for one in re.findall(r"\.([\w-]+)", names)
    }
    assert coloured == {*SIGNED, *WORDED}


def test_what_has_a_colour_begins_with_its_sign_or_has_its_words():
    seen = set()
    for place, text in pages():
        for classes, words in Coloured(text).told:
            for one in classes & set(SIGNED):
                seen.add(one)
                assert words.startswith(SIGNED[one]), (place, words)
            for one in classes & set(WORDED):
                seen.add(one)
                assert re.search(WORDED[one], words), (place, words)
    assert {"refused", *WORDED} <= seen


def faint(drawing: str) -> set[str]:
    """The colours of what is drawn in a drawing that no grey printer shows: neither it nor its outline is dark enough."""
    found = set()
    for one in ElementTree.fromstring(drawing).iter():
        if one.tag.endswith("text") or one.get("opacity") == "0":
            continue
        drawn = [one.get(name) or "" for name in ("fill", "stroke")]
        solid = [colour for colour in drawn if re.fullmatch(r"#[0-9a-f]{6}", colour) and colour != WHITE]
        if solid and max(contrast(colour, WHITE) for colour in solid) < SHAPE:
            found |= set(solid)
    return found - READ_OTHERWISE


def test_what_is_drawn_is_dark_enough_or_has_an_outline_that_is():
    seen = 0
    for place, text in pages():
        for drawing in re.findall(r"<svg.*?</svg>", text, re.DOTALL):
            seen += 1
            assert faint(drawing) == set(), place
    assert seen > 100
    assert faint('<svg><path fill="#a9c8d6"/></svg>') == {"#a9c8d6"}
    assert faint('<svg><path fill="#a9c8d6" stroke="#2f7d9c"/></svg>') == set()


def test_lines_of_tables_to_write_in_can_be_seen():
    rule = re.search(r"--rule:\s*(#[0-9a-f]{6})", SHEET)
    soft = re.search(r"--soft:\s*(#[0-9a-f]{6})", SHEET)
    assert rule
    assert soft
    assert min(contrast(rule[1], ground) for ground in (WHITE, soft[1])) >= SHAPE


def test_a_stage_of_the_clock_has_its_word_and_is_darker_than_the_one_before():
    shades = [WHITE, *_STAGES.values()]
    assert list(_STAGES) == ["until-alarm", "until-emergency"]
    assert shades[-1] == EMERGENCY
    assert all(contrast(WHITE, one) < contrast(WHITE, other) for one, other in pairwise(shades))
    drawings = re.findall(r"<svg.*?</svg>", one_paper(example_plan(), "time-cards.html"), re.DOTALL)
    for drawing in (one for one in drawings if EMERGENCY in one):
        assert language()["chart.until-emergency"] in drawing
        assert language()["chart.until-alarm"] in drawing


@pytest.mark.parametrize("name", SIGNED)
def test_a_verdict_is_said_in_words_beside_its_sign(name):
    assert len(language()[f"verdict.{name.replace('-', ' ')}"]) > 4
