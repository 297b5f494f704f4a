"""What holds a cycle time where it is."""

from __future__ import annotations

from dataclasses import replace

from ..base.effort import Effort
from ..schedule.files import MovesFile, takes_runnable
from ..show.schedule.answer import SolvedAnswer
from ..show.why.answer import WhyAnswer
from .given import Line, Moves, naming, replayed
from .solve import Degrees, solve


def why(
    line: Line, moves: Moves | None = None, degrees: Degrees = (1,), effort: Effort | None = None
) -> WhyAnswer | SolvedAnswer:
    """The chain of times that adds up to a cycle time.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path, optional
        Left out, the line is solved first.
    degrees : sequence of int or "best"
        Sets of loads per cycle, where it is solved.
    effort : Effort, optional
        Of the search, where it is solved.

    Returns
    -------
    WhyAnswer or SolvedAnswer
        The latter where the search found no schedule.

    Raises
    ------
    InputError
        When a file or a limit cannot be used.
    Refused
        When the moves break a rule.
    """
    from ..analysis.why.holding import what_holds

    if moves is not None:
        seen, status = replayed(line, moves, several=True), "verified"
    else:
        solved = solve(line, degrees, effort, least_only=True)
        if solved.best is None or solved.replay is None:
            return solved
        seen, status = solved.replay, solved.best.status
    with naming(line if moves is None else moves):
        holding = what_holds(seen.problem, seen.schedule, seen)
    if isinstance(moves, MovesFile) and takes_runnable(moves):
        holding = replace(holding, to_be_run=True)
    return WhyAnswer(seen.problem, holding, status)
