"""What the answer to a solve reads like."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from rich.table import Table
from rich.text import Text

from ...analysis.figures.steps import tick_of
from ...base.decimals import aligned, as_decimal, per_cent
from ...planning.degrees import gains_over_last
from ...planning.result import Result
from ...problem import Problem
from ..tables.data_table import DataTable
from ..tables.terminal import add_figures, new_table


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
    return (
        f"Cycle time {result.cycle_time} {unit} at degree {result.degree}, {proof} "
        f"({result.runtime:.1f} s of search)."
    )


def _below(result: Result, unit: str) -> str:
    return f"; none can be below {result.lower_bound} {unit}"


def comparison(problem: Problem, results: list[Result], best: Result) -> Table:
    """One row per degree with its gain over the one before; the best mean time marked."""
    table = new_table("Degrees compared")
    add_figures(table, "Degree", "Loads per cycle")
    add_figures(table, "Cycle time", "Lower bound", "Mean per load", unit=problem.unit)
    add_figures(table, "Gain", unit="%")
    table.add_column("Answer")
    columns = (
        aligned([_time(result.cycle_time) for result in results]),
        aligned([_time(result.lower_bound) for result in results]),
        aligned([_mean_per_load(result) for result in results]),
    )
    rows = zip(results, *columns, gains_over_last(results), strict=True)
    for result, cycle, bound, mean, gain in rows:
        table.add_row(
            str(result.degree),
            str(result.loads_per_cycle),
            cycle,
            bound,
            mean,
            "-" if gain is None else per_cent(gain, places=1),
            Text(_answer(result, best)),
        )
    return table


def degrees_table(problem: Problem, results: list[Result], best: Result) -> DataTable:
    """A row for each degree: loads a cycle, cycle time, bound, mean time per load, gain."""
    timed = [f"{name}_{problem.unit}" for name in ("cycle_time", "lower_bound", "mean_per_load")]
    rows = [
        [
            *(result.degree, result.loads_per_cycle, _time(result.cycle_time)),
            *(_time(result.lower_bound), _mean_per_load(result)),
            None if gain is None else Decimal(f"{float(gain):.4f}"),
            _answer(result, best),
        ]
        for result, gain in zip(results, gains_over_last(results), strict=True)
    ]
    return DataTable("Degrees", ["degree", "loads_per_cycle", *timed, "gain", "answer"], rows)


def _answer(result: Result, best: Result) -> str:
    """What came of a degree beside the best one."""
    if result.degree == best.degree:
        return f"{_ANSWERS[result.status]}, best"
    bound, mean = result.lower_bound, best.time_per_load
    if result.status in ("feasible", "unknown") and bound is not None and mean is not None:
        exact = Fraction(Decimal(str(bound))) / result.loads_per_cycle
        assert best.schedule is not None
        if exact >= best.schedule.time(best.schedule.cycle) / best.loads_per_cycle:
            return "cannot take less per load"
    return _ANSWERS[result.status]


def _time(time: int | float | None) -> Decimal | None:
    return None if time is None else Decimal(str(time))


def _mean_per_load(result: Result) -> Decimal | None:
    schedule = result.schedule
    if schedule is None:
        return None
    return as_decimal(schedule.time(schedule.cycle) / result.loads_per_cycle, tick_of(schedule))


_ANSWERS = {
    "optimal": "proved least",
    "feasible": "not proved least",
    "infeasible": "no schedule",
    "unknown": "none found in time",
}
