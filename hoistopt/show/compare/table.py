"""A comparison on a terminal."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from ...analysis.compare.comparison import Comparison
from ...analysis.compare.rows import DwellPair, FigurePair, MoveRow
from ...base.decimals import aligned, significant
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
    text = f"{time.name} {_shown(time.before)} {unit}"
    if time.difference:
        text += f" becomes {_shown(time.after)} {unit}"
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
            Text(change.key or "-"),
            Text("-" if change.before is None else change.before),
            Text("-" if change.after is None else change.after),
        )
    return table


def move_table(comparison: Comparison) -> Table:
    """The moves in the order before, with their places in the order after."""
    moves = comparison.moves
    table = new_table(
        f"Moves in order, times in {comparison.before.problem.unit} from the first load's entering"
    )
    recipes, loads = _several(moves)
    add_figures(table, "Before", "After")
    add_names(table, "From", "To", *(("Recipe",) if recipes else ()))
    add_figures(table, *(("Load",) if loads else ()), "Start before", "Start after")
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
            Text(_move_change(row)),
        )
    return table


def _move_change(row: MoveRow) -> str:
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
    table = new_table(f"Dwell times, in {comparison.before.problem.unit}")
    recipes, loads = _several(pairs)
    add_names(table, *(("Recipe",) if recipes else ()))
    add_figures(table, *(("Load",) if loads else ()))
    add_names(table, "Stage", "Station")
    add_figures(table, "Window before", "Before", "Window after", "After", "Longer by")
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
    return f"{row.least:f} on" if row.most is None else f"{row.least:f} to {row.most:f}"


def figure_table(comparison: Comparison) -> Table:
    """Cycle time, output, loads in process, the hoist's day."""
    table = new_table("Figures")
    add_names(table, "Figure")
    add_figures(table, "Before", "After", "Difference")
    for row in comparison.figures:
        name = f"{row.name}, {row.unit}" if row.unit else row.name
        table.add_row(name, _shown(row.before), _shown(row.after), _difference(row))
    return table


def _difference(row: FigurePair) -> str:
    difference = row.difference
    if difference is None:
        return "-"
    text = _shown(difference)
    return f"+{text}" if difference > 0 and text != "0" else text


def _shown(value: Fraction | None) -> str:
    """At most four decimals, without zeros at the end."""
    if value is None:
        return "-"
    rounded = Decimal(round(value * 10_000)).scaleb(-4).normalize()
    return f"{rounded + 0:f}"


def _count(number: int | None) -> str:
    return "-" if number is None else str(number)


def _several(rows: list[MoveRow] | list[DwellPair]) -> tuple[bool, bool]:
    """Whether recipes, and loads, have to be told apart."""
    return len({row.recipe for row in rows}) > 1, len({row.load for row in rows}) > 1
