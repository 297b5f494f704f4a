"""Export a schedule for sequencers, of one hoist or several: text read back and replayed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ..base.errors import InputError
from ..base.files import check_target, write_atomically
from ..problem import Problem
from .formats.csv_format import csv_text
from .formats.json_format import sequencer_json
from .formats.plcopen_format import plcopen_xml
from .formats.st_format import structured_text
from .formats.st_types import Dialect, SequencerStyle
from .readback import prove
from .readback.several_proof import prove_several
from .several.formats.csv_format import several_csv
from .several.formats.json_format import several_json
from .several.formats.plcopen_format import several_xml
from .several.formats.program import Program
from .several.formats.st_format import several_st
from .several.motion_table import SeveralTable
from .table import SequencerTable

FORMATS = {"csv": "CSV", "json": "JSON", "st": "structured text", "xml": "PLCopen XML"}
"""By the ending of the file's name."""


def format_of(path: str | Path) -> str:
    """The format a file's name asks for.

    Raises
    ------
    InputError
        When its ending is none that is known.
    """
    ending = Path(path).suffix.lower().removeprefix(".")
    if ending not in FORMATS:
        raise InputError(
            "a file name that ends in "
            + ", ".join(f".{known} ({name})" for known, name in FORMATS.items()),
            file=path,
        )
    return ending


def export_text(
    problem: Problem, table: SequencerTable, form: str, style: SequencerStyle | None = None
) -> str:
    """The text of one file, read back and replayed by the checker.

    Parameters
    ----------
    problem : Problem
        The line.
    table : SequencerTable
        From :func:`.table.sequencer_table`.
    form : str
        ``csv``, ``json``, ``st`` or ``xml``.
    style : SequencerStyle, optional

    Raises
    ------
    InputError
        When the format is unknown, or an identifier or number is too long for it.
    ExportFailed
        When the proof fails: a fault in hoistopt itself; nothing must be used then.
    """
    style = style or SequencerStyle()
    _check_format(form)
    writers: dict[str, Callable[[], str]] = {
        "csv": lambda: csv_text(table),
        "json": lambda: sequencer_json(table),
        "st": lambda: structured_text(_dialect(table, style)),
        "xml": lambda: plcopen_xml(_dialect(table, style), style.created),
    }
    text = writers[form]()
    prove(problem, table, text, form)
    return text


def _check_format(form: str) -> None:
    """Refuse a format that there is none of."""
    if form not in FORMATS:
        raise InputError(f"one of {', '.join(FORMATS)}", field="format", value=form)


def several_text(
    problem: Problem, table: SeveralTable, form: str, style: SequencerStyle | None = None
) -> str:
    """The text of one file of several hoists, read back and replayed by the checker.

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
    _check_format(form)
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


def write_sequencer(
    problem: Problem, table: SequencerTable, path: str | Path, style: SequencerStyle | None = None
) -> None:
    """Write one file whole, in the format its name asks for.

    Parameters
    ----------
    problem : Problem
        The line.
    table : SequencerTable
        What to write: see :func:`hoistopt.sequencer_table`.
    path : str or Path
        The file, ending in .csv, .json, .st or .xml.
    style : SequencerStyle, optional
        How structured text and PLCopen XML are written.

    Raises
    ------
    InputError, ExportFailed
        As :func:`export_text`; or when the file cannot be written. Nothing is left then.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> table = hoistopt.sequencer_table(problem, result.schedule)
    >>> hoistopt.write_sequencer(problem, table, "steps.st")
    """
    form = format_of(path)
    check_target(path)
    write_atomically(path, export_text(problem, table, form, style))


def _dialect(table: SequencerTable, style: SequencerStyle) -> Dialect:
    if not table.steps:
        raise InputError(
            "a cycle that follows the list, for a function block",
            field="then",
            way_out="Name the cycle and when it begins, or write CSV or JSON.",
        )
    return Dialect(table, style.block, style.tags, style.values, style.room)
