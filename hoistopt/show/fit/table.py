"""Fitted times as tables for a terminal."""

from __future__ import annotations

from rich.table import Table
from rich.text import Text

from ...base.numbers.decimals import aligned, significant
from ...plant.fit.answer import CONFIDENCE, Fit, FittedFigure, TimedPair
from ..tables.terminal import add_figures, add_names, measured, new_table

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


def to_four(value: float | None) -> str:
    """A measured figure to four digits; "-" for none."""
    return "-" if value is None else significant(value, 4)


def figure_table(fit: Fit) -> Table:
    """One row per figure of the hoist: today's, the fitted, and what a changed file says."""
    table = new_table("Figures of the hoist")
    add_names(table, "Figure")
    add_figures(table, "Today", "Fitted", "Standard error", f"{CONFIDENCE:.0%} interval", "New")
    add_names(table, "Unit", "How")
    columns = [
        aligned([each.today for each in fit.figures]),
        measured([None if e.how == "held" else e.value for e in fit.figures], fine=True),
        measured([each.error for each in fit.figures], fine=True),
        [_interval(each) for each in fit.figures],
        aligned([each.new for each in fit.figures]),
    ]
    for each, *cells in zip(fit.figures, *columns, strict=True):
        unit = each.figure.unit(fit.problem)
        table.add_row(Text(str(each.figure)), *cells, Text(unit), how_told(each))
    return table


def how_told(each: FittedFigure) -> str:
    """How well a figure is told, in a few words."""
    return f"given {each.why}" if each.how == "given" else HOW[each.how]


def _interval(each: FittedFigure) -> str:
    return "-" if each.low is None else f"{to_four(each.low)} to {to_four(each.high)}"


def off_by(pair: TimedPair) -> float:
    """By how much what was measured is longer than today's file says."""
    return pair.mean - pair.today if pair.today is not None else 0.0


def farthest(fit: Fit) -> list[TimedPair]:
    """The things timed, those first that are farthest from today's file.

    Last come times that are bounds and do not contradict the file: there the hoist waited.
    """
    return sorted(
        fit.pairs,
        key=lambda pair: (_is_bound(fit, pair) and off_by(pair) >= 0, -abs(off_by(pair))),
    )


def _is_bound(fit: Fit, pair: TimedPair) -> bool:
    """Whether the time measured is only one that was not exceeded, as the hoist may have waited."""
    return fit.readings.origin == "log" and pair.timed.what == "empty"


def pair_table(fit: Fit) -> Table:
    """What was timed between which stations, against today's file and the changed one."""
    pairs, unit = farthest(fit)[:MOST], fit.problem.unit
    more = len(fit.pairs) - len(pairs)
    title = "What was timed, farthest from today's file first"
    table = new_table(f"{title}; {more} more in the CSV file" if more else title)
    add_names(table, "What", "Between")
    add_figures(table, "Readings", "Set aside")
    add_figures(table, "Measured", "Today", "Off by", "New", unit=unit)
    add_names(table, "")
    columns = [
        measured([pair.mean for pair in pairs]),
        measured([pair.today for pair in pairs]),
        measured([None if pair.today is None else off_by(pair) for pair in pairs]),
        measured([pair.new for pair in pairs]),
    ]
    for pair, *cells in zip(pairs, *columns, strict=True):
        table.add_row(
            WHAT[pair.timed.what],
            Text(pair.timed.between),
            str(pair.count),
            str(pair.aside),
            *cells,
            _remark(fit, pair),
        )
    return table


def _remark(fit: Fit, pair: TimedPair) -> str:
    """That a time is a bound, and that the changed file has it in a table."""
    bound = _is_bound(fit, pair)
    said = ["measured: at most" if bound else "", "table" if pair.table else ""]
    return ", ".join(filter(None, said))


def aside_table(fit: Fit) -> Table:
    """The readings set aside, the farthest off first."""
    more, unit = len(fit.aside) - MOST, fit.problem.unit
    title = "Readings set aside"
    table = new_table(f"{title}; {more} more in the JSON file" if more > 0 else title)
    add_names(table, "Where", "What", "Between")
    add_figures(table, "Read", "Usual", unit=unit)
    far = fit.aside[:MOST]
    columns = measured([each.time for each in far]), measured([each.usual for each in far])
    for each, *cells in zip(far, *columns, strict=True):
        timed = each.group.timed
        table.add_row(
            Text(each.place),
            WHAT[timed.what],
            Text(timed.between),
            *cells,
        )
    return table
