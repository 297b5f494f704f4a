"""The moves of one cycle, once for every way of choosing among alternative tanks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise, product

from hoistopt.problem import Problem, Recipe

from .clock import Clock, Exact, left_over, whole_ticks


@dataclass(frozen=True)
class Move:
    """One loaded move: `step` 0 leaves the load station, step s leaves stage s.

    It ends before the last of its `ticks` is over if it has `left_over` of that.
    """

    load: int
    step: int
    source: str
    target: str
    ticks: int
    left_over: int


@dataclass(frozen=True)
class Stay:
    """A carrier standing at `station` between two moves, given by their numbers."""

    station: str
    arrive: int
    leave: int
    least: int
    most: int | None


@dataclass(frozen=True)
class Line:
    """All that repeats in a cycle, tanks chosen; `gap[a][b]` is the least b - a in time."""

    problem: Problem
    clock: Clock
    recipes: tuple[Recipe, ...]
    moves: tuple[Move, ...]
    stays: tuple[Stay, ...]
    gap: tuple[tuple[int, ...], ...]

    def number(self, load: int, step: int) -> int:
        """Number of a move of a load."""
        return next(
            i for i, move in enumerate(self.moves) if (move.load, move.step) == (load, step)
        )


Way = tuple[tuple[str, ...], tuple[Exact, ...]]
"""Stations along a recipe and the time of each move."""


def ways(problem: Problem, recipe: Recipe, clock: Clock) -> list[Way]:
    """Every possible choice of tanks for one load of a recipe."""
    hoist = problem.hoist
    if hoist.payload is not None and recipe.mass is not None and recipe.mass > hoist.payload:
        return []
    load, unload = problem.load_station(recipe).name, problem.unload_station(recipe).name
    ends = [unload, load] if problem.carriers.return_ == "hoist" else [unload]
    drips = [0, *(stage.drip for stage in recipe.stages), *([0] if len(ends) > 1 else [])]
    found = []
    for tanks in product(*(stage.station for stage in recipe.stages)):
        places = (load, *tanks, *ends)
        times = [
            clock.exactly(source, target, drip)
            for (source, target), drip in zip(pairwise(places), drips, strict=True)
        ]
        possible = tuple(time for time in times if time is not None)
        if len(possible) == len(times):
            found.append((places, possible))
    return found


def lines(problem: Problem, degree: int) -> Iterator[Line]:
    """Every choice of tanks for all loads of a cycle of the given degree."""
    clock = Clock(problem)
    recipes = tuple(problem.recipe_by_name[name] for name in problem.load_set * degree)
    options = {recipe.name: ways(problem, recipe, clock) for recipe in recipes}
    for chosen in product(*(options[recipe.name] for recipe in recipes)):
        moves: list[Move] = []
        stays: list[Stay] = []
        for load, (recipe, (places, times)) in enumerate(zip(recipes, chosen, strict=True)):
            rounded = [whole_ticks(time, clock.tick) for time in times]
            for step, (ticks, _) in enumerate(rounded):
                left = left_over(times[step], clock.tick)
                moves.append(Move(load, step, places[step], places[step + 1], ticks, left))
            for step, stage in enumerate(recipe.stages, start=1):
                most = None if stage.max is None else clock.down(stage.max) - rounded[step - 1][1]
                leave = len(moves) - len(times) + step
                stays.append(Stay(places[step], leave - 1, leave, clock.up(stage.min), most))
        gap = tuple(tuple(a.ticks + clock.empty(a.target, b.source) for b in moves) for a in moves)
        yield Line(problem, clock, recipes, tuple(moves), tuple(stays), gap)
