"""The shortest cycle of an order of moves of several hoists, with the travels to give way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ..checker.plan import Plan
from ..checker.ways import all_doings
from ..schedule import Schedule, Travel
from .arc import Arc, Circuit, EventGraph
from .cycle_ratio import least_cycle_of
from .from_replay import load_arcs, plan_graph
from .longest_path import longest_paths
from .several import HoistArcs, several_hoist_arcs, without_travels

GRID = 1000
"""Travels start at whole parts of a tick, so many a tick."""


@dataclass(frozen=True)
class Shortest:
    """What an order of moves of several hoists leaves of the cycle time.

    Attributes
    ----------
    graph : EventGraph
        Of its steps, in exact times.
    exact : Fraction
        The least cycle time in the problem's unit, as though time were no grid.
    circuit : tuple of Arc
        What holds it there.
    schedule : Schedule
        The same steps and travels at the least cycle time of whole ticks, or as they were
        where that is no shorter.
    """

    graph: EventGraph
    exact: Fraction
    circuit: Circuit
    schedule: Schedule


def shortest(plan: Plan) -> Shortest:
    """The least cycle time of the order of an accepted plan of several hoists."""
    graph = plan_graph(plan)
    least = least_cycle_of(graph)
    assert least.exact is not None
    exact = least.exact / plan.table.clock.per_unit
    return Shortest(graph, exact, least.circuit, drawn_together(plan) or plan.table.schedule)


def drawn_together(plan: Plan, bound: int = 1) -> Schedule | None:
    """The order of an accepted plan of several hoists at its least cycle time of whole ticks.

    Parameters
    ----------
    plan : Plan
    bound : int
        Ticks that the cycle is not to be below.

    Returns
    -------
    Schedule or None
        None where it is no shorter than it was.
    """
    return _retimed(plan, several_hoist_arcs(plan), load_arcs(plan), bound)


def _retimed(plan: Plan, hoists: HoistArcs, loads: Sequence[Arc], bound: int) -> Schedule | None:
    clock, table, count = plan.table.clock, plan.table, len(plan.table.steps)
    part = clock.ticks(1) // GRID
    if clock.ticks(1) % GRID:
        return None
    whole = [replace(arc, length=-(-arc.length // part)) for arc in (*hoists.whole, *loads)]
    between = without_travels(whole, count, len(hoists.since))
    rounded = tuple(replace(arc, length=-(-arc.length // GRID)) for arc in between)
    limit = Arc(0, 0, bound, 1, "shortest")
    least = least_cycle_of(EventGraph(count, 0, (*rounded, limit)))
    if least.cycle is None or least.starts is None or least.cycle >= table.schedule.cycle:
        return None
    cycle = least.cycle
    low = -sum(abs(arc.length) + abs(arc.height) * cycle * GRID for arc in whole)
    labels = [*(start * GRID for start in least.starts), *(len(hoists.since) - count) * [low]]
    weights = [(a.tail, a.head, a.length - a.height * cycle * GRID) for a in whole]
    found, _ = longest_paths(weights, labels)
    assert found is not None and found[:count] == labels[:count]
    turns = [start // cycle for start in least.starts]
    steps = []
    for number, step in enumerate(table.steps):
        link = plan.links.get(number)
        boundaries = step.boundaries
        if boundaries is not None and link is not None:
            boundaries += turns[number] - turns[link.before]
        steps.append(replace(step, start=least.starts[number] % cycle, boundaries=boundaries))
    steps.sort(key=lambda step: step.start)
    travels, node = [], count
    for hoist, doings in enumerate(all_doings(table, plan.parts)):
        name = table.problem.hoists[hoist].name or ""
        for doing in doings:
            if not doing.step:
                start = Fraction(found[node], GRID) % cycle
                travels.append(Travel(start, name, doing.there))
                node += 1
    travels.sort(key=lambda travel: travel.start)
    return Schedule(cycle, table.schedule.ticks_per_unit, tuple(steps), tuple(travels))
