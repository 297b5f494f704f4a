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


@dataclass(frozen=True, eq=False)
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


@dataclass(frozen=True)
class Way:
    """Stations along a recipe, and of each move the ticks, whether it ends before the last
    of them is over, and what is left over of that."""

    places: tuple[str, ...]
    ticks: tuple[int, ...]
    early: tuple[bool, ...]
    left_over: tuple[int, ...]


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
        possible = [time for time in times if time is not None]
        if len(possible) == len(times):
            found.append(_way(places, possible, clock))
    return found


def _way(places: tuple[str, ...], times: list[Exact], clock: Clock) -> Way:
    ticks, early = zip(*(whole_ticks(time, clock.tick) for time in times), strict=True)
    return Way(places, ticks, early, tuple(left_over(time, clock.tick) for time in times))


def lines(problem: Problem, degree: int) -> Iterator[Line]:
    """Every choice of tanks for all loads of a cycle of the given degree."""
    clock = Clock(problem)
    recipes = tuple(problem.recipe_by_name[name] for name in problem.load_set * degree)
    options = {recipe.name: ways(problem, recipe, clock) for recipe in recipes}
    for chosen in product(*(options[recipe.name] for recipe in recipes)):
        moves: list[Move] = []
        stays: list[Stay] = []
        for load, (recipe, way) in enumerate(zip(recipes, chosen, strict=True)):
            first = len(moves)
            for step, (ticks, left) in enumerate(zip(way.ticks, way.left_over, strict=True)):
                moves.append(Move(load, step, *way.places[step : step + 2], ticks, left))
            for step, stage in enumerate(recipe.stages, start=1):
                least, most = clock.window(stage, longer=way.early[step - 1])
                arrive, leave = first + step - 1, first + step
                stays.append(Stay(way.places[step], arrive, leave, least, most))
        gap = tuple(tuple(a.ticks + clock.empty(a.target, b.source) for b in moves) for a in moves)
        yield Line(problem, clock, recipes, tuple(moves), tuple(stays), gap)
