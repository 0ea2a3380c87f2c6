"""The windows that pages are looked at in. The narrow one is the harder; the wide one is for the slow run."""

import pytest

DESK, PHONE = 1280, 390
WIDTHS = [pytest.param(DESK, marks=pytest.mark.slow), PHONE]
