"""What hoistopt answers for a line, in whole ticks, to compare with other answers."""

from __future__ import annotations

from collections.abc import Callable

from hoistopt import InfeasibleError, InputError, Result, Schedule, solve
from hoistopt.checker import accepted
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.solver import least_cycle
from tests.helpers.clocks import clock


def answer(problem: Problem, degree: int = 1) -> Result:
    """The full way: instance, search with proof, replay by the checker."""
    result = solve(problem, degree, workers=1)
    assert result.status in ("optimal", "infeasible")
    return result


def least(problem: Problem, degree: int = 1) -> Schedule | None:
    """A schedule of least cycle time; None where there is no schedule.

    A window without a whole tick in it is refused as input; there is no schedule either.
    """
    return _if_any(lambda: answer(problem, degree).schedule)


def least_alone(problem: Problem, degree: int = 1) -> Schedule | None:
    """The same, but where there is no schedule nobody asks why, which takes longer."""

    def planned() -> Schedule | None:
        try:
            instance = build_instance(problem, degree)
        except InfeasibleError:
            return None
        found = least_cycle(instance, clock(workers=1))
        assert found.status in ("optimal", "infeasible")
        if found.schedule is not None:
            accepted(problem, found.schedule)
        return found.schedule

    return _if_any(planned)


def least_ticks(problem: Problem, degree: int = 1) -> int | None:
    """The least cycle time in ticks; None where there is no schedule."""
    return _cycle(least(problem, degree))


def least_ticks_alone(problem: Problem, degree: int = 1) -> int | None:
    """The same, but where there is no schedule nobody asks why."""
    return _cycle(least_alone(problem, degree))


def schedule_of(problem: Problem, degree: int = 1) -> Schedule:
    """A schedule of least cycle time, where there is known to be one."""
    schedule = answer(problem, degree).schedule
    assert schedule is not None
    return schedule


def _if_any(make: Callable[[], Schedule | None]) -> Schedule | None:
    try:
        return make()
    except InputError as error:
        if "a tick that fits into the window" in str(error):
            return None
        raise


def _cycle(schedule: Schedule | None) -> int | None:
    return None if schedule is None else schedule.cycle
