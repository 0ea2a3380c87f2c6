"""Water changes, evaporation, stages."""

from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.changes import changes_to_reach

LEVEL = st.floats(0.0, 1e4)


@settings(max_examples=60)
@given(st.floats(10.0, 1e4), st.floats(0.05, 0.95), st.floats(0.01, 0.99))
def test_the_last_change_is_the_one_that_reaches(start: float, share: float, target: float) -> None:
    wanted = start * target
    count = changes_to_reach(start, end_mg_per_l=wanted, changed_fraction=share)
    assert start * (1.0 - share) ** count <= wanted * (1.0 + 1e-6)
    assert start * (1.0 - share) ** (count - 1) > wanted * (1.0 - 1e-6)
