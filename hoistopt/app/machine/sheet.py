"""A schedule as a sheet for the cabinet door: what the sequencer does, and what to do when."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Literal

from ...base.errors import InputError
from ...base.files import unreadable
from ...base.text import json_text
from ...exports import SequencerTable, sequencer_table
from ...exports.several import SeveralTable, several_table
from ...exports.units import TimeUnit
from ...problem import Problem
from ...problem.files.load import files_of
from ...schedule import Schedule, readable
from ...schedule.files import MovesFile, schedule_to_data, takes_runnable
from ...show.sheet.data import CheckSum, Sheet
from ...show.sheet.html import sheet_html
from ...show.sheet.layout import laid_out
from ...show.sheet.pdf import sheet_pdf
from ..given import Line, Moves, problem_of, replayed
from .sheet_table import Found, of_hoist, of_one, sheet_of, sources_of

FORMATS = {"pdf": "PDF", "html": "HTML"}
"""By the ending of the file's name."""
MOST_REVISION = 40


@dataclass(frozen=True)
class Printed:
    """A sheet, and the files asked for.

    Attributes
    ----------
    problem, schedule : Problem, Schedule
        The line, and the moves that were accepted on it.
    sheet : Sheet
        What is printed.
    files : tuple of str or bytes
        One a format: bytes of PDF, text of HTML.
    pages : int
        Sides of A4.
    more : tuple of Sheet
        Of several hoists: the sheets of all but the first.
    """

    problem: Problem
    schedule: Schedule
    sheet: Sheet
    files: tuple[str | bytes, ...]
    pages: int
    more: tuple[Sheet, ...] = ()

    def sentences(self) -> list[str]:
        """How many pages it takes, where one is not enough."""
        if self.pages == 1 + len(self.more):
            return [f"A page for each of {self.pages} hoists."] if self.more else []
        if self.more:
            return [f"The motions of {1 + len(self.more)} hoists take {self.pages} pages."]
        return [f"{len(self.sheet.steps)} steps take {self.pages} pages in type one can read."]


def sheet_format(path: str | Path) -> str:
    """The format a file's name asks for.

    Raises
    ------
    InputError
        When its ending is neither .pdf nor .html.
    """
    ending = Path(path).suffix.lower().removeprefix(".")
    if ending not in FORMATS:
        raise InputError(
            "a file name that ends in .pdf or .html",
            file=path,
            way_out="The ending says what to write.",
        )
    return ending


def sheet(
    line: Line,
    moves: Moves,
    formats: tuple[str, ...] = ("pdf",),
    unit: str | TimeUnit = "ms",
    stations: Literal["own", "list", "track"] | Mapping[str, int] = "list",
    first: int = 0,
    revision: str = "",
    written: date | None = None,
) -> Printed:
    """Print the sequencer table of a schedule for people at the machine.

    Numbers of stations, starts and limits are those of
    :func:`hoistopt.app.machine.sequencer.sequencer` with the same unit and numbering.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path
    formats : tuple of str
        ``pdf``, ``html``.
    unit, stations, first
        As of the sequencer table.
    revision : str
        Printed as it is; left out, there is room to write it by hand.
    written : date, optional
        The day to print.

    Raises
    ------
    InputError
        When a file, a number or the revision cannot be used.
    Refused
        When the moves break a rule.
    """
    if len(revision) > MOST_REVISION or not revision.isprintable():
        raise InputError(
            f"at most {MOST_REVISION} printable characters", field="revision", value=revision
        )
    sums = (*_of_line(line), _of_moves(moves))
    problem = problem_of(line, several=True)
    seen = replayed(problem, moves, several=True)
    schedule = seen.schedule
    sources = sources_of(problem)

    def printed(table: SequencerTable | SeveralTable, found: Found) -> Sheet:
        return sheet_of(
            table, found, sums=sums, sources=sources, revision=revision, written=written
        )

    if len(problem.hoists) > 1:
        tables = several_table(problem, schedule, unit, stations, first, seen)
        sheets = tuple(printed(tables, of_hoist(tables, hoist)) for hoist in tables.hoists)
    else:
        table = sequencer_table(problem, schedule, unit, stations, first, seen)
        sheets = (printed(table, of_one(table)),)
    files = tuple(sheet_pdf(*sheets) if form == "pdf" else sheet_html(*sheets) for form in formats)
    return Printed(problem, schedule, sheets[0], files, len(laid_out(*sheets)), sheets[1:])


def _of_line(line: Line) -> tuple[CheckSum, ...]:
    """Of the problem file and of the tables beside it that it names."""
    if isinstance(line, Problem):
        return (_sum("line", line.to_toml().encode("utf-8")),)
    return tuple(_of_file(path) for path in files_of(line))


def _of_moves(moves: Moves) -> CheckSum:
    """Of the file of moves; of the text of its JSON where the moves come from no file."""
    if isinstance(moves, Schedule):
        cycle = readable(moves.time(moves.cycle))
        data = {"cycle_time": cycle, "moves": schedule_to_data(moves)}
        return _sum("moves", json_text(data).encode("utf-8"))
    found = _of_file(Path(moves))
    if isinstance(moves, MovesFile) and takes_runnable(moves):
        # The file holds two schedules, and one sum stands for both.
        return replace(found, name=f"{found.name} (the one that can be run)")
    return found


def _of_file(path: Path) -> CheckSum:
    try:
        return _sum(path.name, path.read_bytes())
    except OSError as error:
        raise unreadable(path, error) from None


def _sum(name: str, content: bytes) -> CheckSum:
    return CheckSum(name, hashlib.sha256(content).hexdigest())
