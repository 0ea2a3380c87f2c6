"""From bytes to the raw tables of a case, with its size bounded before it is parsed."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from waterplan.errors import CaseError, Mistake

LARGEST_FILE, MOST_TABLES, MOST_KEYS = 1_000_000, 1000, 20_000
_DEEPEST, _MOST_DOTS, _LONGEST_NUMBER = 20, 20, 100
# Texts and comments: what stands between them is the skeleton of the file. One that never ends runs to the end.
_TEXTS = re.compile(
    r'("""(?:\\.|[^\\])*?(?:"""|\Z)|' + r"'''.*?(?:'''|\Z)|" + r'"(?:\\.|[^"\\\n])*+"?|' + r"'[^'\n]*+'?|#[^\n]*+)",
    re.DOTALL,
)
_TO_THE_MINUTE = re.compile(r"(?<![\w:.-])(\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d)(?![\d:])")
_NUMBER = re.compile(rf"(?<![\w-])[+-]?\d[\w.]{{{_LONGEST_NUMBER},}}")
_AT = re.compile(r"\(at line (\d+), column (\d+)\)|\(at end of document\)")
_TWICE = re.compile(r"Cannot (?:overwrite|declare|mutate|redefine)|[Dd]uplicate")


def read_text(path: Path | str, *, largest: int = LARGEST_FILE, what: str = "case file") -> str:
    """The text of a file; CaseError where there is none, it is too large, or it is no UTF-8 text."""
    try:
        with Path(path).open("rb") as file:
            content = file.read(largest + 1)
    except (OSError, ValueError) as error:  # a name with a NUL in it is a ValueError
        read = "a folder" if isinstance(error, IsADirectoryError) else "nothing"
        piped = ": what is piped in is not read" if str(path) == "-" else ""
        would_do = f"name a {what} that {'may be read' if isinstance(error, PermissionError) else 'exists'}{piped}"
        raise CaseError.of(str(path), where="file", read=read, would_do=would_do) from None
    return decoded(content, file=str(path), largest=largest, what=what)


def decoded(content: bytes, *, file: str, largest: int = LARGEST_FILE, what: str = "case") -> str:
    """The text of bytes, without the mark that some editors put before it."""
    if len(content) > largest:
        raise CaseError.of(file, where="file", read=f"over {largest // 1_000_000} MB", would_do=f"a {what} is text")
    read = "UTF-16 text" if content.startswith((b"\xff\xfe", b"\xfe\xff")) else ""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text, read = "", read or "bytes that are not UTF-8 text"
    if read or "\0" in text:
        would_do = f"save the {what} as UTF-8 text"
        raise CaseError.of(file, where="file", read=read or "bytes that are not text", would_do=would_do)
    return text


def document_from_text(text: str, *, file: str) -> dict[str, Any]:
    """The raw tables of a TOML text; a time may be written to the minute."""
    if len(text) > LARGEST_FILE:
        raise CaseError.of(file, where="file", read="over 1 MB", would_do="a case is a page of text")
    pieces = _TEXTS.split(text.removeprefix("\ufeff"))
    wrong = list(_too_large("".join('""' if number % 2 else piece for number, piece in enumerate(pieces))))
    if wrong:
        raise CaseError(file, wrong)
    pieces[::2] = [_TO_THE_MINUTE.sub(r"\1:00", piece) for piece in pieces[::2]]
    try:
        return tomllib.loads("".join(pieces))
    except (ValueError, RecursionError) as error:
        raise CaseError(file, [_not_toml(str(error), text)]) from None


def _too_large(skeleton: str) -> Iterator[Mistake]:
    """What is beyond any case in a file whose texts are taken out."""
    depth = deepest = 0
    for mark in re.finditer(r"[\[\]{}]", skeleton):
        depth += 1 if mark[0] in "[{" else -1
        deepest = max(deepest, depth)
    tables = sum(line.lstrip().startswith("[") for line in skeleton.split("\n")) + skeleton.count("{")
    dots = max(line.count(".") for line in skeleton.split("\n"))
    number = _NUMBER.search(skeleton)
    for is_so, read, would_do in (
        (deepest > _DEEPEST, f"brackets {deepest} deep", "a case has tables and no tables in tables"),
        (tables > MOST_TABLES, f"{tables} tables", f"at most {MOST_TABLES} tables"),
        (skeleton.count("=") > MOST_KEYS, f"{skeleton.count('=')} keys", f"at most {MOST_KEYS} keys"),
        (dots > _MOST_DOTS, f"a key of {dots} dots", "write each key under the heading of its table"),
        (number, f"a number of {len(number[0]) if number else 0} digits", "write a shorter number"),
    ):
        if is_so:
            yield Mistake(where="file", read=read, would_do=would_do)


def _not_toml(error: str, text: str) -> Mistake:
    """Where a file cannot be read, in the words of whoever wrote it."""
    at, lines = _AT.search(error), text.split("\n")
    if at is None or not at[1]:
        long = [found.start() for found in _TEXTS.finditer(text) if found[0][:3] in {'"""', "'''"}]
        last = max(long, default=len(text))
        where = f"line {text.count(chr(10), 0, last) + 1}"
        return Mistake(where=where, read="a text or a bracket without its end", would_do="close it")
    line = " ".join(lines[int(at[1]) - 1].split())
    shown = repr(line if len(line) <= 60 else f"{line[:60]}…")
    would_do = 'write a heading such as [home_water], or a key and its value, text in quotes: ph = "7.8, pH meter"'
    if _TWICE.search(error):
        would_do = "it stands in the file already: give each key and table once"
    return Mistake(where=f"line {at[1]}", read=shown, would_do=would_do)


def folded(table: Mapping[Any, Any]) -> tuple[dict[str, Any], dict[str, str], list[str]]:
    """A table with its keys in small letters, how each was written, and those that were written twice."""
    found: dict[str, Any] = {}
    written: dict[str, str] = {}
    twice: list[str] = []
    for key, value in table.items():
        plain = "_".join(str(key).casefold().replace("-", " ").replace("_", " ").split()) or str(key)
        if plain in found:
            twice.append(str(key))
            continue
        found[plain], written[plain] = value, str(key)
    return found, written, twice
