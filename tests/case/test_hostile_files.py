"""Files that are no case, or are made to hurt: each ends in words, soon, and in little memory."""

import time
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.case.small import SMALL, assert_plain, case_of, told
from waterplan.case import fields, read_case
from waterplan.case.document import LARGEST_FILE
from waterplan.case.reading import SECTIONS
from waterplan.errors import MOST_SHOWN, CaseError


@pytest.mark.longer
@pytest.mark.parametrize(
    ("content", "read"),
    [
        (b"\xff\xfe\x00binary\x00", "UTF-16 text"),
        ("waterplan_case = 1\n".encode("utf-16"), "UTF-16 text"),
        (b"\x00\x01\x02", "bytes that are not text"),
        (b"name = \xe9\n", "bytes that are not UTF-8 text"),
        (b"#" * (LARGEST_FILE + 1), "over 1 MB"),
        (b"x = " + b"[" * 30_000 + b"]" * 30_000, "brackets 30000 deep"),
        (b"x = " + b"9" * 6000, "a number of 6000 digits"),
        (b"x = 0x" + b"f" * 6000, "a number of 6002 digits"),
        (b"a." * 10_000 + b"b = 1", "a key of 10000 dots"),
        (b"[" + b"a." * 10_000 + b"b]", "a key of 10000 dots"),
        (b"[[vessels]]\n" * 80_000, "80000 tables"),
        (b"vessels = [" + b"{}," * 80_000 + b"]", "80000 tables"),
        (b"".join(b"k%d=1\n" % number for number in range(60_000)), "60000 keys"),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_a_file_that_is_no_case_is_told_by_name_and_soon(content: bytes, read: str, tmp_path: Path) -> None:
    path = tmp_path / "pond.toml"
    path.write_bytes(content)
    tracemalloc.start()
    begin = time.process_time()
    with pytest.raises(CaseError) as error:
        read_case(path)
    assert time.process_time() - begin < 5.0  # what counts as a hang, for whoever counts memory beside it
    assert tracemalloc.get_traced_memory()[1] < 40_000_000
    tracemalloc.stop()
    assert error.value.file == str(path)
    assert (error.value.mistakes[0].where, error.value.mistakes[0].read) == ("file", read)
    assert_plain(str(error.value))


def test_texts_that_never_end_are_gone_through_once() -> None:
    for text in ('"""' + '\\"""' * 100_000, "'''" * 99_999, '"' + "\\" * 200_001, "'" * 200_001, '"""' * 99_999 + "\n"):
        begin = time.process_time()
        with pytest.raises(CaseError):
            read_case(f"a = {text}\n")
        assert time.process_time() - begin < 2.0


@pytest.mark.parametrize(
    ("text", "where", "says"),
    [
        ("waterplan_case = 1\nnot = = toml\n", "line 2", "write a heading"),
        ("waterplan_case = 1\n[patient]\nspecies = koi\n", "line 3", "text in quotes"),
        ("waterplan_case = 1\n[patient]\n[patient]\n", "line 3", "stands in the file already"),
        ("waterplan_case = 1\nwaterplan_case = 1\n", "line 2", "stands in the file already"),
        ('waterplan_case = 1\n[patient]\nname = """\nAsh\n', "line 3", "close it"),
        ("waterplan_case = 1\n[patient\n", "line 2", "write a heading"),
    ],
)
def test_a_line_that_is_not_understood_is_shown(text: str, where: str, says: str) -> None:
    found = told(text)
    assert set(found) == {where}
    assert says in found[where][1]


def test_a_mark_before_the_text_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "pond.toml"
    path.write_text(SMALL, encoding="utf-8-sig")
    assert read_case(path, file="x") == read_case("\ufeff" + SMALL, file="x") == read_case(SMALL, file="x")


def test_a_missing_file_a_folder_and_a_name_that_cannot_be(tmp_path: Path) -> None:
    for path in (tmp_path / "none.toml", tmp_path, Path("a\0b"), Path("x" * 5000)):
        with pytest.raises(CaseError) as error:
            read_case(path)
        assert error.value.mistakes[0].would_do == "name a case file that exists"


def test_of_very_many_mistakes_the_first_are_shown() -> None:
    with pytest.raises(CaseError) as error:
        read_case(f"waterplan_case = 1\n{'[[vessels]]' + chr(10)}" * 1 + "[[vessels]]\n" * 800)
    lines = str(error.value).splitlines()
    assert len(lines) == MOST_SHOWN + 2
    assert lines[-1] == f"  and {len(error.value.mistakes) - MOST_SHOWN} more"


def test_tables_that_were_typed_are_bounded_as_well() -> None:
    for document in (
        {"vessels": [{}] * 5000},
        {"patient": {f"k{number}": 1 for number in range(5000)}},
        {"volumes": [{"of": "home pond", "by": "soundings", "outline": "0 0\n" * 30_000}]},
        {"patient": {"weight": "9" * 100_000}},
        {"patient": {"count": 10**5000}},
        {"vessels": [{"name": "tub", "use": "dip", "patients": ["x"] * 5000}]},
    ):
        with pytest.raises(CaseError) as error:
            read_case(document)
        assert len(str(error.value)) < 20_000


# -- anything -----------------------------------------------------------------------------------------------------

keys = st.sampled_from(
    [*SECTIONS, "patient", "waterplan_case", "x", "ordinal", "file", "utc_offset"]
) | st.sampled_from(sorted({key.key for key in fields()}))
leaves = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=8),
    st.dates(),
    st.datetimes(),
    st.times(),
    st.sampled_from(
        ["yes", "unknown", "home pond", "soundings", "tracer", "2026-05-14T09:30", "0 0\n1 0\n1 1", "1 m", "salt"]
    ),
    st.sampled_from([key.example for key in fields()]),
)
documents = st.dictionaries(
    keys,
    st.recursive(
        leaves, lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(keys, inner, max_size=6))
    ),
    max_size=5,
)


