"""Tables on a terminal: one look, figures never cut, names folded."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from math import floor, log10

from rich import box
from rich.table import Table
from rich.text import Text


def new_table(title: str) -> Table:
    """An empty table with its title above it, on the left."""
    return Table(title=title, box=box.SIMPLE_HEAD, title_justify="left", title_style="bold")


def add_figures(table: Table, *names: str, unit: str = "") -> None:
    """Add columns of figures, which are never cut on a narrow terminal.

    Parameters
    ----------
    unit : str
        What they are counted in, which stands below each name; none for mere numbers.
    """
    for name in names:
        # Text: what stands in brackets would be taken for a style.
        table.add_column(Text(f"{name}\n[{unit}]" if unit else name), justify="right", no_wrap=True)


def add_names(table: Table, *names: str) -> None:
    """Add columns of text, which is folded where it is too long."""
    for name in names:
        table.add_column(name, overflow="fold")


def measured(values: Sequence[float | None], digits: int = 4, *, fine: bool = False) -> list[str]:
    """A column of measured figures, all with as many decimals; "-" for None.

    Parameters
    ----------
    digits : int
        Significant digits of the largest figure.
    fine : bool
        Of the smallest one instead, where figures of different kinds stand in one column; no
        more than `digits` decimals.
    """
    sizes = [abs(value) for value in values if value]
    if not sizes:
        return ["-" if value is None else "0" for value in values]
    places = digits - 1 - floor(log10(min(sizes) if fine else max(sizes)))
    places = max(0, min(places, digits))
    cells = [None if value is None else Decimal(f"{value:.{places}f}") + 0 for value in values]
    least = max(
        (-int(cell.normalize().as_tuple().exponent) for cell in cells if cell is not None),
        default=0,
    )
    return ["-" if cell is None else f"{cell:.{max(least, 0)}f}" for cell in cells]
