"""Orders: so many loads of a recipe, from when on, until when; and the table they are kept in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from ..base.cells import unguarded, without_notes
from ..base.errors import InputError
from ..base.numbers.decimals import told
from ..base.separated import exact_cell, no_slips, rows_of, separator
from ..base.workbook.table_text import naming_sheet_cells, table_text
from ..problem import Problem
from .raw_move import LONGEST, unknown_name
from .words import read_words, reworded

SHEETS = ("Orders",)
"""The sheet of a workbook that holds orders."""
MOST_ORDERED = 1_000
"""Loads in one list of orders; a day on a line has fewer."""
COLUMNS = ("order", "recipe", "count", "release", "due", "weight")
_WAY_OUT = "The first row names the columns: recipe; also order, count, release, due, weight."


@dataclass(frozen=True, slots=True)
class Order:
    """So many loads of one recipe.

    Parameters
    ----------
    recipe : str
        Name of the recipe.
    count : int, default 1
        Loads.
    release : Fraction, default 0
        Time before which none of them may be lifted at its load station.
    due : Fraction, optional
        Time by which each should be set down at its unload station.
    weight : Fraction, default 1
        What a unit of time of one load's lateness counts.
    order : str, default ""
        Name of the order.

    Examples
    --------
    >>> from hoistopt import Order
    >>> Order("Cases", count=3).count
    3
    """

    recipe: str
    count: int = 1
    release: Fraction = Fraction(0)
    due: Fraction | None = None
    weight: Fraction = Fraction(1)
    order: str = ""


def check_orders(problem: Problem, orders: Iterable[Order]) -> None:
    """Refuse orders that make no sense on a line.

    Raises
    ------
    InputError
        For the first thing that is wrong.
    """
    total = 0
    for number, order in enumerate(orders, start=1):
        field = f"order {order.order or number}"
        _check(problem, order, {key: f"{field}, {key}" for key in COLUMNS})
        total += order.count
        if total > MOST_ORDERED:
            raise InputError(f"at most {MOST_ORDERED} loads in all", field=f"{field}, count")


def _check(problem: Problem, order: Order, fields: dict[str, str]) -> None:
    if order.recipe not in problem.recipe_by_name:
        raise unknown_name("recipe", list(problem.recipe_by_name), fields["recipe"], order.recipe)
    count = order.count
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST_ORDERED:
        raise InputError(
            f"a whole number from 1 to {MOST_ORDERED}", field=fields["count"], value=count
        )
    if order.release < 0:
        raise InputError("a time of at least 0", field=fields["release"], value=told(order.release))
    if order.due is not None and order.due <= order.release:
        raise InputError(
            f"a time after its release, which is {told(order.release)}",
            field=fields["due"],
            value=told(order.due),
        )
    if not 0 < order.weight <= 10**6 or (order.weight * 1000).denominator != 1:
        raise InputError(
            "a number above 0 of at most 3 decimals, at most a million",
            field=fields["weight"],
            value=told(order.weight),
        )


def read_orders(
    path: str | Path, problem: Problem, words: str | Path | None = None
) -> tuple[Order, ...]:
    """Read a table of orders, in CSV.

    Parameters
    ----------
    path : str or Path
        One header row; needed is the column ``recipe``, others are ``order``, ``count``
        (1 where empty), ``release`` (0), ``due`` (none) and ``weight`` (1). Times are in
        the problem's unit, or durations such as ``7 h 30 min`` or ``7:30:00``.
    problem : Problem
        The line.
    words : str or Path, optional
        A TOML file that says what the words of a table in another language mean: under
        ``columns`` what each of ours is called there, under ``recipes`` the problem's recipe
        for each of theirs.

    Returns
    -------
    tuple of Order
        In the order of the rows.

    Raises
    ------
    InputError
        One error naming the file, the place in it and the value.

    Examples
    --------
    >>> import hoistopt
    >>> from pathlib import Path
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> _ = Path("orders.csv").write_text("order,recipe,count\\nA7,Cases,3\\n")
    >>> [order.count for order in hoistopt.read_orders("orders.csv", problem)]
    [3]
    """
    path = Path(path)
    with naming_sheet_cells(path, SHEETS):
        text = table_text(path, SHEETS)
        if words is not None:
            text = reworded(text, read_words(words, problem))
        return _orders(text, problem)


def _orders(text: str, problem: Problem) -> tuple[Order, ...]:
    body = without_notes(text)
    if not body.strip():
        raise InputError("a header row and at least one order", way_out=_WAY_OUT)
    header = body.lstrip("\n").split("\n", 1)[0]
    delimiter = separator(header, lambda cell: cell.strip().lower() in COLUMNS)
    names: list[str] | None = None
    orders: list[Order] = []
    for number, cells in rows_of(body, delimiter, MOST_ORDERED + 1):
        if names is None:
            names = [cell.strip().lower() for cell in cells]
            _check_header(names, number)
            continue
        row = {name: cell.strip() for name, cell in zip(names, cells, strict=False)}
        orders.append(_order(problem, row, number, delimiter != ","))
    if not orders:
        raise InputError("at least one order below the header row")
    check_orders(problem, orders)
    return tuple(orders)


def _check_header(names: list[str], number: int) -> None:
    for name in COLUMNS:
        if names.count(name) > 1:
            raise InputError("each column once", field=f"row {number}, header", value=name)
    no_slips(names, COLUMNS, f"row {number}, header")
    if "recipe" not in names:
        raise InputError('a column "recipe"', field=f"row {number}, header", way_out=_WAY_OUT)


def _order(problem: Problem, row: dict[str, str], number: int, comma: bool) -> Order:
    fields = {key: f'row {number}, column "{key}"' for key in COLUMNS}

    def figure(key: str) -> Fraction | None:
        if not row.get(key):
            return None
        return Fraction(
            exact_cell(
                row[key],
                fields[key],
                decimal_comma=comma,
                largest=Decimal(LONGEST),
                unit=problem.unit if key in ("release", "due") else None,
                of_day=True,
            )
        )

    if not row.get("recipe"):
        raise InputError("a value, but the cell is empty", field=fields["recipe"])
    count = figure("count")
    if count is not None and count.denominator != 1:
        raise InputError("a whole number", field=fields["count"], value=row["count"])
    recipe = row["recipe"]
    bare = unguarded(recipe)
    order = Order(
        recipe=bare if bare in problem.recipe_by_name else recipe,
        count=1 if count is None else int(count),
        release=figure("release") or Fraction(0),
        due=figure("due"),
        weight=Fraction(1) if (weight := figure("weight")) is None else weight,
        order=unguarded(row.get("order", "")),
    )
    _check(problem, order, fields)
    return order
