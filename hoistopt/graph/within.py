"""Whether a table of moves keeps every rule at times near those it states.

With the order of the moves fixed the rules are differences between starts, so this is a
system of differences with bounds, solved exactly by longest paths. What is found still has
to be replayed by the checker: nothing here judges.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor, lcm

from ..base.numbers.decimals import MOST_DECIMALS
from ..checker.plan import Plan
from ..schedule import Schedule
from .algorithms.cycle_ratio import feasible_cycles
from .algorithms.longest_path import longest_paths
from .arc import Arc, EventGraph
from .from_replay import plan_graph
from .retiming import on_grid


@dataclass(frozen=True)
class Near:
    """Times near those of a table at which its order of moves keeps every rule.

    Attributes
    ----------
    schedule : Schedule
        The same moves at those times.
    moved : Fraction
        The most by which a start or the cycle time differs from the table, in the problem's
        unit.
    """

    schedule: Schedule
    moved: Fraction


def nearest(plan: Plan, schedule: Schedule, tolerance: Fraction) -> Near | None:
    """Find times within a tolerance of those a table states that keep every rule.

    Parameters
    ----------
    plan : Plan
        The checker's reading of the table, on a line with one hoist.
    schedule : Schedule
        The table.
    tolerance : Fraction
        By how much each start, and the cycle time, may differ, in the problem's unit.

    Returns
    -------
    Near or None
        Times of at most six decimals, with the least difference that does; None where there
        are none, or a step is no move of the line.
    """
    if None in plan.legs or None in plan.parts or plan.wrong or plan.unclear:
        return None
    per_unit = lcm(10**MOST_DECIMALS, schedule.ticks_per_unit.numerator)
    graph = on_grid(plan_graph(plan), Fraction(per_unit))
    scale = per_unit / schedule.ticks_per_unit
    stated = [int(step.start * scale) for step in schedule]
    cycle = int(schedule.cycle * scale)
    most = floor(tolerance * per_unit)
    found = _times(graph, stated, cycle, most)
    if found is None:
        return None
    # The least bound that does: every larger one does too.
    least = -1
    while most - least > 1:
        middle = (least + most) // 2
        better = _times(graph, stated, cycle, middle)
        least, most, found = (middle, most, found) if better is None else (least, middle, better)
    whole, starts = found
    moved = max(abs(a - b) for a, b in zip([*starts, whole], [*stated, cycle], strict=True))
    steps = tuple(replace(step, start=start) for step, start in zip(schedule, starts, strict=True))
    return Near(Schedule(whole, Fraction(per_unit), steps), Fraction(moved, per_unit))


def _times(
    graph: EventGraph, stated: list[int], cycle: int, most: int
) -> tuple[int, list[int]] | None:
    """A cycle time and starts, none further from those stated than `most`, in grid steps."""
    origin = graph.nodes
    bounds = [
        arc
        for move, start in enumerate(stated)
        for arc in (
            Arc(origin, move, max(0, start - most), 0, "hoist"),
            Arc(move, origin, -start - most, 0, "hoist"),
            Arc(move, origin, 1, 1, "hoist"),
        )
    ]
    near = EventGraph(origin + 1, graph.anchor, (*graph.arcs, *bounds), graph.per_unit)
    possible = feasible_cycles(near)
    if possible is None:
        return None
    shortest = max(ceil(possible[0]), cycle - most, 1)
    longest = cycle + most if possible[1] is None else min(floor(possible[1]), cycle + most)
    if shortest > longest:
        return None
    whole = min(max(cycle, shortest), longest)
    lowest = [max(0, start - most) for start in stated]
    starts, _ = longest_paths(near.weights(Fraction(whole)), [*lowest, 0])
    if starts is None or starts[origin] != 0:
        return None
    return whole, starts[:origin]
