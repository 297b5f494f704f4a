"""What a report is about, gathered once for all its parts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import cached_property

from ...analysis.figures import Report, report
from ...analysis.figures.steps import steady_runs, tick_of
from ...base.numbers.decimals import as_decimal
from ...checker.record import HoistRun, Replay
from ...margin.figures import MarginFigures
from ...planning.result import Result
from ...problem import Problem, Station
from ...schedule import Schedule
from ..schedule.degrees import ComparedDegrees
from ..schedule.runnable import cannot_be_run, not_within
from ..timeway.lanes import track_order


@dataclass(frozen=True)
class Case:
    """A schedule the checker has accepted.

    Attributes
    ----------
    problem, schedule, replay
        The line, its moves, and what the checker saw.
    result : Result or None
        The solver's answer; None for a table of moves from elsewhere.
    written : date or None
        The day printed on the report.
    source : str or None
        Name of the file that `result` was read from; None where it was searched for.
    degrees : ComparedDegrees or None
        The degrees compared, where `result` alone does not tell of them.
    margin : MarginFigures or None
        What moves from elsewhere forgive, where there is no `result` to tell of it.
    """

    problem: Problem
    schedule: Schedule
    replay: Replay
    result: Result | None = None
    written: date | None = None
    source: str | None = None
    degrees: ComparedDegrees | None = None
    margin: MarginFigures | None = None

    @cached_property
    def told(self) -> Report:
        """The tables all outputs share."""
        status = "verified" if self.result is None or self.longer else self.result.status
        return report(self.problem, self.schedule, self.replay, status)

    @property
    def longer(self) -> bool:
        """Whether it is the schedule that can be run, and not that of the least cycle."""
        result = self.result
        if result is None or result.runnable is None or result.schedule is None:
            return False
        return self.schedule == result.runnable.schedule != result.schedule

    @cached_property
    def warned(self) -> list[str]:
        """What to be warned of before the schedule shown is run, if anything is known of that."""
        result = self.result
        if result is None:
            return []
        if self.longer:
            return not_within(result)
        if self.schedule != result.schedule:
            return []
        return cannot_be_run(result, from_file=self.source is not None)

    @cached_property
    def compared(self) -> ComparedDegrees | None:
        """What each degree gives and how the best was chosen; None where nothing states it."""
        result = self.result
        if self.degrees is not None or result is None:
            return self.degrees
        choice = result.choice
        results = (result,) if choice is None else choice.results
        found = ComparedDegrees.of(self.problem, results, result, choice)
        return replace(found, source=self.source)

    @property
    def unit(self) -> str:
        """Unit of every time."""
        return self.problem.unit

    @cached_property
    def tick(self) -> Fraction:
        """The schedule's grid in the unit."""
        return tick_of(self.schedule)

    @cached_property
    def stations(self) -> list[Station]:
        """Stations in track order."""
        return track_order(self.problem)

    @cached_property
    def cycle_runs(self) -> list[HoistRun]:
        """The moves of the first steady cycle."""
        until = (self.replay.steady_from + 1) * self.replay.cycle_time
        return [run for run in steady_runs(self.replay) if run.start < until]

    @property
    def loads_per_cycle(self) -> int:
        """Loads that enter in one cycle."""
        return sum(run.stage == 0 for run in self.cycle_runs)

    @property
    def degree(self) -> int | None:
        """Sets of loads per cycle, where that is a whole number."""
        sets, rest = divmod(self.loads_per_cycle, len(self.problem.load_set))
        return None if rest else sets

    def time(self, value: Fraction) -> str:
        """A time with its unit, rounded up to the tick where it has no short decimal."""
        return f"{as_decimal(value, self.tick):f} {self.unit}"
