"""Fitted times as tables for a terminal."""

from __future__ import annotations

from rich.table import Table
from rich.text import Text

from ...base.decimals import on_point, significant
from ...plant.fit.answer import CONFIDENCE, Fit, FittedFigure, TimedPair
from ..tables.terminal import add_figures, add_names, new_table

MOST = 25
"""Rows of a table for a terminal; the CSV file has all."""
HOW = {"told": "", "shared": "in a sum", "held": "not fitted", "at most": "at most"}
WHAT = {
    "lift": "lift",
    "travel": "loaded travel",
    "lower": "lower",
    "move": "loaded move",
    "empty": "empty travel",
}
"""What was timed, in words."""


def shown(value: float | None) -> str:
    """A measured figure to four digits; "-" for none."""
    return "-" if value is None else significant(value, 4)


def figure_table(fit: Fit) -> Table:
    """One row per figure of the hoist: today's, the fitted, and what a changed file says."""
    table = new_table("Figures of the hoist")
    add_names(table, "Figure")
    add_figures(table, "Today", "Fitted", "Standard error", f"{CONFIDENCE:.0%} interval", "New")
    add_names(table, "Unit", "How")
    columns = [
        on_point(["-" if each.today is None else f"{each.today:f}" for each in fit.figures]),
        on_point([_fitted(each) for each in fit.figures]),
        on_point([_error(each) for each in fit.figures]),
        [_interval(each) for each in fit.figures],
        on_point(["-" if each.new is None else f"{each.new:f}" for each in fit.figures]),
    ]
    for each, *cells in zip(fit.figures, *columns, strict=True):
        unit = each.figure.unit(fit.problem)
        table.add_row(Text(str(each.figure)), *cells, Text(unit), how_told(each))
    return table


def how_told(each: FittedFigure) -> str:
    """How well a figure is told, in a few words."""
    return f"given {each.why}" if each.how == "given" else HOW[each.how]


def _fitted(each: FittedFigure) -> str:
    return "-" if each.how == "held" else shown(each.value)


def _error(each: FittedFigure) -> str:
    return "-" if each.error is None else significant(each.error, 2)


def _interval(each: FittedFigure) -> str:
    return "-" if each.low is None else f"{shown(each.low)} to {shown(each.high)}"


def off_by(pair: TimedPair) -> float:
    """By how much what was measured is longer than today's file says."""
    return pair.mean - pair.today if pair.today is not None else 0.0


def farthest(fit: Fit) -> list[TimedPair]:
    """The things timed, those first that are farthest from today's file."""
    return sorted(fit.pairs, key=lambda pair: -abs(off_by(pair)))


def pair_table(fit: Fit) -> Table:
    """What was timed between which stations, against today's file and the changed one."""
    pairs, unit = farthest(fit)[:MOST], fit.problem.unit
    more = len(fit.pairs) - len(pairs)
    title = "What was timed, farthest from today's file first"
    table = new_table(f"{title}; {more} more in the CSV file" if more else title)
    add_names(table, "What", "Between")
    add_figures(table, "Readings", "Set aside")
    add_figures(table, "Measured", "Today", "Off by", "New", unit=unit)
    columns = [
        on_point([_measured(fit, pair) for pair in pairs]),
        on_point([shown(pair.today) for pair in pairs]),
        on_point([shown(off_by(pair)) if pair.today is not None else "-" for pair in pairs]),
        on_point([f"{shown(pair.new)}{' (table)' if pair.table else ''}" for pair in pairs]),
    ]
    for pair, *cells in zip(pairs, *columns, strict=True):
        table.add_row(
            WHAT[pair.timed.what],
            Text(pair.timed.between),
            str(pair.count),
            str(pair.aside),
            *cells,
        )
    return table


def _measured(fit: Fit, pair: TimedPair) -> str:
    least = fit.readings.origin == "log" and pair.timed.what == "empty"
    return f"at most {shown(pair.mean)}" if least else shown(pair.mean)


def aside_table(fit: Fit) -> Table:
    """The readings set aside, the farthest off first."""
    more, unit = len(fit.aside) - MOST, fit.problem.unit
    title = "Readings set aside"
    table = new_table(f"{title}; {more} more in the JSON file" if more > 0 else title)
    add_names(table, "Where", "What", "Between")
    add_figures(table, "Read", "Usual", unit=unit)
    for each in fit.aside[:MOST]:
        timed = each.group.timed
        table.add_row(
            Text(each.place),
            WHAT[timed.what],
            Text(timed.between),
            shown(each.time),
            shown(each.usual),
        )
    return table
