"""What the tests of explanations share: small lines with their schedules, and references."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil, floor
from sys import maxsize
from typing import NamedTuple

from hoistopt import InfeasibleError, InputError, Schedule, Step
from hoistopt.conflict.demands import Demand
from hoistopt.instance import Instance, build_instance
from hoistopt.instance.edits import with_carriers, with_occupation, with_windows
from hoistopt.problem import Problem
from hoistopt.solver import least_cycle
from tests.helpers.clocks import clock
from tests.reference.lines import FAMILIES
from tests.reference.moves import Line, lines
from tests.reference.orders import orders
from tests.reference.patterns import patterns
from tests.reference.ratio import least_period


class Solved(NamedTuple):
    """A small line and a schedule of least cycle time."""

    name: str
    problem: Problem
    degree: int
    instance: Instance
    schedule: Schedule


def solved(family: str, seeds: Collection[int]) -> Iterator[Solved]:
    """Those lines of a family that have a schedule."""
    for seed in seeds:
        problem, degree = FAMILIES[family](seed)
        try:
            instance = build_instance(problem, degree)
        except (InfeasibleError, InputError):
            continue
        found = least_cycle(instance, clock(workers=1))
        if found.schedule is not None:
            yield Solved(f"{family} {seed}", problem, degree, instance, found.schedule)


def bare(schedule: Schedule) -> Schedule:
    """The same moves without saying which load they carry."""
    steps = [replace(step, load=None, stage=None) for step in schedule]
    return Schedule(schedule.cycle, schedule.ticks_per_unit, tuple(steps))


def order_of(moves: Sequence[tuple[str, str]]) -> Schedule:
    """An order of moves without times."""
    steps = tuple(Step(number, source, target) for number, (source, target) in enumerate(moves))
    return Schedule(len(moves), Fraction(1), steps)


def least_in_order(problem: Problem, degree: int, moves: Sequence[tuple[str, str]]) -> int | None:
    """Least cycle time in ticks with the moves in this cyclic order, by trying every reading.

    Every way of saying which load each move carries, from which move the cycle is
    counted, and every pattern of restarts and turns the reference knows.
    """
    assert problem.tick is not None
    best: int | None = None
    for line in lines(problem, degree):
        pairs = [(move.source, move.target) for move in line.moves]
        if sorted(pairs) != sorted(moves):
            continue
        low = max(line.gap[i][i] for i in range(len(moves)))
        low = max(low, ceil(Fraction(problem.cycle.min * degree) / Fraction(problem.tick)))
        below = maxsize
        if problem.cycle.max is not None:
            below = 1 + floor(Fraction(problem.cycle.max * degree) / Fraction(problem.tick))
        for turn in range(len(moves)):
            for order in _readings(line, pairs, [*moves[turn:], *moves[:turn]]):
                for constraints, _ in patterns(line, order):
                    found = least_period(len(moves), constraints, low, below)
                    if found is not None and (best is None or found[0] < best):
                        best = found[0]
    return best


def _readings(
    line: Line, pairs: list[tuple[str, str]], moves: Sequence[tuple[str, str]]
) -> Iterator[tuple[int, ...]]:
    def extend(order: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if len(order) == len(moves):
            if _enters_right(line, order):
                yield order
            return
        for move, pair in enumerate(pairs):
            if move not in order and pair == moves[len(order)]:
                yield from extend((*order, move))

    if moves[0] == pairs[0]:
        yield from extend((0,))


def _enters_right(line: Line, order: tuple[int, ...]) -> bool:
    if line.problem.cycle.order is None:
        return True
    seen = [line.recipes[line.moves[i].load].name for i in order if line.moves[i].step == 0]
    return seen == [recipe.name for recipe in line.recipes]


def keeps(
    problem: Problem,
    degree: int,
    asked: Collection[Demand],
    kept: Collection[Demand],
    longest: int | None,
) -> bool:
    """Whether a schedule of at most `longest` ticks keeps these members, by trying all.

    For lines whose carriers do not come back over a limited number of them.
    """
    eased = _eased(problem, [member for member in asked if member not in kept])
    freed = {(m.recipe, m.stage) for m in asked if m.kind == "loaded" and m not in kept}
    at_once = any(m.kind == "empty" for m in asked if m not in kept)
    limited = any(m.kind == "longest" for m in kept)
    assert eased.tick is not None
    for line in lines(eased, degree):
        line = replace(line, gap=_gaps(line, freed, at_once))
        count = len(line.moves)
        low = max(1, *(line.gap[i][i] for i in range(count)))
        below = longest + 1 if limited and longest is not None else None
        for order in orders(line, lambda below=below: below):  # type: ignore[misc]
            for constraints, _ in patterns(line, order):
                if least_period(count, constraints, low, below or maxsize) is not None:
                    return True
    return False


def _eased(problem: Problem, left_out: Collection[Demand]) -> Problem:
    for member in left_out:
        if member.kind in ("minimum", "maximum"):
            stage = problem.recipe_by_name[member.recipe].stages[member.stage - 1]
            least = stage.min * (member.kind != "minimum")
            most = None if member.kind == "maximum" else stage.max
            problem = with_windows(problem, {(member.recipe, member.stage): (least, most)})
        elif member.kind == "station":
            problem = with_occupation(problem, member.station, problem.cycle.min * 0)
        elif member.kind == "carriers":
            problem = with_carriers(problem, count=None)
    return problem


def _gaps(
    line: Line, freed: Collection[tuple[str, int]], at_once: bool
) -> tuple[tuple[int, ...], ...]:
    """Least times between starts when some moves cost the hoist no time."""
    return tuple(
        tuple(
            0
            if (line.recipes[a.load].name, a.step) in freed
            else a.ticks
            if at_once
            else line.gap[i][j]
            for j in range(len(line.moves))
        )
        for i, a in enumerate(line.moves)
    )
