"""Fitted times, and what they do to the cycle time, as plain data and as CSV."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ...base.numbers.decimals import to_figures
from ...planning.result import Result
from ...plant.fit.answer import CONFIDENCE, Fit
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number, versions
from .table import WHAT, how_told


@dataclass(frozen=True)
class Cycles:
    """The least cycle found with today's file and with the changed one.

    Attributes
    ----------
    before, after : Result or None
        None where a stop came first.
    broken : int
        How many rules the schedule of today's file breaks on the changed line.
    """

    before: Result | None
    after: Result | None
    broken: int = 0


def fit_data(fit: Fit, cycles: Cycles | None, cautions: list[str]) -> dict[str, Any]:
    """Everything as plain data, times in the problem's unit."""
    return {
        "problem": fit.problem.name,
        "unit": fit.problem.unit,
        "length_unit": fit.problem.length_unit,
        "source": fit.readings.origin,
        "files": list(fit.readings.files),
        "readings": fit.readings.count,
        "read_to": to_figures(fit.readings.step, 9),
        "confidence": CONFIDENCE,
        "figures": [
            {
                "name": each.figure.name,
                "station": each.figure.station,
                "unit": each.figure.unit(fit.problem),
                "today": json_number(each.today),
                "fitted": None if each.how == "held" else to_figures(each.value, 9),
                "standard_error": to_figures(each.error, 9),
                "interval": None if each.low is None else [each.low, each.high],
                "new": json_number(each.new),
                "how": each.how,
                "why": each.why or None,
            }
            for each in fit.figures
        ],
        "sums": [
            {
                "figures": [str(figure) for figure in each.figures],
                "fitted": to_figures(each.value, 9),
                "standard_error": to_figures(each.error, 9),
            }
            for each in fit.sums
        ],
        "physics": [
            {
                "hoist": each.motion,
                "things": each.things,
                "misfit": to_figures(each.misfit, 9),
                "scatter": to_figures(each.scatter, 9),
                "chance": to_figures(each.chance, 9),
                "fits": each.fits,
            }
            for each in fit.physics
        ],
        "timed": [
            {
                "what": pair.timed.what,
                "from": pair.timed.source,
                "to": pair.timed.target,
                "readings": pair.count,
                "set_aside": pair.aside,
                "measured": to_figures(pair.mean, 9),
                "standard_error": to_figures(pair.error, 9),
                "today": to_figures(pair.today, 9),
                "new": to_figures(pair.new, 9),
                "table": pair.table,
            }
            for pair in fit.pairs
        ],
        "set_aside": [
            {
                "where": each.place,
                "what": each.group.timed.what,
                "from": each.group.timed.source,
                "to": each.group.timed.target,
                "read": to_figures(each.time, 9),
                "usual": to_figures(each.usual, 9),
            }
            for each in fit.aside
        ],
        "tables": [
            {"hoist": kind, "from": source, "to": target, "time": json_number(time)}
            for (kind, source, target), time in fit.entries.items()
        ],
        "scatter": [str(scatter) for scatter in fit.scatters],
        "notes": list(fit.readings.notes),
        "cycle": None if cycles is None else _cycles(cycles),
        "cautions": cautions,
        "versions": versions(),
    }


def _cycles(cycles: Cycles) -> dict[str, Any]:
    return {
        "today": _cycle(cycles.before),
        "new": _cycle(cycles.after),
        "rules_broken_by_the_schedule_of_today": cycles.broken,
    }


def _cycle(result: Result | None) -> dict[str, Any] | None:
    if result is None:
        return None
    return {
        "status": result.status,
        "degree": result.degree,
        "cycle_time": result.cycle_time,
        "lower_bound": result.lower_bound,
    }


def fit_tables(fit: Fit) -> list[DataTable]:
    """What was timed, the figures of the hoist, and the readings set aside."""
    unit = fit.problem.unit
    timed = DataTable(
        "Timed",
        (
            "what", "from", "to", "readings", "set_aside", f"measured_{unit}",
            f"standard_error_{unit}", f"today_{unit}", f"new_{unit}", "new_from",
        ),
        [
            [
                *(WHAT[pair.timed.what], pair.timed.source, pair.timed.target),
                *(pair.count, pair.aside),
                *(to_figures(value, 6) for value in (pair.mean, pair.error, pair.today, pair.new)),
                "table" if pair.table else "figures",
            ]
            for pair in fit.pairs
        ],
    )  # fmt: skip
    figures = DataTable(
        "Figures",
        (
            "figure", "station", "unit", "today", "fitted", "standard_error", "low", "high",
            "new", "how",
        ),
        [
            [
                *(each.figure.name, each.figure.station, each.figure.unit(fit.problem)),
                each.today,
                None if each.how == "held" else to_figures(each.value, 6),
                *(to_figures(value, 6) for value in (each.error, each.low, each.high)),
                *(each.new, how_told(each)),
            ]
            for each in fit.figures
        ],
    )  # fmt: skip
    aside = DataTable(
        "Set aside",
        ("where", "what", "from", "to", f"read_{unit}", f"usual_{unit}"),
        [
            [
                *(each.place, WHAT[each.group.timed.what]),
                *(each.group.timed.source, each.group.timed.target),
                *(to_figures(each.time, 6), to_figures(each.usual, 6)),
            ]
            for each in fit.aside
        ],
    )
    return [timed, *([figures] if fit.figures else []), *([aside] if fit.aside else [])]
