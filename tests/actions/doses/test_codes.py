"""Every reason of a dose has a sentence in the phrase book that asks for nothing that the reason does not give."""

import ast
from pathlib import Path

import pytest

import waterplan.actions.doses
from waterplan.words.catalogue import language

DOSES = Path(waterplan.actions.doses.__path__[0])
FILES = sorted(path.stem for path in DOSES.glob("[a-z]*.py"))


def reasons(name: str) -> list[ast.Call]:
    tree = ast.parse((DOSES / f"{name}.py").read_text(encoding="utf-8"))
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)]
    return [one for one in calls if getattr(one.func, "id", "") == "reason"]


@pytest.mark.parametrize("name", FILES)
def test_each_reason_has_its_sentence(name: str) -> None:
    book = language()
    for call in reasons(name):
        if not isinstance(call.args[0], ast.Constant):
            continue
        key = f"why.{call.args[0].value}"
        assert key in book, key
        words = call.args[1] if len(call.args) > 1 else ast.Dict(keys=[], values=[])
        if isinstance(words, ast.Dict) and all(one.arg for one in call.keywords):
            given = {str(one.value).replace(" ", "_") for one in words.keys if isinstance(one, ast.Constant)}
            given |= {str(one.arg) for one in call.keywords}
            assert book.asks_for(key) - {"row"} <= given, key


@pytest.mark.parametrize(
    "what", ["ph-of-the-bath", "ammonia-of-the-bath", "oxygen-of-the-bath", "chlorine-in-the-bath"]
)
def test_a_bath_that_is_unfit_or_watched_has_its_sentence(what: str) -> None:
    assert f"why.{what}" in language()
    assert f"why.{what}-to-watch" in language()
