"""The least whole cycle time of a system of difference constraints."""

from __future__ import annotations

from collections.abc import Sequence

Constraint = tuple[int, int, int, int]
"""``(a, b, least, h)``: start of b minus start of a is at least ``least - h * T``."""


def least_period(
    nodes: int, constraints: Sequence[Constraint], low: int, below: int
) -> tuple[int, list[int]] | None:
    """The least whole T with ``low <= T < below`` that has a solution, and one.

    A cycle of constraints adds up to ``0 >= L - H*T``. At a T where it is broken, a
    cycle with H > 0 asks for T >= L/H, so T rises to that; one with H <= 0 stays broken
    for every larger T. At a whole T all bounds are whole, so starts can be whole too.
    """
    period = low
    while period < below:
        starts, cycle = _longest_paths(nodes, constraints, period)
        if cycle is None:
            return period, starts
        length = sum(constraint[2] for constraint in cycle)
        height = sum(constraint[3] for constraint in cycle)
        if height <= 0:
            return None
        period = -(-length // height)
    return None


def _longest_paths(
    nodes: int, constraints: Sequence[Constraint], period: int
) -> tuple[list[int], list[Constraint] | None]:
    """Bellman and Ford: least starts from 0 on, or a cycle that cannot be satisfied."""
    weighted = [(a, b, least - h * period, (a, b, least, h)) for a, b, least, h in constraints]
    starts = [0] * nodes
    pushed_by: list[Constraint | None] = [None] * nodes
    last = -1
    for _ in range(nodes + 1):
        last = -1
        for a, b, weight, constraint in weighted:
            if starts[a] + weight > starts[b]:
                starts[b] = starts[a] + weight
                pushed_by[b] = constraint
                last = b
        if last < 0:
            return starts, None
    for _ in range(nodes):  # walk back until surely on the cycle
        last = _pushing(pushed_by, last)[0]
    cycle = [_pushing(pushed_by, last)]
    while cycle[-1][0] != last:
        cycle.append(_pushing(pushed_by, cycle[-1][0]))
    return starts, cycle


def _pushing(pushed_by: Sequence[Constraint | None], node: int) -> Constraint:
    constraint = pushed_by[node]
    assert constraint is not None
    return constraint
