"""The least cycle time of a given order of moves, or why the order cannot run."""

from __future__ import annotations

from ..analysis.order.least import least_for_order
from ..base.effort import Effort
from ..show.order import OrderAnswer
from .given import Line, Moves, naming, order_of, problem_of


def order(
    line: Line, moves: Moves, compare: bool = True, effort: Effort | None = None
) -> OrderAnswer:
    """Find the least cycle time of an order, and how far it is behind the best order.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path
        Its times only set the order, and may be left out of a file.
    compare : bool
        Whether to look for the best order as well.
    effort : Effort, optional
        Its time limit is for the whole; without an effort, 60 seconds.

    Raises
    ------
    InputError
        When a file or a limit cannot be used.
    """
    problem = problem_of(line, several=True)
    given = order_of(moves, problem)
    with naming(line):
        return OrderAnswer(problem, least_for_order(problem, given, compare=compare, effort=effort))
