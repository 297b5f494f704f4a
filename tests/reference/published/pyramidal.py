"""No maxima, additive travel, stations in flow order, degree 1: pyramidal orders suffice.

Crama and van de Klundert (1997), Cyclic scheduling of identical parts in a robotic cell,
Operations Research 45, 952-965. An order of the moves 0..m is pyramidal if after move 0
the numbers first rise and then fall. Separate ends that never hold the hoist up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np
from scipy.optimize import linprog


def pyramidal_orders(moves: int) -> Iterator[tuple[int, ...]]:
    """All orders of moves 0..moves-1 that start with 0, rise to the last, then fall."""
    between = range(1, moves - 1)
    for size in range(len(between) + 1):
        for rising in combinations(between, size):
            falling = sorted(set(between) - set(rising), reverse=True)
            yield (0, *rising, *([moves - 1] if moves > 1 else []), *falling)


def cycle_time(
    order: Sequence[int],
    loaded: Sequence[float],
    positions: Sequence[float],
    least: Sequence[float],
) -> float:
    """Least cycle time of one order, as a linear program solved by HiGHS.

    Variables are the starts and the cycle time. The hoist goes from each move to the
    next in the order; each stage lasts at least its minimum, over the end of the cycle
    where the load leaves its tank earlier in the order than it comes.
    """
    count = len(order)
    rows, limits = [], []

    def at_least(later: int, sooner: int, wait: float, cycles: int) -> None:
        row = np.zeros(count + 1)
        row[later] -= 1
        row[sooner] += 1
        row[count] -= cycles
        rows.append(row)
        limits.append(-wait)

    for i, move in enumerate(order):
        following = order[(i + 1) % count]
        ride = abs(positions[move + 1] - positions[following])
        at_least(following, move, loaded[move] + ride, int(i + 1 == count))
    for stage in range(1, count):
        over = int(order.index(stage) < order.index(stage - 1))
        at_least(stage, stage - 1, loaded[stage - 1] + least[stage - 1], over)
    costs = np.zeros(count + 1)
    costs[count] = 1
    bounds = [(0, None)] * (count + 1)
    found = linprog(costs, A_ub=np.array(rows), b_ub=limits, bounds=bounds, method="highs")
    assert found.success
    return float(found.fun)


def least_cycle_pyramidal(
    loaded: Sequence[float], positions: Sequence[float], least: Sequence[float]
) -> float:
    """Least cycle time over all pyramidal orders."""
    return min(
        cycle_time(order, loaded, positions, least) for order in pyramidal_orders(len(loaded))
    )
