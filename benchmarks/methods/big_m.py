"""Baseline: the textbook mixed-integer program of the cyclic hoist problem, on HiGHS.

After L. W. Phillips and P. S. Unger (1976), Mathematical programming solution of a hoist
scheduling program, AIIE Transactions 8(2), 219-225: starts of the moves, a 0/1 variable
for every pair telling which comes first, one for every stay telling whether it lasts over
the end of the cycle, constraints switched off by a large number, the cycle time made
least. With several loads a cycle a 0/1 variable for every two stays in a tank tells which
comes first. Where a constraint holds without a large number it has none.
"""

from __future__ import annotations

from itertools import combinations, pairwise
from math import ceil, inf
from typing import Any

import highspy
import numpy as np

from hoistopt.problem import Problem

from .line import Line, Stay, read_line
from .outcome import Clock, Outcome

TOLERANCE = 1e-9
MARGIN = 0.01
"""How far above a whole number a bound in floating point must be to count for the next."""

Weights = dict[int, float]


class BigM:
    """Rows and columns; column 0.. are the starts, then the cycle time, then 0/1."""

    def __init__(self, line: Line) -> None:
        self.line = line
        self.columns: list[tuple[float, bool]] = [(line.longest, False)] * line.moves
        self.columns[0] = (0, False)
        self.rows: list[tuple[Weights, float]] = []
        self.cycle = self._column(line.longest)
        self.before = {pair: self._column() for pair in combinations(range(line.moves), 2)}
        # A stay lasts over the end of the cycle exactly when its departure is first.
        self.first: dict[tuple[Stay, Stay], int] = {}
        self.large = line.longest + max(map(max, line.gap))
        for rule in (self._hoist, self._dwell, self._tanks, self._ends, self._entering):
            rule()

    def _column(self, highest: float = 1) -> int:
        self.columns.append((highest, True))
        return len(self.columns) - 1

    def _add(self, least: float, *terms: tuple[float, int]) -> None:
        weights: Weights = {}
        for weight, column in terms:
            weights[column] = weights.get(column, 0) + weight
        self.rows.append((weights, least))

    def _order(self, a: int, b: int, sign: float) -> tuple[float, list[tuple[float, int]]]:
        """`sign` times (1 if move a is before move b), as a constant and terms."""
        if a < b:
            return 0, [(sign, self.before[a, b])]
        return sign, [(-sign, self.before[b, a])]

    def _if_before(self, a: int, b: int, least: float, *terms: tuple[float, int]) -> None:
        """The terms come to `least` at least, if move a is before move b."""
        constant, switch = self._order(a, b, -self.large)
        self._add(least - self.large - constant, *terms, *switch)

    def _hoist(self) -> None:
        gap, cycle = self.line.gap, self.cycle
        for a, b in self.before:
            self._if_before(a, b, gap[a][b], (1, b), (-1, a))
            self._if_before(b, a, gap[b][a], (1, a), (-1, b))
            self._add(gap[a][b], (1, b), (1, cycle), (-1, a))
            self._add(gap[b][a], (1, a), (1, cycle), (-1, b))
        for a in range(self.line.moves):
            self._add(gap[a][a], (1, cycle))

    def _dwell(self) -> None:
        for stay in self.line.stays:
            a, b, d = stay.arrival, stay.departure, self.line.duration[stay.arrival]
            self._if_before(a, b, stay.least + d, (1, b), (-1, a))
            self._add(stay.least + d, (1, b), (1, self.cycle), (-1, a))
            if stay.most is not None:
                self._add(-stay.most - d, (-1, b), (1, a))
                terms = (-1.0, b), (-1.0, self.cycle), (1.0, a)
                self._if_before(b, a, -stay.most - d, *terms)

    def _tanks(self) -> None:
        for stays in self.line.tanks:
            for x, y in combinations(stays, 2):
                first = self.first[x, y] = self._column()
                self._one_first(x, y, first, 0, 1)
                self._one_first(y, x, first, 1, -1)

    def _one_first(self, x: Stay, y: Stay, first: int, zero: float, one: float) -> None:
        """x is the first in the tank where ``zero + one * first`` is 1."""
        large, gap = self.large, self.line.gap
        constant, order = self._order(x.arrival, x.departure, 1)
        self._add(zero - constant, *order, (-one, first))
        out, back = x.departure, y.arrival
        self._add(
            gap[out][back] - large + large * zero, (1, back), (-1, out), (-large * one, first)
        )
        out, back = y.departure, x.arrival
        constant, order = self._order(y.departure, y.arrival, -large)
        self._add(
            gap[out][back] - 2 * large + large * zero - constant,
            *((1, back), (-1, out), (-large * one, first)),
            *order,
        )

    def _ends(self) -> None:
        duration, cycle = self.line.duration, self.cycle
        for arrivals, departures, lag in self.line.stands:
            for a in arrivals:
                for d in departures:
                    if a != d:
                        self._if_before(a, d, lag + duration[a], (1, d), (-1, a))
                    self._add(lag + duration[a], (1, d), (1, cycle), (-1, a))
            self._one_stands(arrivals, departures)
        for apart, lag, to_end in self.line.spaced:
            self._add(lag, (1, cycle))
            for a, b in combinations(apart, 2):
                for x, y in ((a, b), (b, a)):
                    least = lag + (duration[x] - duration[y] if to_end else 0)
                    self._if_before(x, y, least, (1, y), (-1, x))
                    self._add(least, (1, y), (1, cycle), (-1, x))

    def _one_stands(self, arrivals: list[int], departures: list[int]) -> None:
        """Counting from the carrier that stands there when the first move takes it."""
        for moment in (*arrivals, *departures):
            arriving = moment in arrivals
            sign = -1.0 if arriving else 1.0
            constant, terms = 0.0, []
            for group, weight in ((arrivals, sign), (departures, -sign)):
                for move in group:
                    if move != moment:
                        part, order = self._order(move, moment, weight)
                        constant += part
                        terms += order
            # Brought no more than taken before, or taken no more than stood there.
            self._add((1.0 if arriving else 0.0) - constant, *terms)

    def _entering(self) -> None:
        for firsts in self.line.entering:
            for a, b in pairwise(firsts):
                self._add(1, (1, b), (-1, a))

    def program(self) -> highspy.HighsLp:
        """The program as HiGHS takes it."""
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.columns), len(self.rows)
        lp.col_cost_ = np.array([float(c == self.cycle) for c in range(len(self.columns))])
        lp.col_lower_ = np.zeros(len(self.columns))
        lp.col_upper_ = np.array([float(highest) for highest, _ in self.columns])
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        lp.integrality_ = [kinds[whole] for _, whole in self.columns]
        lp.row_lower_ = np.array([float(least) for _, least in self.rows])
        lp.row_upper_ = np.full(len(self.rows), inf)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lengths = [len(weights) for weights, _ in self.rows]
        lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int32)
        lp.a_matrix_.index_ = np.array([c for w, _ in self.rows for c in w], dtype=np.int32)
        lp.a_matrix_.value_ = np.array([float(v) for w, _ in self.rows for v in w.values()])
        return lp


