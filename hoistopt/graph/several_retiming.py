"""The shortest cycle of an order of moves of several hoists, with the travels to give way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ..checker.hoists.ways import all_doings
from ..checker.plan import Plan
from ..schedule import Schedule, Travel
from .algorithms.cycle_ratio import least_cycle_of
from .algorithms.longest_path import longest_paths
from .arc import Arc, Circuit, EventGraph
from .from_replay import load_arcs, plan_graph
from .several import several_hoist_arcs, without_travels

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
    if not on_grid(plan):
        return None
    arcs = TickArcs(plan)
    limit = Arc(0, 0, bound, 1, "shortest")
    least = least_cycle_of(EventGraph(len(plan.table.steps), 0, (*arcs.arcs, limit)))
    if least.cycle is None or least.starts is None or least.cycle >= plan.table.schedule.cycle:
        return None
    return arcs.schedule(least.starts, least.cycle)


def on_grid(plan: Plan) -> bool:
    """Whether a tick has so many whole parts in the checker's exact times that travels can start
    at them."""
    return plan.table.clock.ticks(1) % GRID == 0


class TickArcs:
    """What the steps of an accepted plan of several hoists ask of one another, in whole ticks.

    Parameters
    ----------
    plan : Plan
        One that is :func:`on_grid`.

    Attributes
    ----------
    arcs : tuple of Arc
        Between the steps of the plan, travels left out; lengths in ticks, rounded up.
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        part = plan.table.clock.ticks(1) // GRID
        hoists, loads = several_hoist_arcs(plan), load_arcs(plan)
        self._nodes, count = len(hoists.since), len(plan.table.steps)
        self._whole = _in_parts(hoists.whole, part)
        between = [
            *without_travels(self._whole, count, self._nodes),
            *_in_parts(loads, part),
        ]
        self.arcs = tuple(replace(arc, length=-(-arc.length // GRID)) for arc in between)

    def schedule(self, starts: Sequence[int], cycle: int) -> Schedule:
        """The same steps and travels at other starts of the steps.

        Parameters
        ----------
        starts : sequence of int
            In ticks, by step, such as keep the arcs; they may lie outside the cycle.
        cycle : int
            Ticks.
        """
        plan = self._plan
        table, count = plan.table, len(starts)
        low = -sum(abs(arc.length) + abs(arc.height) * cycle * GRID for arc in self._whole)
        low += GRID * min(0, *starts)
        labels = [*(start * GRID for start in starts), *(self._nodes - count) * [low]]
        weights = [(a.tail, a.head, a.length - a.height * cycle * GRID) for a in self._whole]
        found, _ = longest_paths(weights, labels)
        assert found is not None and found[:count] == labels[:count]
        turns = [start // cycle for start in starts]
        steps = []
        for number, step in enumerate(table.steps):
            link = plan.links.get(number)
            boundaries = step.boundaries
            if boundaries is not None and link is not None:
                boundaries += turns[number] - turns[link.before]
            steps.append(replace(step, start=starts[number] % cycle, boundaries=boundaries))
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


def _in_parts(arcs: Sequence[Arc], part: int) -> list[Arc]:
    """Arcs in parts of a tick, rounded up."""
    return [replace(arc, length=-(-arc.length // part)) for arc in arcs]
