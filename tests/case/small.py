"""The smallest cases that the tests of this room begin with."""

import pytest

from waterplan.case import read_case
from waterplan.case.model import Case
from waterplan.errors import CaseError

SMALL = """waterplan_case = 1
[patient]
species = "koi"
weight = "1.1 kg, scales"
[[vessels]]
name = "grey tub"
use = "revival"
volume = "60 L, marked tub"
"""


def case_of(text: str) -> Case:
    return read_case(text, file="pond.toml")


def told(text: str) -> dict[str, tuple[str, str]]:
    """What is wrong in a text: the two halves of each mistake by where it is."""
    with pytest.raises(CaseError) as error:
        case_of(text)
    mistakes = error.value.mistakes
    assert error.value.file == "pond.toml"
    assert len({(mistake.where, mistake.would_do) for mistake in mistakes}) == len(mistakes), "told twice"
    for mistake in mistakes:
        assert_plain(str(mistake))
    return {mistake.where: (mistake.read, mistake.would_do) for mistake in mistakes}


def assert_plain(text: str) -> None:
    """No word of a library, and nothing internal."""
    for word in (
        "pydantic",
        "validation error",
        "Value error",
        "Traceback",
        "{example}",
        "Input should",
        "type=",
        "object at",
    ):
        assert word not in text
    assert len(text) < 1500
