"""Tables on a terminal: one look, figures never cut, names folded."""

from __future__ import annotations

from rich import box
from rich.table import Table


def new_table(title: str) -> Table:
    """An empty table with its title above it, on the left."""
    return Table(title=title, box=box.SIMPLE_HEAD, title_justify="left", title_style="bold")


def add_figures(table: Table, *names: str) -> None:
    """Add columns of figures, which are never cut on a narrow terminal."""
    for name in names:
        table.add_column(name, justify="right", no_wrap=True)


def add_names(table: Table, *names: str) -> None:
    """Add columns of text, which is folded where it is too long."""
    for name in names:
        table.add_column(name, overflow="fold")
