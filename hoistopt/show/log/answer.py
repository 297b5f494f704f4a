"""A log judged against the recipes, as an answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from ...plant.judging.judge import JudgedLog
from ...problem import Problem
from ..answer import Answer
from ..tables.data_table import DataTable
from .tables import Part, all_tables, log_data, terminal_table, with_units
from .words import log_words

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType

MOST_ROWS = 20
"""Of a table on a terminal; JSON and workbook have them all."""


@dataclass(frozen=True)
class LogAnswer(Answer):
    """Every stay of a log against its window, stops, trends, and what cannot be explained.

    Attributes
    ----------
    found : JudgedLog
    begin, length : int, optional
        Of the time-way diagram, in microseconds UTC; by default the hour round the worst stay.
    """

    found: JudgedLog
    begin: int | None = None
    length: int | None = None

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.found.problem

    @cached_property
    def _tables(self) -> list[DataTable]:
        return all_tables(self.found)

    def data(self) -> dict[str, Any]:
        return {**log_data(self.found, self._tables), "cautions": self.cautions()}

    def sentences(self) -> list[str]:
        return log_words(self.found)

    def data_tables(self) -> list[DataTable]:
        return [with_units(table, self.problem.unit) for table in self._tables]

    def csv(self) -> str:
        from .stays_csv import stays_csv

        return stays_csv(self.found, self.cautions(), [self.problem.note])

    def picture(self, name: str) -> Figure | None:
        if name == "dwells":
            from .dwells import draw_dwells

            return draw_dwells(self.found)
        if name == "run_chart":
            from .run_chart import draw_run_chart

            return draw_run_chart(self.found)
        return self.figure()

    def figure(self) -> Figure:
        from .stretch import draw_stretch, stretch_of

        return draw_stretch(self.found, stretch_of(self.found, self.begin, self.length))

    def page(self) -> str:
        from .page import log_html

        words = self.sentences()
        return log_html(self.found, self.cautions(), words, self.picture, self.parts())

    def tables(self) -> Sequence[RenderableType | str]:
        found: list[RenderableType | str] = []
        for part in self.parts():
            found.append(terminal_table(part))
            if part.more:
                found.append(f"  and {part.more} more (--json or --workbook)")
        return found

    def parts(self) -> list[Part]:
        """The tables for people, those with no rows left out."""
        stages, carriers, _, stops, weeks, shifts, faults = self._tables
        longest = sorted(stops.rows, key=lambda row: -float(str(row[2])))
        trend = {
            "loads": "Loads", "stays": "Stays", "under": "Under", "over": "Over",
            "within": "Within", "within_low": "from", "within_high": "to",
        }  # fmt: skip
        shown = (
            (stages, "Stays against their windows", _STAGES, 100, None),
            (carriers, "Carriers most often out of window", _CARRIERS, MOST_ROWS, None),
            (stops, "Longest stops", _STOPS, MOST_ROWS, longest),
            (shifts, "By shift", {"shift": "Shift", **trend}, MOST_ROWS, None),
            (weeks, "By week", {"week": "Week", **trend}, 60, None),
            (faults, "Not read or not explained", _FAULTS, MOST_ROWS, None),
        )
        return [
            Part(table, title, columns, most, table.rows if rows is None else rows)
            for table, title, columns, most, rows in shown
            if table.rows
        ]


_STAGES = {
    "recipe": "Recipe", "stage": "Stage", "min": "Min", "max": "Max", "stays": "Stays",
    "under": "Under", "over": "Over", "mean": "Mean", "shortest": "Shortest",
    "longest": "Longest", "within": "Within", "within_low": "from", "within_high": "to",
    "ppk_min": "Ppk min", "ppk_max": "Ppk max",
}  # fmt: skip
_CARRIERS = {
    "carrier": "Carrier", "stage": "Stage", "stays": "Stays", "under": "Under", "over": "Over",
    "most_under": "Most under", "most_over": "Most over", "last": "Last",
}  # fmt: skip
_STOPS = {
    "from": "From", "to": "To", "minutes": "Minutes", "loads_inside": "Loads inside",
    "over": "Stays over", "loads_lost": "Loads lost",
}  # fmt: skip
_FAULTS = {"file": "File", "line": "Line", "what": "What", "value": "Value", "why": "Why"}
