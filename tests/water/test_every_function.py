"""What must hold of every published equation of the room, whatever it says."""

import doctest
import importlib
import inspect
import pkgutil

import numpy as np
import pytest

import waterplan.water
from tests.water.printed import rows
from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import EQUATIONS, Status

MODULES = [
    importlib.import_module(f"waterplan.water.{module.name}")
    for module in pkgutil.iter_modules(waterplan.water.__path__)
]
FUNCTIONS = {
    name.removeprefix("water."): getattr(importlib.import_module(f"waterplan.{module}"), function)
    for name in EQUATIONS
    for module, function in [name.rsplit(".", 1)]
    if name.startswith("water.")
}
# A value for each argument at which every equation has an answer, and one a little further on.
USUAL = {
    "water_temp_c": (18.0, 21.0),
    "warmed_temp_c": (20.0, 22.0),
    "air_temp_c": (15.0, 17.0),
    "reference_temp_c": (20.0, 25.0),
    "salinity_g_per_kg": (3.0, 12.0),
    "air_pressure_kpa": (98.0, 101.0),
    "sea_level_pressure_kpa": (101.0, 102.0),
    "altitude_m": (200.0, 900.0),
    "ph": (7.4, 8.1),
    "alkalinity_mg_caco3_per_l": (80.0, 120.0),
    "straight": (0.0, 1.0),
}


def _usual(function, which):
    found = {}
    for name in inspect.signature(function).parameters:
        if name in tables.glossary():
            found[name] = USUAL.get(name, (2.0, 3.0))[which]
    return found


def _flat(result):
    if hasattr(result, "__slots__"):
        return [getattr(result, name) for name in result.__slots__]
    return [result]


each = pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS)


@each
def test_floats_give_floats_and_arrays_give_the_same_numbers(function):
    one, other = _usual(function, 0), _usual(function, 1)
    both = {k: np.array([v, other[k]]) if isinstance(v, float) else v for k, v in one.items()}
    together = _flat(function(**both))
    for index, given in enumerate((one, other)):
        for alone, array in zip(_flat(function(**given)), together, strict=True):
            assert type(alone) is float
            assert array.shape == (2,)
            assert array[index] == pytest.approx(alone, rel=1e-10)


@each
def test_integers_are_taken_for_floats(function):
    given = {k: round(v) if isinstance(v, float) else v for k, v in _usual(function, 0).items()}
    as_floats = {k: float(v) if isinstance(v, int) else v for k, v in given.items()}
    assert _flat(function(**given)) == _flat(function(**as_floats))


@each
def test_what_is_not_finite_or_not_possible_is_refused_by_name(function):
    given = _usual(function, 0)
    for argument, value in given.items():
        if not isinstance(value, float):
            continue
        below = tables.glossary()[argument].possible.low - 1.0
        for wrong in (
            np.nan,
            np.inf,
            -np.inf,
            below,
            np.array([value, np.nan]),
            np.ma.array([value, value], mask=[False, True]),
        ):
            with pytest.raises(ImpossibleInput) as caught:
                function(**{**given, argument: wrong})
            assert caught.value.argument == argument


@each
def test_arguments_are_words_of_the_glossary_and_keywords_after_the_first(function):
    parameters = list(inspect.signature(function).parameters.values())
    assert parameters[0].kind is parameters[0].POSITIONAL_OR_KEYWORD
    assert all(parameter.kind is parameter.KEYWORD_ONLY for parameter in parameters[1:])
    for parameter in parameters:
        if parameter.name not in tables.glossary():
            assert "Numbers" not in str(parameter.annotation)


@each
def test_the_source_is_listed_and_the_docstring_is_whole(function):
    equation = function.equation
    assert equation.source in tables.sources()
    assert equation.locator
    assert Status(equation.status)
    words = inspect.getdoc(function)
    for section in ("Parameters", "Returns", "Raises", "Notes", "Examples"):
        assert f"\n{section}\n" in words
    for parameter in inspect.signature(function).parameters:
        assert f"\n{parameter} : " in words


@each
def test_the_example_of_the_docstring_runs(function):
    module = inspect.getmodule(function.__wrapped__)
    examples = doctest.DocTestFinder().find(function.__wrapped__, globs=vars(module).copy())
    assert sum(len(example.examples) for example in examples) >= 1
    runner = doctest.DocTestRunner(verbose=False)
    for example in examples:
        assert runner.run(example).failed == 0


@pytest.mark.parametrize(
    "name", ["atmosphere", "oxygen", "gas", "ammonia", "nitrite", "carbonate", "salt", "rhone", "meaudret"]
)
def test_printed_values_name_a_source_that_is_listed(name):
    for row in rows(f"water_{name}"):
        assert row["source"] in tables.sources()
        assert row["locator"]
        assert Status(row["status"])


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rsplit(".", 1)[1])
def test_a_file_has_one_subject(module):
    public = [
        n for n, v in vars(module).items() if not n.startswith("_") and getattr(v, "__module__", "") == module.__name__
    ]
    assert len(public) <= 10
    assert len(inspect.getsource(module).splitlines()) <= 400
    assert module.__doc__
