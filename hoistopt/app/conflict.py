"""Why a line has no schedule, or none so quick, and which limits would have to give."""

from __future__ import annotations

from decimal import Decimal

from ..base.effort import Effort
from ..base.numbers.amount import Amount
from ..base.numbers.duration import Duration
from ..base.numbers.rate import Rate
from ..conflict import find_conflict
from ..conflict.find import USUAL_GIVE
from ..show.conflict.answer import ConflictAnswer
from .given import Line, naming, problem_of


def conflict(
    line: Line,
    degree: int = 1,
    at_most: Decimal | int | float | Duration | Rate | None = None,
    by: Amount | Decimal | int | str = USUAL_GIVE,
    hoist_by: Decimal | int | float | str = 10,
    effort: Effort | None = None,
) -> ConflictAnswer:
    """A smallest set of demands that cannot be kept together, and the least changes.

    Parameters
    ----------
    line : Problem, str or Path
    degree : int
        Sets of loads per cycle.
    at_most : number, Duration or Rate, optional
        Greatest cycle time wished for, in the problem's unit.
    by : Amount, number or str
        How far limits may give of which the problem does not say: a time in its unit, or a
        share such as ``"20%"`` of each.
    hoist_by : number or str
        The same for the hoist's times, in percent; 0 leaves them as they are.
    effort : Effort, optional
        Its time limit is for the whole; without an effort, 60 seconds.

    Raises
    ------
    InputError
        When the file, the cycle time, an amount or a limit cannot be used.
    """
    problem = problem_of(line, several=True)
    with naming(line):
        return ConflictAnswer(
            problem, find_conflict(problem, degree, at_most, by, hoist_by, effort=effort)
        )