def solve(problem: Problem, degree: int, workers: int, seed: int, clock: Clock) -> Outcome:
    """Least cycle time by the mixed-integer program."""
    line = read_line(problem, degree)
    built = BigM(line)
    highs = highspy.Highs()
    highs.silent()
    for option, value in (
        ("threads", workers),
        ("random_seed", seed),
        ("mip_rel_gap", 0.0),
        ("mip_feasibility_tolerance", TOLERANCE),
        ("primal_feasibility_tolerance", TOLERANCE),
    ):
        highs.setOptionValue(option, value)
    highs.passModel(built.program())
    highs.cbMipImprovingSolution.subscribe(lambda _: clock.found())
    highs.setOptionValue("time_limit", clock.left())
    highs.run()
    ended, info = highs.getModelStatus(), highs.getInfo()
    if ended == highspy.HighsModelStatus.kInfeasible:
        return Outcome("infeasible", None, None)
    bound = max(1, ceil(info.mip_dual_bound - MARGIN)) if info.mip_dual_bound > 0 else 1
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return Outcome("unknown", bound, None)
    values: Any = highs.getSolution().col_value
    cycle = round(values[built.cycle])
    starts = _whole_starts(built, [value > 0.5 for value in values], cycle)
    if starts is None:  # an order that only holds within the tolerances
        return Outcome("unknown", bound, None)
    wraps = {stay: int(starts[stay.departure] < starts[stay.arrival]) for stay in line.stays}
    status = "optimal" if ended == highspy.HighsModelStatus.kOptimal else "feasible"
    return Outcome(status, min(bound, cycle), line.schedule(cycle, starts, wraps))


def _whole_starts(built: BigM, chosen: list[bool], cycle: int) -> list[int] | None:
    """Whole starts for the order found: longest paths over the rows that are in force.

    HiGHS reckons in floating point; the order it found is what counts.
    """
    moves = built.line.moves
    apart = np.full((moves, moves), -np.inf)
    for weights, least in built.rows:
        ends = [c for c in weights if c < moves]
        if len(ends) != 2:
            continue
        (to,), (off,) = ([c for c in ends if weights[c] == sign] for sign in (1, -1))
        fixed = sum(
            weight * (cycle if c == built.cycle else chosen[c])
            for c, weight in weights.items()
            if c >= moves
        )
        apart[off, to] = max(apart[off, to], least - fixed)
    starts = np.zeros(moves)
    for _ in range(moves + 1):
        later = np.maximum(starts, (starts[:, None] + apart).max(axis=0))
        if (later == starts).all():
            return [round(start) for start in starts] if starts[0] == 0 else None
        starts = later
    return None
