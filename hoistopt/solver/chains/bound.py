"""The least closed walk through chains of moves: a linear program, its answer made exact."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import numpy as np
from ortools.linear_solver import linear_solver_pb2, pywraplp

from ...base.clock import Clock
from .kinds import Ints, Kinds

LONGEST = 16
"""Moves of a chain at the most; where the hoist has no choice, chains never become many."""

MOST_WORK = 5.0
"""Work on one linear program, in the solver's own measure (about a second)."""

GRID = 1 << 20
"""Parts of a tick that dual values are rounded to; what they prove is then worked out exactly."""


class ChainBound:
    """Lower bounds on the cycle time from longer and longer chains of moves.

    Parameters
    ----------
    kinds : Kinds
        Of the moves of a set of loads.

    Attributes
    ----------
    length : int
        Moves of a chain.
    per_set : Fraction
        Ticks that no cycle of any degree takes less than for each of its sets of loads.
    done : bool
        Whether it cannot be raised any more.
    """

    def __init__(self, kinds: Kinds) -> None:
        self.kinds = kinds
        self.length = 1
        self.per_set = Fraction(0)
        self.done = False
        self._chains = np.arange(len(self.kinds), dtype=np.int64)[:, None]
        # By chain, the chain without its last move and the one without its first.
        self._without_last = self._without_first = np.zeros(len(self.kinds), np.int64)

    def raise_to(self, most: int, clock: Clock) -> None:
        """Make the chains longer, as long as there are at most so many, and raise the bound.

        The same at every call with the same numbers, unless the clock is over.
        """
        while not self.done and not clock.over and self._extend(most):
            self.per_set = max(self.per_set, self._least_walk(clock))
            self.done = self.length >= LONGEST

    def _extend(self, most: int) -> bool:
        """Make the chains one move longer; False where they would be too many, or none."""
        from .kernel import possible

        kinds = self.kinds
        if _joined_count(self._without_first, self._without_last) > most * len(kinds):
            return False
        before, after = _joined(self._without_first, self._without_last)
        chains = np.hstack((self._chains[before], self._chains[after, -1:]))
        kept = possible(
            chains, kinds.step, kinds.gap, kinds.ends, kinds.begins, kinds.least, kinds.most,
            kinds.fills, kinds.clears,
        )  # fmt: skip
        chains, before, after = chains[kept], before[kept], after[kept]
        while len(chains):  # a chain that nothing leads to, or from, is in no closed walk
            kept = np.isin(before, after) & np.isin(after, before)
            if kept.all():
                break
            chains, before, after = chains[kept], before[kept], after[kept]
        if not len(chains):
            self.done = True  # there is no schedule, or of so few moves that chains see none
        if not 0 < len(chains) <= most:
            return False
        self._chains, self._without_last, self._without_first = chains, before, after
        self.length += 1
        return True

    def _least_walk(self, clock: Clock) -> Fraction:
        """What the least closed walk takes; 0 where it is not found in time."""
        from .kernel import added

        kinds = self.kinds
        costs = added(self._chains, kinds.step, kinds.ends, kinds.least)
        prices = _prices(
            costs, self._without_last, self._without_first, self._chains[:, -1], kinds.visits, clock
        )
        if prices is None:
            return Fraction(0)
        # Whatever the prices are, a walk costs what its moves do after they are taken off and
        # put on at the ends of every chain, so no rounding makes the bound too high.
        left = costs * GRID - prices[self._without_last] + prices[self._without_first]
        worth = np.full(len(kinds), np.iinfo(np.int64).max)
        np.minimum.at(worth, self._chains[:, -1], left)
        total = sum(int(w) * int(v) for w, v in zip(worth, kinds.visits, strict=True))
        return Fraction(total, GRID)


def _joined_count(left: Ints, right: Ints) -> int:
    size = int(max(left.max(), right.max())) + 1
    return int(np.bincount(left, minlength=size) @ np.bincount(right, minlength=size))


def _joined(left: Ints, right: Ints) -> tuple[Ints, Ints]:
    """Every pair of indices at which two arrays are equal."""
    order = np.argsort(right, kind="stable")
    begin = np.searchsorted(right[order], left, "left")
    count = np.searchsorted(right[order], left, "right") - begin
    before = np.repeat(np.arange(len(left)), count)
    within = np.arange(len(before)) - np.repeat(np.cumsum(count) - count, count)
    return before, order[np.repeat(begin, count) + within]


def _prices(
    costs: Ints, origin: Ints, target: Ints, last: Ints, visits: Ints, clock: Clock
) -> Ints | None:
    """Dual values of the chains' ends, in parts of a tick; None where there are none in time."""
    nodes = np.unique(origin)
    row_of = np.zeros(int(nodes.max()) + 1, np.int64)
    row_of[nodes] = np.arange(len(nodes))
    model = linear_solver_pb2.MPModelProto()
    for cost in costs.tolist():
        model.variable.add(lower_bound=0.0, objective_coefficient=float(cost))
    leaves, reaches = row_of[origin], row_of[target]
    moved = leaves != reaches
    every = np.arange(len(costs))
    rows = np.concatenate((len(nodes) + last, leaves[moved], reaches[moved]))
    columns = np.concatenate((every, every[moved], every[moved]))
    factors = np.concatenate((np.ones(len(costs) + moved.sum()), -np.ones(moved.sum())))
    by_row = np.lexsort((columns, rows))
    ends = np.searchsorted(rows[by_row], np.arange(len(nodes) + len(visits) + 1)).tolist()
    column, factor = columns[by_row].tolist(), factors[by_row].tolist()
    wanted = [0.0] * len(nodes) + [float(visit) for visit in visits]
    for (begin, end), amount in zip(pairwise(ends), wanted, strict=True):
        model.constraint.add(
            var_index=column[begin:end],
            coefficient=factor[begin:end],
            lower_bound=amount,
            upper_bound=amount,
        )
    solver = pywraplp.Solver.CreateSolver("GLOP")
    solver.LoadModelFromProto(model)
    solver.SetSolverSpecificParametersAsString(f"max_deterministic_time: {MOST_WORK}")
    if clock.left is not None:
        solver.SetTimeLimit(max(1, round(1000 * clock.left)))
    if clock.over or solver.Solve() != pywraplp.Solver.OPTIMAL:
        return None
    duals = np.array([row.dual_value() for row in solver.constraints()[: len(nodes)]])
    prices = np.zeros(len(row_of), np.int64)
    prices[nodes] = np.rint(duals * GRID).astype(np.int64)
    return prices
