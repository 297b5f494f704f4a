"""Export the tables of several hoists: text that has been read back and replayed."""

from __future__ import annotations

from collections.abc import Callable

from ...base.errors import InputError
from ...problem import Problem
from ..export import FORMATS, SequencerStyle
from ..readback.several_proof import prove_several
from .csv_format import several_csv
from .json_format import several_json
from .motion_table import SeveralTable
from .plcopen_format import several_xml
from .program import Program
from .st_format import several_st


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
        When the format is unknown, or an identifier or number is too long for it.
    ExportFailed
        When the proof fails: a fault in hoistopt itself; nothing must be used then.
    """
    if form not in FORMATS:
        raise InputError(f"one of {', '.join(FORMATS)}", field="format", value=form)
    if table.once and table.steps and form in ("st", "xml"):
        raise InputError(
            f"CSV or JSON for a programme of several hoists into a cycle: {FORMATS[form]} would "
            "need a function block that goes over from a list into it, and there is none yet",
            field="format",
            value=form,
            way_out="Write .csv or .json, or hand over the cycle by itself.",
        )
    style = style or SequencerStyle()
    writers: dict[str, Callable[[], str]] = {
        "csv": lambda: several_csv(table),
        "json": lambda: several_json(table),
        "st": lambda: several_st(Program(table, style)),
        "xml": lambda: several_xml(Program(table, style), style.created),
    }
    text = writers[form]()
    prove_several(problem, table, text, form)
    return text
