"""A comparison on a terminal."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Literal

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from ...analysis.compare.comparison import Comparison
from ...analysis.compare.rows import DwellPair, FigurePair, MoveRow
from ...analysis.figures.steps import tick_of
from ...base.numbers.decimals import aligned, as_decimal, on_point, short_decimal, significant
from ...problem.units import unit_of
from ..tables.terminal import add_figures, add_names, new_table


def tables(comparison: Comparison) -> RenderableType:
    """What was changed, and what that did to order, dwells and figures."""
    parts: list[RenderableType] = []
    if comparison.changes:
        parts.append(change_table(comparison))
    parts += [move_table(comparison), dwell_table(comparison), figure_table(comparison)]
    return Group(*parts)


def verdict(comparison: Comparison) -> str:
    """The outcome in a sentence or two."""
    cycle, loads, mean, per_hour = (
        next(row for row in comparison.figures if row.name == name)
        for name in ("Cycle time", "Loads per cycle", "Mean time per load", "Loads per hour")
    )
    assert per_hour.before is not None and per_hour.after is not None
    # Cycles of different loads are compared by what one load takes.
    time = mean if loads.difference else cycle
    unit = comparison.before.problem.unit
    before, after = figure_pair(time, comparison)
    text = f"{time.name} {_told(before)} {unit}"
    if time.difference:
        text += f" becomes {_told(after)} {unit}"
    else:
        text += " on both sides"
    share = (per_hour.after - per_hour.before) / per_hour.before
    output = f"{significant(per_hour.before, 4)} loads an hour"
    if share:
        output += f" become {significant(per_hour.after, 4)} ({float(share):+.1%})"
    return f"{text}; {output}; {_moves(comparison)}."


def _moves(comparison: Comparison) -> str:
    """What became of order and tanks."""
    if comparison.same_tanks is None:
        return "no move is made on both sides"
    order = "the same order of moves" if comparison.same_order else "another order of moves"
    shared = sum(row.before is not None and row.after is not None for row in comparison.moves)
    other = sum(row.other_tank for row in comparison.moves)
    tanks = f"other tanks in {other} of them" if other else "the same tanks"
    if other or shared < len(comparison.moves):
        return f"{order}; {shared} moves made on both sides, {tanks}"
    return f"{order}, {tanks}"


def change_table(comparison: Comparison) -> Table:
    """The keys of the problem that differ."""
    table = new_table("What was changed in the line and its recipes")
    add_names(table, "Where", "What", "Before", "After")
    for change in comparison.changes:
        # Text throughout: a plain string would be searched for markup.
        table.add_row(
            Text(change.place),
            Text(_with_unit(change.key, comparison) or "-"),
            *(Text("-" if text is None else text) for text in change.texts),
        )
    return table


def _with_unit(key: str, comparison: Comparison) -> str:
    """A key with its unit, where both sides have the same."""
    last = key.rpartition(", ")[2]
    sides = comparison.before.problem, comparison.after.problem
    units = {unit_of(last, problem.unit, problem.length_unit) for problem in sides}
    unit = units.pop() if len(units) == 1 else None
    return key if unit is None else f"{key} [{unit}]"


def move_table(comparison: Comparison) -> Table:
    """The moves in the order before, with their places in the order after."""
    moves = comparison.moves
    table = new_table("Moves in order, from the lift of the first load that enters")
    recipes, loads = _several(moves)
    add_figures(table, "Before", "After")
    add_names(table, "From", "To", *(("Recipe",) if recipes else ()))
    add_figures(table, *(("Load",) if loads else ()))
    add_figures(table, "Start before", "Start after", unit=comparison.before.problem.unit)
    add_names(table, "Change")
    starts = aligned([row.start_before for row in moves])
    new_starts = aligned([row.start_after for row in moves])
    for row, start, new_start in zip(moves, starts, new_starts, strict=True):
        shown = row.before or row.after
        assert shown is not None
        table.add_row(
            _count(row.place_before),
            _count(row.place_after),
            Text(shown.source),
            Text(shown.target),
            *([Text(row.recipe)] if recipes else []),
            *([str(row.load)] if loads else []),
            start,
            new_start,
            Text(move_change(row)),
        )
    return table


def move_change(row: MoveRow) -> str:
    """What became of a move, in words; empty where nothing did."""
    if row.after is None:
        return "left out"
    if row.before is None:
        return "new"
    words = []
    if row.moved:
        assert row.place_before is not None and row.place_after is not None
        words.append("earlier" if row.place_after < row.place_before else "later")
    if row.other_tank:
        words.append(f"now {row.after.source} to {row.after.target}")
    return ", ".join(words)


def dwell_table(comparison: Comparison) -> Table:
    """The dwells and their windows on both sides."""
    pairs = comparison.dwells
    table = new_table("Dwell times")
    recipes, loads = _several(pairs)
    add_names(table, *(("Recipe",) if recipes else ()))
    add_figures(table, *(("Load",) if loads else ()))
    add_names(table, "Stage", "Station")
    unit = comparison.before.problem.unit
    add_figures(table, "Window before", "Before", "Window after", "After", "Longer by", unit=unit)
    before = aligned([None if p.before is None else p.before.dwell for p in pairs])
    after = aligned([None if p.after is None else p.after.dwell for p in pairs])
    longer = aligned([pair.longer for pair in pairs])
    for pair, old, new, more in zip(pairs, before, after, longer, strict=True):
        table.add_row(
            *([Text(pair.recipe)] if recipes else []),
            *([str(pair.load)] if loads else []),
            Text(pair.label),
            Text(_stations(pair)),
            _window(pair, later=False),
            old,
            _window(pair, later=True) + (" *" if pair.other_window else ""),
            new,
            more,
        )
    if any(pair.other_window for pair in pairs):
        table.caption = "* another window than before"
    return table


def _stations(pair: DwellPair) -> str:
    names = [row.station for row in (pair.before, pair.after) if row is not None]
    return ", now ".join(dict.fromkeys(names))


def _window(pair: DwellPair, *, later: bool) -> str:
    row = pair.after if later else pair.before
    if row is None:
        return "-"
    return f"{row.least:f}, no max" if row.most is None else f"{row.least:f} to {row.most:f}"


def figure_table(comparison: Comparison) -> Table:
    """Cycle time, output, loads in process, the hoist's day."""
    table = new_table("Figures")
    add_names(table, "Figure")
    table.add_column("Unit")
    for name in ("Before", "After", "Difference"):
        # Padded already; on the right a table would strip what lines the points up.
        table.add_column(name, no_wrap=True)
    rows = comparison.figures
    pairs = [figure_pair(row, comparison) for row in rows]
    columns = (
        on_point([_told(before) for before, _ in pairs]),
        on_point([_told(after) for _, after in pairs]),
        on_point([_difference(before, after) for before, after in pairs]),
    )
    for row, *cells in zip(rows, *columns, strict=True):
        table.add_row(row.name, Text(row.unit), *cells)
    return table


