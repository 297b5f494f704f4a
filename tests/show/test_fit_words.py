"""What a fit does to the cycle time, in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hoistopt import load_problem, solve
from hoistopt.show.fit.data import Cycles
from hoistopt.show.fit.words import _cycle_time
from tests.helpers.command import PROBLEMS


@pytest.mark.parametrize(
    ("bound", "told"), [(0, "has no bound yet"), (None, "has no bound yet"), (9, "below 9 s")]
)
def test_a_cycle_not_proved_tells_its_bound_if_it_has_one(bound: int | None, told: str) -> None:
    proved = solve(load_problem(PROBLEMS / "three_tanks_dryer.toml"), degree=1)
    (before,) = _cycle_time(Cycles(proved, proved), "s")
    assert "both proved" in before
    assert told not in before
    stopped = replace(proved, status="feasible", lower_bound=bound)
    (words,) = _cycle_time(Cycles(proved, stopped), "s")
    assert "not both proved" in words
    assert told in words.split("the changed one's")[1]
    assert "below 0" not in words
