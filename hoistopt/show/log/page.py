"""A log judged against the recipes as a page of HTML."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

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

    from .answer import LogAnswer

PICTURES = (
    ("dwells", "Dwells against their windows", "Histograms of dwells, a panel a stage"),
    ("run_chart", "Over time", "Loads an hour and stays out of window over time, with the stops"),
    ("diagram", "Time-way diagram", "Who stood where in a part of the log, and the hoist's way"),
)


def log_html(answer: LogAnswer) -> str:
    """Words, pictures and tables of a judged log as one page that needs nothing else.

    Parameters
    ----------
    answer : LogAnswer
    """
    told_of, problem = answer.cautions(), answer.problem
    words = [tag("p", user(sentence)) for sentence in answer.sentences()]
    names = names_of(answer.found)
    pictures = [
        _picture(title, figure, names, label)
        for name, title, label in PICTURES
        if (figure := answer.picture(name)) is not None
    ]
    tables = [_table(part) for part in answer.parts()]
    body = [
        heading_of(problem, "Log against recipes", None),
        warning(told_of),
        tag(
            "main",
            tag("section", tag("h2", "What the log shows"), *words),
            *pictures,
            *tables,
        ),
        closing(told_of),
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
