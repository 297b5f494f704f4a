"""What hoistopt answers for a line, in whole ticks, to compare with other answers."""

from __future__ import annotations

from hoistopt import InputError, Result, Schedule, solve
from hoistopt.problem import Problem


def answer(problem: Problem, degree: int = 1) -> Result:
    """The full way: instance, search with proof, replay by the checker."""
    result = solve(problem, degree, workers=1)
    assert result.status in ("optimal", "infeasible")
    return result


def least_ticks(problem: Problem, degree: int = 1) -> int | None:
    """The least cycle time in ticks; None where there is no schedule.

    A window without a whole tick in it is refused as input; there is no schedule either.
    """
    try:
        schedule = answer(problem, degree).schedule
    except InputError as error:
        if "a tick that fits into the window" in str(error):
            return None
        raise
    return None if schedule is None else schedule.cycle


def schedule_of(problem: Problem, degree: int = 1) -> Schedule:
    """A schedule of least cycle time, where there is known to be one."""
    schedule = answer(problem, degree).schedule
    assert schedule is not None
    return schedule
