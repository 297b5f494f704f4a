"""A schedule of several hoists in whole units, in which hoists wait until their ways are free.

A schedule may have one hoist follow another closely. A hoist that waits until the other has
arrived cannot; so motions are moved, as little as their order allows. Where that would break a
window or make the cycle longer, a hoist follows as the schedule has it. The checker looks at
what comes out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil

from ...base.errors import InputError
from ...checker import Refused, Replay, accepted, plan_of
from ...checker.plan import Plan
from ...graph.algorithms.cycle_ratio import Least, least_cycle_of, ratio
from ...graph.arc import Arc, EventGraph, height_of, length_of
from ...graph.from_replay import plan_graph
from ...graph.retiming import cycle_limits, retimed
from ...problem import Problem
from ...schedule import Schedule, Travel
from ..rounding import InWhole, filled
from ..units import TimeUnit
from .motions import Motion, in_order
from .ordered import Ordered, Pair, eased, in_order_of
from .waits import Waits


def released_in_whole_units(given: Replay, strict: Problem, unit: TimeUnit) -> InWhole:
    """The same motions in the same order, in whole units, ways begun when free where possible.

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
        When no timing of these motions does that and keeps every window.
    """
    problem, schedule = given.problem, given.schedule
    steps = tuple(filled(given.plan, number) for number in range(len(schedule)))
    plan = plan_of(strict, replace(schedule, steps=steps))
    motions = in_order(plan)
    units = unit.per_unit_of(problem)
    cycle = schedule.time(schedule.cycle) * units
    graph, nodes, tight = _kept(plan, motions, units, cycle)
    scale = units / plan.table.clock.per_unit
    least, most = cycle_limits(graph)
    waits = Waits(plan, motions, ())
    wanted = [round(waits.planned(waits.first(hoist, number)) * scale) for hoist, number in nodes]
    found = None
    if most is None or least <= most:
        found = retimed(graph, wanted, cycle)
    if found is not None:
        timed = _timed(plan, motions, nodes, units, *found)
        try:
            seen = accepted(problem, timed)
            return InWhole(seen, accepted(strict, timed, seen))
        except Refused:
            pass
    raise InputError(
        "a schedule that leaves time for hoists to wait for one another: no timing of these "
        f"moves in whole {unit.label} keeps every window{_short(tight, most, unit)}",
        field="moves",
        way_out="Choose a finer unit, solve again with wider windows, or with a margin: it leaves "
        "hoists time between their moves.",
    )


def _short(tight: Least, most: int | None, unit: TimeUnit) -> str:
    """By how much the times fall short along one ring of waits, where that can be said."""
    lacking = Fraction(0)
    if tight.against:
        cycle = tight.exact or (ratio(tight.circuit) if tight.circuit else Fraction(0))
        lacking = length_of(tight.against) - height_of(tight.against) * cycle
    elif tight.exact is not None and most is not None:
        lacking = tight.exact - most
    return f"; they fall short by {ceil(lacking)} {unit.label}" if lacking > 0 else ""


def _kept(
    plan: Plan, motions: Sequence[Sequence[Motion]], units: Fraction, cycle: Fraction
) -> tuple[EventGraph, list[tuple[int, int]], Least]:
    """Waits in whole units that can be kept in the cycle time, as safe as that allows."""
    ordered = in_order_of(plan, motions)
    spared = _spared(plan, motions)

    def timed(
        skipped: Mapping[Pair, int],
    ) -> tuple[tuple[EventGraph, list[tuple[int, int]], Least], list[Ordered]]:
        graph, nodes, pairs = Waits(plan, motions, ordered, skipped).starts_graph()
        scale = units / graph.per_unit
        arcs = tuple(
            replace(arc, length=ceil(arc.length * scale)) for arc in (*graph.arcs, *spared)
        )
        rounded = EventGraph(graph.nodes, graph.anchor, arcs, units)
        least = least_cycle_of(rounded)
        found = rounded, nodes, least
        if least.exact is not None and not least.against and least.exact <= ceil(cycle):
            return found, []
        # Of two circuits that contradict one another easing either may help.
        circuits = [arc for arc in (*least.against, *least.circuit) if arc.rule == "station"]
        known = (pairs.get((arc.tail, arc.head, arc.height)) for arc in circuits)
        return found, [pair for pair in known if pair is not None]

    return eased(timed)


def _spared(plan: Plan, motions: Sequence[Sequence[Motion]]) -> list[Arc]:
    """The margin that the problem asks for, as arcs between motions; none where it asks for none.

    What follows a move leaves it its float, by the least times of the schedule itself: a hoist
    that is late need not have waited. A dwell keeps the more of slack and float below its maximum.
    """
    problem, exact = plan.table.problem, plan.table.clock.exact
    if not problem.asks_margin:
        return []
    waits = Waits(plan, motions, ())
    nodes = [(hoist, number) for hoist, made in enumerate(motions) for number in range(len(made))]
    asked = []
    for leg in plan.legs:
        of = problem.line_margin
        if leg is not None and 0 < leg.leaves < plan.table.routes.last(leg.recipe):
            of = problem.margin_of(problem.recipe_by_name[leg.recipe].stages[leg.leaves - 1])
        asked.append([exact(part) for part in of])
    found = []
    for arc in plan_graph(plan, spare=False).arcs:
        if arc.rule in ("shortest", "longest"):
            continue
        more = max(asked[arc.tail]) if arc.rule == "maximum" else asked[arc.tail][1]
        tail, head = (nodes.index(waits.place[step]) for step in (arc.tail, arc.head))
        height = waits.height(arc.tail, arc.head, arc.height)
        found.append(Arc(tail, head, arc.length + more, height, arc.rule))
    return found


def _timed(
    plan: Plan,
    motions: Sequence[Sequence[Motion]],
    nodes: Sequence[tuple[int, int]],
    units: Fraction,
    cycle: int,
    starts: Sequence[int],
) -> Schedule:
    """The schedule with its motions at these times, all travels stated."""
    table = plan.table
    names = [hoist.name or "" for hoist in table.problem.hoists]
    begins: dict[int, int] = {}
    travels = []
    for (hoist, number), start in zip(nodes, starts, strict=True):
        motion = motions[hoist][number]
        if motion.step is None:
            travels.append(Travel(Fraction(start % cycle), names[hoist], motion.there))
        else:
            turned = (table.starts[motion.step] - motion.since) // table.cycle
            begins[motion.step] = start + turned * cycle
    steps = []
    for number, step in enumerate(table.steps):
        link, boundaries = plan.links.get(number), step.boundaries
        if link is not None and boundaries is not None:
            boundaries += begins[number] // cycle - begins[link.before] // cycle
        steps.append(replace(step, start=begins[number] % cycle, boundaries=boundaries))
    return Schedule(cycle, units, tuple(steps), tuple(travels))
