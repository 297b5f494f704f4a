"""The hoist around the end of the cycle, where the direct way takes longer than a detour."""

from __future__ import annotations

import pytest

from tests.helpers.answers import least_ticks
from tests.helpers.lines.slow_way import slow_way_back

pytestmark = pytest.mark.quick


@pytest.mark.parametrize(("back", "least"), [(46, 81), (50, 85)])
def test_the_long_way_back_counts_though_another_move_is_between(back: int, least: int) -> None:
    assert least_ticks(slow_way_back(back)) == least
