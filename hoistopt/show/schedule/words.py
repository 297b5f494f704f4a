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
        f"({stopped}{result.runtime:.1f} s of search{_compiling(result)})."
    )


def _compiling(result: Result) -> str:
    """That the first search on a machine found less than the next one will, where that is so."""
    if result.status == "optimal" and result.choice is None:
        return ""
    if result.uncompiled:
        return (
            ", without some of its loops, as there was no time to compile them; one search with "
            "--time-limit 60, or none, does that once on this machine"
        )
    if result.compiling < NOTICED * result.runtime:
        return ""
    return (
        f", {result.compiling:.0f} s of them for compiling its loops, once on this machine; the "
        "same search finds more now"
    )


NOTICED = 0.1
"""Share of the search from which on compiling is told of."""


def _below(result: Result, unit: str) -> str:
    return f"; none can be below {result.lower_bound} {unit}"
