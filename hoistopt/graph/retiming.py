"""New times for a fixed order of moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil, floor

from ..instance import Instance
from ..schedule import Schedule, Step
from .algorithms.cycle_ratio import feasible_cycles
from .algorithms.longest_path import longest_paths
from .arc import Arc, EventGraph
from .pattern import Pattern


def schedule_of(
    instance: Instance,
    pattern: Pattern,
    starts: Sequence[int],
    cycle: int,
    first: int | None = None,
) -> Schedule:
    """The schedule of a pattern with the given start of each move, in ticks.

    Parameters
    ----------
    first : int, optional
        The move at which the cycle begins; by default the pattern's own first.
    """
    first = pattern.order[0] if first is None else first
    turn = pattern.order.index(first)
    order = pattern.order[turn:] + pattern.order[:turn]
    zero = starts[first]
    before = {move: starts[move] < zero for move in order}
    entering = [move for move in order if move in set(instance.first_moves)]
    numbers = {instance.moves[move].job: n for n, move in enumerate(entering, start=1)}
    heights = {
        stay.departure: height + before[stay.arrival] - before[stay.departure]
        for stay, height in zip(instance.stays, pattern.heights, strict=True)
    }
    steps = []
    for index in order:
        move, route = instance.moves[index], pattern.routes[index]
        steps.append(
            Step(
                start=starts[index] - zero + before[index] * cycle,
                source=instance.places[route.source].name,
                target=instance.places[route.target].name,
                recipe=instance.recipes[move.job],
                load=numbers[move.job],
                stage=move.stage,
                boundaries=heights.get(index),
            )
        )
    return Schedule(cycle, instance.ticks_per_unit, tuple(steps))


def on_grid(graph: EventGraph, per_unit: Fraction) -> EventGraph:
    """The same constraints in whole steps of another grid, each rounded up once.

    Whole starts keep a rounded arc exactly when they keep the arc itself. The first move
    of the cycle is to stay the first: every other one starts at least a step after it,
    in the cycle before.

    Parameters
    ----------
    graph : EventGraph
    per_unit : Fraction
        Steps of the new grid in one time unit of the problem.
    """
    scale = per_unit / graph.per_unit
    rounded = [replace(arc, length=ceil(arc.length * scale), parts=()) for arc in graph.arcs]
    others = (move for move in range(graph.nodes) if move != graph.anchor)
    first = [Arc(move, graph.anchor, 1, 1, "hoist") for move in others]
    return EventGraph(graph.nodes, graph.anchor, (*rounded, *first), per_unit)


def cycle_limits(graph: EventGraph) -> tuple[int, int | None]:
    """Least and greatest cycle time asked for, in grid steps; the least is at least 1."""
    least = max((arc.length for arc in graph.arcs if arc.rule == "shortest"), default=1)
    most = min((-arc.length for arc in graph.arcs if arc.rule == "longest"), default=None)
    return max(1, least), most


def retimed(
    graph: EventGraph, wanted: Sequence[int], cycle: int | Fraction
) -> tuple[int, list[int]] | None:
    """A cycle time near the one wanted, and starts near those wanted, in whole steps.

    Parameters
    ----------
    graph : EventGraph
    wanted : sequence of int
        A start for each move; none is earlier in the answer, and none later than needed.
    cycle : int or Fraction
        The next cycle time from it on is taken; where there is none, the next below it.

    Returns
    -------
    tuple of int and list of int, or None
        Cycle time and starts; None where no whole numbers keep the arcs.
    """
    possible = feasible_cycles(graph)
    if possible is None:
        return None
    least, most = max(possible[0], Fraction(1)), possible[1]
    whole = ceil(max(least, Fraction(cycle)))
    if most is not None and whole > most:
        whole = floor(most)
        if whole < least:
            return None
    starts, _ = longest_paths(graph.weights(Fraction(whole)), wanted)
    assert starts is not None
    return whole, starts
