"""The sheet for the cabinet door: everything on it, nothing cut, on paper one can read."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from matplotlib.backends.backend_pdf import PdfFile

from hoistopt.show.sheet.data import Sheet
from hoistopt.show.sheet.html import sheet_html
from hoistopt.show.sheet.layout import MARGIN, PAGE, SIZES, laid_out
from hoistopt.show.sheet.metrics import broken, width
from hoistopt.show.sheet.parts import COLUMN_GAP, Page, SideBySide, Table, Text
from hoistopt.show.sheet.pdf import sheet_pdf
from hoistopt.show.sheet.words import ALARMS, INTERLOCKS
from tests.helpers.block.sequenced import HOSTILE
from tests.helpers.shown.sheets import invented_sheet, read_html, steps_read

SHEETS = {
    "short": invented_sheet(5),
    "usual": invented_sheet(24),
    "sixty steps": invented_sheet(60, "Rinse"),
    "recipes": invented_sheet(40, recipes=3),
    "umlauts": invented_sheet(30, "Spüle für Weißbronze"),
    "long names": invented_sheet(
        60, "Deionised rinse after chromium-free passivation, second tank"
    ),
    "one long word": invented_sheet(20, "W" * 70),
    "far too long": invented_sheet(150, "Rinse after pickling"),
    "hostile": invented_sheet(12, HOSTILE["Out"] + HOSTILE["Hot"], line=HOSTILE["In"]),
}


@pytest.fixture(params=SHEETS, ids=lambda name: name.replace(" ", "_"))
def sheet(request: pytest.FixtureRequest) -> Sheet:
    return SHEETS[request.param]


def _tables(page: Page, name: str = "steps") -> list[Table]:
    beside = [block for block in page.blocks if isinstance(block, SideBySide)]
    return [table for block in beside for table in block.tables if table.name == name]


def test_every_step_stands_on_it_once_and_in_order(sheet: Sheet) -> None:
    rows = [row for page in laid_out(sheet) for table in _tables(page) for row in table.rows]
    assert [row.cells[0] for row in rows] == [(str(step.step),) for step in sheet.steps]
    for row, step in zip(rows, sheet.steps, strict=True):
        for cell, name in ((row.cells[1], step.pick), (row.cells[2], step.place)):
            assert "".join(cell).replace(" ", "") == name.replace(" ", "")


def test_no_line_is_wider_than_its_place_and_no_page_higher_than_paper(sheet: Sheet) -> None:
    for page in laid_out(sheet):
        foot = sum(part.height for part in page.foot)
        assert sum(block.height for block in page.blocks) + foot <= PAGE[1] - 2 * MARGIN
        for block in (*page.blocks, *page.foot):
            if isinstance(block, Text):
                _fits(block.lines, PAGE[0] - 2 * MARGIN, block.size, block.bold)
                continue
            assert sum(table.width for table in block.tables) <= PAGE[0] - 2 * MARGIN + 0.01
            for table in block.tables:
                for row in table.rows:
                    for at, cell in enumerate(row.cells):
                        room = table.columns[at].width - COLUMN_GAP + 0.01
                        _fits(cell, room, table.size, at in row.strong)


def _fits(lines: tuple[str, ...], room: float, size: float, bold: bool) -> None:
    for line in lines:
        assert width(line, size, bold) <= room or len(line) == 1, line


def test_type_can_be_read_and_small_type_comes_last(sheet: Sheet) -> None:
    pages = laid_out(sheet)
    sizes = {table.size for page in pages for table in _tables(page)}
    assert sizes <= set(SIZES)
    assert min(SIZES) == 6.0
    assert [page.number for page in pages] == list(range(1, len(pages) + 1))
    assert {page.total for page in pages} == {len(pages)}


def test_longer_tables_take_smaller_type_then_more_pages() -> None:
    found = [laid_out(invented_sheet(steps, "Rinse")) for steps in (10, 24, 60, 66, 200, 400)]
    assert [len(pages) == 1 for pages in found] == [True, True, True, True, False, False]
    sizes = [max(table.size for page in pages for table in _tables(page)) for pages in found[:4]]
    assert sizes[0] == max(SIZES)
    assert sizes == sorted(sizes, reverse=True)
    assert all(len(a) <= len(b) for a, b in pairwise(found))


def test_alarms_and_cautions_stand_on_the_first_page(sheet: Sheet) -> None:
    first = laid_out(sheet)[0]
    named = [row.cells[0] for table in _tables(first, "alarms") for row in table.rows]
    assert named == [*((alarm.name,) for alarm in ALARMS), ("After a stop",)]
    text = " ".join(
        line for block in first.blocks if isinstance(block, Text) for line in block.lines
    )
    for part in (INTERLOCKS, *sheet.cautions, "Revision ____________, 2026-01-02"):
        assert part in text


def test_words_are_cut_only_where_nothing_else_helps() -> None:
    for name in ("usual", "sixty steps", "umlauts", "recipes", "far too long"):
        for page in laid_out(SHEETS[name]):
            for table in _tables(page):
                for row in table.rows:
                    whole = " ".join(row.cells[1]).split(" ")
                    step = SHEETS[name].steps[int(row.cells[0][0]) - 1]
                    assert whole == step.pick.split(" ")


def test_html_says_what_the_table_says_and_has_every_page(sheet: Sheet) -> None:
    text = sheet_html(sheet)
    rows = steps_read(text)
    assert [row["Alarm"] for row in rows] == sheet_column(sheet, "Alarm")
    assert [row["Latest"] for row in rows] == sheet_column(sheet, "Latest")
    read = read_html(text)
    assert read.pages == len(laid_out(sheet))
    assert f"{read.pages}/{read.pages}" in read.text
    assert "0123 4567 89ab cdef" in read.text


def sheet_column(sheet: Sheet, title: str) -> list[str]:
    """The cells of one column."""
    return dict(sheet.columns())[title]


def test_no_name_becomes_markup() -> None:
    text = sheet_html(SHEETS["hostile"])
    read = read_html(text)
    assert HOSTILE["In"] in read.text
    assert read.tags <= {
        "html", "head", "meta", "title", "style", "body", "section", "h1", "h2", "p", "bdi", "br",
        "table", "colgroup", "col", "thead", "tbody", "tr", "th", "td",
    }  # fmt: skip
    assert " style=" not in text
    assert "default-src 'none'" in text


@pytest.mark.usefixtures("lean_fonts")
def test_pdf_has_as_many_pages_of_a4(sheet: Sheet, monkeypatch: pytest.MonkeyPatch) -> None:
    if sheet not in (SHEETS["short"], SHEETS["umlauts"], SHEETS["hostile"]):
        # To embed the fonts once more takes half the time, and no page is another for it.
        monkeypatch.setattr(
            PdfFile, "writeFonts", lambda self: self.writeObject(self.fontObject, {})
        )
    drawn = sheet_pdf(sheet)
    boxes = re.findall(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", drawn)
    assert len(boxes) == len(laid_out(sheet))
    for wide, high in boxes:
        # ISO 216: A4 is 210 mm by 297 mm.
        assert float(wide) == pytest.approx(210 / 25.4 * 72, abs=0.1)
        assert float(high) == pytest.approx(297 / 25.4 * 72, abs=0.1)


def test_same_sheet_same_bytes() -> None:
    assert sheet_pdf(SHEETS["short"]) == sheet_pdf(SHEETS["short"])
    assert sheet_html(SHEETS["usual"]) == sheet_html(SHEETS["usual"])


def test_the_least_lateness_stands_out() -> None:
    sheet = SHEETS["usual"]
    rooms = {step.step: step.room for step in sheet.steps if step.room is not None}
    least = min(rooms.values())
    tight = {number for number, room in rooms.items() if room == least}
    strong = {
        int(row.cells[0][0])
        for page in laid_out(sheet)
        for table in _tables(page)
        for row in table.rows
        if row.strong
    }
    assert strong == tight
    assert f"Tightest: step {min(tight)}, {least:f} s" in " ".join(sheet.facts())


@pytest.mark.parametrize("text", ["", "a", "W" * 50, "two words", "no\N{NO-BREAK SPACE}break here"])
def test_lines_hold_all_of_the_text(text: str) -> None:
    lines = broken(text, 60, 9)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(width(line, 9) <= 60 for line in lines)
