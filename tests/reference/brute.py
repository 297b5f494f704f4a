"""Least cycle time by trying everything: tanks, orders of moves, restarts, returns."""

from __future__ import annotations

from dataclasses import dataclass
from sys import maxsize

from hoistopt.problem import Problem

from .clock import Clock
from .moves import Line, Stay, lines
from .orders import orders
from .patterns import patterns
from .ratio import Constraint, least_period


@dataclass(frozen=True)
class WitnessStep:
    """One move; `boundaries` is None for a first lift, as nothing brought the carrier."""

    start: int
    source: str
    target: str
    recipe: str
    load: int
    stage: int
    boundaries: int | None


@dataclass(frozen=True)
class Witness:
    """A schedule with the least cycle time, in ticks."""

    cycle: int
    steps: tuple[WitnessStep, ...]


def least_cycle(problem: Problem, degree: int = 1) -> int | None:
    """The least whole cycle time in ticks; None if no schedule exists."""
    witness = best_schedule(problem, degree)
    return None if witness is None else witness.cycle


def best_schedule(problem: Problem, degree: int = 1) -> Witness | None:
    """A schedule of least cycle time; None if none exists."""
    best: Witness | None = None
    longest = problem.cycle.max
    beyond = None if longest is None else Clock(problem).down(longest * degree) + 1

    def below() -> int | None:
        return beyond if best is None else best.cycle

    for line in lines(problem, degree):
        if not _begins_with_the_least(line):
            continue
        count = len(line.moves)
        low = max(line.gap[i][i] for i in range(count))
        low = max(low, line.clock.up(problem.cycle.min * degree))

        def least(
            constraints: list[Constraint], count: int = count, low: int = low
        ) -> tuple[int, list[int]] | None:
            return least_period(count, constraints, low, below() or maxsize)

        for order in orders(line, below, low):
            for constraints, stays in patterns(line, order, lambda some: least(some) is not None):
                found = least(constraints)
                if found is not None:
                    best = _witness(line, order, stays, *found)
    return best


def _begins_with_the_least(line: Line) -> bool:
    """Whether no later load of load 0's recipe could come first and give a lesser line.

    Loads of a recipe are alike but for their tanks, and enter in the order of their numbers.
    A cycle that is looked at from a later one of them on is the same cycle, with the tanks of
    these loads turned round; one of all those lines is enough.
    """
    tanks: dict[int, list[str]] = {}
    for move in line.moves:
        if line.recipes[move.load] is line.recipes[0]:
            tanks.setdefault(move.load, []).append(move.target)
    chosen = list(tanks.values())
    return all(chosen <= chosen[first:] + chosen[:first] for first in range(1, len(chosen)))


def _witness(
    line: Line,
    order: tuple[int, ...],
    stays: tuple[tuple[Stay, int], ...],
    period: int,
    starts: list[int],
) -> Witness:
    restarts = {stay.leave: wraps for stay, wraps in stays}
    entering = [line.moves[i].load for i in order if line.moves[i].step == 0]
    steps = []
    for i in order:
        move, start = line.moves[i], starts[i] - starts[0]
        boundaries = None if move.step == 0 else restarts.get(i)
        if move.step > 0 and boundaries is None:  # an unlimited buffer: as soon as can be
            arrived = starts[i - 1] - starts[0] + line.moves[i - 1].ticks
            station = line.problem.station_by_name[move.source]
            least = line.clock.up(station.min_occupation)
            boundaries = max(0, -((start - arrived - least) // period))
        steps.append(
            WitnessStep(
                start,
                move.source,
                move.target,
                line.recipes[move.load].name,
                entering.index(move.load) + 1,
                move.step,
                boundaries,
            )
        )
    return Witness(period, tuple(steps))
