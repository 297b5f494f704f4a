"""The answer of a search by several aims: in words, as a table, as data."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from ..analysis.figures.cautions import STANDING
from ..analysis.figures.report import Report, report
from ..analysis.robust.search import Aim, Robust
from ..base.decimals import told
from ..problem import Problem
from ..schedule import readable
from .answer import Answer, Outcome
from .schedule.answer import steps_of, timeway_of
from .schedule.data import verified_data
from .schedule.tables import tables
from .schedule.words import outcome
from .slack import slack_data, slack_summary
from .tables.terminal import add_figures, add_names, new_table

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WORDS = {
    "slack": "slack: how late any start may be once",
    "float": "float: how late any start may be for good",
    "travel": "empty travel in a cycle",
    "nominal": "dwells off their nominal, in all",
    "loads": "most loads in process",
    "cycle": "cycle time",
}
NARROW = (
    "Slack and float: where a window is too narrow for as much, all that it has to give. "
    "Each value is the best that those above it leave."
)


@dataclass(frozen=True)
class RobustAnswer(Answer):
    """A schedule that serves several aims in order."""

    problem: Problem
    found: Robust

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether there is a schedule."""
        if self.found.schedule is not None:
            return "done"
        return "no" if self.found.status == "infeasible" else "stopped"

    @cached_property
    def report(self) -> Report | None:
        """Its steps, dwells and figures."""
        found = self.found
        if found.schedule is None or found.replay is None:
            return None
        return report(self.problem, found.schedule, found.replay)

    def data(self) -> dict[str, Any]:
        return robust_data(self.problem, self.found, self.report)

    def sentences(self) -> list[str]:
        if self.found.schedule is None:
            return [outcome(self.problem, self.found.shortest)]
        return [robust_summary(self.problem, self.found)]

    def tables(self) -> list[RenderableType | str]:
        if self.report is None:
            return []
        return [tables(self.report), "", *self.short_tables()]

    def short_tables(self) -> list[RenderableType | str]:
        return [] if self.report is None else [aim_table(self.problem, self.found), NARROW]

    def csv(self) -> str | None:
        return None if self.report is None else steps_of(self.report)

    def figure(self) -> Figure | None:
        if self.report is None or self.found.replay is None:
            return None
        return timeway_of(self.problem, self.report.schedule, self.found.replay)

    def cautions(self) -> list[str]:
        return super().cautions() if self.report is None else self.report.cautions


def aim_table(problem: Problem, found: Robust) -> Table:
    """One row per aim, the most important first."""
    table = new_table(f"Aims in order, times in {problem.unit}")
    add_names(table, "Aim")
    add_figures(table, "Reached")
    table.add_column("Answer")
    for aim in found.aims:
        proof = "proved the best" if aim.proven else "best found in time"
        table.add_row(Text(WORDS[aim.name]), told(aim.value), proof)
    return table


def robust_summary(problem: Problem, found: Robust) -> str:
    """Cycle time against the shortest, then the tightest limits."""
    assert found.schedule is not None and found.limits is not None
    shortest, unit = found.shortest.cycle_time, problem.unit
    cycle = found.schedule.time(found.schedule.cycle)
    assert found.shortest.schedule is not None
    least = found.shortest.schedule.time(found.shortest.schedule.cycle)
    if cycle == least:
        text = f"Cycle time {readable(cycle)} {unit}, no longer than the shortest found"
    else:
        more = f"{float((cycle - least) / least):.2%}"
        text = f"Cycle time {readable(cycle)} {unit}, {more} above the shortest of {shortest}"
    proof = "" if found.shortest.status == "optimal" else ", which is not proved to be the least"
    return f"{text}{proof}. {slack_summary(found.limits)}"


def robust_data(problem: Problem, found: Robust, report: Report | None) -> dict[str, Any]:
    """Everything about the answer as plain data; the moves as `hoistopt verify` reads them.

    Parameters
    ----------
    report : Report or None
        Tables of the schedule; None where there is none.
    """
    head: dict[str, Any] = {
        "problem": problem.name,
        "status": found.status,
        "cycle_time": found.cycle_time,
        "shortest_cycle_time": found.shortest.cycle_time,
        "lower_bound": found.shortest.lower_bound,
        "within_percent": float(found.within),
        "degree": found.shortest.degree,
        "aims": [_aim(aim) for aim in found.aims],
    }
    if report is None or found.limits is None:
        return {**head, "reason": found.shortest.reason, "moves": [], "cautions": [STANDING]}
    verified = verified_data(problem, report)
    kept = {key: value for key, value in verified.items() if key not in head}
    limits = slack_data(found.limits)["moves"]
    return {**head, **kept, "limits": limits}


def _aim(aim: Aim) -> dict[str, Any]:
    value: int | float = readable(Fraction(aim.value))
    return {"name": aim.name, "value": value, "proven": aim.proven}
