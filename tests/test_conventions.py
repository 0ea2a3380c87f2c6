"""What holds for every file of the house: whose words are used, and where a figure comes from."""

import ast
import csv
import doctest
import importlib
import inspect
import pkgutil
import re
import textwrap
import typing
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from types import ModuleType

import pytest

import waterplan
from waterplan import published, tables

PACKAGE = Path(waterplan.__file__).parent
REFERENCE = tables.shipped("reference_tables")
VALUES = Path(__file__).parent / "published_values"
FILES = sorted(PACKAGE.rglob("*.py"))
APP = tables.shipped("app.py")

CORE_ROOMS = ("water", "vessel", "fish", "tank", "dose")


@pytest.mark.parametrize(
    "path",
    [path for path in FILES if path.name == "__init__.py" and path.parent.name != "waterplan"],
    ids=lambda path: path.parent.name,
)
def test_an_init_only_says_what_the_room_holds(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    room = f"waterplan.{path.parent.name}."
    later = any(isinstance(node, ast.FunctionDef) and node.name == "__getattr__" for node in tree.body)
    nodes = tree.body[1:]
    if later:  # what it hands on is imported when it is asked for, and named for type checkers alone
        nodes = [one for node in nodes for one in (node.body if isinstance(node, ast.If) else [node])]
        nodes = [one for one in nodes if not isinstance(one, ast.FunctionDef) or one.name != "__getattr__"]
    for node in nodes:
        of_a_room = isinstance(node, ast.ImportFrom) and (node.module or "").startswith(room)
        for_that = later and isinstance(node, ast.ImportFrom) and node.module == "typing"
        listed = isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
        assert of_a_room or for_that or listed, "it holds more than what the room hands on"


def test_the_router_is_short() -> None:
    assert len(APP.read_text(encoding="utf-8").splitlines()) < 60


# -- the equations ------------------------------------------------------------------------------------------------


def core_modules() -> Iterator[ModuleType]:
    for room in CORE_ROOMS:
        package = importlib.import_module(f"waterplan.{room}")
        for module in pkgutil.iter_modules(package.__path__):
            yield importlib.import_module(f"waterplan.{room}.{module.name}")


def function_of(equation: str) -> Callable[..., object]:
    module, _, name = equation.rpartition(".")
    found: Callable[..., object] = getattr(importlib.import_module(f"waterplan.{module}"), name)
    return found


@cache
def all_equations() -> Mapping[str, published.Equation]:
    """The equations by name, after every file of the core has been read."""
    list(core_modules())
    return dict(sorted(published.EQUATIONS.items()))


EQUATIONS = sorted(all_equations())
every_equation = pytest.mark.parametrize("name", EQUATIONS)


def is_number(hint: object) -> bool:
    return hint is float or float in typing.get_args(hint)


def numbers_of(function: Callable[..., object]) -> list[str]:
    hints = typing.get_type_hints(inspect.unwrap(function))
    return [name for name in inspect.signature(function).parameters if is_number(hints.get(name))]


def test_there_are_equations_in_every_room_of_the_core() -> None:
    assert {name.split(".")[0] for name in EQUATIONS} == set(CORE_ROOMS)


@every_equation
def test_every_number_is_a_word_of_the_glossary(name: str) -> None:
    strange = [argument for argument in numbers_of(function_of(name)) if argument not in tables.glossary()]
    assert not strange


@every_equation
def test_arguments_after_the_first_are_keyword_only(name: str) -> None:
    parameters = list(inspect.signature(function_of(name)).parameters.values())
    assert all(parameter.kind is inspect.Parameter.KEYWORD_ONLY for parameter in parameters[1:])


@every_equation
def test_a_fitted_range_belongs_to_an_argument_and_can_be_left(name: str) -> None:
    equation = all_equations()[name]
    parameters = inspect.signature(function_of(name)).parameters
    for argument, fitted in equation.fitted.items():
        assert argument in parameters
        possible = tables.glossary()[argument].possible
        assert possible.low <= fitted.low < fitted.high <= possible.high


@every_equation
def test_an_equation_has_its_source(name: str) -> None:
    equation = all_equations()[name]
    assert equation.source in tables.sources()
    assert equation.locator.strip()
    assert equation.status in published.Status
    if equation.source == "practice":
        assert equation.status in {published.Status.COMMON_PRACTICE, published.Status.FROM_MEMORY}
    if equation.source == "waterplan":
        assert equation.status in {published.Status.DERIVED, published.Status.JUDGEMENT}


# -- the docstrings -----------------------------------------------------------------------------------------------

SECTIONS = ("Parameters", "Returns", "Raises", "Notes", "Examples")


def sections_of(docstring: str) -> dict[str, str]:
    """The numpy-style sections of a docstring, in their order; what stands before the first is under ''."""
    found, name = {"": ""}, ""
    lines = textwrap.dedent(docstring).splitlines()
    for line, after in zip(lines, [*lines[1:], ""], strict=True):
        if line.strip() and set(after.strip()) == {"-"}:
            name = line.strip()
            found[name] = ""
        elif not (line.strip() and set(line.strip()) == {"-"}):
            found[name] += line + "\n"
    return found


def parameters_of(section: str) -> dict[str, str]:
    """What is said of each parameter, by its name."""
    found: dict[str, str] = {}
    names: list[str] = []
    for line in section.splitlines():
        if line and not line.startswith(" "):
            names = [name.strip() for name in line.partition(" : ")[0].split(",")]
            found |= dict.fromkeys(names, "")
        else:
            found |= {name: f"{found[name]} {line.strip()}".strip() for name in names}
    return found


@every_equation
def test_a_docstring_has_its_sections(name: str) -> None:
    docstring = inspect.getdoc(function_of(name)) or ""
    sections = sections_of(docstring)
    assert tuple(section for section in sections if section) == SECTIONS
    summary = sections[""].strip()
    assert summary.endswith(".")
    assert "\n\n" not in summary, "one sentence, and what is to be known of it in Notes"
    assert all(text.strip() for text in sections.values())


@every_equation
def test_a_docstring_names_the_parameters_and_their_units(name: str) -> None:
    function = function_of(name)
    said = parameters_of(sections_of(inspect.getdoc(function) or "").get("Parameters", ""))
    assert list(said) == list(inspect.signature(function).parameters)
    terms = tables.glossary()
    for argument in numbers_of(function):
        found = " ".join(re.findall(r"\[([^\]]*)\]", said[argument])) or "-"
        unit = terms[argument].unit or "-"
        # "[% of the air pressure]" says more than the glossary's "%".
        assert found == unit or found.startswith(f"{unit} of "), f"{argument}: {said[argument]}"


def test_a_docstring_gives_the_unit_of_a_result_whose_name_has_one() -> None:
    with_unit = re.compile(r"_per_|_(l|ml|kg|g|mg|h|min|days|c|m|m2|cm|kpa|mmhg|w|percent)$")
    named = [name for name in EQUATIONS if with_unit.search(name.split(".")[-1])]
    assert len(named) > 30
    for name in named:
        returned = sections_of(inspect.getdoc(function_of(name)) or "").get("Returns", "")
        assert re.search(r"\[[^\]]+\]", returned), name


def examples() -> list[object]:
    found = []
    for module in core_modules():
        for name, function in vars(module).items():
            own = inspect.isfunction(function) and function.__module__ == module.__name__
            if own and not name.startswith("_") and ">>>" in (function.__doc__ or ""):
                where = f"{module.__name__.removeprefix('waterplan.')}.{name}"
                test = doctest.DocTestParser().get_doctest(
                    inspect.getdoc(function) or "", dict(vars(module)), where, module.__file__, 0
                )
                found.append(pytest.param(test, id=where))
    return found


@pytest.mark.parametrize("example", examples())
def test_an_example_runs_and_gives_what_it_says(example: doctest.DocTest) -> None:
    said: list[str] = []
    result = doctest.DocTestRunner(verbose=False).run(example, out=said.append)
    assert result.attempted
    assert not result.failed, "".join(said)


# -- the tables ---------------------------------------------------------------------------------------------------


def records(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


SUBJECTS = sorted(path.stem for path in REFERENCE.glob("*.csv") if path.stem not in {"glossary", "sources"})
PRINTED = sorted(VALUES.glob("*.csv"))
every_subject = pytest.mark.parametrize("subject", SUBJECTS)


def test_the_glossary_is_sound() -> None:
    rows = records(REFERENCE / "glossary.csv")
    twice = [name for name, count in Counter(row["name"] for row in rows).items() if count > 1]
    assert not twice
    for row in rows:
        assert re.fullmatch(r"[a-z][a-z0-9_]*", row["name"])
        assert row["words"].strip(), row["name"]
        possible = float(row["possible_low"]), float(row["possible_high"])
        pond = float(row["pond_low"]), float(row["pond_high"])
        assert possible[0] < possible[1], row["name"]
        assert pond[0] < pond[1], row["name"]
        assert possible[0] <= pond[0], row["name"]
        assert pond[1] <= possible[1], row["name"]


def test_the_words_of_the_glossary_are_written_once() -> None:
    words = Counter(row["words"] for row in records(REFERENCE / "glossary.csv"))
    assert not [text for text, count in words.items() if count > 1]


def test_a_source_is_listed_once_and_named() -> None:
    rows = records(REFERENCE / "sources.csv")
    assert not [key for key, count in Counter(row["key"] for row in rows).items() if count > 1]
    for row in rows:
        assert re.fullmatch(r"[a-z][a-z0-9_]*", row["key"])
        assert row["who"].strip(), row["key"]
        assert row["title"].strip(), row["key"]
        assert re.fullmatch(r"(1[89]|20)\d\d|undated|", row["year"]), row["key"]
    works = Counter((row["who"], row["year"], row["title"]) for row in rows)
    assert not [work for work, count in works.items() if count > 1], "one work under two keys"


def keys_used() -> dict[str, set[str]]:
    """The source keys that are used, and by what."""
    used: dict[str, set[str]] = {}
    for name, equation in all_equations().items():
        used.setdefault(equation.source, set()).add(name)
    for subject in SUBJECTS:
        for row in records(REFERENCE / f"{subject}.csv"):
            used.setdefault(row["source"], set()).add(subject)
    for path in PRINTED:
        for row in records(path):
            used.setdefault(row["source"], set()).add(path.name)
    return used


def test_every_source_that_is_used_is_listed() -> None:
    unlisted = {key: users for key, users in keys_used().items() if key not in tables.sources()}
    assert not unlisted


def test_every_source_that_is_listed_is_used() -> None:
    assert not set(tables.sources()) - set(keys_used())


@every_subject
def test_a_row_says_where_it_comes_from(subject: str) -> None:
    for row in records(REFERENCE / f"{subject}.csv"):
        assert None not in row, f"{row}: more cells than columns"
        assert {"value", "low", "high", "unit", "source", "locator", "status", "default", "reason"} <= set(row)
        assert row["source"] in tables.sources(), row
        assert row["status"] in set(published.Status), row
        assert row["default"] in {"", "yes"}, row
        if row["status"] == "common practice":
            assert row["source"] == "practice", row
        if row["status"] in {"published", "as quoted"}:
            assert row["source"] not in {"practice", "waterplan"}, row


def reasoning(row: dict[str, str]) -> str:
    """What a row gives as its reason: that column, or the sentence that a table of words is made of."""
    return "".join(row.get(column, "").strip() for column in ("reason", "words", "why", "evidence", "notes"))


@every_subject
def test_a_row_has_a_locator_or_a_reason(subject: str) -> None:
    rows = records(REFERENCE / f"{subject}.csv")
    assert not [row for row in rows if not row["locator"].strip() and not reasoning(row)]
    assert not [row for row in rows if row["status"] == "judgement" and not reasoning(row)]


@every_subject
def test_the_figures_of_a_row_are_in_order(subject: str) -> None:
    for row in records(REFERENCE / f"{subject}.csv"):
        low, value, high = (float(row[column]) if row[column] else None for column in ("low", "value", "high"))
        figures = [figure for figure in (low, value, high) if figure is not None]
        assert figures == sorted(figures), row


@every_subject
def test_the_keys_of_a_row_find_it(subject: str) -> None:
    found = Counter((tuple(row.keys.values()), row.is_default) for row in tables.table(subject))
    assert not [keys for keys, count in found.items() if count > 1]


@pytest.mark.parametrize("path", PRINTED, ids=lambda path: path.stem)
def test_a_printed_value_says_where_it_comes_from(path: Path) -> None:
    rows = records(path)
    assert rows
    for row in rows:
        assert None not in row, f"{row}: more cells than columns"
        assert row["source"] in tables.sources(), row
        assert row["status"] in set(published.Status), row
        assert "locator" in row
        if "expected" not in row:
            continue  # measured samples, which a test compares among themselves
        tolerance, expected = float(row["tolerance"]), float(row["expected"])
        assert tolerance > 0 or (tolerance == 0 and expected.is_integer()), row
        assert row["why"].strip(), row
