"""Brute force with loads whose moves keep given times, and due times."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import floor

from hoistopt.problem import Problem
from hoistopt.schedule import LineState, Order, Programme

from .programmes import Brute, Line

Given = list[tuple[int, str, str]]
"""Start, source and target of each move, in their order."""


def entering(promised: Programme | None) -> tuple[Order, ...]:
    """The loads that a programme lets enter, in order of time."""
    steps = () if promised is None else promised.steps
    return tuple(Order(step.recipe or "") for step in steps if step.stage == 0)


def ways_promised(
    brute: Brute, promised: Programme | None, state: LineState, loads: Sequence[int]
) -> dict[int, Given]:
    """Moves by load of a brute force: first the loads of the state, then those that enter."""
    if promised is None:
        return {}
    ways: dict[int, Given] = {}
    for step in promised:
        start = promised.time(step.start) / brute.tick
        assert start.denominator == 1
        ways.setdefault(step.load or 0, []).append((int(start), step.source, step.target))
    entered = [step.load for step in promised if step.stage == 0]
    known = state.numbered()
    inside = [entry.load for entry in known.standing]
    if known.hoist is not None and known.hoist.carries is not None:
        inside.append(known.hoist.carries.load)
    order = [*(load for load in inside if load in ways), *entered]
    return dict(zip(loads, [ways[load or 0] for load in order], strict=True))


class Promised:
    """Mixed into a brute force: steps of promised loads are those promised."""

    promised: dict[int, Given]

    def _steps(self, line: Line, load: int, stage: int) -> Iterator[Line]:
        longer: Line
        for longer in super()._steps(line, load, stage):  # type: ignore[misc]
            if load not in self.promised:
                yield longer
                continue
            made = sum(move.load == load for move in line.moves)
            start, *ends = self.promised[load][made]
            move, number = longer.moves[-1], len(longer.moves) - 1
            if [move.source, move.target] == ends:
                held = [(-1, number, start), (number, -1, -start)]
                yield replace(longer, arcs=[*longer.arcs, *held])


class PromisedBrute(Promised, Brute):
    """Least weighted lateness and finish beside what is promised, in ticks."""

    def __init__(
        self,
        problem: Problem,
        state: LineState,
        orders: tuple[Order, ...],
        promised: Programme,
        *,
        in_order: bool = False,
    ) -> None:
        super().__init__(problem, state, (*entering(promised), *orders))
        each = [order for order in orders for _ in range(order.count)]
        first = len(self.works) - len(each)
        self.promised = ways_promised(self, promised, state, range(first))
        self.orders = dict(enumerate(each, start=first))
        self.in_order = in_order
        self.found: tuple[int, int] | None = None

    def least_late(self) -> tuple[int, int] | None:
        """Least weighted lateness, and of those the least finish; None without a programme."""
        self._all(self.line, [work.stage for work in self.works])
        return self.found

    def _all(self, line: Line, stages: list[int]) -> None:
        finish = self._finish(line)
        if finish is None:
            return
        value = self._late(line), finish
        if self.found is not None and value >= self.found:
            return
        last = [self._last(work.recipe) - (not self.by_hoist) for work in self.works]
        open_ = [load for load, stage in enumerate(stages) if stage <= last[load]]
        if not open_:
            self.found = value
        for load in open_:
            ahead = [other for other in self.orders if other < load]
            ordered = self.in_order and load in self.orders and stages[load] == 0
            if ordered and not all(stages[other] for other in ahead):
                continue
            for longer in self._steps(line, load, stages[load]):
                self._all(longer, [s + (n == load) for n, s in enumerate(stages)])

    def _late(self, line: Line) -> int:
        total = 0
        for start, move in zip(line.starts, line.moves, strict=True):
            order = self.orders.get(move.load)
            out = move.stage == self._last(self.works[move.load].recipe) - 1
            if order is not None and order.due is not None and out:
                late = max(0, start + move.ticks - floor(order.due / self.tick))
                total += round(order.weight * 1000) * late
        return total
