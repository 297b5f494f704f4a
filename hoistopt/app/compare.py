"""Two schedules, or two versions of a line, side by side."""

from __future__ import annotations

from dataclasses import dataclass

from ..analysis.compare import Side, check_units, compare_sides, side_of
from ..base.effort import Effort
from ..base.errors import printable
from ..checker import Refused
from ..problem import Problem
from ..schedule import Schedule
from ..show.compare.answer import ComparisonAnswer
from ..show.schedule.answer import SolvedAnswer
from .given import Line, Moves, naming, problem_of, replayed
from .solve import solve


@dataclass(frozen=True)
class Version:
    """One side of a comparison.

    Attributes
    ----------
    line : Problem, str or Path
    moves : Schedule, str, Path or None
        Left out, the line is solved.
    """

    line: Line
    moves: Moves | None = None


@dataclass(frozen=True)
class NoSchedule:
    """One side could not be solved.

    Attributes
    ----------
    line : Problem, str or Path
        Which.
    solved : SolvedAnswer
        What the search came to.
    """

    line: Line
    solved: SolvedAnswer


def compare(
    before: Version, after: Version, degree: int = 1, effort: Effort | None = None
) -> ComparisonAnswer | NoSchedule:
    """Compare order, tanks, dwells and output; both lines are read before one is solved.

    Parameters
    ----------
    before, after : Version
    degree : int
        Sets of loads per cycle, where a side is solved.
    effort : Effort, optional
        Of each search.

    Raises
    ------
    InputError
        When a file cannot be used, or the lines count time in different units.
    Refused
        When moves given break a rule; a note on it says whose they are.
    """
    versions = before, after
    lines = problem_of(before.line), problem_of(after.line)
    with naming(after.line):
        check_units(*lines)
    sides: list[Side] = []
    for problem, version in zip(lines, versions, strict=True):
        side = _side(problem, version, degree, effort)
        if isinstance(side, NoSchedule):
            return side
        sides.append(side)
    return ComparisonAnswer(compare_sides(*sides))


def _side(
    problem: Problem, version: Version, degree: int, effort: Effort | None
) -> Side | NoSchedule:
    if version.moves is not None:
        try:
            seen = replayed(problem, version.moves)
        except Refused as refused:
            if not isinstance(version.moves, Schedule):
                refused.add_note(f"Moves in {printable(str(version.moves))}:")
            raise
        return side_of(problem, seen.schedule, seen=seen)
    with naming(version.line):
        solved = solve(problem, (degree,), effort, least_only=True)
    best = solved.best
    if best is None or best.schedule is None:
        return NoSchedule(version.line, solved)
    return side_of(problem, best.schedule, best.status, solved.replay)
