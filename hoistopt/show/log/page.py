"""A log judged against the recipes as a page of HTML."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

from ...plant.judging.judge import JudgedLog
from ..report.assumptions import closing, warning
from ..report.diagram import figure_picture
from ..report.markup import tag, user
from ..report.page import plain_page
from ..report.summary import heading_of
from ..report.tables import figure_cell
from .dwells import names_of
from .tables import Part

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PICTURES = (
    ("dwells", "Dwells against their windows", "Histograms of dwells, a panel a stage"),
    ("run_chart", "Over time", "Loads an hour and stays out of window over time, with the stops"),
    ("diagram", "Time-way diagram", "Who stood where in a part of the log, and the hoist's way"),
)


def log_html(
    found: JudgedLog,
    cautions: Sequence[str],
    sentences: Sequence[str],
    picture: Callable[[str], Figure | None],
    parts: Sequence[Part],
) -> str:
    """Words, pictures and tables of a judged log as one page that needs nothing else.

    Parameters
    ----------
    found : JudgedLog
    cautions, sentences : sequence of str
    picture : callable
        The figure of a name in `PICTURES`, or None.
    parts : sequence of Part
        Tables.
    """
    problem, names = found.problem, names_of(found)
    words = [tag("p", user(sentence)) for sentence in sentences]
    pictures = [
        _picture(title, figure, names, label)
        for name, title, label in PICTURES
        if (figure := picture(name)) is not None
    ]
    tables = [_table(part) for part in parts]
    body = [
        heading_of(problem, "Log against recipes", None),
        warning(cautions),
        tag(
            "main",
            tag("section", tag("h2", "What the log shows"), *words),
            *pictures,
            *tables,
        ),
        closing(cautions),
    ]
    return plain_page(f"{problem.name} \N{EN DASH} log", body)


def _picture(title: str, figure: Figure, names: list[str], label: str) -> Element:
    drawn = figure_picture(figure, names, label)
    held = tag("div", drawn, class_="scrolled", role="region", aria_label=label, tabindex="0")
    return tag("section", tag("h2", title), held)


def _table(part: Part) -> Element:
    columns = {name: part.column(name) for name in part.columns}
    heads = [
        tag(
            "th",
            f"{heading}, {part.unit(name)}" if part.unit(name) else heading,
            scope="col",
            class_="number" if columns[name][1] else "",
        )
        for name, heading in part.columns.items()
    ]
    rows = [
        tag(
            "tr",
            *(
                figure_cell(cell) if figures else tag("td", user(cell))
                for cell, (_, figures) in zip(row, columns.values(), strict=True)
            ),
        )
        for row in zip(*(cells for cells, _ in columns.values()), strict=True)
    ]
    more = [tag("p", f"And {part.more} more.", class_="note")] if part.more else []
    table = tag("table", tag("thead", tag("tr", *heads)), tag("tbody", *rows))
    held = tag("div", table, class_="scrolled", role="region", aria_label=part.title, tabindex="0")
    return tag("section", tag("h2", part.title), held, *more)
