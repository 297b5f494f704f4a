"""Export the tables of several hoists: text that has been read back and replayed."""

from __future__ import annotations

from ...base.errors import InputError
from ...problem import Problem
from ..export import SequencerStyle
from ..readback.several_proof import prove_several
from .csv_format import several_csv
from .json_format import several_json
from .table import SeveralTable

WRITERS = {"csv": several_csv, "json": several_json}


def several_text(
    problem: Problem, table: SeveralTable, form: str, style: SequencerStyle | None = None
) -> str:
    """The text of one file, read back and replayed by the checker.

    Parameters
    ----------
    problem : Problem
    table : SeveralTable
    form : str
        ``csv``, ``json``, ``st`` or ``xml``.
    style : SequencerStyle, optional
        How structured text and PLCopen XML are written.

    Raises
    ------
    InputError
        When the format is unknown.
    ExportFailed
        When the proof fails: a fault in hoistopt itself; nothing must be used then.
    """
    if form not in WRITERS:
        raise InputError(f"one of {', '.join(WRITERS)}", field="format", value=form)
    text = WRITERS[form](table)
    prove_several(problem, table, text, form)
    return text
