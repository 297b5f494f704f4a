"""The course of a schedule: which step waits for which, and how much time is to spare.

A sequencer that keeps the order of the steps starts one when all of these are true:
its planned time has come, the hoist is there, the carrier has stood its minimum, and at
the ends of the line a carrier or a place is ready. Built from the checker's reading of
the schedule, in its exact times, so that nothing is lost to rounding.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from ..base.errors import InputError
from ..checker import replay
from ..checker.motion import Parts
from ..checker.plan import Plan, plan_of
from ..checker.reading.table import Table
from ..checker.simulate import simulate
from ..problem import Problem
from ..schedule import Schedule, Step
from .ends import end_waits
from .waits import Wait

__all__ = ["Course", "Stand", "Wait", "course_of"]

Why = Literal["hoist", "minimum", "station", "return"]


@dataclass(frozen=True, slots=True)
class Stand:
    """A load standing in a stage between two steps of its own.

    `cycles` is how many cycles after step `arrival` step `departure` comes. `dwell`,
    `least`, `most` and `room`, what the planned dwell lies below the maximum, are in
    grid time.
    """

    arrival: int
    departure: int
    cycles: int
    recipe: str
    stage: int
    label: str
    station: str
    load: int
    dwell: int
    least: int
    most: int | None

    @property
    def room(self) -> int | None:
        """By how much the dwell may grow."""
        return None if self.most is None else max(0, self.most - self.dwell)


@dataclass(frozen=True)
class Course:
    """What a schedule's steps wait for, all in grid time and by step, counted from 0.

    Attributes
    ----------
    problem, schedule : Problem, Schedule
    cycle, tick : int
        Cycle time; length of a tick of the schedule.
    tolerance : int
        By how much a square root that was cut off may be wrong.
    per_unit : int
        Grid steps in one time unit.
    starts : tuple of int
        Planned starts.
    parts : tuple of Parts
        Times of the loaded moves.
    empties : tuple of int
        Empty travel to each step's source from the step before.
    waits : tuple of Wait
        Of the steady cycle.
    stands : tuple of Stand
    encounters : tuple of Wait
        Successions of two steps that occur only while the line fills or runs out, when
        the steps between them are left out.
    recipes, loads, stages : tuples
        What each step carries; stages as in :class:`~hoistopt.schedule.Step`.
    """

    problem: Problem
    schedule: Schedule
    cycle: int
    tick: int
    tolerance: int
    per_unit: int
    starts: tuple[int, ...]
    parts: tuple[Parts, ...]
    empties: tuple[int, ...]
    waits: tuple[Wait, ...]
    stands: tuple[Stand, ...]
    encounters: tuple[Wait, ...]
    recipes: tuple[str, ...]
    loads: tuple[int, ...]
    stages: tuple[int, ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps of the schedule."""
        return self.schedule.steps

    def __len__(self) -> int:
        return len(self.starts)

    def ticks(self, time: int) -> int:
        """A grid time in whole ticks, rounded down."""
        return (time + self.tolerance) // self.tick


def course_of(problem: Problem, schedule: Schedule) -> Course:
    """Read off what waits for what.

    Raises
    ------
    InputError
        When the schedule breaks a rule: a line that cannot run has no margins.
    """
    seen = replay(problem, schedule)
    if not seen.clean:
        raise InputError(
            "moves that break no rule",
            field="moves",
            value=str(seen.violations[0]),
            way_out="`hoistopt verify` names every broken rule.",
        )
    plan = plan_of(Table(problem, schedule))
    table, clock = plan.table, plan.table.clock
    parts = tuple(part for part in plan.parts if part is not None)
    legs = [leg for leg in plan.legs if leg is not None]
    assert len(parts) == len(legs) == len(table.steps)
    waits = [*_hoist(plan), *_minimum(plan), *end_waits(plan)]
    tolerance = clock.tolerance
    return Course(
        problem=problem,
        schedule=schedule,
        cycle=table.cycle,
        tick=clock.ticks(1),
        tolerance=tolerance,
        per_unit=clock.per_unit,
        starts=tuple(table.starts),
        parts=parts,
        empties=tuple(_empty(plan, number - 1, number) for number in range(len(parts))),
        waits=tuple(wait.checked(tolerance) for wait in waits),
        stands=tuple(_stands(plan)),
        encounters=tuple(wait.checked(tolerance) for wait in _encounters(plan)),
        recipes=tuple(leg.recipe for leg in legs),
        loads=tuple(plan.loads),
        stages=tuple(leg.leaves for leg in legs),
    )


def _empty(plan: Plan, before: int, after: int) -> int:
    """Empty travel from the end of one step to the start of another."""
    steps = plan.table.steps
    time = plan.table.times.empty(steps[before].target, steps[after].source)
    assert time is not None
    return time


def _hoist_wait(plan: Plan, before: int, after: int, cycles: int) -> Wait:
    ready = plan.end(before) + _empty(plan, before, after)
    slack = plan.table.starts[after] + cycles * plan.table.cycle - ready
    return Wait(before, after, cycles, slack, "hoist")


def _hoist(plan: Plan) -> list[Wait]:
    """In the steady cycle the hoist comes from the step before."""
    numbers = range(len(plan.table.steps))
    found = [_hoist_wait(plan, before, after, 0) for before, after in pairwise(numbers)]
    return [*found, _hoist_wait(plan, numbers[-1], 0, 1)]


def _encounters(plan: Plan) -> list[Wait]:
    steady = {(wait.before, wait.after, wait.cycles) for wait in _hoist(plan)}
    seen = {
        (before.number, after.number, after.cycle - before.cycle)
        for before, after in pairwise(simulate(plan).runs)
    }
    return [_hoist_wait(plan, *met) for met in sorted(seen - steady)]


def _minimum(plan: Plan) -> list[Wait]:
    """A carrier stands its minimum before it is lifted."""
    found = []
    for number, leg in enumerate(plan.legs):
        link = plan.links.get(number)
        if leg is None or link is None or leg.leaves == 0:
            continue
        station = plan.table.steps[number].source
        least = plan.table.routes.window(leg.recipe, leg.leaves, station).least
        found.append(Wait(link.before, number, link.boundaries, link.dwell - least, "minimum"))
    return found


def _stands(plan: Plan) -> list[Stand]:
    table, found = plan.table, []
    for number, leg in enumerate(plan.legs):
        link = plan.links.get(number)
        if leg is None or link is None or not 0 < leg.leaves < table.routes.last(leg.recipe):
            continue
        station = table.steps[number].source
        window = table.routes.window(leg.recipe, leg.leaves, station)
        found.append(
            Stand(
                arrival=link.before,
                departure=number,
                cycles=link.boundaries,
                recipe=leg.recipe,
                stage=leg.leaves,
                label=table.routes.label(leg.recipe, leg.leaves, station),
                station=station,
                load=plan.loads[number],
                dwell=link.dwell,
                least=window.least,
                most=window.most,
            )
        )
    return found
