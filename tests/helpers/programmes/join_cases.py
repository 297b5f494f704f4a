"""Random small cases of going over into a cycle: lines by family, a state, a cycle."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import combinations
from random import Random

import hoistopt
from hoistopt import LineState, Order, Programme, Schedule
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.base.errors import HoistoptError, InfeasibleError, InputError
from hoistopt.instance.build_finite import build_finite
from hoistopt.instance.build_join import JoinBuilder
from hoistopt.problem import Problem
from hoistopt.solver.finite.joining import Candidate
from tests.reference.lines import FAMILIES
from tests.reference.programmes.joining import JoinBrute

MOST_MOVES = 8
"""Before the joining; brute force goes through the orders of so many in a fraction of a second."""


@dataclass(frozen=True)
class JoinCase:
    """A line, a state of it, a cycle, every step of which is named, and orders."""

    problem: Problem
    state: LineState
    cycle: Schedule
    orders: tuple[Order, ...] = ()
    promised: Programme | None = None
    in_order: bool = False

    @property
    def carried(self) -> set[str | None]:
        """Recipes of the cycle."""
        return {step.recipe for step in self.cycle}

    def brute(self, *, serving_due: bool = False) -> JoinBrute:
        """Brute force on it, without the orders that loads of the cycle can serve later.

        Parameters
        ----------
        serving_due : bool
            Whether those with a due time are among these.
        """
        left: list[Order] = []
        for order in reversed(self.orders):
            serves = order.recipe in self.carried and (serving_due or order.due is None)
            if not serves or (self.in_order and left):
                left.insert(0, order)
        return self._brute(left)

    def brutes(self) -> Iterator[JoinBrute]:
        """Brute force for each choice of the orders that are left to loads of the cycle."""
        able = [order for order in self.orders if order.recipe in self.carried]
        choices = [later for n in range(len(able) + 1) for later in combinations(able, n)]
        if self.in_order:  # what enters by the cycle enters last
            choices = [
                later for later in choices if later == self.orders[len(self.orders) - len(later) :]
            ]
        for later in choices:
            yield self._brute([order for order in self.orders if order not in later])

    def _brute(self, left: Sequence[Order]) -> JoinBrute:
        given = self.problem, self.state, self.cycle, 0, tuple(left), self.promised
        return JoinBrute(*given, in_order=self.in_order)


def join_case(family: str, seed: int) -> JoinCase | None:
    """A small random case; None where there is no cycle, or the case is too large."""
    problem = FAMILIES[family](seed).problem
    rng = Random(f"join {family} {seed}")
    names = [recipe.name for recipe in problem.recipes]
    carried = dict.fromkeys(rng.sample(names, rng.randint(1, min(2, len(names)))), 1)
    cycle = cycle_of(problem, carried)
    if cycle is None:
        return None
    way = rng.random()
    try:
        if way < 0.4:
            state = LineState()
        elif way < 0.6:
            at = Fraction(rng.randrange(cycle.cycle)) / cycle.ticks_per_unit
            state = hoistopt.state_in_cycle(problem, cycle, at)
        else:
            state = _state(problem, rng, names)
    except (InputError, InfeasibleError):
        return None
    state = state.numbered()
    if _size(problem, state, cycle) > MOST_MOVES:
        return None
    return JoinCase(problem, state, cycle)


def join_case_with_orders(family: str, seed: int) -> JoinCase | None:
    """The same with one load ordered, or two; None where that is too large."""
    case = join_case(family, seed)
    if case is None:
        return None
    rng = Random(f"join orders {family} {seed}")
    names = [recipe.name for recipe in case.problem.recipes]
    orders = tuple(
        Order(rng.choice(names), 1, Fraction(rng.choice((0, 0, rng.randint(0, 80)))), order=f"n{n}")
        for n in range(rng.choice((1, 1, 2)))
    )
    if _size(case.problem, case.state, case.cycle, orders) > MOST_MOVES:
        return None
    if not _on_the_grid(case.problem, orders):
        return None
    return replace(case, orders=orders)


def mixed_case(family: str, seed: int) -> JoinCase | None:
    """One with orders that are due, or enter in their order, or moves promised, or several of
    these; None where that is too large."""
    case = join_case(family, seed)
    if case is None:
        return None
    rng = Random(f"mixed {family} {seed}")
    names = [recipe.name for recipe in case.problem.recipes]
    promised = None
    if rng.random() < 0.6:
        first = [] if not case.state.empty and rng.random() < 0.5 else [Order(rng.choice(names))]
        try:
            found = hoistopt.plan(case.problem, first, case.state, effort=Effort(10, 1))
        except InputError:  # an empty line, or one with carriers alone
            return None
        promised = found.programme
    due = rng.random() < 0.7
    orders = tuple(
        Order(
            rng.choice(names),
            1,
            Fraction(rng.choice((0, 0, rng.randint(0, 40)))),
            Fraction(rng.randint(40, 160)) if due and rng.random() < 0.8 else None,
            Fraction(rng.choice((1, 1, 3))),
            f"n{n}",
        )
        for n in range(rng.choice((0, 1, 2) if promised else (1, 2)))
    )
    if not _on_the_grid(case.problem, orders):
        return None
    in_order = rng.random() < 0.4
    moves = 0 if promised is None else len(promised)
    if _size(case.problem, case.state, case.cycle, orders) > MOST_MOVES + moves // 2 or moves > 6:
        return None
    return replace(case, orders=orders, promised=promised, in_order=in_order)


def _on_the_grid(problem: Problem, orders: tuple[Order, ...]) -> bool:
    """Whether the windows of all that is ordered are wide enough for the tick."""
    try:
        build_finite(problem, LineState(), orders)
    except InputError:
        return False
    except InfeasibleError:
        return True
    return True


def search_of(case: JoinCase) -> tuple[list[Candidate], Clock]:
    """What the search for a programme is given, but for a first one to begin with."""
    clock = Clock(Effort(10, 1))
    builder = JoinBuilder(case.problem, case.state, case.cycle, clock)
    joinings = builder.joinings()
    return [
        Candidate(partial(builder.build, joining), builder.bound(joining), all_leave=False)
        for joining in joinings
    ], clock


def cycle_of(problem: Problem, mix: dict[str, int]) -> Schedule | None:
    """A least cycle of some recipes, named."""
    try:
        line = Problem.from_data({**problem.to_data(), "cycle": {"mix": mix}})
        result = hoistopt.solve(line, degree=1, effort=Effort(10, 1))
    except HoistoptError:
        return None
    if result.replay is None:
        return None
    return hoistopt.named_schedule(result.replay.plan)


def _state(problem: Problem, rng: Random, names: list[str]) -> LineState:
    """A state within a programme of one load or two."""
    first = [Order(rng.choice(names))] * rng.choice((1, 1, 2))
    found = hoistopt.plan(problem, first, effort=Effort(10, 1))
    if found.replay is None:
        return LineState()
    finish = int(found.replay.finish * found.replay.programme.ticks_per_unit)
    at = found.replay.programme.time(rng.randrange(finish + 1))
    return hoistopt.state_after(found.replay, at)


def _size(
    problem: Problem, state: LineState, cycle: Schedule, orders: tuple[Order, ...] = ()
) -> int:
    """Moves that brute force may have to put into any order."""
    brute = JoinBrute(problem, state, cycle, orders=orders)
    left = sum(len(work.recipe.stages) + 1 - work.stage for work in brute.works[: brute.inside])
    most = max(
        sum(
            sum(time + cycle_ * brute.every < begins for time, _ in way)
            for way, cycle_ in brute.roles(begins)
        )
        for begins in brute.begins
    )
    return left + most