@pytest.mark.longer
@settings(max_examples=150, deadline=None)
@given(documents)
def test_any_document_ends_in_a_case_or_in_a_list_of_mistakes(document: dict[str, object]) -> None:
    """Slow: hundreds of documents are made up and read."""
    try:
        read_case(document)
    except CaseError as error:
        assert error.mistakes  # noqa: PT017 - either end is right
        for mistake in error.mistakes:
            assert mistake.where
            assert mistake.would_do
            assert_plain(str(mistake))


@st.composite
def tables(draw: st.DrawFn) -> dict[str, object]:
    """Tables whose keys belong to their section, each with its example or with anything else."""
    found: dict[str, list[dict[str, object]]] = {}
    known = fields()
    for section in draw(st.lists(st.sampled_from(list(SECTIONS)), max_size=6)):
        of_section = [key for key in known if key.section == section]
        chosen = draw(st.lists(st.sampled_from(of_section), max_size=12, unique_by=lambda key: key.key))
        needed = [key for key in of_section if key.required and not key.by]
        table = {
            key.key: draw(st.just(key.example) | leaves if key.choices == () else st.sampled_from(key.choices))
            for key in chosen
        }
        table = {key.key: key.example for key in needed} | table
        found.setdefault(section, []).append(table)
    many = {key.section for key in known if key.many}
    return {section: listed if section in many else listed[0] for section, listed in found.items()}


@pytest.mark.longer
@settings(max_examples=150, deadline=None)
@given(tables())
def test_any_tables_of_known_keys_end_in_a_case_or_in_words(document: dict[str, object]) -> None:
    try:
        case = read_case(document)
    except CaseError as error:
        for mistake in error.mistakes:
            assert_plain(str(mistake))
    else:
        assert {vessel.path for vessel in case.vessels} == set(case.names.vessels)


@settings(max_examples=120, deadline=None)
@given(st.text(max_size=200))
def test_any_text_ends_in_words(text: str) -> None:
    with pytest.raises(CaseError):
        case_of(text + "\n")


@settings(max_examples=120, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_end_in_words(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    path = tmp_path_factory.mktemp("any") / "pond.toml"
    path.write_bytes(content)
    with pytest.raises(CaseError) as error:
        read_case(path)
    assert_plain(str(error.value).replace(str(path), ""))


@settings(max_examples=120, deadline=None)
@given(st.data())
def test_a_case_with_something_struck_out_or_put_in_ends_in_words(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(SMALL) - 1))
    length = data.draw(st.integers(0, 12))
    put_in = data.draw(st.text(alphabet="\"'[]{}=.#\n\\ 019ax,", max_size=6))
    try:
        case_of(SMALL[:at] + put_in + SMALL[at + length :] + "\n")
    except CaseError as error:
        assert_plain(str(error))
