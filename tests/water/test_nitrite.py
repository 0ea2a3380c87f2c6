import pytest

from tests.water.printed import check, params


@pytest.mark.parametrize("row", params("water_nitrite"))
def test_printed_values(row):
    check(row)
