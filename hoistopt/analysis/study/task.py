"""One point solved, as plain data in and out: it runs in other processes, or far away."""

from __future__ import annotations

import re
from dataclasses import astuple, dataclass
from fractions import Fraction
from typing import Any, Literal, get_args

from ...base.errors import HoistoptError, shortened
from ...checker import Refused, accepted
from ...problem import Problem
from ...schedule import Schedule, Step, Travel

_FRACTION = re.compile(r"[0-9]{1,30}(?:/[1-9][0-9]{0,29})?")
MOST_REASON = 4000
MOST_SECONDS = 1e9

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
        **(
            {"travels": [[str(t.start), t.hoist, str(t.to)] for t in schedule.travels]}
            if schedule.travels
            else {}
        ),
    }


def answer_from(problem: Problem, data: dict[str, Any]) -> Answer:
    """The answer in plain data, its schedule replayed by the checker here and now.

    Raises
    ------
    InputError, ValueError, TypeError, KeyError, AttributeError
        When the data are no answer: they may come from a file that was edited.
    """
    status = data["status"]
    if status not in get_args(Status):
        raise ValueError("no status of an answer")
    bound = None if data.get("bound") is None else _fraction(data["bound"])
    schedule = data.get("schedule")
    runtime, reason = _seconds(data.get("runtime", 0.0)), data.get("reason")
    if reason is not None:
        reason = shortened(reason, MOST_REASON)
    made = None
    if schedule is not None:
        steps = tuple(Step(*step) for step in schedule["steps"])
        travels = tuple(
            Travel(_fraction(start), hoist, _position(to))
            for start, hoist, to in schedule.get("travels", ())
        )
        made = Schedule(schedule["cycle"], _fraction(schedule["ticks_per_unit"]), steps, travels)
        try:
            accepted(problem, made, made_here=True)
        except Refused as refused:
            return Answer("failed", runtime=runtime, reason=str(refused))
        if bound is not None and bound > made.time(made.cycle):
            raise ValueError("a bound above the cycle time")
    elif status in ("optimal", "feasible"):
        return Answer("failed", runtime=runtime, reason="an answer without its schedule")
    return Answer(status, bound, made, runtime, reason)


def _fraction(text: object) -> Fraction:
    """A fraction of whole numbers; text such as 1e999999999 would take for ever."""
    if not isinstance(text, str) or not _FRACTION.fullmatch(text):
        raise ValueError("no fraction of whole numbers")
    return Fraction(text)


def _position(text: object) -> Fraction:
    """A position, which may be below 0."""
    if isinstance(text, str) and text.startswith("-"):
        return -_fraction(text[1:])
    return _fraction(text)


def _seconds(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError("no number of seconds")
    if not 0 <= value < MOST_SECONDS:
        raise ValueError("no number of seconds")
    return float(value)
