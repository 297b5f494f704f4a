"""Random finite problems: lines by family, a state half-way through some loads, orders."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from random import Random

import hoistopt
from hoistopt import Between, LineState, Order, Programme, Standing, Step
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.instance.build_finite import build_finite
from hoistopt.instance.finite import FiniteInstance
from hoistopt.problem import Problem
from hoistopt.solver.finite import Timing
from tests.reference.lines import FAMILIES

MOST_MOVES = 9
"""Brute force goes through the orders of so many moves in about a tenth of a second."""


@dataclass(frozen=True)
class FiniteCase:
    """A line, a state and orders; `instance` is None where the state alone has no way out."""

    problem: Problem
    state: LineState
    orders: tuple[Order, ...]
    instance: FiniteInstance | None


def finite_case(family: str, seed: int) -> FiniteCase | None:
    """A small random case; None where no tick fits a window, or the case is too large."""
    problem = FAMILIES[family](seed).problem
    rng = Random(f"finite {family} {seed}")
    names = [recipe.name for recipe in problem.recipes]
    longest = max(len(recipe.stages) for recipe in problem.recipes) + 1
    count = 1 if longest > 4 else 2 if longest > 3 else rng.choice((2, 3))
    orders = tuple(
        Order(rng.choice(names), 1, Fraction(rng.choice((0, 0, rng.randint(0, 60)))))
        for _ in range(count)
    )
    try:
        state = state_within(problem, rng, names) if rng.random() < 0.6 else LineState()
        instance = build_finite(problem, state, orders, clock=Clock(Effort(10, 1)))
    except InputError:
        return None
    except InfeasibleError:
        return FiniteCase(problem, state, orders, None)
    if len(instance.moves) > MOST_MOVES:
        return None
    return FiniteCase(problem, state, orders, instance)


def state_within(problem: Problem, rng: Random, names: list[str]) -> LineState:
    """A state within a programme of one load or two, sometimes in doubt."""
    first = [Order(rng.choice(names))] * rng.choice((1, 1, 2))
    found = hoistopt.plan(problem, first, effort=Effort(10, 1))
    if found.replay is None:
        return LineState()
    finish = int(found.replay.finish * found.replay.programme.ticks_per_unit)
    at = found.replay.programme.time(rng.randrange(finish + 1))
    state = hoistopt.state_after(found.replay, at)
    if rng.random() < 0.3:
        state = replace(state, standing=tuple(_doubt(entry, rng) for entry in state.standing))
    return state.numbered()


def _doubt(entry: Standing, rng: Random) -> Standing:
    by = Fraction(rng.randint(0, 3))
    stood = Between(max(Fraction(0), entry.stood.least - by), entry.stood.most + by)
    return replace(entry, stood=stood)


def programme(problem: Problem, instance: FiniteInstance, timing: Timing) -> Programme:
    """The programme that a timing of a finite problem stands for."""
    names = [station.name for station in problem.stations]
    return Programme(
        instance.ticks_per_unit,
        tuple(
            Step(start, names[route.source], names[route.target], load.recipe, load.number)
            for start, route, load in zip(
                timing.starts,
                timing.routes,
                [instance.loads[move.job] for move in instance.moves],
                strict=True,
            )
        ),
    )
