"""A schedule in whole units of a controller, checked again on those very numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from ..base.errors import InputError
from ..checker import Refused, Replay, accepted, plan_of
from ..checker.plan import Plan
from ..graph.arc import EventGraph
from ..graph.from_replay import plan_graph
from ..graph.retiming import cycle_limits, on_grid, retimed
from ..problem import Problem
from ..schedule import Schedule, Step
from .units import TimeUnit


@dataclass(frozen=True)
class InWhole:
    """A schedule in whole units, one tick being one unit; every column is filled in.

    Attributes
    ----------
    plain, strict : Replay
        Its accepted replays: on the line, and on the line with windows in whole units.
    """

    plain: Replay
    strict: Replay

    @property
    def schedule(self) -> Schedule:
        """The schedule in whole units, as the line accepts it."""
        return self.plain.schedule


def in_whole_units(given: Replay, strict: Problem, unit: TimeUnit) -> InWhole:
    """The same pattern of moves with every start and the cycle time in whole units.

    Times that are whole already stay as they are. Others are moved as little as the
    demands of the pattern allow; the cycle time becomes longer, or shorter, where it must.

    Parameters
    ----------
    given : Replay
        Of a schedule that the checker accepted.
    strict : Problem
        The line with its windows in whole units.
    unit : TimeUnit

    Raises
    ------
    InputError
        When no timing of the pattern in whole units keeps every rule.
    """
    problem, schedule = given.problem, given.schedule
    steps = tuple(filled(given.plan, number) for number in range(len(schedule)))
    plan = plan_of(strict, replace(schedule, steps=steps))
    units = unit.per_unit_of(problem)
    # With the carriers as planned: how many stand where is kept as well.
    graph = on_grid(plan_graph(plan, spare=False), units)
    exact = [schedule.time(step.start) * units for step in schedule]
    cycle = schedule.time(schedule.cycle) * units
    for timing in _timings(graph, unit, exact, cycle):
        found = _timed(steps, *timing, units)
        try:
            seen = accepted(problem, found)
            return InWhole(seen, accepted(strict, found, seen))
        except Refused:
            continue
    raise InputError(
        f"a time unit fine enough: in whole {unit.label} no timing of these moves keeps "
        "every window and leaves the hoist its time",
        field="time unit",
        value=unit.key,
        way_out="Choose a finer unit, or solve again with tick in the problem file set to it.",
    )


def _timings(
    graph: EventGraph, unit: TimeUnit, exact: list[Fraction], cycle: Fraction
) -> Iterator[tuple[int, list[int]]]:
    """Cycle time and starts worth a replay: as they are if whole, else moved."""
    if all(time.denominator == 1 for time in (cycle, *exact)):
        starts = [int(start) for start in exact]
        if all(arc.slack(starts, int(cycle)) >= 0 for arc in graph.arcs):
            yield int(cycle), starts
    least, most = cycle_limits(graph)
    if most is not None and least > most:
        raise InputError(
            f"limits of the cycle time with a whole number of {unit.label} between them",
            field="cycle, max",
            way_out="Choose a finer time unit.",
        )
    wanted = [round(start) for start in exact]
    found = retimed(graph, wanted, cycle)
    if found is not None:
        whole, starts = found
        kept = [start - starts[0] + wanted[0] for start in starts]
        if max(kept) >= whole:
            kept = [start - starts[0] for start in starts]
        yield whole, kept


def filled(plan: Plan, number: int) -> Step:
    """A step with what the checker saw it do."""
    leg, link = plan.legs[number], plan.links.get(number)
    assert leg is not None
    return replace(
        plan.table.steps[number],
        recipe=leg.recipe,
        load=plan.loads[number],
        stage=leg.leaves,
        boundaries=link.boundaries if link is not None and leg.leaves > 0 else None,
    )


def _timed(steps: tuple[Step, ...], cycle: int, starts: list[int], units: Fraction) -> Schedule:
    placed = (replace(step, start=start) for step, start in zip(steps, starts, strict=True))
    return Schedule(cycle, units, tuple(placed))
