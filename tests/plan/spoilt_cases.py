"""Generated cases with something wrong or odd in them: as tables, as the bytes of a file, and as a log of readings."""

import copy
import dataclasses
import random
import re
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time, timedelta, timezone
from typing import Any

import tomli_w

from tests.plan.generated_cases import Document, Generated
from waterplan.case import fields
from waterplan.case.reading import SECTIONS
from waterplan.errors import CaseError

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
# What a key may be given instead of what it asks for.
LEAVES: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 10**30, 10**5000, float("nan"), float("inf"), float("-inf"), -0.0, 5e-324, 1e308),
    *(
        "",
        " ",
        "unknown",
        "not measured",
        "yes",
        "nan",
        "inf mg/L",
        "-5 L",
        "1e308 L",
        "1e-308 mg/L",
        "0 ± 0 L",
        "5 ± nan °C",
    ),
    *(
        "5 ± inf mg/L",
        "7.4 ± 1e9",
        "18 ± 200 % °C",
        "<0 mg/L as N",
        "<-1 mg/L",
        "1,5 mg/L as N",
        "1.2.3 L",
        "12",
        "L",
        "±",
        "%",
    ),
    *(
        "1８ °C",
        "٣ mg/L",
        "18\u00a0°C",
        "18 °C, ",
        "18 °C,,thermometer",
        "１８ ℃",
        "18 ºC",
        "7.6, PH METER",
        "½ L",
        "1/2 L",
        "1_000 L",
    ),
    *(
        "=1+1",
        "＝cmd|' /C calc'!A0",
        "+1;=2",
        "<script>alert(1)</script>",
        "[red]x[/red]",
        "{{ 7*7 }}",
        "{0}",
        "%s",
        "$HOME",
        "../../x",
    ),
    *(
        "\u202eL 06",
        "a\u200bb",
        "🐟 60 L",
        "e\u0301",
        "\ud800",
        "\x00",
        "\x1b[31m",
        "\ufeff60 L",
        "a" * 600,
        "9" * 400,
        "home pond",
    ),
    *(
        "hospital-1",
        "patient-1",
        "mains",
        "0x10 L",
        "1e3 L",
        "2026-05-14T09:30",
        "2026-13-40",
        "9999-12-31T23:59",
        "0001-01-01",
    ),
    *(
        [],
        {},
        [[]],
        [{}],
        {"a": {"b": {"c": 1}}},
        ["x"] * 50,
        [1, "1"],
        (),
        b"60 L",
        1j,
        object,
        date(2026, 5, 14),
        time(9, 30),
    ),
    *(
        datetime(2026, 3, 29, 2, 30),
        datetime(2026, 10, 25, 2, 30, fold=1),
        datetime(1951, 1, 1),
        datetime(2199, 12, 31, 23, 59),
    ),
    *(datetime(2026, 5, 14, 9, 30, tzinfo=timezone(timedelta(hours=23, minutes=59))), datetime.min, datetime.max),
    *(datetime(2026, 1, 1, tzinfo=UTC), "2026-03-29T02:30", "2026-10-25T02:30+01:00", "2026-05-14T24:00", "noon"),
)
# Names that a person may give, and that mean something somewhere.
NAMES = (
    *(
        "",
        "home pond",
        "mains",
        "hospital-1",
        "patient-1",
        "bucket 2",
        "20 L",
        "[b]x[/b]",
        "=1+1",
        "<i>x</i>",
        "{{x}}",
        "{name}",
    ),
    *(
        "a|b",
        "a/b",
        "..",
        "'",
        '"',
        "\\",
        "Ünï",
        "魚",
        "\u202eabc",
        "🐟",
        "x" * 400,
        "None",
        "nan",
        "__class__",
        "figure",
        "act now",
    ),
)
ZONES = ("Europe/Vienna", "America/St_Johns", "Asia/Kathmandu", "Pacific/Apia", "UTC", "Mars/Base", "../etc/passwd", "")
OFFSETS = ("+14:00", "-12:00", "+05:45", "+23:59", "+24:00", "Z", "5", "")
HEAD = "taken,water,what,reading\n"


