"""What a plan is made of."""

from dataclasses import FrozenInstanceError

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.findings import Caution, Finding, Moment, Verdict, Who, amount
from waterplan.published import Status
from waterplan.units import Display


def test_the_seven_moments_in_the_practitioners_order() -> None:
    assert [moment.value for moment in Moment] == [
        "call",
        "prepare",
        "procedure",
        "revival",
        "hospital",
        "home",
        "recheck",
    ]


def test_every_verdict_is_told_in_its_own_words() -> None:
    assert len({verdict.value for verdict in Verdict}) == len(Verdict)
    assert Verdict.NOT_MEASURED.value == "not measured"
    assert {who.value for who in Who} == {"vet", "nurse", "owner"}


def test_a_finding_starts_as_information_without_a_number() -> None:
    finding = Finding(key="x", moment=Moment.CALL, title="X", answer="so")
    assert finding.verdict is Verdict.FIGURE
    assert finding.status is Status.DERIVED
    assert (finding.value, finding.low, finding.high, finding.limit, finding.chance) == (None,) * 5
    assert not finding.standing


def test_what_is_found_cannot_be_changed() -> None:
    finding = Finding(key="x", moment=Moment.CALL, title="X", answer="so", cautions=(Caution(text="mind"),))
    with pytest.raises(FrozenInstanceError):
        finding.value = 1.0  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        finding.cautions[0].text = "never mind"  # type: ignore[misc]


@given(st.floats(allow_nan=False, min_value=-1e9, max_value=1e9))
def test_a_marked_amount_keeps_every_digit_until_it_is_shown(value: float) -> None:
    marked = amount(value, unit="mg/L as N")
    assert float(marked.strip("⟦⟧").split("|")[0]) == value
    assert Display().render(marked) == Display().number(value, "mg/L as N")


def test_a_marked_band_carries_both_ends() -> None:
    assert Display().render(amount(1.0, 2.0, unit="L")) == "1 to 2 L"
