"""Sheets read as tables in CSV: the same rows, the same numbers, errors that name the cell."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

import hoistopt
from hoistopt import InputError, Order
from hoistopt.analysis.study.listing import read_designs
from hoistopt.base.workbook.table_text import table_text
from tests.helpers.lines.small_line import small_line

pytestmark = [pytest.mark.quick, pytest.mark.usefixtures("in_folder")]

BOOK = Path("book.xlsx")


def keep(*rows: list[Any], sheet: str = "Sheet", others: tuple[str, ...] = ()) -> None:
    book = openpyxl.Workbook()
    book.active.title = sheet
    for row in rows:
        book.active.append(row)
    for name in others:
        book.create_sheet(name)["A1"] = "a head and nothing below"
    book.save(BOOK)


def test_rows_keep_their_numbers_and_numbers_their_digits() -> None:
    keep(["# a note"], [], ["a", "b; c"], [0.1, "x\ny"], [], [3.0, "'=1"])
    assert table_text(BOOK, ("Table",)) == "# a note\n\na,b; c\n0.1,x y\n\n3,''=1\n"


def test_durations_and_dates() -> None:
    moment = datetime.datetime(2026, 3, 1, 6, 0, 1, 500_000)
    keep(["time", "stood"], [moment, datetime.timedelta(hours=26, seconds=1)])
    text = table_text(BOOK, ("Table",), dates=True)
    assert text == "time,stood\n2026-03-01T06:00:01.500000,93601 s\n"
    with pytest.raises(InputError, match=r"book\.xlsx: Sheet!A2 .*holds a date"):
        table_text(BOOK, ("Table",))


def test_the_sheet_that_is_filled_in_is_taken() -> None:
    keep(["a"], [1], sheet="Programme", others=("Cycle", "Mine"))
    assert table_text(BOOK, ("Cycle", "Programme")).startswith("a\n1")
    with pytest.raises(InputError, match=r'Programme, Cycle, Mine: expected a sheet "Orders"'):
        table_text(BOOK, ("Orders",))


def test_orders_and_designs_are_read_from_sheets() -> None:
    keep(
        ["order", "recipe", "count", "due"],
        ["K7", "A", 3, "0:01:30"],
        sheet="Orders",
        others=("X",),
    )
    assert hoistopt.read_orders(BOOK, small_line()) == (Order("A", 3, due=90, order="K7"),)
    keep(["order", "recipe", "count"], ["K7", "A", 2.5])
    with pytest.raises(InputError, match=r"book\.xlsx: Sheet!C2 .*2\.5: expected a whole number"):
        hoistopt.read_orders(BOOK, small_line())
    keep(["hoist.empty.speed", "cost"], [0.6, 45_000])
    assert [str(value) for value in read_designs(BOOK)[0].values()] == ["0.6", "45000"]


def test_a_state_of_the_line_is_no_table() -> None:
    keep(["a"], [1])
    with pytest.raises(InputError, match="TOML or JSON"):
        hoistopt.read_state(BOOK, small_line())
