"""Whether a schedule keeps margins at the very times it has: arc by arc, without a search."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from ..instance import Instance
from ..instance.margins import Margins
from ..problem import Problem
from ..schedule import Schedule
from .from_instance import instance_graph
from .pattern import pattern_of


def keeps_margins(
    problem: Problem, instance: Instance, schedule: Schedule
) -> Callable[[Margins], bool]:
    """What tells whether a schedule keeps margins.

    Each arc has to leave what the move at its tail may be late for good, and that of a
    maximum the room of its dwell as well; arcs from a move to itself leave it anyway.

    Parameters
    ----------
    problem, instance : Problem, Instance
        A line with one hoist, and its instance of the degree of the schedule.
    schedule : Schedule
        On the grid of the instance, the first load's first move at 0.
    """
    pattern = pattern_of(problem, instance, schedule)
    graph = instance_graph(instance, pattern)
    arcs = tuple(arc for arc in graph.arcs if arc.tail != arc.head)
    stays = {(stay.departure, stay.arrival): stay.index for stay in instance.stays}
    starts = [schedule.steps[step].start for step in pattern.steps]
    weights = replace(graph, arcs=arcs).weights(Fraction(schedule.cycle))
    left = [
        (
            starts[head] - starts[tail] - weight,
            tail,
            stays[tail, head] if arc.rule == "maximum" else None,
        )
        for arc, (tail, head, weight) in zip(arcs, weights, strict=True)
    ]

    def keeps(margins: Margins) -> bool:
        return all(
            leaves >= max(margins.floats[tail], 0 if stay is None else margins.rooms[stay])
            for leaves, tail, stay in left
        )

    return keeps
