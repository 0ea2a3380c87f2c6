"""Cases with something wrong or odd in them are read or told in words, soon and in little memory, however they are saved."""

import random
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.case.small import SMALL, assert_plain
from tests.memory import MOST_MORE_KB, watched
from tests.plan.generated_cases import cases, generated
from tests.plan.spoilt_cases import ROUGH, as_bytes, odd, spoilt, spoilt_log
from waterplan.case.log import read_log
from waterplan.case.reading import read_case
from waterplan.errors import CaseError
from waterplan.plan.whole import plan

ORDINARY, SLOW = 500, 10_000
MOST_S = 5.0


def told_well(error: CaseError) -> None:
    """The text of an error is what a person reads: plain, printable, not endless."""
    text = str(error)
    assert len(text) < 15_000
    for line in text.splitlines():
        assert_plain(line)
        assert line.isprintable()


def read_one_way(rng: random.Random, folder: Path) -> None:
    """A spoilt case as tables, as the bytes of a file, or with a spoilt log."""
    case = spoilt(rng, generated(rng), ways=ROUGH)
    path = folder / "pond.toml"
    path.write_bytes(as_bytes(rng, case))
    log = spoilt_log(rng, case)
    ways = (
        lambda: read_case(case.document, file="case"),
        lambda: read_case(path, file="case"),
        lambda: read_case(path, file="case"),
        lambda: read_log(log, case=read_case(SMALL), file="log"),
    )
    begin, more_kb = time.process_time(), watched()
    try:
        ways[rng.randrange(len(ways))]()
    except CaseError as error:
        told_well(error)
    assert time.process_time() - begin < MOST_S
    assert more_kb() < MOST_MORE_KB


@settings(max_examples=ORDINARY)
@given(st.integers(0, 2**63))
def test_a_spoilt_case_is_read_or_told_in_words(tmp_path_factory: pytest.TempPathFactory, seed: int) -> None:
    """Slow: hundreds of spoilt documents are read."""
    read_one_way(random.Random(seed), tmp_path_factory.getbasetemp())


@pytest.mark.slow
@settings(max_examples=SLOW)
@given(st.integers(0, 2**63))
def test_many_spoilt_cases_are_read_or_told_in_words(tmp_path_factory: pytest.TempPathFactory, seed: int) -> None:
    read_one_way(random.Random(seed), tmp_path_factory.getbasetemp())


@pytest.mark.longer
def test_what_broke_among_the_spoilt_cases_is_planned() -> None:
    """A tub for induction and no patient; a pond of others on the day of an operation; a tub filled from a hot source;
    meals and handling in a tank where nobody is."""
    tub = '[[vessels]]\nname = "a"\nuse = "{}"\nvolume = "20 L"\n'
    pond = '[home_pond]\nvolume = "8000 L"\n[[other_fish]]\nspecies = "tench"\nweight = "0.4 kg"\ncount = 2\n'
    meant = "[intended]\noperation_at = 2026-05-14T10:00:00\n"
    hot = '[patient]\nspecies = "koi"\nweight = "1 kg"\n[mains_water]\nkind = "hot tap"\n'
    fed = 'feed = "1 %/day"\n[[events]]\nat = 2026-05-14T12:00:00\nwhat = "fish handled"\n'
    fed += '[[events]]\nat = 2026-05-14T13:00:00\nwhat = "meal"\nweight = "5 g"\n'
    for text in (
        pond + tub.format("hospital") + meant + fed,
        pond + tub.format("irrigation"),
        pond + meant,
        hot + tub.format("revival") + 'filled_with = "mains water"\n',
    ):
        made = plan(read_case("waterplan_case = 1\n" + text, file="case"), draws=16)
        assert made.judgements


def test_an_odd_case_is_one_that_can_be_read() -> None:
    for case in cases(20, 1):
        made = odd(case, 1)
        made.readings(made.case())
