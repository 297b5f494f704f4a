"""Least starts that meet demands between pairs of moves: a longest-path problem.

Bellman and Ford's method. For a given cycle time the demands can be met unless some of
them form a circle of positive weight; that circle then tells which cycle times are out of
the question, and the search goes on at the nearest that is not (Newton's method on the
parametric problem; R. Bellman, Quarterly of Applied Mathematics 16, 1958; the cycle
times that can be met form an interval, as each circle bounds them on one side).
"""

from __future__ import annotations

from collections.abc import Sequence

from .foreign import Demand


def timed(
    demands: Sequence[Demand], wanted: Sequence[int], cycle: int, least: int, most: int | None
) -> tuple[int, list[int]] | None:
    """A cycle time near `cycle`, and starts no earlier than wanted, that meet the demands.

    Parameters
    ----------
    demands : sequence of Demand
    wanted : sequence of int
        A start for each move; none is earlier in the answer, and none later than needed.
    cycle : int
        Where to begin: cycle times above it are tried first, then those below.
    least, most : int, int or None
        Limits of the cycle time.

    Returns
    -------
    tuple of int and list of int, or None
        Cycle time and starts; None where no whole numbers meet the demands.
    """
    for up in (True, False):
        time = max(cycle, least) if up else cycle - 1
        while time >= least and (most is None or time <= most):
            starts, circle = _longest(demands, wanted, time)
            if circle is None:
                return time, starts
            weight = sum(demand.least for demand in circle)
            cycles = sum(demand.cycles for demand in circle)
            # The circle demands weight <= cycles * T.
            if up and cycles > 0:
                time = -(-weight // cycles)
            elif not up and cycles < 0:
                time = weight // cycles
            else:
                break
    return None


def _longest(
    demands: Sequence[Demand], wanted: Sequence[int], cycle: int
) -> tuple[list[int], list[Demand] | None]:
    """Least starts, or a circle of demands that cannot be met."""
    starts = list(wanted)
    because: list[Demand | None] = [None] * len(starts)
    while True:
        moved = False
        for demand in demands:
            earliest = starts[demand.before] + demand.least - demand.cycles * cycle
            if earliest > starts[demand.after]:
                starts[demand.after] = earliest
                because[demand.after] = demand
                moved = True
        if not moved:
            return starts, None
        circle = _circle(because)
        if circle is not None:
            return starts, circle


def _circle(because: Sequence[Demand | None]) -> list[Demand] | None:
    """Demands that follow one another in a circle; None where there is none."""
    seen_from = [-1] * len(because)
    for first in range(len(because)):
        at = first
        while seen_from[at] < 0:
            seen_from[at] = first
            demand = because[at]
            if demand is None:
                break
            at = demand.before
        else:
            if seen_from[at] == first:
                return _collected(because, at)
    return None


def _collected(because: Sequence[Demand | None], at: int) -> list[Demand]:
    found: list[Demand] = []
    here = at
    while not found or here != at:
        demand = because[here]
        assert demand is not None
        found.append(demand)
        here = demand.before
    return found
