"""Everything there is to tell about one schedule, gathered once for all outputs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ...base.numbers.decimals import as_decimal
from ...checker import Refused, Replay
from ...checker.neighbours import Neighbours, neighbours
from ...problem import Problem
from ...problem.grid import ticks_per_unit
from ...schedule import Schedule
from .cautions import cautions, gain_speed
from .dwells import DwellRow, dwell_rows
from .figures import Figures, figures
from .steps import StepRow, step_rows, tick_of


@dataclass(frozen=True)
class Report:
    """Tables and figures of a schedule the checker has accepted.

    Build it with :func:`report`. `cycle_time` is in the problem's unit; `neighbours` is what
    hoists side by side leave one another.
    """

    problem: Problem
    schedule: Schedule
    cycle_time: Decimal
    steps: list[StepRow]
    dwells: list[DwellRow]
    figures: Figures
    cautions: list[str]
    neighbours: list[Neighbours]

    @property
    def several_recipes(self) -> bool:
        """Whether tables have to name the recipe."""
        return len({row.recipe for row in self.steps}) > 1

    @property
    def several_loads(self) -> bool:
        """Whether tables have to number the load."""
        return len({row.load for row in self.steps}) > 1


def report(
    problem: Problem, schedule: Schedule, replay: Replay, status: str = "verified"
) -> Report:
    """Gather the tables and figures of a schedule from its replay.

    Parameters
    ----------
    problem, schedule : Problem, Schedule
        The line and what was replayed on it.
    replay : Replay
        What the checker saw; it must be clean.
    status : str
        The solver's status, or "verified" for a schedule from a file.

    Raises
    ------
    Refused
        When the replay broke a rule: nothing about such a schedule is shown.
    """
    if not replay.clean:
        raise Refused(replay)
    dwells = dwell_rows(problem, schedule, replay)
    return Report(
        problem=problem,
        schedule=schedule,
        cycle_time=as_decimal(replay.cycle_time, tick_of(schedule)),
        steps=step_rows(problem, schedule, replay),
        dwells=dwells,
        figures=figures(problem, replay),
        cautions=cautions(
            status,
            dwells,
            problem.unit,
            1 / ticks_per_unit(problem),
            several=len(problem.hoists) > 1,
            at_the_least=gain_speed(problem),
        ),
        neighbours=neighbours(replay),
    )
