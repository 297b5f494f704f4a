"""Orders of a plan: when their loads are lifted, when the last is out, how late that is."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from ...base.numbers.decimals import aligned, as_decimal
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number
from .rows import tick_of

if TYPE_CHECKING:
    from ...planning.plan_result import Plan

if TYPE_CHECKING:
    from rich.table import Table

UNNAMED = "without a name"


@dataclass(frozen=True)
class OrderRow:
    """Loads of one order and recipe with one due time; times in the problem's unit.

    Attributes
    ----------
    order, recipe : str
    loads : tuple of int
        Numbers of its loads.
    lifted, out : Decimal or None
        When the first of them is lifted at its load station, and the last is out; None where
        one is in the line yet when the programme ends.
    due, late : Decimal or None
        The due time, and by how much the last one out is later: 0 in time; None without one.
    """

    order: str
    recipe: str
    loads: tuple[int, ...]
    lifted: Decimal | None
    out: Decimal | None
    due: Decimal | None
    late: Decimal | None


def order_rows(plan: Plan) -> list[OrderRow]:
    """The orders, in the order in which their first loads were asked for."""
    seen = plan.replay
    if seen is None:
        return []
    recipes = {run.load: run.recipe for run in seen.runs}
    entered = {run.load: run.start for run in seen.runs if run.stage == 0}
    groups: dict[tuple[str, str, Fraction | None], list[int]] = {}
    for load, name in sorted(plan.orders.items()):
        groups.setdefault((name, recipes[load], plan.due.get(load)), []).append(load)
    tick = tick_of(seen)
    rows = []
    for (name, recipe, due), loads in groups.items():
        starts = [entered[load] for load in loads if load in entered]
        outs = [seen.out[load] for load in loads if load in seen.out]
        out = max(outs) if len(outs) == len(loads) else None
        late = None if due is None or out is None else max(Fraction(0), out - due)
        rows.append(
            OrderRow(
                order=name,
                recipe=recipe,
                loads=tuple(loads),
                lifted=as_decimal(min(starts), tick) if starts else None,
                out=None if out is None else as_decimal(out, tick),
                due=None if due is None else as_decimal(due, tick),
                late=None if late is None else as_decimal(late, tick, "up"),
            )
        )
    return rows


def order_data(plan: Plan) -> list[dict[str, Any]]:
    """The orders as plain data."""
    return [
        {
            "order": row.order or None,
            "recipe": row.recipe,
            "loads": list(row.loads),
            **{
                key: None if value is None else json_number(value)
                for key, value in (
                    ("lifted", row.lifted),
                    ("out", row.out),
                    ("due", row.due),
                    ("late", row.late),
                )
            },
        }
        for row in order_rows(plan)
    ]


def orders_table(plan: Plan) -> list[DataTable]:
    """The orders as a table of data; none where there are none."""
    if plan.replay is None or not plan.orders:
        return []
    unit = plan.replay.problem.unit
    rows = [
        [row.order or None, row.recipe, spans(row.loads), row.lifted, row.out, row.due, row.late]
        for row in order_rows(plan)
    ]
    timed = [f"{name}_{unit}" for name in ("first_lifted", "last_out", "due", "late_by")]
    return [DataTable("Orders done", ["order", "recipe", "loads", *timed], rows)]


def spans(loads: tuple[int, ...]) -> str:
    """Numbers in rising order as ``1-3, 6``."""
    found: list[list[int]] = []
    for number in sorted(loads):
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    return ", ".join(f"{s[0]}-{s[-1]}" if len(s) > 1 else f"{s[0]}" for s in found)


def order_columns(rows: list[OrderRow]) -> list[tuple[str, list[str], bool]]:
    """Heading, cells and whether they are times, of a table of orders."""
    return [
        ("Order", [row.order or UNNAMED for row in rows], False),
        ("Recipe", [row.recipe for row in rows], False),
        ("Loads", [spans(row.loads) for row in rows], False),
        ("First lifted", aligned([row.lifted for row in rows]), True),
        ("Last out", aligned([row.out for row in rows]), True),
        ("Due", aligned([row.due for row in rows]), True),
        ("Late by", aligned([row.late for row in rows]), True),
    ]


def order_table(plan: Plan) -> Table:
    """The orders on a terminal."""
    from rich.text import Text

    from ..tables.terminal import add_figures, add_names, new_table

    assert plan.replay is not None
    table = new_table("Orders")
    columns = order_columns(order_rows(plan))
    for title, _, timed in columns:
        if timed:
            add_figures(table, title, unit=plan.replay.problem.unit)
        else:
            add_names(table, title)
    for cells in zip(*(cells for _, cells, _ in columns), strict=True):
        table.add_row(*(Text(cell) for cell in cells))
    return table
