"""Lines that must keep pace: limits on the cycle time near where the line can run."""

from __future__ import annotations

from decimal import Decimal
from random import Random

from hoistopt.problem import Problem

from .brute import least_cycle
from .lines import FAMILIES, SmallLine

_BASES = ("plain", "tight", "tight", "parallel", "slots", "reentrant", "mixed", "carriers")


def paced(seed: int) -> SmallLine:
    """A line of another family with a least and perhaps a greatest mean cycle time.

    Which cycle times a line can run at has holes: a wait that suits one window may be
    too long for another. The limits are drawn just above the least cycle time, where
    the holes are, or just below, where there is no schedule at all.
    """
    rng = Random(f"paced {seed}")
    while True:
        problem, degree = FAMILIES[rng.choice(_BASES)](rng.randrange(10**6))
        least = least_cycle(problem, degree)
        if least is not None and problem.tick is not None:
            break
    tick = problem.tick
    shortest = least + rng.choice((0, 1, rng.randint(0, 30), rng.randint(0, least)))
    longest = shortest + rng.choice((0, 1, rng.randint(0, 20)))
    if rng.random() < 0.2:
        longest = max(1, least - rng.randint(0, 5))
    data = problem.to_data()
    limits = {}
    if rng.random() < 0.8:
        limits["min"] = min(shortest, longest) * tick / degree
    if rng.random() < 0.7 or not limits:
        limits["max"] = longest * tick / degree
    # Six decimals at most, as in any file; a third of a tick is cut to the inside.
    for key, up in (("min", 1), ("max", 0)):
        if key in limits:
            cut = limits[key].quantize(Decimal("0.000001"), rounding="ROUND_DOWN")
            limits[key] = cut + (up if cut < limits[key] else 0) * Decimal("0.000001")
    if limits.get("max", 1) <= 0:
        limits["max"] = tick
    if limits.get("min", 0) > limits.get("max", limits.get("min", 0)):
        limits["min"] = limits["max"]
    data["cycle"] = {**data.get("cycle", {}), **limits}
    return SmallLine(Problem.from_data(data), degree)
