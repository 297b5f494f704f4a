"""Lay the sheet out on A4: one page in the largest type that fits, else several."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import accumulate, product

from .data import Sheet
from .metrics import broken, width
from .parts import (
    AFTER,
    COLUMN_GAP,
    GAP,
    Block,
    Column,
    Page,
    Row,
    SideBySide,
    Table,
    Text,
    column_widths,
    paragraph,
)
from .words import (
    AFTER_A_STOP,
    AFTER_A_STOP_SEVERAL,
    INTERLOCKS,
    READING,
    READING_SEVERAL,
    TITLE,
)

PAGE = (595.28, 841.89)
"""A4, in points."""
MARGIN = 34.0
ROOM = (PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN - 12)
"""Width and height that a page fills; the rest is left for browsers that round lengths up."""

SIZES = (9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0)
"""Type of the step table, the largest first. Less than 6 points is hard to read on a door."""
SEVERAL = (7.0, 6.5, 6.0)
"""Type of the step table where it needs several pages anyway; the largest in which two tables
stand beside each other without a word cut."""
BODIES = (9.0, 8.5, 8.0, 7.5)
"""Type of cautions and alarms, the largest first; the table of steps comes before them."""
SMALL = 6.5
MOST_STATIONS = 8
"""Lines of the list of stations; a longer one is left out."""
MOST_NOTE = 3
"""Lines of the note on the line; what is longer is cut."""


@lru_cache(maxsize=16)
def laid_out(*sheets: Sheet) -> tuple[Page, ...]:
    """The pages of a sheet, or of one for each of several hoists, made once for all set from them.

    One page where the table of steps fits in type of 6 points or more, in one column or in
    two; else as many pages as it takes, with the alarms on the first.
    """
    pages = [page for sheet in sheets for page in _pages(sheet)]
    return tuple(
        replace(page, number=number, total=len(pages)) for number, page in enumerate(pages, start=1)
    )


def _pages(sheet: Sheet) -> tuple[Page, ...]:
    """The pages of one sheet, numbered by themselves."""
    wide, high = ROOM
    foot = _foot(sheet)
    around = [(_above(sheet, body), _below(sheet, body)) for body in BODIES]
    for size, count in product(SIZES, (1, 2)):
        table = _table(sheet, size, wide, count)
        if count > 1 and _cuts_words(sheet, table):
            continue
        steps = _beside(table, count)
        for above, below in around:
            if sum(part.height for part in (*above, steps, *below, *foot)) <= high:
                return (Page((*above, steps, *below), foot, 1, 1),)
    first: list[Block] = [part for parts in around[-1] for part in parts]
    free = high - sum(part.height for part in (*first, *foot))
    return _several(sheet, first, foot, free)


def _several(
    sheet: Sheet, first: Sequence[Block], foot: tuple[Text, ...], free: float
) -> tuple[Page, ...]:
    """Alarms and the first steps on the first page, the others on as many as it takes."""
    wide, high = ROOM
    of_hoist = f", hoist {sheet.hoist}" if sheet.hoist else ""
    title = f"{sheet.line}{of_hoist}, steps continued. {_dated(sheet)}"
    again = [paragraph(title, wide, 9, "kind", True, after=6)]
    later = high - sum(part.height for part in (*again, *foot))
    tried = [(_table(sheet, size, wide, 2), 2) for size in SEVERAL]
    found = (pair for pair in tried if not _cuts_words(sheet, pair[0]))
    whole, count = next(found, (_table(sheet, SEVERAL[0], wide, 1), 1))
    left = list(whole.rows)
    bodies: list[list[Block]] = []
    while left or not bodies:
        head: Sequence[Block] = again if bodies else first
        room = (later if bodies else free) - whole.head.height(whole.size) - AFTER
        columns: list[Table] = []
        for _ in range(count):
            rows = _fitting(left, whole.size, room, at_least=1 if bodies else 0)
            left = left[len(rows) :]
            if rows:
                columns.append(replace(whole, rows=tuple(rows)))
        bodies.append([*head, *([SideBySide(tuple(columns))] if columns else [])])
    total = len(bodies)
    return tuple(
        Page(tuple(body), foot, number, total) for number, body in enumerate(bodies, start=1)
    )


def _cuts_words(sheet: Sheet, table: Table) -> bool:
    """Whether a name holds a word wider than its column."""
    return any(
        width(word, table.size) > column.width - COLUMN_GAP
        for (_, cells), column in zip(sheet.columns(), table.columns, strict=True)
        if not column.figures
        for cell in set(cells)
        for word in cell.split(" ")
    )


def _fitting(rows: Sequence[Row], size: float, room: float, at_least: int) -> list[Row]:
    found: list[Row] = []
    used = 0.0
    for row in rows:
        used += row.height(size)
        if used > room and len(found) >= at_least:
            break
        found.append(row)
    return found


def _beside(whole: Table, count: int) -> SideBySide:
    """A table as it is, or as two with the taller one as short as can be."""
    if count == 1:
        return SideBySide((whole,))
    heights = [row.height(whole.size) for row in whole.rows]
    above, total = list(accumulate(heights)), sum(heights)
    split = 1 + min(range(len(above)), key=lambda at: max(above[at], total - above[at]), default=0)
    parts = (whole.rows[:split], whole.rows[split:])
    return SideBySide(tuple(replace(whole, rows=rows) for rows in parts if rows))


def _table(sheet: Sheet, size: float, wide: float, count: int) -> Table:
    """The table of steps, as wide as it is where so many stand beside each other."""
    room = (wide - GAP * (count - 1)) / count
    data = [(_title(title, sheet.unit), cells) for title, cells in sheet.columns()]
    titles = [title for title, _ in sheet.columns()]
    names = [titles.index(name) for name in _NAMES if name in titles]
    figures = [at for at in range(len(titles)) if at not in names]
    columns = column_widths(data, names, figures, room, size)
    rows = _rows([cells for _, cells in data], columns, names, size)
    tight, alarm = sheet.tightest, frozenset({titles.index("Alarm")})
    rows = tuple(
        replace(row, strong=alarm) if step in tight else row
        for row, step in zip(rows, sheet.steps, strict=True)
    )
    return Table("steps", columns, rows, size)


def _rows(
    cells: Sequence[Sequence[str]], columns: Sequence[Column], broken_up: Sequence[int], size: float
) -> tuple[Row, ...]:
    """Rows of lines from columns of cells."""
    return tuple(
        Row(
            tuple(
                tuple(broken(cell, columns[at].width - COLUMN_GAP, size))
                if at in broken_up
                else (cell,)
                for at, cell in enumerate(row)
            )
        )
        for row in zip(*cells, strict=True)
    )


_NAMES = ("From", "To", "After")
_TIMES = ("Start", "Latest", "Alarm", "Dwell")


def _title(title: str, unit: str) -> tuple[str, ...]:
    return (title, unit) if title in _TIMES else (title, "")


def _above(sheet: Sheet, body: float) -> list[Block]:
    """What stands above the steps."""
    wide = ROOM[0]
    of_hoist = f"Hoist {sheet.hoist}. " if sheet.hoist else ""
    found: list[Block] = [
        paragraph(sheet.line, wide, 15, "title", True, after=1),
        paragraph(f"{TITLE}. {of_hoist}{_dated(sheet)}", wide, 9, "kind", True),
    ]
    if sheet.note:
        note = broken(sheet.note, wide, body)
        if len(note) > MOST_NOTE:
            note = [*note[: MOST_NOTE - 1], f"{note[MOST_NOTE - 1][:-1]}\N{HORIZONTAL ELLIPSIS}"]
        found.append(Text(tuple(note), body, "note"))
    for caution in (INTERLOCKS, *sheet.cautions):
        strong = caution == INTERLOCKS
        found.append(paragraph(caution, wide, body, "caution", strong, after=1.5))
    found.append(paragraph(" ".join(sheet.facts()), wide, 8.5, "facts", True, after=4))
    return found


def _dated(sheet: Sheet) -> str:
    """Which version of the sheet this is."""
    dated = "" if sheet.written is None else f", {sheet.written.isoformat()}"
    return f"Revision {sheet.revision or '____________'}{dated}"


def _below(sheet: Sheet, body: float) -> list[Block]:
    """What stands under the steps: how to read them, the alarms, the stations."""
    wide = ROOM[0]
    found: list[Block] = [
        paragraph(READING_SEVERAL if sheet.hoist else READING, wide, SMALL, "reading", after=5)
    ]
    found.append(SideBySide((_alarms(sheet, wide, body),)))
    stations = paragraph(_numbered("Stations", sheet.stations), wide, SMALL, "stations")
    if len(stations.lines) > MOST_STATIONS:
        # Every row has number and name anyway.
        stations = paragraph("Stations: their numbers stand before their names.", wide, SMALL,
                             "stations")  # fmt: skip
    found.append(stations)
    if len(sheet.recipes) > 1:
        found.append(
            paragraph(_numbered("Recipes", sheet.recipes), wide, SMALL, "stations", after=2)
        )
    return found


def _alarms(sheet: Sheet, wide: float, body: float) -> Table:
    """What to do at each signal of the sequencer."""
    alarms = [*sheet.alarms, AFTER_A_STOP_SEVERAL if sheet.hoist else AFTER_A_STOP]
    data = [
        (("Signal",), [alarm.name for alarm in alarms]),
        (("It means",), [alarm.meaning for alarm in alarms]),
        (("What to do",), [alarm.action for alarm in alarms]),
    ]
    columns = column_widths(data, (1, 2), (), wide, body)
    rows = _rows([cells for _, cells in data], columns, (1, 2), body)
    return Table(
        "alarms", columns, tuple(replace(row, strong=frozenset({0})) for row in rows), body
    )


def _numbered(what: str, items: Sequence[tuple[int, str]]) -> str:
    # The number sticks to its name with a space that no line breaks at.
    return f"{what}: " + " \N{MIDDLE DOT} ".join(
        f"{number}\N{NO-BREAK SPACE}{name}" for number, name in items
    )


def _foot(sheet: Sheet) -> tuple[Text, ...]:
    """What identifies the sheet, on every page."""
    wide = ROOM[0]
    sums = "; ".join(f"{entry.name} {entry.shown}" for entry in sheet.sums)
    signed = f"Tried on the machine by {'_' * 34}   on {'_' * 16}   Released by {'_' * 34}"
    return (
        paragraph(signed, wide, 7, "head", after=5),
        paragraph(
            f"Check sums (SHA-256, first 16 digits): {sums}", wide, SMALL, "stations", after=1
        ),
        paragraph(
            f"Check sum of the table in the controller (CheckSum): {sheet.table_sum}. Made by "
            f"{sheet.made_by}.",
            wide,
            SMALL,
            "stations",
            after=10,
        ),
    )
