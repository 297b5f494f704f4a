"""Random states after a stop: dwells that have run on, some of them known only roughly."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from random import Random

from hoistopt import Between, HoistAt, LineState, Order, Standing
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.instance.build_finite import build_finite
from hoistopt.problem import Problem
from hoistopt.schedule.state_checks import check_state
from tests.reference.lines import FAMILIES

from .finite_cases import state_within

MOST_MOVES = 6
"""Brute force tries every set of loads lost in every order of so many moves; one fewer where
there is a choice of tanks."""


@dataclass(frozen=True)
class StoppedCase:
    """A line, its state after the stop, and what is ordered."""

    problem: Problem
    state: LineState
    orders: tuple[Order, ...]


def stopped_case(family: str, seed: int) -> StoppedCase | None:
    """A small random case; None where no tick fits a window, or the case is too large, or
    there is no load in the line."""
    problem = FAMILIES[family](seed).problem
    rng = Random(f"stopped {family} {seed}")
    names = [recipe.name for recipe in problem.recipes]
    try:
        if rng.random() < 0.3:
            state = _after_stop(state_within(problem, rng, names), rng)
        else:
            state = _made_up(problem, rng)
        check_state(problem, state)
        if state.empty:
            return None
        orders = (Order(rng.choice(names)),) if rng.random() < 0.3 else ()
        instance = build_finite(problem, state, orders, overdue=True, clock=Clock(Effort(10, 1)))
    except (InputError, InfeasibleError):
        return None
    most = MOST_MOVES - any(len(move.routes) > 1 for move in instance.moves)
    if all(load.enters for load in instance.loads) or len(instance.moves) > most:
        return None
    return StoppedCase(problem, state, orders)


def _made_up(problem: Problem, rng: Random) -> LineState:
    """Loads near the end of their ways, all of them about to stand too long."""
    standing, places = [], dict[str, int]()
    for recipe in problem.recipes:
        for number in range(len(recipe.stages), 0, -1):
            stage = recipe.stages[number - 1]
            name = rng.choice(stage.station)
            if places.get(name, 0) or rng.random() < 0.25:
                continue
            places[name] = 1
            most = Fraction(stage.max) if stage.max is not None else Fraction(stage.min) + 20
            low = max(Fraction(0), (most - rng.randint(-5, 40)).__floor__() + Fraction(0))
            stood = Between(low, low + rng.choice((0, 0, 0, rng.randint(1, 12))))
            weight = Fraction(rng.choice((1, 1, 2, 3)), rng.choice((1, 1, 2)))
            standing.append(Standing(name, number, stood, recipe.name, weight=weight))
    served = [name for recipe in problem.recipes for s in recipe.stages for name in s.station]
    hoist = HoistAt(rng.choice(served), Between.of(rng.choice((0, 0, rng.randint(0, 20)))))
    return LineState(tuple(standing), hoist).numbered()


def _after_stop(state: LineState, rng: Random) -> LineState:
    standing = []
    for entry in state.standing:
        low = entry.stood.least + rng.choice((0, 0, rng.randint(1, 25), rng.randint(1, 90)))
        high = low + entry.stood.most - entry.stood.least + rng.choice((0, 0, rng.randint(1, 12)))
        weight = Fraction(rng.choice((1, 1, 2, 3)), rng.choice((1, 1, 2)))
        standing.append(replace(entry, stood=Between(low, high), weight=weight))
    hoist = state.hoist
    if hoist is not None and rng.random() < 0.4:
        late = rng.randint(1, 30)
        free = Between(hoist.free_in.least + late, hoist.free_in.most + late)
        hoist = replace(hoist, free_in=free)
    return replace(state, standing=tuple(standing), hoist=hoist).numbered()