def _one(rng: random.Random, of: Sequence[Any]) -> Any:
    return of[rng.randrange(len(of))]


def _tables(document: Document) -> list[tuple[str, Document]]:
    found = [(name, one) for name, one in document.items() if isinstance(one, dict)]
    return found + [
        (name, one)
        for name, many in document.items()
        if isinstance(many, list)
        for one in many
        if isinstance(one, dict)
    ]


def _some_key(rng: random.Random, document: Document) -> tuple[Document, str] | None:
    with_keys = [(table, key) for _, table in _tables(document) for key in table]
    return _one(rng, with_keys) if with_keys else None


# -- what may be done to a case: it may still be one ------------------------------------------------------------------


def _key_left_out(rng: random.Random, document: Document) -> None:
    if found := _some_key(rng, document):
        del found[0][found[1]]


def _table_left_out(rng: random.Random, document: Document) -> None:
    document.pop(_one(rng, list(document)))


def _number_far_off(rng: random.Random, document: Document) -> None:
    """Another power of ten, as a slip of the keys makes it, or the ± of it."""
    for _ in range(20):
        found = _some_key(rng, document)
        text = found and found[0][found[1]]
        if found and isinstance(text, str) and (number := _NUMBER.search(text)):
            times = 10.0 ** _one(rng, (-6, -3, -2, -1, 1, 2, 3, 6))
            found[0][found[1]] = text.replace(number[0], f"{float(number[0]) * times:.6g}", 1)
            return


def _error_far_off(rng: random.Random, document: Document) -> None:
    if (found := _some_key(rng, document)) and isinstance(text := found[0][found[1]], str) and " " in text:
        number, _, unit = text.partition(" ")
        found[0][found[1]] = f"{number} ± {_one(rng, ('0', '1e-9', '40', '90 %', '1000'))} {unit.partition(',')[0]}"


def _other_name(rng: random.Random, document: Document) -> None:
    named = [table for section, table in _tables(document) if section in {"vessels", "patients", "patient", "place"}]
    if named:
        _one(rng, named)["name"] = _one(rng, NAMES)


def _other_clock(rng: random.Random, document: Document) -> None:
    document.pop("utc_offset", None)
    key, choices = _one(rng, (("timezone", ZONES), ("utc_offset", OFFSETS)))
    document[key] = _one(rng, choices)


def _other_time(rng: random.Random, document: Document) -> None:
    dated = [
        (table, key)
        for _, table in _tables(document)
        for key, value in table.items()
        if key in {"at", "taken", "since", "operation_at", "last_fed"}
    ]
    if dated:
        table, key = _one(rng, dated)
        table[key] = _one(rng, [leaf for leaf in LEAVES if isinstance(leaf, datetime | date)])


def _table_again(rng: random.Random, document: Document) -> None:
    lists = [many for many in document.values() if isinstance(many, list) and many]
    if lists:
        many = _one(rng, lists)
        many.extend(copy.deepcopy(_one(rng, many)) for _ in range(_one(rng, (1, 2, 5))))


def _example_put_in(rng: random.Random, document: Document) -> None:
    """A key that the section knows, with the example of its line."""
    if tables := _tables(document):
        section, table = _one(rng, tables)
        keys = [one for one in fields() if one.section == section and one.example]
        table |= {one.key: one.example for one in keys[rng.randrange(len(keys)) :][:1]} if keys else {}


MILD: tuple[Callable[[random.Random, Document], None], ...] = (
    *(_key_left_out, _table_left_out, _number_far_off, _number_far_off, _error_far_off),
    *(_other_name, _other_clock, _other_time, _table_again, _example_put_in),
)


# -- what makes it none, mostly ---------------------------------------------------------------------------------------


def _leaf(rng: random.Random, document: Document) -> None:
    if found := _some_key(rng, document):
        found[0][found[1]] = _one(rng, LEAVES)


def _section_of_another_kind(rng: random.Random, document: Document) -> None:
    name = _one(rng, [*SECTIONS, "patient", "x"])
    document[name] = _one(
        rng, ("text", 7, [], [1], {}, [{}, "x"], [{"name": "a"} for _ in range(3000)], {"a": [[[[[[1]]]]]]}, None)
    )


