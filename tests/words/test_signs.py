"""One sign for one thing."""

from itertools import combinations

from waterplan.hazards.record import Verdict
from waterplan.words.catalogue import language


def test_no_two_things_have_one_sign() -> None:
    signs = {name: language()[f"sign.{name}"] for name in (*Verdict, "to do", "done")}
    assert [pair for pair in combinations(signs, 2) if signs[pair[0]] == signs[pair[1]]] == []
    assert all(isinstance(one, str) and len(one) == 1 for one in signs.values())
