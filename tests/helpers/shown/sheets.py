"""Sheets of invented lines, and their HTML read back as text."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from html.parser import HTMLParser

from hoistopt.show.sheet.data import CheckSum, Sheet, SheetStep
from hoistopt.show.sheet.words import ALARMS

WRITTEN = date(2026, 1, 2)


def invented_sheet(
    steps: int = 20, name: str = "Bath", recipes: int = 1, line: str = "Invented line"
) -> Sheet:
    """A sheet of so many steps between stations of that name; no line runs like this."""
    rows = tuple(
        SheetStep(
            step=number,
            pick=f"{number}\N{NO-BREAK SPACE}{name} {number}",
            place=f"{number + 1}\N{NO-BREAK SPACE}{name} {number + 1}",
            recipe=1 + number % recipes,
            load=1 + number % 3,
            start=Decimal(number * 37) / 10,
            latest=Decimal(number * 37 + 5) / 10,
            alarm=None if number % 7 == 0 else Decimal(number * 37 + 40 + number) / 10,
            least=Decimal(20 * (number % 5)),
            most=None if number % 4 == 0 else Decimal(90 + number),
        )
        for number in range(1, steps + 1)
    )
    return Sheet(
        line=line,
        note="Invented.",
        unit="s",
        counted="0.1 s",
        cycle=Decimal(steps * 4),
        loads=3,
        steps=rows,
        stations=tuple((number, f"{name} {number}") for number in range(1, steps + 2)),
        recipes=tuple((number, f"Recipe {number}") for number in range(1, recipes + 1)),
        alarms=ALARMS,
        cautions=("A planning aid, not a safety function.",),
        sums=(CheckSum("line.toml", "0123456789abcdef" * 4),),
        table_sum=4711,
        revision="",
        written=WRITTEN,
        made_by="hoistopt",
    )


class _Reader(HTMLParser):
    """Collects the cells of tables and all text; a line break is a space."""

    def __init__(self) -> None:
        super().__init__()
        self.tables: list[tuple[str, list[list[str]]]] = []
        self.text = ""
        self.tags: set[str] = set()
        self.pages = 0
        self._in_cell = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        kinds = (dict(attrs).get("class") or "").split()
        self.pages += tag == "section" and "page" in kinds
        if tag == "table":
            self.tables.append((kinds[0], []))
        elif tag == "tr":
            self.tables[-1][1].append([])
        elif tag in ("td", "th"):
            self.tables[-1][1][-1].append("")
            self._in_cell = True
        elif tag == "br":
            self.handle_data(" ")

    def handle_endtag(self, tag: str) -> None:
        self._in_cell = self._in_cell and tag not in ("td", "th")

    def handle_data(self, data: str) -> None:
        self.text += data
        if self._in_cell:
            self.tables[-1][1][-1][-1] += data


def read_html(text: str) -> _Reader:
    """A page of HTML as tables and text."""
    reader = _Reader()
    reader.feed(text)
    return reader


def steps_read(text: str) -> list[dict[str, str]]:
    """The rows of all step tables, by the title of the column, units left out."""
    rows: list[dict[str, str]] = []
    for name, table in read_html(text).tables:
        if name == "steps":
            titles = [title.split(" ")[0] for title in table[0]]
            rows += [dict(zip(titles, cells, strict=True)) for cells in table[1:]]
    return rows
