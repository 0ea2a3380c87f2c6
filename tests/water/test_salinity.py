import pytest

from tests.water.printed import check, params


@pytest.mark.parametrize(
    "row", [row for row in params("water_salt") if row.values[0]["function"].startswith("salinity")]
)
def test_printed_values(row):
    check(row)
