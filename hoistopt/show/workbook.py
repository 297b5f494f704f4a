"""An answer as a workbook: its words, a sheet for each table, the cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.workbook.sheet import Column, Sheet
from ..base.workbook.writing import workbook_bytes
from .tables.data_table import held

if TYPE_CHECKING:
    from .answer import Answer

_PROSE = 110
"""Characters across a column of sentences."""


def answer_workbook(answer: Answer) -> bytes | None:
    """The file of a workbook with all tables of an answer; None where it has none.

    Raises
    ------
    InputError
        When the library that writes workbooks is missing.
    """
    tables = answer.data_tables()
    if not tables:
        return None
    said = [("Line", answer.problem.name), ("Unit of time", answer.problem.unit)]
    said += [("Note on the line", answer.problem.note)] if answer.problem.note else []
    said += [("Answer", sentence) for sentence in answer.sentences()]
    said += [(f"Note on {table.name}", note) for table in tables for note in table.notes]
    said += [("Warning", sentence) for sentence in answer.warnings()]
    columns = [Column("What", width=22), Column("Says", width=_PROSE)]
    cautions = [[held(caution)] for caution in answer.cautions()]
    sheets = [
        Sheet("Answer", columns, [[what, held(says)] for what, says in said]),
        *(table.sheet() for table in tables),
        Sheet("Cautions", [Column("Caution", width=_PROSE)], cautions),
    ]
    return workbook_bytes(sheets, f"{answer.problem.name}: an answer of hoistopt")
