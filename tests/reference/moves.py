"""The moves of one cycle, once for every way of choosing among alternative tanks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise, product

from hoistopt.problem import Problem, Recipe, Stage

from .clock import Clock


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
    """All that repeats in a cycle, tanks chosen; `gap[a][b]` is the least b - a in time.

    Move a may start `late[a]` ticks late in any cycle while others are on time: the float
    asked for, which `gap` has in it already. Stay number s keeps its dwell below the maximum
    by the slack asked for; its `most` has that in it.
    """

    problem: Problem
    clock: Clock
    recipes: tuple[Recipe, ...]
    moves: tuple[Move, ...]
    stays: tuple[Stay, ...]
    gap: tuple[tuple[int, ...], ...]
    late: tuple[int, ...]

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
            clock.move(source, target, drip)
            for (source, target), drip in zip(pairwise(places), drips, strict=True)
        ]
        possible = [time for time in times if time is not None]
        if len(possible) == len(times):
            found.append(Way(places, *zip(*possible, strict=True)))
    return found


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
                most = _kept(problem, clock, stage, most, longer=way.early[step - 1])
                stays.append(Stay(way.places[step], arrive, leave, least, most))
        late = tuple(_late(problem, clock, recipes[move.load], move.step) for move in moves)
        gap = tuple(
            tuple(a.ticks + by + clock.empty(a.target, b.source) for b in moves)
            for a, by in zip(moves, late, strict=True)
        )
        yield Line(problem, clock, recipes, tuple(moves), tuple(stays), gap, late)


def _kept(
    problem: Problem, clock: Clock, stage: Stage, most: int | None, *, longer: bool
) -> int | None:
    """Greatest planned dwell that keeps slack and float below the maximum.

    The true dwell is to be at most the maximum less the slack; a load that was set down a
    fraction of a tick early stands that much longer. Lifted late it may stand to the maximum.
    """
    if most is None or stage.max is None:
        return None
    slack, late = problem.margin_of(stage)
    found = most - clock.up(late)
    return min(found, clock.down(stage.max - slack) - longer) if slack else found


def _late(problem: Problem, clock: Clock, recipe: Recipe, step: int) -> int:
    """How late a move may start in any cycle, in ticks: as its stage asks, or the line."""
    inside = 0 < step <= len(recipe.stages)
    float_ = problem.margin_of(recipe.stages[step - 1])[1] if inside else problem.line_margin[1]
    return clock.up(float_)
