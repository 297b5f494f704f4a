"""The tables of a programme on a terminal."""

from __future__ import annotations

from fractions import Fraction

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from ...base.numbers.decimals import aligned, as_decimal, per_cent
from ...checker import ProgrammeReplay
from ...checker.courses import travels_made
from ...checker.neighbours import neighbours_once
from ..schedule.tables import neighbours_table, travels_table
from ..tables.terminal import add_figures, add_names, new_table
from .at_first import at_first_table
from .rows import busy_share, load_rows, move_rows, tick_of


def move_table(seen: ProgrammeReplay) -> Table:
    """What the hoist does, or each of several, in order of time."""
    table = new_table("Moves of the programme")
    several = len(seen.problem.hoists) > 1
    add_figures(table, "Step")
    add_figures(table, "Start", "End", unit=seen.problem.unit)
    if several:
        add_names(table, "Hoist")
    add_names(table, "From", "To", "Recipe")
    add_figures(table, "Load", "Stage")
    rows = move_rows(seen)
    starts, ends = aligned([row.start for row in rows]), aligned([row.end for row in rows])
    for row, start, end in zip(rows, starts, ends, strict=True):
        names = (Text(row.source), Text(row.target), Text(row.recipe))
        hoist = [Text(row.hoist or "")] if several else []
        table.add_row(str(row.step), start, end, *hoist, *names, str(row.load), str(row.stage))
    return table


def hoist_tables(seen: ProgrammeReplay) -> list[RenderableType]:
    """Where several hoists are at first, how they give way, and what they leave one another."""
    beside = neighbours_table(seen.problem, neighbours_once(seen), tick_of(seen))
    tick = Fraction(1) / seen.programme.ticks_per_unit
    travels = travels_table(seen.problem, travels_made(seen), tick)
    return [*at_first_table(seen), *travels, *beside]


def load_table(seen: ProgrammeReplay) -> Table:
    """When each load enters and is out, and the dwell nearest to its maximum."""
    table = new_table("Loads")
    add_figures(table, "Load")
    add_names(table, "Recipe")
    add_figures(table, "Lifted", "Out", "Least margin", unit=seen.problem.unit)
    add_names(table, "in")
    rows = load_rows(seen)
    columns = (
        aligned([row.entered for row in rows]),
        aligned([row.out for row in rows]),
        aligned([row.margin for row in rows]),
    )
    for row, *cells in zip(rows, *columns, strict=True):
        table.add_row(str(row.load), Text(row.recipe), *cells, Text(row.tightest))
    return table


def figures(seen: ProgrammeReplay) -> str:
    """The finish, and how busy the hoist is, in a line."""
    finish = as_decimal(seen.finish, tick_of(seen))
    hoists = seen.problem.hoists
    if len(hoists) == 1:
        busy = per_cent(busy_share(seen))
        carries = f"the hoist carries loads {busy} %"
    else:
        busy = ", ".join(
            f"hoist {hoist.name} {per_cent(busy_share(seen, hoist.name))} %" for hoist in hoists
        )
        carries = f"loads are carried by {busy}"
    return f"Finish {finish:f} {seen.problem.unit}; {carries} of that time."
