"""What a reader of a page sees: its text in blocks, and of each piece the marks that say what it is."""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from html.parser import HTMLParser

from tests.plan.invariants import NUMBER_WITH_UNIT

MARKS = ("data-figure", "data-row", "data-case", "data-band", "data-action")
# What is drawn is left out: the ticks of a scale are no statement.
_SILENT = frozenset({"script", "style", "template", "head", "title", "noscript", "svg"})
_MOST_DIGITS = 5
_VOID = frozenset(
    {"br", "hr", "img", "input", "meta", "link", "col", "wbr", "source", "area", "base", "embed", "track", "param"}
)
_INLINE = frozenset(
    {
        "a",
        "abbr",
        "b",
        "bdi",
        "cite",
        "code",
        "data",
        "dfn",
        "em",
        "i",
        "kbd",
        "label",
        "mark",
        "output",
        "q",
        "s",
        "small",
    }
    | {"span", "strong", "sub", "sup", "time", "u", "var", "wbr", "tspan"}
)


@dataclass(frozen=True, slots=True)
class Piece:
    """A run of visible text, with the marks of the elements around it, the nearest first."""

    text: str
    marks: tuple[tuple[str, str], ...]


@dataclass(slots=True)
class _Element:
    tag: str
    marks: tuple[tuple[str, str], ...]
    hidden: bool


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.blocks: list[list[Piece]] = [[]]
        self.open: list[_Element] = []
        self.whole: list[tuple[str, str, str]] = []
        self.spans: list[tuple[int, str, str, list[str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in _INLINE:
            self.break_block()
        if tag in _VOID:
            return
        given = {name: value or "" for name, value in attrs}
        own = tuple((name, given[name]) for name in MARKS if name in given)
        outer = self.open[-1] if self.open else _Element("", (), False)
        gone = (
            "hidden" in given
            or re.search(r"display\s*:\s*none|visibility\s*:\s*hidden", given.get("style", "")) is not None
        )
        self.open.append(_Element(tag, own + outer.marks, outer.hidden or gone or tag in _SILENT))
        self.spans += [(len(self.open), name, value, []) for name, value in own]

    def handle_endtag(self, tag: str) -> None:
        if tag not in _INLINE:
            self.break_block()
        if tag not in {element.tag for element in self.open}:
            return
        while self.open:
            depth = len(self.open)
            closed = self.open.pop()
            for level, name, value, texts in self.spans:
                if level == depth:
                    self.whole.append((name, value, " ".join("".join(texts).split())))
            self.spans = [span for span in self.spans if span[0] != depth]
            if closed.tag == tag:
                break

    def handle_data(self, data: str) -> None:
        element = self.open[-1] if self.open else _Element("", (), False)
        if element.hidden or not data:
            return
        self.blocks[-1].append(Piece(data, element.marks))
        for *_, texts in self.spans:
            texts.append(data)

    def break_block(self) -> None:
        if self.blocks[-1]:
            self.blocks.append([])


@lru_cache(maxsize=40)  # the papers of a plan, each of which is asked for several things
def _read(page: str) -> _Reader:
    reader = _Reader()
    reader.feed(page)
    reader.close()
    return reader


def blocks(page: str) -> list[list[Piece]]:
    """The visible text of a page, a list of pieces for each block (paragraph, cell, item)."""
    return [block for block in _read(page).blocks if any(piece.text.strip() for piece in block)]


def text_of(page: str) -> str:
    """The visible text of a page, a line a block."""
    return "\n".join(" ".join("".join(piece.text for piece in block).split()) for block in blocks(page))


def bare_numbers(page: str) -> list[str]:
    """Numbers with a unit that do not say what they are, with what stands around them."""
    found = []
    for block in blocks(page):
        text, marked = "", []
        for piece in block:
            text += piece.text
            marked += [bool(piece.marks)] * len(piece.text)
        for match in NUMBER_WITH_UNIT.finditer(text):
            if not any(marked[match.start() : match.end()]):
                around = text[max(match.start() - 40, 0) : match.end() + 20]
                found.append(f"{match.group()!r} in {' '.join(around.split())!r}")
    return found


def long_numbers(page: str) -> list[str]:
    """Numbers of more digits than anybody reads, drawn ones among them."""
    texts = re.findall(r">([^<]+)<", page)
    found = [match.group() for text in texts for match in re.finditer(r"(?<![\w.])\d[\d,]*\.\d+", text)]
    return [number for number in found if len(number.replace(",", "").replace(".", "").lstrip("0")) > _MOST_DIGITS]


def readings(page: str, *, mark: str = "data-figure") -> Mapping[str, set[str]]:
    """What each mark of one sort reads, by what it names."""
    found: dict[str, set[str]] = defaultdict(set)
    for name, value, text in _read(page).whole:
        if name == mark and text:
            found[value].add(text)
    return found


def every_mark(page: str) -> Iterator[tuple[str, str, str]]:
    """Each mark of a page: its sort, what it names, and the text in it."""
    return iter(_read(page).whole)
