"""What would shorten the cycle of a line: each minimum lower, each maximum higher."""

from __future__ import annotations

from decimal import Decimal

from ..analysis.levers.search import find_levers
from ..base.effort import Effort
from ..base.numbers.amount import Amount
from ..show.levers.answer import LeversAnswer
from .given import Line, naming, problem_of


def levers(
    line: Line,
    degree: int | None = None,
    by: Amount | Decimal | int | str = "10%",
    hoist_by: Decimal | int | float | str = 10,
    effort: Effort | None = None,
) -> LeversAnswer:
    """Let every limit give way in turn, and rank what that gains.

    Parameters
    ----------
    line : Problem, str or Path
    degree : int, optional
        Sets of loads per cycle. Left out: 1, and it is said where another may be quicker.
    by : Amount, number or str
        How far each limit gives way: a time in the problem's unit, or a share such as
        ``"10%"``.
    hoist_by : number or str
        By how many percent a quicker hoist is quicker; 0 leaves it out.
    effort : Effort, optional
        Its time limit is for the whole.

    Raises
    ------
    InputError
        When the file, an amount or a limit cannot be used.
    """
    problem = problem_of(line, several=True)
    with naming(line):
        found = find_levers(problem, degree or 1, by, hoist_by, effort=effort)
    return LeversAnswer(problem, found, degree is None)
