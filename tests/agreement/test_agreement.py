"""Agreement with brute force on thousands of small random lines, feature by feature.

The reference (tests/reference) tries every tank, every order of moves and every number of
cycle restarts, and knows nothing of the solver. Every schedule of the solver's is also
replayed by the checker, which `hoistopt.solve` does before it answers. Lines that must keep
pace too go the same way, but for what `hoistopt.solve` says where there is no schedule.
"""

from __future__ import annotations

from collections import Counter

import pytest

from tests.helpers.answers import least_ticks, least_ticks_alone
from tests.reference.brute import least_cycle
from tests.reference.lines import FAMILIES
from tests.reference.paced import paced

CHUNK, CHUNKS = 100, 10
FIRST = 20_000  # other tests use the seeds below
QUICK = {("plain", 0), ("mixed", 0)}
USUAL = 2
"""Chunks of each family in the usual run; all of them with `pytest --long`."""


def marks(family: str, chunk: int) -> list[pytest.MarkDecorator]:
    """In which selections a chunk is."""
    quick = [pytest.mark.quick] if (family, chunk) in QUICK else []
    return quick + ([] if chunk < USUAL else [pytest.mark.long])


CASES = [
    pytest.param(family, chunk, marks=marks(family, chunk))
    for family in FAMILIES
    for chunk in range(CHUNKS)
]


@pytest.mark.parametrize(("family", "chunk"), CASES)
def test_solver_and_brute_force_find_the_same_cycle_time(family: str, chunk: int) -> None:
    seen: Counter[str] = Counter()
    begin = FIRST + chunk * CHUNK
    for seed in range(begin, begin + CHUNK):
        line = FAMILIES[family](seed)
        least = least_cycle(*line)
        assert least_ticks(*line) == least, f"{family} {seed}"
        seen["no schedule" if least is None else "a schedule"] += 1
        if least is None or seed % 3:
            continue
        limited = paced(line, least, seed)
        found = least_cycle(*limited)
        assert least_ticks_alone(*limited) == found, f"{family} {seed}, paced"
        seen["off pace" if found is None else "on pace"] += 1
    # Agreement on nothing but lines of one kind would say little.
    assert seen["a schedule"] >= 50
    assert seen["no schedule"] >= 1
    assert seen["on pace"] >= 5
    assert seen["off pace"] >= 1
