"""A move table on the grid, with everything needed to read it, checked for sense."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from typing import Self

from ...base.errors import InputError
from ...problem import Problem
from ...schedule import Schedule, Step
from .clock import Clock
from .motion import Parts, Timetable
from .numbers import LARGEST, fair_rate, known_names, whole
from .route import Leg, Routes

MOST_STEPS = 5_000


class Table:
    """A schedule on its line.

    Attributes
    ----------
    cycle : int
        Cycle time in grid time.
    starts : list of int
        Start of lifting of each step in grid time.
    hoists : list of int
        The hoist of each step, by its number in track order.
    timetables : list of Timetable
        Of each hoist.

    Raises
    ------
    InputError
        When the schedule's data make no sense on this line, whatever the rules.
    """

    def __init__(self, problem: Problem, schedule: Schedule) -> None:
        _check_numbers(schedule)
        known_names(problem, schedule.steps)
        self.problem = problem
        self.schedule = schedule
        self.steps: tuple[Step, ...] = schedule.steps
        self.clock = Clock(problem, schedule.ticks_per_unit)
        self.timetables = [Timetable(problem, self.clock, hoist) for hoist in problem.hoists]
        self.hoists = hoists_of(problem, self.steps)
        self.routes = Routes(problem, self.clock, self.timetables)
        self.cycle = self.clock.ticks(schedule.cycle)
        self.starts = [self.clock.ticks(step.start) for step in self.steps]
        self._later: Sequence[int] | None = None

    @property
    def times(self) -> Timetable:
        """The times of the one hoist.

        Raises
        ------
        InputError
            When there are several: for what can be asked of lines with one hoist only.
        """
        self.problem.check_one_hoist()
        return self.timetables[0]

    def times_of(self, number: int) -> Timetable:
        """The times of the hoist that makes a step."""
        return self.timetables[self.hoists[number]]

    def parts(self, number: int, leg: Leg | None) -> Parts | None:
        """The times of a step that serves `leg`; None where none are known."""
        step = self.steps[number]
        drip = 0 if leg is None else self.routes.drip(leg)
        return self.times_of(number).loaded(step.source, step.target, drip)

    def end(self, number: int, leg: Leg | None) -> int:
        """When a step of cycle 0 that serves `leg` has set its carrier down."""
        parts = self.parts(number, leg)
        later = 0 if self._later is None else self._later[number]
        return self.starts[number] + (parts.total if parts else 0) + later

    def ending_later(self, by: Sequence[int]) -> Self:
        """The same table where each step takes longer, and so ends later, than its move does.

        Parameters
        ----------
        by : sequence of int
            How much later each step ends, in grid time.
        """
        later = copy(self)
        later._later = by
        return later


def hoists_of(problem: Problem, steps: tuple[Step, ...]) -> list[int]:
    """The number of the hoist that makes each step."""
    numbers = {hoist.name: number for number, hoist in enumerate(problem.hoists)}
    if len(numbers) == 1:
        return [0] * len(steps)
    for number, step in enumerate(steps, start=1):
        if step.hoist not in numbers:
            raise InputError(
                "the name of a hoist of this line",
                field=f"step {number}, hoist",
                value=step.hoist,
                way_out="The line has: " + ", ".join(str(name) for name in numbers) + ".",
            )
    return [numbers[step.hoist] for step in steps]


def _check_numbers(schedule: Schedule) -> None:
    whole(schedule.cycle, 1, LARGEST, "schedule, cycle in ticks")
    fair_rate(schedule.ticks_per_unit, "schedule, ticks per unit")
    if len(schedule.steps) > MOST_STEPS:
        raise InputError(f"at most {MOST_STEPS} steps", value=f"{len(schedule.steps)} steps")
    for number, step in enumerate(schedule.steps, start=1):
        whole(step.start, 0, schedule.cycle - 1, f"step {number}, start in ticks")
        for key, least in (("load", 1), ("stage", 0), ("boundaries", 0)):
            value = getattr(step, key)
            if value is not None:
                whole(value, least, LARGEST, f"step {number}, {key}")
