"""Read moves from files, and give them as plain data for JSON."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..base.errors import InputError, naming_file
from ..base.workbook.table_text import naming_sheet_cells, table_text
from ..problem import Problem
from .csv_moves import is_programme as csv_is_programme
from .csv_moves import moves_from_csv, programme_from_csv
from .json_moves import (
    Take,
    is_json,
    moves_from_json,
    parse_json,
    programme_from_json,
    runnable_meant,
)
from .json_moves import is_programme as json_is_programme
from .programme import Programme
from .schedule import Schedule, readable
from .words import read_words, reworded

SHEETS = ("Cycle", "Programme")
"""Sheets of a workbook that may hold moves."""


@dataclass(frozen=True)
class MovesFile:
    """A file of moves, and which of its schedules is meant.

    The JSON that `hoistopt solve` writes may hold two: that of the least cycle, and the
    shortest found that can be run.

    Attributes
    ----------
    path : str or Path
    take : {"shown", "least", "runnable"}
        "shown": the one that was shown when the file was written, in any other file the
        only one.
    words : str, Path or None
        A file that says what the words of a table in another language mean; see
        :func:`.words.read_words`.
    """

    path: str | Path
    take: Take = "shown"
    words: str | Path | None = None

    def table(self, text: str, problem: Problem) -> str:
        """The text of the file in our own words; that of JSON as it is."""
        if self.words is None or is_json(Path(self.path), text):
            return text
        return reworded(text, read_words(self.words, problem))

    def __fspath__(self) -> str:
        return str(self.path)

    def __str__(self) -> str:
        return str(self.path)


def read_moves(path: str | Path | MovesFile, problem: Problem) -> Schedule:
    """Read a table of moves, in CSV, JSON or a workbook.

    Parameters
    ----------
    path : str, Path or MovesFile
        The file. It counts as JSON when it begins with ``{`` or its name ends in
        ``.json``, as a workbook when that ends in ``.xlsx``, else as CSV. Of a workbook the
        sheet ``Cycle`` is read, or ``Programme``, or the only one. Of a JSON file with two
        schedules a name alone means the first, that of the least cycle.
    problem : Problem
        The line the moves are made on.

    Returns
    -------
    Schedule
        In exact ticks, the coarsest decimal fraction of the unit that fits every time.
        Whether the moves obey the rules of the line is for the checker to say.

    Raises
    ------
    InputError
        One error naming the file, the place in it and the value.

    Examples
    --------
    >>> import hoistopt
    >>> from pathlib import Path
    >>> problem = hoistopt.load_problem("problems/roomy_dryer.toml")
    >>> _ = Path("moves.csv").write_text(
    ...     "start,from,to,cycle_time\\n"
    ...     "0,Bench,Wash,400\\n120,Wash,Rinse,400\\n200,Rinse,Dryer,400\\n300,Dryer,Bench,400\\n"
    ... )
    >>> hoistopt.read_moves("moves.csv", problem)
    <Schedule: 4 moves, cycle time 400>
    """
    return _read(path, problem, timed=True)


def read_order(path: str | Path | MovesFile, problem: Problem) -> Schedule:
    """Read the order of moves from a table of them; times may be left out.

    The same files as for :func:`read_moves`, with or without the cycle time and starts.
    Where starts are given they set the order, else the order of the rows does.

    Parameters
    ----------
    path : str or Path
        The file, in CSV or JSON.
    problem : Problem
        The line the moves are made on.

    Returns
    -------
    Schedule
        The moves at 0, 1, 2, ... of a cycle of as many ticks: their order, no times.

    Raises
    ------
    InputError
        One error naming the file, the place in it and the value.

    Examples
    --------
    >>> import hoistopt
    >>> from pathlib import Path
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> _ = Path("order.csv").write_text(
    ...     "from,to\\nBench,Wash\\nPassivate,Rinse\\nDryer,Bench\\nRinse,Dryer\\nWash,Passivate\\n"
    ... )
    >>> order = hoistopt.read_order("order.csv", problem)
    >>> hoistopt.least_for_order(problem, order, compare=False).cycle_time
    Fraction(234, 1)
    """
    return _read(path, problem, timed=False)


def read_programme(path: str | Path | MovesFile, problem: Problem) -> Programme:
    """Read a programme, moves in absolute time, in CSV, JSON or a workbook.

    The columns and keys are those of :func:`read_moves`, without a cycle time.

    Parameters
    ----------
    path : str or Path
        The file.
    problem : Problem
        The line the moves are made on.

    Returns
    -------
    Programme
        On the coarsest decimal grid that fits every time. Whether the moves obey the rules
        of the line is for the checker to say.

    Raises
    ------
    InputError
        One error naming the file, the place in it and the value.

    Examples
    --------
    >>> import hoistopt
    >>> from pathlib import Path
    >>> problem = hoistopt.load_problem("problems/roomy_dryer.toml")
    >>> _ = Path("programme.csv").write_text(
    ...     "# programme\\nstart,from,to\\n0,Bench,Wash\\n120,Wash,Rinse\\n"
    ... )
    >>> hoistopt.read_programme("programme.csv", problem)
    <Programme: 2 moves, the last starts at 120>
    """
    path = Path(path)
    text = table_text(path, SHEETS)
    read = programme_from_json if is_json(path, text) else programme_from_csv
    with naming_sheet_cells(path, SHEETS):
        return read(text, problem)


def holds_programme(path: str | Path) -> bool:
    """Whether a file of moves says that it is a programme, which runs once.

    CSV says so in a line ``# programme`` above the header, JSON by a key ``finish`` where
    a cycle has its ``cycle_time``.

    Raises
    ------
    InputError
        When the file cannot be read.
    """
    path = Path(path)
    text = table_text(path, SHEETS)
    return (json_is_programme if is_json(path, text) else csv_is_programme)(text)


def takes_runnable(moves: MovesFile) -> bool:
    """Whether of a file's schedules the one that can be run is meant, and is there.

    Raises
    ------
    InputError
        When the file cannot be read.
    """
    path = Path(moves)
    text = table_text(path, SHEETS)
    with naming_file(path):
        return is_json(path, text) and runnable_meant(parse_json(text), moves.take)


def _read(given: str | Path | MovesFile, problem: Problem, *, timed: bool) -> Schedule:
    path, take = Path(given), given.take if isinstance(given, MovesFile) else "least"
    text = table_text(path, SHEETS)
    if isinstance(given, MovesFile):
        text = given.table(text, problem)
    with naming_sheet_cells(path, SHEETS):
        if is_json(path, text):
            return moves_from_json(text, problem, timed=timed, take=take)
        if take == "runnable":
            raise InputError(
                "a JSON file of `hoistopt solve`, which may hold two schedules",
                field="take",
                value=take,
                way_out="A table holds one; leave the choice out.",
            )
        return moves_from_csv(text, problem, timed=timed)


def schedule_to_data(schedule: Schedule) -> list[dict[str, Any]]:
    """The moves as plain data: the list that stands under ``moves`` in JSON.

    Returns
    -------
    list of dict
        One per move in order of time, with ``step`` counted from 1, ``start`` in the
        problem's unit, ``from``, ``to``, ``recipe``, ``load``, ``stage`` and
        ``boundaries``; None where the schedule does not say. A time that is not whole
        is the float that prints as its exact decimal.
    """
    return [
        {
            "step": number,
            "start": readable(schedule.time(step.start)),
            "from": step.source,
            "to": step.target,
            "recipe": step.recipe,
            "load": step.load,
            "stage": step.stage,
            "boundaries": step.boundaries,
            **({} if step.hoist is None else {"hoist": step.hoist}),
        }
        for number, step in enumerate(schedule, start=1)
    ]


def travels_to_data(schedule: Schedule | Programme) -> list[dict[str, Any]]:
    """How several hoists give way to one another: what stands under ``travels`` in JSON."""
    return [
        {
            "start": readable(travel.start / schedule.ticks_per_unit),
            "hoist": travel.hoist,
            "to": readable(travel.to),
        }
        for travel in schedule.travels
    ]
