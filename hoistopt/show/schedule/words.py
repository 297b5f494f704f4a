"""What the answer to a solve reads like."""

from __future__ import annotations

from ...planning.result import Result
from ...problem import Problem


def outcome(problem: Problem, result: Result) -> str:
    """The answer in one line: cycle time and how good it is, or that there is none."""
    unit = problem.unit
    if result.status == "infeasible":
        reason = f" {result.reason}" if result.reason else ""
        return f"No schedule of degree {result.degree} exists.{reason}"
    if result.schedule is None:
        bound = "" if result.lower_bound is None else _below(result, unit)
        return f"Stopped before a schedule of degree {result.degree} was found{bound}."
    if result.status == "optimal":
        proof = "proved to be the least"
    else:
        proof = (
            f"not proved to be the least: the bound is {result.lower_bound} {unit}, "
            f"a gap of {result.gap or 0:.1%}"
        )
    stopped = "stopped after " if result.stopped else ""
    return (
        f"Cycle time {result.cycle_time} {unit} at degree {result.degree}, {proof} "
        f"({stopped}{result.runtime:.1f} s of search)."
    )


def _below(result: Result, unit: str) -> str:
    return f"; none can be below {result.lower_bound} {unit}"
