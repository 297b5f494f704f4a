"""Why a line has no schedule, or none so quick, and which windows would have to give."""

from __future__ import annotations

from decimal import Decimal

from ..base.effort import Effort
from ..conflict import find_conflict
from ..show.conflict import ConflictAnswer
from .given import Line, naming, problem_of


def conflict(
    line: Line,
    degree: int = 1,
    at_most: Decimal | int | float | None = None,
    effort: Effort | None = None,
) -> ConflictAnswer:
    """A smallest set of demands that cannot be kept together, and the least changes.

    Parameters
    ----------
    line : Problem, str or Path
    degree : int
        Sets of loads per cycle.
    at_most : number, optional
        Greatest cycle time wished for, in the problem's unit.
    effort : Effort, optional
        Its time limit is for the whole; without an effort, 60 seconds.

    Raises
    ------
    InputError
        When the file, the cycle time or a limit cannot be used.
    """
    problem = problem_of(line)
    with naming(line):
        return ConflictAnswer(problem, find_conflict(problem, degree, at_most, effort=effort))
