import pytest

from tests.water.printed import check, params


@pytest.mark.parametrize("row", params("water_night"))
def test_by_hand(row):
    check(row)
