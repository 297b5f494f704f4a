"""Cycle time against the share of loads out of window: in words, as a table, as data, drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...analysis.figures.cautions import STANDING
from ...analysis.figures.steps import tick_of
from ...analysis.robust.window import WindowCurve
from ...base.numbers.decimals import aligned, as_decimal, per_cent, to_places
from ...schedule.files import schedule_to_data
from ..schedule.runnable import good_loads_an_hour, margin_data, percent_out, under
from ..schedule.words import outcome
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number, versions
from ..tables.terminal import add_figures, new_table
from .curve import CurveAnswer
from .panels import Spot, draw_panels

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType

    from ...margin.runnable import Runnable


@dataclass(frozen=True)
class WindowAnswer(CurveAnswer):
    """The curve from the least cycle to one that can be run."""

    found: WindowCurve

    def sentences(self) -> list[str]:
        problem, points = self.problem, self.found.points
        if not points:
            return [outcome(problem, self.found.shortest)]
        first, last = points[0], points[-1]
        if len(points) == 1:
            return [
                f"No longer cycle found loses fewer loads: {percent_out(first.margin)} are out of "
                f"window at {first.cycle_time} {problem.unit}."
            ]
        return [
            f"From {percent_out(first.margin)} of the loads out of window at {first.cycle_time} "
            f"{problem.unit} to {percent_out(last.margin)} at {last.cycle_time} {problem.unit}, "
            f"under {under(first.margin)}. Found, not proved: other schedules may lose fewer."
        ]

    def tables(self) -> list[RenderableType | str]:
        points, problem = self.found.points, self.problem
        if not points:
            return []
        table = new_table("Loads out of window against cycle time")
        add_figures(table, "Cycle time", unit=problem.unit)
        add_figures(table, "Above shortest", "Out of window", unit="%")
        add_figures(table, "Good loads per hour")
        add_figures(table, "Slack", "Float", unit=problem.unit)
        tick = tick_of(points[0].schedule)
        cycles = aligned([as_decimal(p.margin.cycle_time, tick) for p in points])
        slacks = aligned(
            [
                None if p.margin.slack is None else as_decimal(p.margin.slack.time, tick, "down")
                for p in points
            ]
        )
        floats = aligned([as_decimal(p.margin.late.time, tick, "down") for p in points])
        for point, cycle, slack, late in zip(points, cycles, slacks, floats, strict=True):
            table.add_row(
                cycle,
                per_cent(self._above(point), places=2),
                per_cent(point.margin.out_of_window.share, places=2),
                f"{good_loads_an_hour(problem, point.margin):.2f}",
                slack,
                late,
            )
        runs = points[0].margin.out_of_window.loads
        read = (
            f"Out of window under {under(points[0].margin)}, {runs} loads simulated. Slack, float: "
            "how late the tightest start may be, once and in every cycle."
        )
        return [table, read]

    def data_tables(self) -> list[DataTable]:
        problem, points = self.problem, self.found.points
        if not points:
            return []
        unit, tick = problem.unit, tick_of(points[0].schedule)
        header = [f"cycle_time_{unit}", "above_shortest", "out_of_window", "good_loads_per_hour"]
        header += [f"slack_{unit}", f"float_{unit}"]
        rows: list[list[object]] = [
            [
                as_decimal(point.margin.cycle_time, tick),
                to_places(self._above(point), 6),
                to_places(point.margin.out_of_window.share, 6),
                to_places(good_loads_an_hour(problem, point.margin), 4),
                None
                if point.margin.slack is None
                else as_decimal(point.margin.slack.time, tick, "down"),
                as_decimal(point.margin.late.time, tick, "down"),
            ]
            for point in points
        ]
        return [DataTable("Trade-off", header, rows)]

    def data(self) -> dict[str, Any]:
        found = self.found
        return {
            "problem": self.problem.name,
            "unit": self.problem.unit,
            "measure": "window",
            "upto_percent": float(found.upto),
            "degree": self.degree,
            "shortest_cycle_time": found.shortest.cycle_time,
            "status": found.shortest.status,
            "reason": found.shortest.reason,
            "points": [
                {
                    "cycle_time": json_number(point.margin.cycle_time),
                    "forgives": margin_data(self.problem, point.margin),
                    "found": point.found,
                    "moves": schedule_to_data(point.schedule),
                }
                for point in found.points
            ],
            "cautions": [STANDING],
            "versions": versions(),
        }

    def figure(self) -> Figure | None:
        points = self.found.points
        if not points:
            return None
        proved = self.found.shortest.status == "optimal"
        spots = [
            Spot(point.margin, tick_of(point.schedule), proved and number == 0)
            for number, point in enumerate(points)
        ]
        what = f"each point: fewest loads lost at its cycle time, degree {self.degree}"
        return draw_panels(self.problem, spots, what)

    def _above(self, point: Runnable) -> float:
        """How much longer than the least cycle, as a share of it."""
        least = self.found.points[0].margin.cycle_time
        return float(point.margin.cycle_time / least - 1)