def _key_of_another_kind(rng: random.Random, document: Document) -> None:
    if found := _some_key(rng, document):
        found[0][
            _one(rng, ("", " ", "ordinal", "file", "NAME", "na-me", "x" * 300, "a.b", "[x]", "ph ", "\n", 7, None))
        ] = "1"


def _very_many(rng: random.Random, document: Document) -> None:
    if tables := [table for _, table in _tables(document)]:
        _one(rng, tables).update({f"k{number}": number for number in range(_one(rng, (30, 3000)))})


ROUGH = (*MILD, _leaf, _leaf, _leaf, _leaf, _section_of_another_kind, _key_of_another_kind, _very_many)


def spoilt(rng: random.Random, case: Generated, *, ways: Sequence[Callable[..., None]] = MILD) -> Generated:
    """A case with one to four things done to it."""
    document = copy.deepcopy(case.document)
    for _ in range(_one(rng, (1, 1, 2, 3, 4))):
        _one(rng, ways)(rng, document)
    return dataclasses.replace(case, document=document)


def odd(case: Generated, seed: int) -> Generated:
    """A generated case spoilt, and yet one that can be read; as it was, where no way is found."""
    for attempt in range(8):
        made = spoilt(random.Random(f"{seed}/{case.number}/{attempt}"), case)
        try:
            made.readings(made.case())
        except CaseError:
            continue
        return made
    return case


# -- as the bytes of a file -------------------------------------------------------------------------------------------


def _toml(rng: random.Random, document: Document) -> str:
    """The file of a case; what TOML cannot say is left out."""

    def kept(found: Any) -> Any:
        if isinstance(found, dict):
            return {key: made for key, one in found.items() if isinstance(key, str) and (made := kept(one)) is not None}
        if isinstance(found, list):
            return [made for one in found if (made := kept(one)) is not None]
        if isinstance(found, str):
            return found.encode("utf-8", "replace").decode()
        good = isinstance(found, bool | float | datetime | date | time) or (
            isinstance(found, int) and abs(found) < 2**63
        )
        return found if good else None

    return tomli_w.dumps(kept(document))


def as_bytes(rng: random.Random, case: Generated) -> bytes:
    """The file, saved by some editor, cut off, or with something typed into it."""
    text = _toml(rng, case.document)
    lines = text.splitlines(keepends=True)
    at = rng.randrange(len(text) + 1)
    change = rng.randrange(10)
    if change == 0:
        text = text[:at]
    elif change == 1:
        text = (
            text[:at]
            + _one(rng, ('"', "'''", "]", "[[", "{", "=", "#", "\\", "\t", "\x07", "é", "\n[patient]\n", "1e999"))
            + text[at:]
        )
    elif change == 2 and lines:
        line = rng.randrange(len(lines))
        lines.insert(line, lines[line])
        text = "".join(lines)
    elif change == 3:
        text = text.replace("\n", "\r\n")
    elif change == 4:
        text = text.replace('"', "'")
    elif change == 5:
        text += _one(
            rng,
            ("[[vessels]]\n" * 2000, "x = " + "[" * 900 + "]" * 900, "[" + "a." * 50 + "b]\n", "k = 0x" + "f" * 5000),
        )
    return text.encode(_one(rng, ("utf-8", "utf-8", "utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-32")), "replace")


def spoilt_log(rng: random.Random, case: Generated) -> str:
    """The log of readings with something wrong in some of its rows."""
    rows = case.log.splitlines()[1:]
    for _ in range(_one(rng, (1, 2, 3))):
        row = (
            _one(rng, rows).split(",")
            if rows and rng.random() < 0.7
            else ["2026-05-14T09:30", "home water", "ph", "7.6"]
        )
        row[rng.randrange(len(row))] = str(
            _one(rng, [leaf for leaf in LEAVES if isinstance(leaf, str | datetime | float)])
        )
        rows.append(",".join(row) + _one(rng, ("", ",", ",extra", '"')))
    return HEAD + _one(rng, ("\n", "\r\n", "\r")).join(rows) + "\n"
