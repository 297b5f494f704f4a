"""Tables on a terminal: one look, figures never cut, names folded."""

from __future__ import annotations

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
