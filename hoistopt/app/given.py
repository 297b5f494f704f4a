"""What a user hands over: a line and moves on it, as objects or as files."""

from __future__ import annotations

import re
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

from .. import checker
from ..base.errors import naming_file
from ..base.text import read_text
from ..base.workbook.package import is_workbook
from ..checker import Refused, Replay
from ..problem import Problem, load_problem
from ..schedule import Schedule
from ..schedule.files import MovesFile, read_moves, read_order

Line = Problem | str | Path
"""A problem, or the file it is in."""
Moves = Schedule | str | Path | MovesFile
"""A schedule, or the file it is in."""


def problem_of(line: Line, *, several: bool = False, asked: str = "what is asked here") -> Problem:
    """The problem itself.

    Parameters
    ----------
    several : bool
        Whether what is asked can be asked of a line with several hoists.
    asked : str
        What it is, for the error.

    Raises
    ------
    InputError
        When its file cannot be used, or has several hoists where it may not.
    """
    problem = line if isinstance(line, Problem) else load_problem(line)
    if not several:
        with naming(line):
            problem.check_one_hoist(asked)
    return problem


def naming(source: object) -> AbstractContextManager[None]:
    """Let an error about something name the file it came from, if it came from one."""
    return naming_file(str(source)) if isinstance(source, str | Path | MovesFile) else nullcontext()


def sequencer_form(path: str | Path) -> str | None:
    """The format of a file that holds a sequencer's step table; None of any other file.

    Returns
    -------
    str or None
        ``csv``, ``json``, ``st`` or ``xml``.

    Raises
    ------
    InputError
        When the file cannot be read.
    """
    path = Path(path)
    if path.suffix.lower() in (".st", ".xml"):
        return path.suffix.lower()[1:]
    if is_workbook(path):
        return None
    text = read_text(path)
    if text.lstrip().startswith("{"):
        return "json" if re.search(r'"format"\s*:\s*"hoist sequencer tables?"', text) else None
    # Spreadsheets may put quotes around the words, or semicolons between the cells.
    csv = re.search(r'^"?check_sum \[number\]"?[,;\t]', text, re.MULTILINE)
    return "csv" if csv else None


def schedule_of(moves: Moves, problem: Problem) -> Schedule:
    """The schedule itself: from a table of moves, or from a sequencer's own file.

    Raises
    ------
    InputError
        When the file cannot be used.
    """
    if isinstance(moves, Schedule):
        return moves
    form = sequencer_form(moves.path if isinstance(moves, MovesFile) else moves)
    if form is None:
        return read_moves(moves, problem)
    return _of_sequencer(Path(moves), form, problem)[0]


def told_of(moves: Moves, problem: Problem) -> list[str]:
    """What has to be said of a file of moves: of a sequencer's what of it is not judged."""
    path = None if isinstance(moves, Schedule) else Path(moves)
    form = None if path is None else sequencer_form(path)
    return [] if path is None or form is None else _of_sequencer(path, form, problem)[1]


def _of_sequencer(path: Path, form: str, problem: Problem) -> tuple[Schedule, list[str]]:
    from ..exports.readback.given import schedule_from, table_given
    from ..exports.readback.several_given import several_given

    with naming_file(path):
        text = read_text(path)
        if len(problem.hoists) > 1:
            return several_given(text, form, problem)[:2]
        table, said = table_given(text, form)
        return schedule_from(table, problem), said


def order_of(moves: Moves, problem: Problem) -> Schedule:
    """The order of moves; times may be left out of the file.

    Raises
    ------
    InputError
        When the file cannot be used.
    """
    return moves if isinstance(moves, Schedule) else read_order(moves, problem)


def replayed(
    line: Line, moves: Moves, cycles: int | None = None, *, several: bool = False
) -> Replay:
    """What the checker saw of moves on a line: it accepts them.

    Parameters
    ----------
    cycles : int, optional
        Cycles in which loads enter; by default until the line repeats itself.
    several : bool
        Whether what is asked can be asked of a line with several hoists.
    asked : str
        What it is, for the error.

    Raises
    ------
    InputError
        When a file cannot be used, or the moves make no sense on the line.
    Refused
        When the moves break a rule.
    """
    problem = problem_of(line, several=several)
    schedule = schedule_of(moves, problem)
    with naming(moves):
        seen = checker.replay(problem, schedule, cycles)
    if not seen.clean:
        raise Refused(seen)
    _check_releases(moves, seen)
    return seen


def _check_releases(moves: Moves, seen: Replay) -> None:
    """Refuse a sequencer's tables of several hoists whose signals do not keep them apart."""
    if isinstance(moves, Schedule) or len(seen.problem.hoists) == 1:
        return
    form = sequencer_form(moves.path if isinstance(moves, MovesFile) else moves)
    if form is None:
        return
    from ..exports.readback.several_given import several_given
    from ..exports.readback.several_waits import check_releases

    path = Path(moves)
    with naming_file(path):
        check_releases(several_given(read_text(path), form, seen.problem)[2], seen)