def figure_pair(row: FigurePair, comparison: Comparison) -> tuple[Decimal | None, Decimal | None]:
    """Both sides as they are shown: times to their ticks, all else to four decimals."""
    if row.unit != comparison.before.problem.unit:
        return _four(row.before), _four(row.after)
    towards: Literal["up", "down"] = "down" if "margin" in row.name else "up"
    before, after = (
        None if time is None else as_decimal(time, tick_of(side.schedule), towards)
        for time, side in ((row.before, comparison.before), (row.after, comparison.after))
    )
    return before, after


def _four(value: Fraction | None) -> Decimal | None:
    return None if value is None else short_decimal(round(value, 4))


def _told(value: Decimal | None) -> str:
    return "-" if value is None else f"{value:f}"


def _difference(before: Decimal | None, after: Decimal | None) -> str:
    """Of what is shown, so that the row adds up."""
    if before is None or after is None:
        return "-"
    return f"{after - before:+f}" if after != before else "0"


def _count(number: int | None) -> str:
    return "-" if number is None else str(number)


def _several(rows: list[MoveRow] | list[DwellPair]) -> tuple[bool, bool]:
    """Whether recipes, and loads, have to be told apart."""
    return len({row.recipe for row in rows}) > 1, len({row.load for row in rows}) > 1
