"""Baseline: a direct CP-SAT model, each rule stated for pairs as one reads it.

One Boolean for every pair of moves tells which comes first, one for every stay whether
it lasts over the end of the cycle, one for every two stays in a tank which comes first.
No bound on the cycle time beyond the trivial ones, no hint, no search strategy, and no
Boolean does the work of another.
"""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import Any

from ortools.sat.python import cp_model

from hoistopt.problem import Problem

from .cp_sat import run_cp_sat
from .line import Line, Stay, read_line
from .outcome import Clock, Outcome


class Pairwise:
    """Variables and rules."""

    def __init__(self, line: Line) -> None:
        self.line = line
        self.model = model = cp_model.CpModel()
        self.cycle = model.new_int_var(1, line.longest, "T")
        self.start = [model.new_int_var(0, line.longest, f"t{a}") for a in range(line.moves)]
        self.before: dict[tuple[int, int], Any] = {}
        for a, b in combinations(range(line.moves), 2):
            first = model.new_bool_var(f"y{a}_{b}")
            self.before[a, b], self.before[b, a] = first, first.negated()
        self.over = {stay: model.new_bool_var(f"w{stay.departure}") for stay in line.stays}
        model.add(self.start[0] == 0)
        for rule in (self._hoist, self._dwell, self._tanks, self._ends, self._entering):
            rule()
        model.minimize(self.cycle)

    def _hoist(self) -> None:
        """Every two moves leave time for the way between them, around the cycle too."""
        model, start, cycle, gap = self.model, self.start, self.cycle, self.line.gap
        for (a, b), first in self.before.items():
            model.add(start[b] - start[a] >= gap[a][b]).only_enforce_if(first)
            model.add(start[a] + cycle - start[b] >= gap[b][a]).only_enforce_if(first)
        for a in range(self.line.moves):
            model.add(cycle >= gap[a][a])

    def _dwell(self) -> None:
        for stay, over in self.over.items():
            self._window(stay, 0, over.negated())
            self._window(stay, self.cycle, over)

    def _window(self, stay: Stay, later: Any, given: Any) -> None:
        arrived = self.start[stay.arrival] + self.line.duration[stay.arrival]
        dwell = self.start[stay.departure] + later - arrived
        self.model.add(dwell >= stay.least).only_enforce_if(given)
        if stay.most is not None:
            self.model.add(dwell <= stay.most).only_enforce_if(given)

    def _tanks(self) -> None:
        """Of two stays in a tank the first ends before the second begins, and so on round."""
        for stays in self.line.tanks:
            for stay in stays:  # and a carrier is gone before the next of its own kind comes
                off, on = self.start[stay.departure], self.start[stay.arrival]
                self.model.add(off <= on).only_enforce_if(self.over[stay])
            for x, y in combinations(stays, 2):
                first = self.model.new_bool_var(f"z{x.departure}_{y.departure}")
                self._one_first(x, y, first)
                self._one_first(y, x, first.negated())

    def _one_first(self, x: Stay, y: Stay, given: Any) -> None:
        model, start = self.model, self.start
        model.add(self.over[x] == 0).only_enforce_if(given)
        model.add(start[x.departure] <= start[y.arrival]).only_enforce_if(given)
        model.add(start[y.departure] <= start[x.arrival]).only_enforce_if(given, self.over[y])

    def _ends(self) -> None:
        model, start, cycle, line = self.model, self.start, self.cycle, self.line
        for arrivals, departures, lag in line.stands:
            for a in arrivals:
                ready = start[a] + line.duration[a] + lag
                for d in departures:
                    if a != d:
                        model.add(start[d] >= ready).only_enforce_if(self.before[a, d])
                    model.add(start[d] + cycle >= ready)
            self._one_stands(arrivals, departures)
        for apart, lag, to_end in line.spaced:
            at = [start[a] + (line.duration[a] if to_end else 0) for a in apart]
            model.add(cycle >= lag)
            for (i, a), (j, b) in combinations(enumerate(apart), 2):
                for (p, x), (q, y) in (((i, a), (j, b)), ((j, b), (i, a))):
                    given = self.before[x, y]
                    model.add(at[q] - at[p] >= lag).only_enforce_if(given)
                    model.add(at[p] + cycle - at[q] >= lag).only_enforce_if(given)

    def _one_stands(self, arrivals: list[int], departures: list[int]) -> None:
        """Counting from the carrier that stands there when the first move takes it."""
        for moment in arrivals:
            brought = 1 + sum(self.before[a, moment] for a in arrivals if a != moment)
            taken = sum(self.before[d, moment] for d in departures)
            self.model.add(1 + brought - taken <= 1)
        for moment in departures:
            brought = sum(self.before[a, moment] for a in arrivals)
            taken = 1 + sum(self.before[d, moment] for d in departures if d != moment)
            self.model.add(1 + brought - taken >= 0)

    def _entering(self) -> None:
        """Like loads are numbered in the order in which they enter."""
        for firsts in self.line.entering:
            for a, b in pairwise(firsts):
                self.model.add(self.start[a] < self.start[b])


def solve(problem: Problem, degree: int, workers: int, seed: int, clock: Clock) -> Outcome:
    """Least cycle time by the direct model."""
    line = read_line(problem, degree)
    built = Pairwise(line)
    status, solver = run_cp_sat(built.model, workers, seed, clock)
    if status == "infeasible":
        return Outcome(status, None, None)
    bound = max(1, round(solver.best_objective_bound))
    if status == "unknown":
        return Outcome(status, bound, None)
    starts = [solver.value(start) for start in built.start]
    wraps = {stay: solver.value(over) for stay, over in built.over.items()}
    return Outcome(status, bound, line.schedule(solver.value(built.cycle), starts, wraps))
