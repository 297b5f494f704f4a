"""The least loss from a state by brute force: every order of the moves, every set of loads lost.

For each order the demands are differences of two starts. Without the maxima of the loads that
are lost they can be met, or go round in a circle; how little those loads overstay in all, and
then the earliest finish, HiGHS finds as linear programs (scipy), whose vertices are whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

import numpy as np
from scipy.optimize import linprog

from hoistopt.problem import Problem
from hoistopt.schedule import LineState, Order

from .programmes import Brute, Line

Loss = tuple[Fraction, int, int]
Arc = tuple[int, int, int]


class BruteRecovery(Brute):
    """Least weight lost, overstay and finish, the latter two in ticks."""

    def __init__(self, problem: Problem, state: LineState, orders: tuple[Order, ...]) -> None:
        super().__init__(problem, state, orders)
        numbered = state.numbered()
        inside = [entry for entry in numbered.standing if self._in_line(entry)]
        given = [entry.weight for entry in inside]
        self.numbers = [entry.load for entry in inside]
        hoist = numbered.hoist
        self.inside = len(self.works) - sum(order.count for order in orders)
        if len(given) < self.inside:
            assert hoist is not None and hoist.carries is not None
            given.append(hoist.carries.weight)
            self.numbers.append(hoist.carries.load)
        self.weights = given
        self.loss: Loss | None = None

    def _in_line(self, entry: object) -> bool:
        recipe = getattr(entry, "recipe", None)
        if recipe is None:
            return False
        last = self._last(self.problem.recipe_by_name[recipe])
        return getattr(entry, "stage", 0) < last + self.by_hoist

    def least_loss(self) -> Loss | None:
        """The best there is; None where there is no programme even with all of them lost."""
        self._go(self.line, [work.stage for work in self.works])
        return self.loss

    def _go(self, line: Line, stages: list[int]) -> None:
        lost = self._least_lost(line)
        if not lost:
            return
        through = [
            stage > self._last(work.recipe) - (not self.by_hoist)
            for work, stage in zip(self.works, stages, strict=True)
        ]
        if all(through):
            for one in lost:
                self._judge(line, one)
            return
        for load, done in enumerate(through):
            if not done:
                for longer in self._steps(line, load, stages[load]):
                    self._go(longer, [s + (n == load) for n, s in enumerate(stages)])

    def _weight(self, lost: frozenset[int]) -> Fraction:
        return sum((self.weights[load] for load in lost), Fraction(0))

    def _least_lost(self, line: Line) -> list[frozenset[int]]:
        """The cheapest sets of loads without whose maxima the demands can be met; none where
        there is none as cheap as the best so far."""
        sets = sorted(self._sets(), key=self._weight)
        found: list[frozenset[int]] = []
        for lost in sets:
            weight = self._weight(lost)
            if (found and weight > self._weight(found[0])) or (
                self.loss is not None and weight > self.loss[0]
            ):
                break
            kept = [arc for arc in line.arcs if not self._gives(line, arc, lost)]
            if self._finish(Line({}, {}, None, line.moves, kept)) is not None:
                found.append(lost)
        return found

    def _sets(self) -> Iterator[frozenset[int]]:
        for size in range(self.inside + 1):
            yield from map(frozenset, combinations(range(self.inside), size))

    def _gives(self, line: Line, arc: Arc, lost: frozenset[int]) -> bool:
        """Whether a demand is a maximum of a load that is lost."""
        first, second, _ = arc
        return first > second and line.moves[first].load in lost

    def _judge(self, line: Line, lost: frozenset[int]) -> None:
        soft = [arc for arc in line.arcs if self._gives(line, arc, lost)]
        hard = [arc for arc in line.arcs if not self._gives(line, arc, lost)]
        moves, over = len(line.moves), len(soft)
        width = moves + over + 1  # starts, overstays, finish
        rows, limits = [], []

        def at_least(a: int, b: int, length: int, slack: int | None = None) -> None:
            row = np.zeros(width)
            if a >= 0:
                row[a] += 1
            if b >= 0:
                row[b] -= 1
            if slack is not None:
                row[moves + slack] -= 1
            rows.append(row)
            limits.append(-length)

        for a, b, length in hard:
            at_least(a, b, length)
        for number, (a, b, length) in enumerate(soft):
            at_least(a, b, length, number)
        for number, move in enumerate(line.moves):
            at_least(number, width - 1, move.ticks)
        total = np.zeros(width)
        total[moves : moves + over] = 1
        first = self._solved(total, rows, limits)
        weight = self._weight(lost)
        if self.loss is not None and (weight, first) > self.loss[:2]:
            return
        end = np.zeros(width)
        end[-1] = 1
        finish = self._solved(end, [*rows, total], [*limits, first])
        loss = weight, first, finish
        if self.loss is None or loss < self.loss:
            self.loss = loss

    def _solved(self, cost: np.ndarray, rows: list[np.ndarray], limits: list[int]) -> int:
        solved = linprog(cost, A_ub=np.array(rows), b_ub=np.array(limits), bounds=(0, None))
        assert solved.status == 0 and abs(solved.fun - round(solved.fun)) < 1e-6
        return round(solved.fun)
