"""Lines that must keep pace: limits on the cycle time near where the line can run."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from random import Random

from hoistopt.problem import Problem

from .lines import SmallLine

_FINEST = Decimal("0.000001")


def paced(line: SmallLine, least: int, seed: int) -> SmallLine:
    """The line with a least or greatest mean cycle time, or both.

    Which cycle times a line can run at has holes: a wait that suits one window may be
    too long for another. The limits are drawn just above the least cycle time, where
    the holes are, or just below it, where there is no schedule at all.

    Parameters
    ----------
    line : SmallLine
        Any line with a tick of its own.
    least : int
        Its least cycle time without limits, in ticks.
    """
    rng = Random(f"paced {seed}")
    assert line.problem.tick is not None
    shortest = least + rng.choice((0, 1, rng.randint(0, 30), rng.randint(0, least)))
    longest = shortest + rng.choice((0, 1, rng.randint(0, 20)))
    if rng.random() < 0.3:
        shortest = longest = max(1, least - rng.randint(1, 5))
    per_set = line.problem.tick / line.degree
    # Six decimals at most, as in any file.
    least_mean = (shortest * per_set).quantize(_FINEST, ROUND_FLOOR)
    most_mean = (longest * per_set).quantize(_FINEST, ROUND_CEILING)
    limits = rng.choice(({"min": least_mean}, {"max": most_mean}))
    if rng.random() < 0.5:
        limits = {"min": least_mean, "max": most_mean}
    data = line.problem.to_data()
    data["cycle"] = {**data.get("cycle", {}), **limits}
    return SmallLine(Problem.from_data(data), line.degree)
