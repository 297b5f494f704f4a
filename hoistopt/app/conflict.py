"""Why a line has no schedule, or none so quick, and which limits would have to give."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from ..base.clock import Clock
from ..base.effort import Effort
from ..base.numbers.amount import Amount
from ..base.numbers.duration import Duration
from ..base.numbers.rate import Rate
from ..conflict.answer import OtherDegrees
from ..conflict.find import USUAL_GIVE, USUAL_LIMIT, inquire, limit_of
from ..planning.best_degree.reaching import degree_reaching
from ..show.conflict.answer import ConflictAnswer
from .given import Line, naming, problem_of


def conflict(
    line: Line,
    degree: int | None = None,
    at_most: Decimal | int | float | Duration | Rate | None = None,
    by: Amount | Decimal | int | str = USUAL_GIVE,
    hoist_by: Decimal | int | float | str = 10,
    effort: Effort | None = None,
) -> ConflictAnswer:
    """A smallest set of demands that cannot be kept together, and the least changes.

    Parameters
    ----------
    line : Problem, str or Path
    degree : int, optional
        Sets of loads per cycle. Left out: 1; where that does not keep what is wished for, other
        degrees are looked at before any change is, by time per load.
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
    effort = Effort(USUAL_LIMIT) if effort is None else effort

    def longest(degree: int) -> Fraction:
        """The greatest cycle time wished for; a time is that of a cycle of degree 1."""
        assert at_most is not None
        if isinstance(at_most, Rate):
            return limit_of(at_most, problem, degree)
        return degree * limit_of(at_most, problem, 1)

    def elsewhere(clock: Clock) -> OtherDegrees:
        return degree_reaching(problem, longest, clock)

    usual = degree is None
    others = elsewhere if usual and at_most is not None else None
    with naming(line):
        found = inquire(problem, degree or 1, at_most, by, hoist_by, effort, others)
    return ConflictAnswer(problem, found, usual)
