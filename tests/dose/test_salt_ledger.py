"""The ledger of the salt: it balances to the gram, and each line can be followed by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.changes import level_after_changes_mg_per_l, put_back_g
from waterplan.dose.salt_ledger import Entry, Move, salt_ledger
from waterplan.errors import ImpossibleInput

SHARE = st.floats(0.0, 0.9)


@st.composite
def stories(draw: st.DrawFn) -> tuple[float, float, list[Entry]]:
    """A tank, its salt, and moves that can be made in it one after the other."""
    volume = first = draw(st.floats(10.0, 5000.0))
    entries = []
    for _ in range(draw(st.integers(1, 12))):
        move = draw(st.sampled_from(list(Move)))
        share = draw(SHARE)
        if move is Move.SALT:
            entries.append(Entry(move=move, salt_g=draw(st.floats(0.0, 5000.0))))
            continue
        litres = volume * share
        if move is Move.EVAPORATED:
            entries.append(Entry(move=move, litres=litres))
            volume -= litres
            continue
        source, salt = draw(st.floats(0.0, 5.0)), draw(st.floats(0.0, 500.0))
        entries.append(Entry(move=move, litres=litres, source_g_per_l=source, salt_g=salt))
        volume += litres if move is Move.TOPPED_UP else 0.0
    return first, draw(st.floats(0.0, 10.0)), entries


@settings(max_examples=120)
@given(stories())
def test_the_ledger_balances_to_the_gram(story: tuple[float, float, list[Entry]]) -> None:
    volume_l, present, entries = story
    lines = salt_ledger(volume_l, present_g_per_l=present, entries=entries)
    assert len(lines) == len(entries)
    balance = volume_l * present + sum(line.in_g for line in lines) - sum(line.out_g for line in lines)
    assert lines[-1].held_g == pytest.approx(balance, abs=1e-3)
    assert lines[-1].held_g == pytest.approx(lines[-1].level_g_per_l * lines[-1].volume_l, abs=1e-3)
    assert all(line.held_g >= -1e-6 for line in lines)


@settings(max_examples=60)
@given(st.floats(10.0, 5000.0), st.floats(0.1, 10.0), st.floats(0.0, 0.9), st.integers(1, 20))
def test_changes_without_salt_follow_the_closed_form(volume: float, level: float, share: float, count: int) -> None:
    change = Entry(move=Move.CHANGE, litres=volume * share)
    last = salt_ledger(volume, present_g_per_l=level, entries=[change] * count)[-1]
    assert last.level_g_per_l == pytest.approx(level * (1.0 - share) ** count)
    by_formula = level_after_changes_mg_per_l(level * 1000.0, changed_fraction=share, changes=count)
    assert last.level_g_per_l * 1000.0 == pytest.approx(by_formula)


@settings(max_examples=60)
@given(st.floats(10.0, 5000.0), st.floats(0.1, 10.0), st.floats(0.01, 0.9), st.integers(1, 20))
def test_what_is_put_back_keeps_the_level(volume: float, level: float, share: float, count: int) -> None:
    grams = float(put_back_g(volume, changed_fraction=share, wanted_mg_per_l=level * 1000.0))
    change = Entry(move=Move.CHANGE, litres=volume * share, salt_g=grams)
    for line in salt_ledger(volume, present_g_per_l=level, entries=[change] * count):
        assert line.level_g_per_l == pytest.approx(level)
        assert line.in_g == pytest.approx(line.out_g)


def test_a_stay_by_hand() -> None:
    # 600 L: 1,800 g to 3 g/L; 40 L evaporate, 1,800 / 560 = 3.214; topped up, 3 again; a quarter (150 L) changed without
    # salt takes 450 g, 2.25; a quarter with 450 g takes 337.5, 1,462.5 g or 2.4375; 25 L of rain run over: 25 x 2.4375.
    lines = salt_ledger(
        600.0,
        present_g_per_l=0.0,
        entries=[
            Entry(move=Move.SALT, salt_g=1800.0),
            Entry(move=Move.EVAPORATED, litres=40.0),
            Entry(move=Move.TOPPED_UP, litres=40.0),
            Entry(move=Move.CHANGE, litres=150.0),
            Entry(move=Move.CHANGE, litres=150.0, salt_g=450.0),
            Entry(move=Move.CHANGE, litres=25.0),
        ],
    )
    assert [line.level_g_per_l for line in lines] == pytest.approx(
        [3.0, 3.2142857, 3.0, 2.25, 2.4375, 2.4375 * 575.0 / 600.0]
    )
    assert [line.out_g for line in lines] == pytest.approx([0.0, 0.0, 0.0, 450.0, 337.5, 60.9375])
    assert [line.volume_l for line in lines] == [600.0, 560.0, 600.0, 600.0, 600.0, 600.0]


def test_water_with_salt_of_its_own() -> None:
    # Topped up with 40 L of 0.3 g/L in place of fresh water: 12 g too much, 1,812 / 600.
    evaporated = Entry(move=Move.EVAPORATED, litres=40.0)
    line = salt_ledger(
        600.0,
        present_g_per_l=3.0,
        entries=[evaporated, Entry(move=Move.TOPPED_UP, litres=40.0, source_g_per_l=0.3)],
    )[-1]
    assert line.level_g_per_l == pytest.approx(3.02)


@pytest.mark.parametrize(
    "entry",
    [
        Entry(move=Move.CHANGE, litres=601.0),
        Entry(move=Move.EVAPORATED, litres=600.0),
    ],
)
def test_more_than_there_is(entry: Entry) -> None:
    with pytest.raises(ImpossibleInput, match="at most the 600"):
        salt_ledger(600.0, present_g_per_l=1.0, entries=[entry])


@pytest.mark.parametrize("litres", [-1.0, float("nan"), float("inf")])
def test_impossible_moves(litres: float) -> None:
    with pytest.raises(ImpossibleInput):
        Entry(move=Move.CHANGE, litres=litres)
    with pytest.raises(ImpossibleInput):
        Entry(move=Move.EVAPORATED, litres=1.0, salt_g=1.0)
    with pytest.raises(ImpossibleInput):
        Entry(move=Move.SALT, litres=1.0)
    with pytest.raises(ImpossibleInput):
        salt_ledger(0.0, present_g_per_l=1.0, entries=[])
