"""What the checker found wrong, as a table and as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from rich.table import Table
from rich.text import Text

from ...analysis.figures.cautions import STANDING
from ...base.decimals import as_decimal
from ...checker.record import Violation
from ...problem import Problem
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
    table = new_table(f"Violations, times in {problem.unit}")
    # The station is in the message; figures are never cut on a narrow terminal.
    add_figures(table, "Cycle", "Step", "At", "Found", "Limit")
    table.add_column("Rule")
    add_names(table, "What is wrong")
    for found in violations:
        at = found.time - (found.cycle - 1) * cycle_time
        table.add_row(
            str(found.cycle),
            str(found.step),
            _text(at, tick),
            _text(found.found, tick),
            _text(found.limit, tick),
            found.rule,
            Text(found.message),
        )
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
            {
                "rule": found.rule,
                "message": found.message,
                "station": found.station,
                "step": found.step,
                "cycle": found.cycle,
                "time": _plain(found.time, tick),
                "found": _plain(found.found, tick),
                "limit": _plain(found.limit, tick),
            }
            for found in violations
        ],
        "cautions": [STANDING],
        "versions": versions(),
    }


def _text(time: Fraction | None, tick: Fraction) -> str:
    return "-" if time is None else f"{as_decimal(time, tick):f}"


def _plain(time: Fraction | None, tick: Fraction) -> int | float | None:
    return None if time is None else json_number(as_decimal(time, tick))
