"""Where results go: looked at before the work begins, written together after it."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..base.errors import InputError, printable
from ..base.files import check_target, written_together
from .streams import put, say, tell

if TYPE_CHECKING:
    from ..schedule.files import MovesFile

STDOUT = "-"
DRAWN = ("diagram", "OUT", "dwells", "run_chart")
"""Options whose files are pictures."""
ENDINGS = {
    "json": (".json",),
    "csv": (".csv",),
    "workbook": (".xlsx",),
    "out": (".toml", ".xlsx"),
    "html": (".html", ".htm"),
}
"""What the name of a file may end in, where it has an ending, by what is written."""
_KINDS = {
    "json": "JSON",
    "csv": "CSV",
    "workbook": "a workbook",
    "out": "a problem file",
    "html": "HTML",
}


@dataclass(frozen=True)
class Target:
    """A file to write, or standard output; `option` is what the user typed before it."""

    option: str
    path: str

    @property
    def shown(self) -> str:
        """The path as it can be printed."""
        return printable(self.path)


def add_tables(parser: argparse.ArgumentParser, what: str) -> None:
    """Add the two files of tables: the main one, `what`, as CSV, all of them as a workbook."""
    parser.add_argument("--csv", metavar="OUT", help=f'write {what} as CSV ("-": stdout)')
    parser.add_argument(
        "--workbook", metavar="OUT", help="write all tables as a workbook, a sheet each (.xlsx)"
    )


class Outputs:
    """All that one command was asked to write.

    Making it checks that every file can be written; :meth:`write` writes all of them or
    none.

    Parameters
    ----------
    inputs : list of str or MovesFile
        Files that are read; none of them may be written over.
    given : str or None
        File by option, such as ``json="out.json"``. Those of `DRAWN` are pictures.

    Raises
    ------
    InputError
        For the first file that cannot be written, or whose name says it is something
        else than what would be in it.
    """

    def __init__(self, inputs: Sequence[str | MovesFile], **given: str | None) -> None:
        self._targets: dict[str, Target] = {}
        self._moves = [path for path in inputs if not isinstance(path, str)]
        taken = {os.path.realpath(path): "what it is read from" for path in inputs}
        for name, path in given.items():
            if path is None:
                continue
            option = name if name.startswith("OUT") else f"--{name.replace('_', '-')}"
            _check(option, path)
            place = path if path == STDOUT else os.path.realpath(path)
            if place in taken:
                raise InputError(
                    f"a place of its own; this is {taken[place]} already",
                    field=option,
                    value=path,
                    way_out="Choose another name.",
                )
            taken[place] = f"used by {option}"
            self._targets[name] = Target(option, path)

    def __contains__(self, name: str) -> bool:
        return name in self._targets

    def __getitem__(self, name: str) -> Target:
        return self._targets[name]

    @property
    def to_stdout(self) -> bool:
        """Whether a file goes to standard output, so that people are told elsewhere."""
        return any(target.path == STDOUT for target in self._targets.values())

    @property
    def shown(self) -> Callable[..., None]:
        """Prints for people: where no file is in the way."""
        return tell if self.to_stdout else say

    def write(self, contents: Mapping[str, str | bytes]) -> None:
        """Write what was made, by the names asked for: all of it or nothing.

        Raises
        ------
        InputError
            When a file cannot be written; nothing is left behind then.
        """
        chosen = [(self._targets[name].path, data) for name, data in contents.items()]
        with written_together([(path, data) for path, data in chosen if path != STDOUT]):
            for path, data in chosen:
                if path == STDOUT:
                    put(data if isinstance(data, str) else data.decode("utf-8"))

    def told(self, contents: Mapping[str, object], how: str = "") -> list[str]:
        """What was read where there was a choice, what was written and what not, a line each."""
        from ..schedule.files import takes_runnable

        lines = [
            f"Read from {printable(str(moves))}: the schedule that can be run; --take least for "
            "that of the least cycle"
            for moves in self._moves
            if moves.take == "shown" and takes_runnable(moves)
        ]
        for name, target in self._targets.items():
            if name not in contents:
                lines.append(f"Not written, as there is no schedule: {target.shown}")
            elif target.path != STDOUT:
                lines.append(wrote(target.path, how))
        return lines


def wrote(path: str, how: str = "") -> str:
    """That a file was written, and what there is to say of it."""
    return f"Wrote {printable(path)}{how}"


def _check(option: str, path: str) -> None:
    from ..show.drawing.saving import picture_format

    try:
        if option.removeprefix("--").replace("-", "_") in DRAWN:
            picture_format(path)
        if option == "--workbook":
            _check_workbook(path)
        if path != STDOUT:
            check_ending(option, path)
            check_target(path)
    except InputError as error:
        error.field = error.field or option
        raise


def _check_workbook(path: str) -> None:
    """A workbook is not for a terminal, and takes a library that may be missing."""
    from ..base.extras import library
    from ..base.workbook.package import EXTRA, PURPOSE

    library("openpyxl", EXTRA, PURPOSE)
    if path == STDOUT:
        raise InputError(
            "the name of a file, as a workbook is no text",
            value=path,
            way_out="For standard output there are --csv and --json.",
        )


def check_ending(option: str, path: str) -> None:
    """Refuse a name that says there is something else in the file than will be written.

    Raises
    ------
    InputError
    """
    kind = option.removeprefix("--")
    ending = Path(path).suffix
    if kind in ENDINGS and ending and ending.lower() not in ENDINGS[kind]:
        endings = " or ".join(ENDINGS[kind])
        raise InputError(
            f"a file name ending in {endings}, as {_KINDS[kind]} is what is written",
            field=option,
            value=path,
            way_out="For a workbook there is --workbook."
            if kind == "csv" and ending.lower() == ".xlsx"
            else f"End the name in {ENDINGS[kind][0]}, or leave out the ending.",
        )
