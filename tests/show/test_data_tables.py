"""Tables of answers as data: one source for CSV and for a sheet."""

from __future__ import annotations

import io
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoistopt.base.text import STANDING
from hoistopt.base.workbook.reading import Cell, read_sheets
from hoistopt.base.workbook.sheet import Column, Sheet
from hoistopt.base.workbook.writing import workbook_bytes
from hoistopt.show.tables import data_table
from hoistopt.show.tables.data_table import CUT, MOST_TEXT, DataTable

pytestmark = pytest.mark.quick


def test_a_number_stays_a_number_with_the_decimals_of_its_column() -> None:
    table = DataTable(
        "Table", ["a", "b"], [[Decimal("1.50"), "x"], [Decimal(2), None], [Fraction(1, 4), ""]],
        units={"a": "s"},
    )  # fmt: skip
    sheet = openpyxl.load_workbook(io.BytesIO(workbook_bytes([table.sheet()], "T")))["Table"]
    assert [cell.value for cell in sheet[1]] == ["a [s]", "b"]
    assert [cell.value for cell in sheet["A"]][1:] == [1.5, 2, 0.25]
    assert {cell.number_format for cell in list(sheet["A"])[1:]} == {"0.0"}
    assert table.csv([STANDING]).splitlines()[-3:] == ["1.50,x", "2,", "1/4,"]


def test_a_sheet_of_very_many_rows_or_a_very_long_text_says_what_it_leaves_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(data_table, "MOST_ROWS", 3)
    table = DataTable("Table", ["a"], [["y" * 40_000], *([number] for number in range(9))])
    sheet = table.sheet()
    assert len(sheet.rows) == 3 and sheet.marks == ["# The first 3 of 10 rows; CSV has them all."]
    cell = str(sheet.rows[0][0])
    assert len(cell) == MOST_TEXT and cell.endswith(CUT)
    assert table.csv([STANDING]).count("\n") == 12


SIGNS = st.characters(blacklist_categories=("Cs", "Cc", "Cn", "Co", "Zl", "Zp"))
TEXTS = st.one_of(
    st.text(SIGNS, max_size=12),
    st.sampled_from(
        ["=1", "'=1", "_x0041_", "_x005F_x0041_", " a ", "a\n\tb", "TRUE", "1.50", "#N/A"]
    ),
)
NUMBERS = st.decimals(-(10**7), 10**7, allow_nan=False, places=6) | st.integers(-(10**14), 10**14)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(TEXTS, NUMBERS), min_size=1, max_size=40))
def test_cells_hold_what_is_put_into_them(rows: list[tuple[str, Decimal | int]]) -> None:
    sheet = Sheet("Table", [Column("text"), Column("number")], rows)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "book.xlsx"
        path.write_bytes(workbook_bytes([sheet], "T"))
        read = dict(read_sheets(path, ["Table"])["Table"].rows)
    for number, (text, value) in enumerate(rows, start=2):
        found = [read[number][column] for column in (1, 2) if column in read[number]]
        assert [cell.value for cell in found if isinstance(cell, Cell)] == (
            [text, value] if text else [value]
        )
