"""Take a report apart with the standard library's HTML parser."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import date
from functools import cache, lru_cache
from html.parser import HTMLParser
from typing import Any

from hoistopt.app.report import report
from hoistopt.show.report import report_html
from tests.helpers.command import PROBLEMS
from tests.helpers.shown.report_lines import solved

WRITTEN = date(2025, 11, 25)
BOTH = "the least cycle and the one that can be run"
VOID = {"meta", "input", "br", "hr", "img", "link"}


@cache
def page_of(name: str) -> str:
    """The report on a line of `report_lines`, at degree 1; of both its schedules for BOTH."""
    if name == BOTH:
        made = report(PROBLEMS / "three_tanks_dryer.toml").page
        assert made is not None
        return made
    problem, result = solved(name)
    assert result.schedule is not None and result.replay is not None
    return report_html(problem, result.schedule, result.replay, result, WRITTEN)


@dataclass
class Node:
    """An element with its attributes; `text` is everything within it."""

    name: str
    attributes: dict[str, str | None]
    children: list[Node | str] = field(default_factory=list)

    @property
    def text(self) -> str:
        return "".join(c if isinstance(c, str) else c.text for c in self.children)

    def all(self, name: str, **attributes: str) -> list[Node]:
        """Elements of a name below this one, in order, with these attributes."""
        found = []
        for child in self.children:
            if isinstance(child, Node):
                wanted = {key.rstrip("_"): value for key, value in attributes.items()}
                if child.name == name and wanted.items() <= child.attributes.items():
                    found.append(child)
                found += child.all(name, **attributes)
        return found

    def every(self) -> list[Node]:
        """All elements below this one."""
        nodes = [child for child in self.children if isinstance(child, Node)]
        return [found for node in nodes for found in (node, *node.every())]


class _Tree(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Node("", {})
        self.open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len(dict(attrs)) == len(attrs), "an attribute twice"
        node = Node(tag, dict(attrs))
        self.open[-1].children.append(node)
        if tag not in VOID:
            self.open.append(node)

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1].name == tag, f"</{tag}> closes <{self.open[-1].name}>"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.open[-1].children.append(data)


@lru_cache(maxsize=8)
def tree(page: str) -> Node:
    """The page as a tree; every element must be closed by its own end tag.

    Trees of the last pages are kept and given to all who ask: they are not to be changed.
    """
    parser = _Tree()
    parser.feed(page)
    parser.close()
    assert parser.open == [parser.root]
    return parser.root


def rows(table: Node) -> list[dict[str, str]]:
    """The rows of a table by column heading."""
    heads = [head.text for head in table.all("thead")[0].all("th")]
    found = []
    for row in table.all("tbody")[0].all("tr"):
        cells = [cell for cell in row.children if isinstance(cell, Node)]
        found.append(dict(zip(heads, (cell.text for cell in cells), strict=True)))
    return found


@cache  # taking a page apart takes longer than looking at what a browser shows of it
def record_of(name: str) -> dict[str, Any]:
    """The data the player plays in `page_of(name)`; for all who ask, so not to be changed."""
    return player_record(page_of(name))


def player_record(page: str) -> dict[str, Any]:
    """The data the player plays."""
    (block,) = tree(page).all("script", id="player-data")
    data: dict[str, Any] = json.loads(block.text)
    return data
