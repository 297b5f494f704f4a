"""What the steps of a schedule wait for and their planned times, in the checker's exact times."""

from __future__ import annotations

from dataclasses import dataclass

from ..checker.grid.motion import Parts
from ..problem import Problem
from ..schedule import Schedule, Step
from .arc import Arc


@dataclass(frozen=True, slots=True)
class Dwell:
    """A load standing in a stage between two steps of its own.

    `height` is how many cycles after step `arrival` step `departure` comes. `planned`,
    `least`, `most` and `room`, what the planned dwell lies below the maximum, are in
    grid steps.
    """

    arrival: int
    departure: int
    height: int
    recipe: str
    stage: int
    label: str
    station: str
    load: int
    planned: int
    least: int
    most: int | None

    @property
    def room(self) -> int | None:
        """By how much the dwell may grow."""
        return None if self.most is None else max(0, self.most - self.planned)


@dataclass(frozen=True)
class TimedPlan:
    """What the steps of a schedule wait for, and their planned times, in grid steps.

    A sequencer that keeps the order of the steps starts one when all of these are true:
    its planned time has come, the hoist is there, the carrier has stood its minimum, the place
    it is brought to will have rested by then, and at the ends of the line a carrier or a place
    is ready.

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
        Planned starts, by step, counted from 0.
    parts : tuple of Parts
        Times of the loaded moves, by step.
    empties : tuple of int
        Empty travel to each step's source from the step before, by step; of several hoists
        all travels of its own since its step before.
    waits : tuple of Arc
        What steps wait for in the steady cycle: the hoist from the step before, the
        distance of hoists, the minimum dwell, the rest of a tank, the ends of the line.
    left_out : tuple of Arc
        What the hoist needs, besides, from a step to one after the next, should the steps
        between be left out for want of a carrier. None where times obey the triangle
        inequality. Of several hoists what one that is already under way needs of another.
    dwells : tuple of Dwell
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
    waits: tuple[Arc, ...]
    left_out: tuple[Arc, ...]
    dwells: tuple[Dwell, ...]
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

    def slack(self, arc: Arc) -> int:
        """How late the tail may be, as planned, without making the head late.

        A slack below 0 only by what a cut-off square root is wrong counts as 0.
        """
        slack = arc.slack(self.starts, self.cycle)
        if slack < -self.tolerance:
            raise AssertionError(f"a schedule the checker accepts breaks {arc}")
        return max(0, slack)
