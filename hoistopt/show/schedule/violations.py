"""What the checker found wrong, as a table and as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from rich.table import Table
from rich.text import Text

from ...analysis.figures.cautions import standing
from ...base.decimals import aligned, as_decimal
from ...checker.record import Violation
from ...problem import Problem
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number, versions
from ..tables.terminal import add_figures, add_names, new_table


def violation_table(
    problem: Problem, violations: Sequence[Violation], cycle_time: Fraction, tick: Fraction
) -> Table:
    """One row per violation, in the order given, with its figures.

    Parameters
    ----------
    cycle_time, tick : Fraction
        In the problem's unit; times are shown within their cycle.
    """
    times = [one.time - (one.cycle - 1) * cycle_time for one in violations]
    return _table(problem, violations, times, tick, ["Cycle"], [[str(v.cycle)] for v in violations])


def programme_violations(
    problem: Problem, violations: Sequence[Violation], tick: Fraction
) -> Table:
    """One row per violation of a programme, in the order given, with its figures."""
    times = [one.time for one in violations]
    return _table(problem, violations, times, tick, [], [[] for _ in violations])


def _table(
    problem: Problem,
    violations: Sequence[Violation],
    times: Sequence[Fraction],
    tick: Fraction,
    added: list[str],
    cells: Sequence[list[str]],
) -> Table:
    table = new_table("Violations")
    # The station is in the message; figures are never cut on a narrow terminal.
    add_figures(table, *added, "Step")
    add_figures(table, "At", "Found", "Limit", unit=problem.unit)
    table.add_column("Rule")
    add_names(table, "What is wrong")
    columns = (
        aligned([_shown(time, tick) for time in times]),
        aligned([_shown(one.found, tick) for one in violations]),
        aligned([_shown(one.limit, tick) for one in violations]),
    )
    for one, first, *figures in zip(violations, cells, *columns, strict=True):
        table.add_row(*first, str(one.step), *figures, one.rule, Text(one.message))
    return table


def violation_data(
    problem: Problem, violations: Sequence[Violation], cycle_time: Fraction, tick: Fraction
) -> dict[str, Any]:
    """The answer to a verification that found violations, as plain data."""
    return {
        "problem": problem.name,
        "status": "refused",
        "cycle_time": _plain(cycle_time, tick),
        "unit": problem.unit,
        "violations": [
            {**one, "cycle": found.cycle}
            for one, found in zip(violation_list(violations, tick), violations, strict=True)
        ],
        "cautions": standing(len(problem.hoists) > 1),
        "versions": versions(),
    }


def violation_list(violations: Sequence[Violation], tick: Fraction) -> list[dict[str, Any]]:
    """Violations as plain data, without the cycle in which they are."""
    return [
        {
            "rule": found.rule,
            "message": found.message,
            "station": found.station,
            "step": found.step,
            "time": _plain(found.time, tick),
            "found": _plain(found.found, tick),
            "limit": _plain(found.limit, tick),
        }
        for found in violations
    ]


def violations_of_cycle(
    problem: Problem, violations: Sequence[Violation], cycle_time: Fraction, tick: Fraction
) -> DataTable:
    """One row per violation, in the order given; times are within their cycle."""
    times = [one.time - (one.cycle - 1) * cycle_time for one in violations]
    return _rows(problem, violations, times, tick, ["cycle"], [[v.cycle] for v in violations])


def violations_of_programme(
    problem: Problem, violations: Sequence[Violation], tick: Fraction
) -> DataTable:
    """One row per violation of a programme, in the order given."""
    times = [one.time for one in violations]
    return _rows(problem, violations, times, tick, [], [[] for _ in violations])


def _rows(
    problem: Problem,
    violations: Sequence[Violation],
    times: Sequence[Fraction],
    tick: Fraction,
    added: list[str],
    cells: Sequence[list[int]],
) -> DataTable:
    header = [*added, "step", *(f"{name}_{problem.unit}" for name in ("at", "found", "limit"))]
    rows = [
        [
            *(*first, one.step, _shown(time, tick)),
            *(_shown(one.found, tick), _shown(one.limit, tick)),
            *(one.rule, one.station, one.message),
        ]
        for one, first, time in zip(violations, cells, times, strict=True)
    ]
    return DataTable("Violations", [*header, "rule", "station", "what_is_wrong"], rows)


def _shown(time: Fraction | None, tick: Fraction) -> Decimal | None:
    return None if time is None else as_decimal(time, tick)


def _plain(time: Fraction | None, tick: Fraction) -> int | float | None:
    return json_number(_shown(time, tick))
