"""Readings of one drop kit: a higher one is never judged milder, and one colour never gets two verdicts."""

from datetime import UTC, datetime

import pytest

from waterplan.case import read_case
from waterplan.hazards.record import Judgement, Verdict
from waterplan.plan.whole import plan
from waterplan.stay.record import Figure

READ_AT = datetime(2026, 6, 3, 16, tzinfo=UTC)


def judged(tan: str, ph: float) -> tuple[Judgement, Figure]:
    """Ammonia of a pond read in the afternoon, all but its total ammonia exact: its judgement, and its figure."""
    case = read_case(f"""
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 kg, scales"
[home_pond]
volume = "6000 L, marked tub"
[home_water]
taken = 2026-06-03T16:00
temperature = "18 ± 0 °C"
ph = "{ph} ± 0"
oxygen = "8.5 ± 0 mg/L"
tan = "{tan} mg/L as N, drop kit"
alkalinity = "120 ± 0 mg/L as CaCO3"
salinity = "0 ± 0 g/L"
""")
    made = plan(case, as_of=READ_AT, draws=64, actions=False)
    found = next(one for one in made.judgements if one.id == "home-pond/ammonia")
    return found, made.figures[found.figure or ""]


@pytest.mark.parametrize("ph", [7.6, 8.2, 8.4, 8.8])
def test_higher_readings_are_judged_no_milder_and_no_colour_is_one_verdict(ph: float) -> None:
    """At pH 8.4 and 18 °C the share is 1 / (1 + 10^(9.4665 - 8.4)) = 0.0790: 0.25 mg/L is 0.0197, over the limit of 0.0164.

    Of one kit, "<0.25" and "0" are the same sight, no colour: they stand below "0.05" and "0.12", in which somebody saw one.
    No colour leaves room up to the first step, 0.25 mg/L; what was seen has the kit's error of a step above it as well.
    """
    found = [judged(tan, ph) for tan in ("0", "0.05", "0.12", "0.13", "0.25", "0.5")]
    ranks = [one.verdict.rank for one, _ in found]
    assert ranks == sorted(ranks)
    kept = [one.chance or 0.0 for one, _ in found]
    assert kept == sorted(kept, reverse=True)
    for end in ("low", "best", "high", "act_on"):
        figures = [getattr(figure, end) for _, figure in found]
        assert figures == sorted(figures), end
    (unseen, figure), (none, figure_of_none) = judged("<0.25", ph), found[0]
    assert (unseen.verdict, unseen.chance, figure) == (none.verdict, none.chance, figure_of_none)


def test_what_a_kit_cannot_show_is_no_clean_bill() -> None:
    """ "0" may be 0.25: at pH 8.4 that is 0.0197 mg/L as N, over the limit."""
    assert judged("0", 8.4)[0].verdict is Verdict.WATCH
