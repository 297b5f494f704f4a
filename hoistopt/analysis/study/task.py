"""One point solved, as plain data in and out: it runs in other processes, or far away."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from fractions import Fraction
from typing import Any, Literal

from ...base.errors import HoistoptError
from ...checker import Refused, accepted
from ...problem import Problem
from ...schedule import Schedule, Step

Status = Literal["optimal", "feasible", "infeasible", "unknown", "failed", "not run"]


@dataclass(frozen=True)
class Answer:
    """What came of a point.

    Attributes
    ----------
    status : str
        As of a result; "failed" where no answer could be had, "not run" where the study
        was stopped first.
    bound : Fraction or None
        Proven lower bound on the cycle time, in the problem's unit.
    schedule : Schedule or None
        Accepted by the checker in the process that runs the study.
    runtime : float
        Seconds of search.
    reason : str or None
        Why there is no schedule.
    """

    status: Status
    bound: Fraction | None = None
    schedule: Schedule | None = None
    runtime: float = 0.0
    reason: str | None = None


def solve_task(
    data: dict[str, Any], degree: int, time_limit: float | None, seed: int
) -> dict[str, Any]:
    """Solve a problem given as plain data, with one search thread.

    Errors of the solve come back as an answer: what this raises is the fault of whatever
    ran it, and worth another try.
    """
    from ...planning.cycle import solve

    try:
        result = solve(Problem.from_data(data), degree, time_limit, workers=1, seed=seed)
    except HoistoptError as error:
        return {"status": "failed", "reason": f"{type(error).__name__}: {error}"}
    bound = result.lower_bound
    return {
        "status": result.status,
        # A float here is the shortest that prints as the exact decimal.
        "bound": None if bound is None else str(Fraction(str(bound))),
        "schedule": None if result.schedule is None else schedule_data(result.schedule),
        "runtime": result.runtime,
        "reason": result.reason,
    }


def schedule_data(schedule: Schedule) -> dict[str, Any]:
    """A schedule as plain data that JSON can carry, exactly."""
    return {
        "cycle": schedule.cycle,
        "ticks_per_unit": str(schedule.ticks_per_unit),
        "steps": [list(astuple(step)) for step in schedule.steps],
    }


def answer_from(problem: Problem, data: dict[str, Any]) -> Answer:
    """The answer in plain data, its schedule replayed by the checker here and now."""
    bound = data.get("bound")
    schedule = data.get("schedule")
    runtime, reason = float(data.get("runtime", 0.0)), data.get("reason")
    made = None
    if schedule is not None:
        steps = tuple(Step(*step) for step in schedule["steps"])
        made = Schedule(schedule["cycle"], Fraction(schedule["ticks_per_unit"]), steps)
        try:
            accepted(problem, made, made_here=True)
        except Refused as refused:
            return Answer("failed", runtime=runtime, reason=str(refused))
    elif data["status"] in ("optimal", "feasible"):
        return Answer("failed", runtime=runtime, reason="an answer without its schedule")
    return Answer(data["status"], None if bound is None else Fraction(bound), made, runtime, reason)
