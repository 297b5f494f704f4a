"""A schedule as an answer: one that was found, one that was given, one that was refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from ...analysis.figures.report import Report, report
from ...analysis.figures.steps import tick_of
from ...base.text import counted
from ...checker.record import Replay
from ...planning.idle import IdleTanks, groups_all_used, idle_tanks
from ...problem import Problem
from ...schedule import Schedule
from ...schedule.files import travels_to_data
from ..answer import Answer, Outcome
from ..drawing.axes import figure_of
from ..tables.data_table import DataTable
from .chosen import choice_data, choice_sentences, idle_data, idle_sentences
from .data import result_data, verified_data
from .degrees import ComparedDegrees
from .rows import dwells_table, figures_table, hoists_table, steps_table
from .runnable import Shown, not_within, runnable_data, said_of, what_can_be_run, without_margin
from .violations import violation_data, violation_table, violations_of_cycle

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType

    from ...planning.result import DegreeChoice, Result


def tables_of(told: Report | None, notes: Sequence[str] = ()) -> list[DataTable]:
    """Steps of a schedule, for `hoistopt verify` to read back, dwells, figures; none of none."""
    if told is None:
        return []
    unit, travels = told.problem.unit, travels_to_data(told.schedule)
    steps = steps_table(told.steps, told.dwells, told.cycle_time, unit, travels, notes)
    beside = hoists_table(told.problem, told.neighbours, tick_of(told.schedule))
    return [steps, dwells_table(told), figures_table(told), *beside]


def timeway_of(problem: Problem, schedule: Schedule, seen: Replay) -> Figure:
    """The time-way diagram of a schedule as a figure outside of pyplot."""
    from ..timeway import draw_timeway

    return figure_of(draw_timeway(problem, schedule, seen))


@dataclass(frozen=True)
class VerifiedAnswer(Answer):
    """A schedule that the checker accepts.

    Attributes
    ----------
    replay : Replay
        What the checker saw of it; it is clean.
    status : str
        "verified"; the solver's status where the file of the schedule states that.
    said : tuple of str
        What has to be said of the file it came from.
    """

    replay: Replay
    status: str = "verified"
    said: tuple[str, ...] = ()

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.replay.problem

    @property
    def schedule(self) -> Schedule:
        """The moves."""
        return self.replay.schedule

    @cached_property
    def report(self) -> Report:
        """Its steps, dwells and figures."""
        return report(self.problem, self.schedule, self.replay, self.status)

    def data(self) -> dict[str, Any]:
        return verified_data(self.problem, self.report)

    def sentences(self) -> list[str]:
        seen = f"{self.replay.cycles} cycles, filling and emptying the line included"
        clean = f"Clean: {len(self.schedule)} moves replayed over {seen}, break no rule."
        return [clean, *self.said]

    def tables(self) -> list[RenderableType | str]:
        from .tables import dwell_table, figure_table, hoist_tables

        hoists = hoist_tables(self.report)
        return [*hoists, dwell_table(self.report), figure_table(self.report)]

    def data_tables(self) -> list[DataTable]:
        return tables_of(self.report)

    def figure(self) -> Figure:
        return timeway_of(self.problem, self.schedule, self.replay)

    def cautions(self) -> list[str]:
        return self.report.cautions


@dataclass(frozen=True)
class RefusedAnswer(Answer):
    """A table of moves that breaks rules of its line; drawn as such, nothing else is shown."""

    replay: Replay
    outcome: Outcome = "no"

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.replay.problem

    def data(self) -> dict[str, Any]:
        return violation_data(self.problem, *self._found)

    def sentences(self) -> list[str]:
        count = len(self.replay.violations)
        return [f"Refused: {counted(count, 'violation')} found."]

    def tables(self) -> list[RenderableType | str]:
        return [violation_table(self.problem, *self._found)]

    short_tables = tables

    def figure(self) -> Figure | None:
        seen = self.replay
        return timeway_of(seen.problem, seen.schedule, seen) if seen.runs else None

    def data_tables(self) -> list[DataTable]:
        return [violations_of_cycle(self.problem, *self._found)]

    @property
    def _found(self) -> tuple[Any, ...]:
        seen = self.replay
        return seen.violations, seen.cycle_time, tick_of(seen.schedule)


@dataclass(frozen=True)
class SolvedAnswer(Answer):
    """What the search for the least cycle time came to, degree by degree.

    Attributes
    ----------
    results : tuple of Result
        One a degree, up to the first that was stopped.
    best : Result or None
        The one with the least mean time per load; None where no degree has a schedule.
    replay : Replay or None
        What the checker saw of the best.
    show : {"least", "runnable"}
        Whose steps, files and drawings it has, where both are there.
    choice : DegreeChoice or None
        How the degree was chosen, where the best one was asked for.
    """

    problem: Problem
    results: tuple[Result, ...]
    best: Result | None
    replay: Replay | None
    show: Shown = "least"
    choice: DegreeChoice | None = None

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether there is a schedule, or proof that there is none."""
        if self.best is not None:
            return "done"
        return "no" if all(r.status == "infeasible" for r in self.results) else "stopped"

    @property
    def shown(self) -> Replay | None:
        """The replay of the schedule that tables, files and drawings are of."""
        runnable = None if self.best is None else self.best.runnable
        return self.replay if self.show == "least" or runnable is None else runnable.replay

    @cached_property
    def least(self) -> Report | None:
        """Steps, dwells and figures of the least cycle."""
        best, seen = self.best, self.replay
        if best is None or seen is None:
            return None
        return report(self.problem, seen.schedule, seen, best.status)

    @cached_property
    def runnable(self) -> Report | None:
        """Steps, dwells and figures of the schedule that can be run."""
        best = self.best
        if best is None or best.runnable is None:
            return None
        seen = best.runnable.replay
        return report(self.problem, seen.schedule, seen)

    @property
    def report(self) -> Report | None:
        """Steps, dwells and figures of the schedule that is shown."""
        return self.least if self.show == "least" or self.runnable is None else self.runnable

    def data(self) -> dict[str, Any]:
        told = self.best or self.results[-1]
        found = result_data(self.problem, told, self.least, self.results)
        if self.best is not None and self.best.margin is not None:
            found |= runnable_data(self.best, self.runnable)
        if self.choice is not None:
            found["choice"] = choice_data(self.choice)
        if self.report is not None:
            found["idle"] = idle_data(self.idle, self.report)
        return {**found, "shown": self.show if self.runnable is not None else "least"}

    @cached_property
    def idle(self) -> tuple[IdleTanks, ...]:
        """Tanks that stand idle in the schedule that is shown."""
        return () if self.report is None else idle_tanks(self.problem, self.report.schedule)

    @cached_property
    def compared(self) -> ComparedDegrees:
        """What each degree gives, and how the best was chosen."""
        return ComparedDegrees.of(self.problem, self.results, self.best, self.choice)

    def sentences(self) -> list[str]:
        from .words import outcome

        told = self.results if self.best is None else [self.best]
        said = [outcome(self.problem, result) for result in told]
        if self.choice is not None:
            chosen, *more = choice_sentences(self.compared)
            said = [*said[:-1], f"{said[-1]} {chosen}", *more]
        elif self.best is not None and self.best.loads_per_cycle > 1:
            said[-1] += f" On average {self.compared.least:f} {self.problem.unit} a load."
        if self.best is not None:
            said += said_of(self.best, self.show)
            if self.report is not None:
                said += groups_all_used(self.problem, self.report.schedule)
                said += idle_sentences(self.idle, self.report, self.compared)
        return said

    def tables(self) -> list[RenderableType | str]:
        from .runnable import runnable_tables
        from .tables import dwell_table, figure_table, hoist_tables, step_table

        told = self.report
        if told is None:
            return []
        shown = [step_table(told), *hoist_tables(told), dwell_table(told), figure_table(told)]
        beside = [] if self.best is None else runnable_tables(self.best)
        further = [*self._comparison(), *beside]
        return [*shown, "", *further] if further else [*shown]

    def short_tables(self) -> list[RenderableType | str]:
        # Who left the degree to the search has the best of them in words.
        return [] if self.choice is not None else self._comparison()

    def _comparison(self) -> list[RenderableType | str]:
        return [self.compared.table()] if self.compared.several else []

    def data_tables(self) -> list[DataTable]:
        found = tables_of(self.report, self._warned())
        if self.best is None:
            return found
        if self.compared.several:
            found.append(self.compared.data_table())
        return [*found, *what_can_be_run(self.best)]

    def csv(self) -> str | None:
        if self.report is None:
            return None  # what is warned of stands in the notes of the table
        return self.data_tables()[0].csv(self.report.cautions, [self.problem.note])

    def figure(self) -> Figure | None:
        seen = self.shown
        return None if seen is None else timeway_of(self.problem, seen.schedule, seen)

    def cautions(self) -> list[str]:
        found = super().cautions() if self.report is None else self.report.cautions
        unmet = self.report is not None and self.report is self.runnable
        return [*(self._warned() if unmet else ()), *found]

    def _warned(self) -> list[str]:
        """What to be warned of before the schedule shown is run, if anything."""
        if self.best is None:
            return []
        return (not_within if self.report is self.runnable else without_margin)(self.best)
