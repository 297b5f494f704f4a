"""What happens in a programme, on the checker's grid: a course of runs and stays."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from ...base.errors import InputError
from ...problem import Problem
from ...schedule import Between, LineState, Programme, Step
from ..grid.clock import Clock
from ..grid.motion import Parts, Timetable
from ..grid.numbers import LARGEST, fair_rate, known_names, whole
from ..grid.route import Leg, Routes, Window
from ..grid.table import hoists_of

MOST_STEPS = 20_000


@dataclass(slots=True)
class Run:
    """A move as the hoist makes it; `number` counts the steps of the programme from 0."""

    number: int
    load: int
    leg: Leg
    source: str
    target: str
    start: int
    end: int
    parts: Parts
    hoist: int = 0


@dataclass(slots=True)
class Stay:
    """A load standing in a station; it came between `early` and `late`, 0 being the state.

    `brought_by` and `lifted_by` count the runs, None where the state had it there, or
    where no run lifts it.
    """

    load: int
    recipe: str
    stage: int
    station: str
    window: Window
    early: int
    late: int
    brought_by: int | None = None
    until: int | None = None
    lifted_by: int | None = None


@dataclass
class Course:
    """Everything that happens from a state on.

    Attributes
    ----------
    table : Table
    state : LineState
    runs : list of Run
        In order of time.
    stays : list of Stay
        Within the line; those at its ends are for :mod:`.ends` to work out.
    unmade : list of (int, str, str)
        Steps that are not made, or not as stated: step, a word for the kind, what is wrong.
    """

    table: Table
    state: LineState
    runs: list[Run] = field(default_factory=list)
    stays: list[Stay] = field(default_factory=list)
    unmade: list[tuple[int, str, str]] = field(default_factory=list)

    @property
    def end(self) -> int:
        """When the hoist is done with all of it."""
        ends = [run.end for run in self.runs]
        ends += [self.table.span(hoist.free_in)[1] for hoist in self.state.each_hoist]
        return max(ends, default=0)

    @property
    def told_until(self) -> int:
        """Until when all that happens is told.

        Where the programme goes on as a cycle of several hoists, that is the end of the last
        cycle shown: then one may lift its first load while another's last move is not over.
        """
        if self.table.programme.repeats is None:
            return self.end
        return min(self.end, self.table.block[1])


class Table:
    """A programme on its line, on the grid.

    Raises
    ------
    InputError
        When its data make no sense on this line, whatever the rules.

    Attributes
    ----------
    hoists : list of int
        The hoist of each step, by its number in track order.
    timetables : list of Timetable
        Of each hoist.
    """

    def __init__(self, problem: Problem, programme: Programme) -> None:
        _check_numbers(programme)
        known_names(problem, programme)
        self.problem = problem
        self.programme = programme
        self.steps: tuple[Step, ...] = programme.steps
        self.clock = Clock(problem, programme.ticks_per_unit)
        self.timetables = [Timetable(problem, self.clock, hoist) for hoist in problem.hoists]
        self.hoists = hoists_of(problem, self.steps)
        self.routes = Routes(problem, self.clock, self.timetables)
        self.starts = [self.clock.ticks(step.start) for step in self.steps]

    @property
    def times(self) -> Timetable:
        """The times of the one hoist; an InputError where there are several."""
        self.problem.check_one_hoist()
        return self.timetables[0]

    def times_of(self, number: int) -> Timetable:
        """The times of the hoist that makes a step."""
        return self.timetables[self.hoists[number]]

    @cached_property
    def block(self) -> tuple[int, int]:
        """When the last cycle shown begins and ends, in grid time."""
        repeats = self.programme.repeats
        assert repeats is not None
        last = self.programme.steps[-1].start
        begins = repeats.since + (last - repeats.since) // repeats.every * repeats.every
        return self.clock.ticks(begins), self.clock.ticks(begins + repeats.every)

    def span(self, times: Between) -> tuple[int, int]:
        """Two times on the grid, the lesser rounded down and the greater up."""
        least, most = times.least * self.clock.per_unit, times.most * self.clock.per_unit
        return least.__floor__(), most.__ceil__()

    def occupied(self, station: str) -> int:
        """The least time a carrier stands at an end of the line."""
        return self.clock.exact(self.problem.station_by_name[station].min_occupation)


def _check_numbers(programme: Programme) -> None:
    fair_rate(programme.ticks_per_unit, "programme, ticks per unit")
    if len(programme) > MOST_STEPS:
        raise InputError(f"at most {MOST_STEPS} steps", value=f"{len(programme)} steps")
    for number, step in enumerate(programme, start=1):
        whole(step.start, 0, LARGEST, f"step {number}, start in ticks")
        for key, least in (("load", 1), ("stage", 0)):
            value = getattr(step, key)
            if value is not None:
                whole(value, least, LARGEST, f"step {number}, {key}")
