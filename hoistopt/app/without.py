"""What a line loses without tanks that share a stage with others."""

from __future__ import annotations

from collections.abc import Sequence

from ..analysis.without import find_without
from ..base.effort import Effort
from ..show.without import WithoutAnswer
from .given import Line, naming, problem_of


def without(line: Line, tanks: Sequence[str] = (), effort: Effort | None = None) -> WithoutAnswer:
    """The output of a line with some tanks out of use, for planning maintenance.

    Parameters
    ----------
    line : Problem, str or Path
    tanks : sequence of str
        Out of use at the same time. Left out, every tank of every group, one at a time.
    effort : Effort, optional
        Its time limit is for the whole.

    Raises
    ------
    InputError
        When the file, a tank or a limit cannot be used.
    """
    problem = problem_of(line, several=True)
    with naming(line):
        return WithoutAnswer(find_without(problem, tanks, effort))
