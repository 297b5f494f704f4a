"""What the answer to a solve reads like."""

from __future__ import annotations

from rich.table import Table
from rich.text import Text

from ...analysis.figures.steps import tick_of
from ...base.decimals import as_decimal
from ...planning.cycle import gains_over_last
from ...planning.result import Result
from ...problem import Problem
from ..tables.terminal import new_table


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
            f"so it is at most {result.gap or 0:.1%} too long"
        )
    return (
        f"Cycle time {result.cycle_time} {unit} at degree {result.degree}, {proof} "
        f"({result.runtime:.1f} s of search)."
    )


def _below(result: Result, unit: str) -> str:
    return f"; none can be below {result.lower_bound} {unit}"


def comparison(problem: Problem, results: list[Result], best: Result) -> Table:
    """One row per degree with its gain over the one before; the best mean time marked."""
    table = new_table(f"Degrees compared, times in {problem.unit}")
    for name in ("Degree", "Loads per cycle", "Cycle time", "Bound", "Mean per load", "Gain"):
        table.add_column(name, justify="right")
    table.add_column("Answer")
    for result, gain in zip(results, gains_over_last(results), strict=True):
        table.add_row(
            str(result.degree),
            str(result.loads_per_cycle),
            "-" if result.cycle_time is None else str(result.cycle_time),
            "-" if result.lower_bound is None else str(result.lower_bound),
            _mean_per_load(result),
            "-" if gain is None else f"{float(gain):.1%}",
            Text(_ANSWERS[result.status] + (", best" if result is best else "")),
        )
    return table


def _mean_per_load(result: Result) -> str:
    schedule = result.schedule
    if schedule is None:
        return "-"
    mean = schedule.time(schedule.cycle) / result.loads_per_cycle
    return f"{as_decimal(mean, tick_of(schedule)):f}"


_ANSWERS = {
    "optimal": "proved least",
    "feasible": "not proved least",
    "infeasible": "no schedule",
    "unknown": "none found in time",
}
