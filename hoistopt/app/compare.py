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
from .solve import Degrees, solve


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
    before: Version, after: Version, degree: int | None = None, effort: Effort | None = None
) -> ComparisonAnswer | NoSchedule:
    """Compare order, tanks, dwells and output; both lines are read before one is solved.

    Parameters
    ----------
    before, after : Version
    degree : int, optional
        Sets of loads per cycle, where a side is solved. By default that of the moves given on
        the other side; where none are given, the best degree of the line before, for both.
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
    lines = [problem_of(side.line, several=True) for side in versions]
    with naming(after.line):
        check_units(*lines)
    given = [_given(*side) for side in zip(lines, versions, strict=True)]
    if degree is None:
        degree = next((_degree(side) for side in given if side is not None), None)
    sides: list[Side] = []
    for problem, version, found in zip(lines, versions, given, strict=True):
        side = found or _solved(problem, version, degree, effort)
        if isinstance(side, NoSchedule):
            return side
        sides.append(side)
        degree = degree or _degree(side)
    return ComparisonAnswer(compare_sides(*sides))


def _given(problem: Problem, version: Version) -> Side | None:
    if version.moves is None:
        return None
    try:
        seen = replayed(problem, version.moves, several=True)
    except Refused as refused:
        if not isinstance(version.moves, Schedule):
            refused.add_note(f"Moves in {printable(str(version.moves))}:")
        raise
    return side_of(problem, seen.schedule, seen=seen)


def _degree(side: Side) -> int:
    """Sets of loads that enter in a cycle, rounded up for moves of no whole number of them."""
    loads = sum(row.stage == 0 for row in side.report.steps)
    return -(-loads // len(side.problem.load_set))


def _solved(
    problem: Problem, version: Version, degree: int | None, effort: Effort | None
) -> Side | NoSchedule:
    with naming(version.line):
        degrees: Degrees = "best" if degree is None else (degree,)
        solved = solve(problem, degrees, effort, least_only=True)
    best = solved.best
    if best is None or best.schedule is None:
        return NoSchedule(version.line, solved)
    return side_of(problem, best.schedule, best.status, solved.replay)
