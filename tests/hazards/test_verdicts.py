"""The table of verdicts: there is always a verdict, and what is worse never has a softer one."""

from itertools import product

import numpy as np
import pytest

from waterplan import tables
from waterplan.hazards.record import Hazard, Verdict
from waterplan.hazards.verdict import hazard_row, verdict, verdict_of
from waterplan.stay.record import WaterKind

SEVERITIES = sorted({row["severity"] for row in tables.table("verdicts")})
CHANCES = (0.0, 0.04, 0.05, 0.2, 0.49, 0.5, 0.7, 0.949, 0.95, 0.99, 1.0)
HOURS = (0.0, 0.1, 0.2, 0.5, 3.0, 24.0, np.inf)


def test_each_hazard_stands_once_for_each_kind_of_water() -> None:
    rows = {(row["hazard"], row["water"]) for row in tables.table("hazards")}
    assert rows == set(product(Hazard, WaterKind))
    assert len(rows) == len(tables.table("hazards"))


@pytest.mark.parametrize("hazard", Hazard)
def test_each_hazard_has_a_severity_with_a_row_for_every_case(hazard: Hazard) -> None:
    for kind in WaterKind:
        severity = hazard_row(hazard, kind).severity
        always = [
            row
            for row in tables.rows("verdicts", severity=severity)
            if not any(row[column] for column in ("kept_below", "avoided_below", "hours_below"))
        ]
        # What was seen is judged only because it was seen.
        assert [row["verdict"] for row in always] == (
            [] if hazard in (Hazard.SIGN, Hazard.DISEASE) else ["within limit"]
        )


@pytest.mark.parametrize("severity", SEVERITIES)
def test_worse_is_never_softer(severity: str) -> None:
    found = {
        where: verdict(severity, kept=where[0], avoided=where[1], hours=where[2]).rank
        for where in product(CHANCES, CHANCES, HOURS)
    }
    for (kept, avoided, hours), rank in found.items():
        for other, theirs in found.items():
            if other[0] <= kept and other[1] <= avoided and other[2] <= hours:
                assert theirs >= rank


@pytest.mark.parametrize(
    ("severity", "kept", "avoided", "hours", "said"),
    [
        ("kills", 1.0, 1.0, np.inf, Verdict.WITHIN_LIMIT),
        ("kills", 0.94, 1.0, np.inf, Verdict.WATCH),
        ("kills", 0.49, 1.0, np.inf, Verdict.ACT_NOW),
        ("kills", 0.99, 0.94, 40.0, Verdict.ACT_NOW),
        ("kills", 1.0, 1.0, 0.4, Verdict.WATCH),
        ("kills", 1.0, 1.0, 0.1, Verdict.ACT_NOW),
        ("harms", 0.0, 1.0, np.inf, Verdict.WATCH),
        ("harms", 0.0, 0.49, np.inf, Verdict.ACT_NOW),
        ("wears", 0.94, 1.0, np.inf, Verdict.WATCH),
        ("wears", 0.0, 0.4, np.inf, Verdict.ACT_NOW),
        ("refuse", 0.0, 1.0, np.inf, Verdict.REFUSED),
        ("act", 0.0, 1.0, np.inf, Verdict.ACT_NOW),
        ("caution", 0.0, 1.0, np.inf, Verdict.WATCH),
        ("contingency", 0.0, 0.0, 0.0, Verdict.WATCH),
    ],
)
def test_what_the_table_says(severity: str, kept: float, avoided: float, hours: float, said: Verdict) -> None:
    assert verdict(severity, kept=kept, avoided=avoided, hours=hours) is said


def _draws(share: float, count: int = 100) -> np.ndarray:
    """True in a share of the draws; the first element stands for the best value and is left out."""
    return np.concatenate([[True], np.arange(count) < round(share * count)])


@pytest.mark.parametrize(
    ("kept", "harmed", "said", "whatever"),
    [
        (1.0, 0.0, Verdict.WITHIN_LIMIT, True),
        (0.99, 0.0, Verdict.NOT_KNOWN, False),
        (0.5, 0.5, Verdict.NOT_KNOWN, False),
        (0.04, 0.9, Verdict.ACT_NOW, False),
        (0.0, 1.0, Verdict.ACT_NOW, True),
    ],
)
def test_what_rests_on_an_assumption_is_open_unless_every_draw_agrees(
    kept: float, harmed: float, said: Verdict, whatever: bool
) -> None:
    passed = _draws(kept)
    harm = np.concatenate([[False], _draws(harmed)[:0:-1]])  # those that do not keep the limit first
    hours = np.full(passed.shape, np.inf)
    assert verdict_of("kills", passed=passed, harmed=harm, hours=hours, assumed=True) == (said, whatever)


def test_a_kit_that_shows_nothing_is_neither_good_nor_an_emergency() -> None:
    passed = _draws(0.3)
    hours = np.full(passed.shape, np.inf)
    found = verdict_of("kills", passed=passed, harmed=~passed, hours=hours, assumed=False, unseen=True)
    assert found == (Verdict.WATCH, False)
