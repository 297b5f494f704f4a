"""The sheet as HTML: the laid-out lines as text and tables that print on A4."""

from __future__ import annotations

from importlib.resources import files
from xml.etree.ElementTree import Element

from ..report.markup import Content, document, policy, style, tag, user
from .data import Sheet
from .layout import MARGIN, PAGE, laid_out
from .parts import COLUMN_GAP, GAP, LEADING, ROW_PAD, Page, Row, Table, Text


def sheet_html(*sheets: Sheet) -> str:
    """One page of HTML that needs nothing else; the same sheets give the same text.

    Each line stands where the PDF has it. The styles carry the lengths, as a policy without
    inline styles lets nothing else set any.

    Parameters
    ----------
    *sheets : Sheet
        One, or one for each of several hoists.
    """
    sheet = sheets[0]
    places = _Places()
    body = [places.page(page) for page in laid_out(*sheets)]
    styles = files(__package__).joinpath("sheet.css").read_text(encoding="utf-8") + places.css()
    title = f"{sheet.line} \N{EN DASH} sheet for the cabinet door"
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        policy("", styles),
        tag("meta", name="generator", content="hoistopt"),
        tag("title", title),
        style(styles),
    )
    return document(tag("html", head, tag("body", *body), lang="en"))


class _Places:
    """Writes blocks and keeps where each of them stands, as rules of a style sheet."""

    def __init__(self) -> None:
        self._rules: dict[str, str] = {}

    def css(self) -> str:
        """The style sheet: one class for each rule used."""
        return "".join(f".{name} {{ {rule} }}\n" for rule, name in self._rules.items())

    def page(self, page: Page) -> Element:
        """One side of paper."""
        parts: list[Element] = []
        y = MARGIN
        for block in page.blocks:
            if isinstance(block, Text):
                parts.append(self._text(block, y))
            else:
                x = MARGIN
                for table in block.tables:
                    parts.append(self._table(table, x, y))
                    x += table.width + GAP
            y += block.height
        y = PAGE[1] - MARGIN - sum(part.height for part in page.foot)
        for part in page.foot:
            parts.append(self._text(part, y))
            y += part.height
        number = tag("p", f"{page.number}/{page.total}", class_="number")
        return tag("section", *parts, number, class_="page")

    def _text(self, block: Text, y: float) -> Element:
        place = self._class(
            f"left: {MARGIN:.2f}pt; top: {y:.2f}pt; font-size: {block.size:g}pt; "
            f"line-height: {block.size * LEADING:.3f}pt;"
        )
        name = {"title": "h1", "kind": "h2"}.get(block.role, "p")
        bold = " strong" if block.bold else ""
        return tag(name, *_lines(block.lines), class_=f"{block.role} {place}{bold}")

    def _table(self, table: Table, x: float, y: float) -> Element:
        place = self._class(
            f"left: {x:.2f}pt; top: {y:.2f}pt; width: {table.width:.2f}pt; "
            f"font-size: {table.size:g}pt; line-height: {table.size * LEADING:.3f}pt;"
        )
        cell = self._class(f"padding: {ROW_PAD / 2:.2f}pt {COLUMN_GAP / 2:.2f}pt;")
        widths = [
            tag("col", class_=self._class(f"width: {column.width:.3f}pt;"))
            for column in table.columns
        ]
        rows = [self._row(table, row, "td", cell) for row in table.rows]
        return tag(
            "table",
            tag("colgroup", *widths),
            tag("thead", self._row(table, table.head, "th", cell)),
            tag("tbody", *rows),
            class_=f"{table.name} {place}",
        )

    def _row(self, table: Table, row: Row, name: str, cell: str) -> Element:
        found = []
        for at, (lines, column) in enumerate(zip(row.cells, table.columns, strict=True)):
            kinds = [cell, *(["figures"] if column.figures else [])]
            kinds += ["strong"] if at in row.strong else []
            scope = {"scope": "col"} if name == "th" else {}
            found.append(tag(name, *_lines(lines), class_=" ".join(kinds), **scope))
        return tag("tr", *found)

    def _class(self, rule: str) -> str:
        return self._rules.setdefault(rule, f"p{len(self._rules)}")


def _lines(lines: tuple[str, ...]) -> list[Content]:
    """Lines with breaks between them, each with a writing direction of its own."""
    found: list[Content] = []
    for line in lines:
        found += [tag("br"), user(line)] if found else [user(line)]
    return found
