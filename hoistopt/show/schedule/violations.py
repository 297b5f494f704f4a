"""What the checker found wrong, as a table and as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal

from rich.table import Table
from rich.text import Text

from ...analysis.figures.cautions import standing
from ...base.numbers.decimals import aligned, as_decimal, nearest
from ...checker.record import Violation
from ...problem import Problem
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number, versions
from ..tables.terminal import add_figures, add_names, new_table
from .data import MILLI

_Figure = Literal["found", "limit"]


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
        aligned([nearest(time, tick) for time in times]),
        _figures(problem, violations, "found", tick),
        _figures(problem, violations, "limit", tick),
    )
    for one, first, *figures in zip(violations, cells, *columns, strict=True):
        table.add_row(*first, _step(one), *figures, one.rule, Text(one.message))
    return table


def _step(one: Violation) -> str:
    """Which step it is, or which travel to give way; "-" where it is neither."""
    if one.travel is not None:
        return f"travel {one.travel}"
    return str(one.step) if one.step else "-"


def _figures(
    problem: Problem, violations: Sequence[Violation], name: _Figure, tick: Fraction
) -> list[str]:
    """A column of figures: times in its unit, distances each with theirs."""
    times = [None if one.distances else _figure(one, name, tick) for one in violations]
    return [
        f"{figure:f} {problem.length_unit}"
        if one.distances and (figure := _figure(one, name, tick)) is not None
        else cell
        for one, cell in zip(violations, aligned(times), strict=True)
    ]


def _figure(one: Violation, name: _Figure, tick: Fraction) -> Decimal | None:
    """What was found, or the limit. What is too short never looks longer than it is."""
    figure: Fraction | None = getattr(one, name)
    if not one.distances:
        short = one.found is not None and one.limit is not None and one.found < one.limit
        towards: Literal["down", "up"] = "down" if short and name == "found" else "up"
        return None if figure is None else as_decimal(figure, tick, towards)
    return None if figure is None else as_decimal(figure, MILLI, "down")


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
    """Violations as plain data, without the cycle in which they are.

    With ``distances`` the figures found and allowed are in the problem's unit of length.
    """
    return [
        {
            "rule": found.rule,
            "message": found.message,
            "station": found.station,
            "step": found.step,
            "travel": found.travel,
            "time": _plain(found.time, tick),
            "found": json_number(_figure(found, "found", tick)),
            "limit": json_number(_figure(found, "limit", tick)),
            "distances": found.distances,
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
    several = len(problem.hoists) > 1
    header = [*added, "step", *(f"{name}_{problem.unit}" for name in ("at", "found", "limit"))]
    if several:
        header += ["travel", *(f"{name}_{problem.length_unit}" for name in ("found", "limit"))]
    rows = []
    for one, first, time in zip(violations, cells, times, strict=True):
        figures = [_figure(one, "found", tick), _figure(one, "limit", tick)]
        blank: list[Decimal | None] = [None, None]
        in_time, in_length = (blank, figures) if one.distances else (figures, blank)
        row = [*first, one.step, _shown(time, tick), *in_time]
        row += [one.travel, *in_length] if several else []
        rows.append([*row, one.rule, one.station, one.message])
    return DataTable("Violations", [*header, "rule", "station", "what_is_wrong"], rows)


def _shown(time: Fraction | None, tick: Fraction) -> Decimal | None:
    return None if time is None else as_decimal(time, tick)


def _plain(time: Fraction | None, tick: Fraction) -> int | float | None:
    return json_number(_shown(time, tick))
