"""Schedules that a line without some tanks can begin with: those of others, changed for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...base.clock import Clock
from ...base.errors import InfeasibleError
from ...instance import Instance, build_instance
from ...planning.idle import groups_of_tanks
from ...planning.result import Result
from ...problem import Problem
from ...schedule import Schedule
from ...solver import retimed, shortest_in_order

LONGER = 2
"""How much longer a cycle of several hoists in the same order may be than with all tanks."""


def uses(schedule: Schedule, tanks: Sequence[str]) -> bool:
    """Whether a schedule uses some of these tanks or hoists."""
    return any(step.target in tanks or step.hoist in tanks for step in schedule)


def known_without(
    problem: Problem,
    line: Problem,
    out: Sequence[str],
    results: Sequence[Result],
    clock: Clock,
) -> list[Schedule]:
    """Schedules of the line without some tanks, from those of others.

    One that does not use them is kept as it is; in one that does, an idle tank of the same
    group takes the loads of each, and it is given its times again.

    Parameters
    ----------
    problem : Problem
        The line with all its tanks.
    line : Problem
        That without some.
    out : sequence of str
        The tanks and hoists it is without.
    results : sequence of Result
        What was found for others.
    clock : Clock
        When it is over, none is given times again.
    """
    found = []
    for result in results:
        schedule = result.schedule
        if schedule is None:
            continue
        if not uses(schedule, out):
            found.append(schedule)
            continue
        if any(step.hoist in out for step in schedule):
            continue
        other = _exchanged(problem, schedule, out)
        if other is None or clock.over:
            continue
        try:
            instance = build_instance(line, result.degree, several=True)
        except InfeasibleError:  # the search for the line says so
            return []
        if _every_way(instance, other):
            part = clock.part(2.0)
            if instance.several is None:
                timed = retimed(instance, other, part)
            else:
                timed = shortest_in_order(instance, other, LONGER * other.cycle, part)
            if timed is not None:
                found.append(timed)
    return found


def _every_way(instance: Instance, schedule: Schedule) -> bool:
    """Whether the hoist can go all the ways of a schedule, as far as they are named."""
    names = [place.name for place in instance.places]
    ways = {
        (instance.recipes[move.job], move.stage, names[route.source], names[route.target])
        for move in instance.moves
        for route in move.routes
    }
    return all((s.recipe, s.stage, s.source, s.target) in ways for s in schedule)


def _exchanged(problem: Problem, schedule: Schedule, out: Sequence[str]) -> Schedule | None:
    """The schedule with idle tanks of the same groups in place of some; None without any."""
    used = {step.target for step in schedule}
    instead: dict[str, str] = {}
    for tank in out:
        groups = [names for _, names, _ in groups_of_tanks(problem) if tank in names]
        free = [
            name
            for name in groups[0]
            if name not in used
            and name not in out
            and name not in instead.values()
            and all(name in names for names in groups)
        ]
        if tank in used and not free:
            return None
        if tank in used:
            instead[tank] = free[0]
    steps = tuple(
        replace(
            step,
            source=instead.get(step.source, step.source),
            target=instead.get(step.target, step.target),
        )
        for step in schedule
    )
    return replace(schedule, steps=steps)
