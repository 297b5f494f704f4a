"""What would shorten the cycle, as an answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from rich.console import RenderableType

from ...analysis.figures.cautions import AT_THE_LEAST, gain_speed
from ...analysis.levers.answer import Lever, Levers
from ...base.numbers.decimals import told
from ...base.text import listed
from ...planning.best_degree.candidates import held_to_degree
from ...problem import Problem
from ..answer import Answer, Outcome
from ..tables.counting import counted_kinds
from ..tables.data_table import DataTable
from .data import levers_data, levers_table
from .table import lever_tables, shown_levers

FEW = 6
"""So many limits are named one by one; of more, the number of each kind is told."""


@dataclass(frozen=True)
class LeversAnswer(Answer):
    """The changes of a line that shorten its cycle, the best first.

    Attributes
    ----------
    usual_degree : bool
        Whether nobody asked for the degree.
    """

    problem: Problem
    found: Levers
    usual_degree: bool = False

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether the line has a cycle time to shorten."""
        if self.found.cycle_time is not None:
            return "done"
        return "no" if self.found.status == "infeasible" else "stopped"

    def warnings(self) -> Sequence[str]:
        held = held_to_degree(self.problem, self.found.degree, usual=self.usual_degree)
        return [*super().warnings(), *held]

    def cautions(self) -> list[str]:
        open_ = self.found.status == "feasible" and gain_speed(self.problem)
        return [*([AT_THE_LEAST] if open_ else []), *super().cautions()]

    def data(self) -> dict[str, Any]:
        return {
            "problem": self.problem.name,
            **levers_data(self.found),
            "cautions": self.cautions(),
        }

    def data_tables(self) -> list[DataTable]:
        return [] if self.found.cycle_time is None else [levers_table(self.found)]

    def tables(self) -> list[RenderableType | str]:
        return [*lever_tables(self.found)]

    def sentences(self) -> list[str]:
        found = self.found
        if found.cycle_time is None:
            return [found.sentence()]
        told_of = [found.sentence()]
        best = next((lever for lever in found.levers if lever.gain_least > 0), None)
        if best is not None:
            gain = f"{told(best.gain_least)} {found.unit}"
            more = "" if best.proven else " at least"
            told_of.append(f"Most is gained by: {best.words}, {gain}{more}.")
        told_of += self._left_out()
        windows = [x for x in found.levers if x.limit.kind in ("min", "max")]
        if not all(lever.limit.said for lever in windows):
            told_of.append(
                "Where the problem does not say how far a window may give (may_give_min, "
                "may_give_max), minima were tried down to 0 and maxima without end."
            )
        return [*told_of, "A limit may only be changed by those who answer for the process."]

    def _left_out(self) -> list[str]:
        """What has no row, and what is not settled."""
        levers, told_of = self.found.levers, []
        gaining = sum(lever.gain_least > 0 for lever in levers)
        rows = len(shown_levers(self.found))
        if gaining > rows:
            told_of.append(f"{gaining - rows} more gain less; --json and --csv list them all.")
        never = [x for x in levers if x.idle and x.threshold is not None and x.threshold.never]
        if never:
            told_of.append(f"Proved to gain nothing alone, as far as each may go: {_named(never)}.")
        idle = [x for x in levers if x.idle and x not in never]
        if idle:
            told_of.append(f"Proved to gain nothing by this much: {_named(idle, new=True)}.")
        unknown = [x for x in levers if not x.idle and x.gain_least == 0]
        if unknown:
            most = max(lever.gain_most for lever in unknown)
            told_of.append(
                f"Not settled in {self.found.runtime:.0f} s, between 0 and {told(most)} "
                f"{self.found.unit}: {_named(unknown, new=True)}."
            )
        shown = shown_levers(self.found)
        if not all(lever.proven for lever in shown):
            told_of.append(
                'Where "Shorter at most" has a figure, the gain is at least the one and at '
                "most the other: more time (--time-limit) may settle it."
            )
        if not all(lever.threshold is None or lever.threshold.settled for lever in shown):
            told_of.append(
                'Where "Not before" has a figure, a gain may begin anywhere from there to "Pays '
                'from".'
            )
        return told_of


def _named(levers: Sequence[Lever], *, new: bool = False) -> str:
    """Limits one by one where they are few, else so many of each kind."""
    if len(levers) <= FEW:
        return listed([lever.words if new else lever.limit.name for lever in levers])
    return counted_kinds(lever.limit.kind for lever in levers)
