"""What a line loses without some of its parallel tanks: data, table, CSV and words.

`at_least`, in CSV `time_per_load_at_least`, is `DegreeChoice.least_of_compared`: a bound.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from ..analysis.figures.figures import HOUR
from ..analysis.without import FAR, Without, WithoutTanks, far_from_bound, is_open
from ..base.numbers.decimals import aligned, as_float, mean_decimal, per_cent, significant
from ..base.text import listed
from ..planning.result import Result, exact_time_per_load
from ..problem import Problem
from ..problem.grid import ticks_per_unit
from .answer import Answer, Outcome
from .tables.data_table import DataTable
from .tables.jsonfile import json_number, versions
from .tables.terminal import add_figures, add_names, new_table

COLUMNS = (
    "tanks_out_of_use",
    "stages",
    "degree",
    "time_per_load",
    "time_per_load_at_least",
    "loads_per_hour",
    "share_of_output_lost",
    "answer",
)


@dataclass(frozen=True)
class WithoutAnswer(Answer):
    """A line with all its tanks, and without some."""

    found: Without

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.found.problem

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether the line has a schedule with all its tanks, and every question was asked."""
        if self.found.whole.schedule is None:
            return "no" if self.found.whole.status == "infeasible" else "stopped"
        return "done" if self.found.complete else "stopped"

    @property
    def _things(self) -> str:
        """What is out of use, in words."""
        kinds = {
            "hoists": any(row.hoists for row in self.found.rows),
            "tanks": any(row.tanks for row in self.found.rows),
        }
        return " and ".join(kind for kind, some in kinds.items() if some) or "tanks"

    def data(self) -> dict[str, Any]:
        found = self.found
        return {
            "problem": self.problem.name,
            "unit": self.problem.unit,
            "complete": found.complete,
            "all_tanks": self._figures(found.whole),
            "without": [
                {
                    "tanks": list(row.tanks),
                    **({"hoists": list(row.hoists)} if row.hoists else {}),
                    "stages": list(row.stages),
                    **self._figures(row.result),
                    "share_of_output_lost": as_float(row.lost(found.whole), 6),
                    "share_of_output_lost_between": _between(row, found.whole),
                    "proved": row.proved(found.whole),
                }
                for row in found.rows
            ],
            "cautions": self.cautions(),
            "versions": versions(),
        }

    def sentences(self) -> list[str]:
        found = self.found
        if found.whole.schedule is None:
            reason = f" {found.whole.reason}" if found.whole.reason else ""
            return [f"No schedule was found with all {self._things} in use.{reason}"]
        mean, rate = self._mean(found.whole), self._rate(found.whole)
        said = [
            f"With all {self._things} {mean:f} {self.problem.unit} a load at degree "
            f"{found.whole.degree}, {rate} loads an hour."
        ]
        same = [row for row in found.rows if row.lost(found.whole) == 0]
        for head, rows in (
            ("Not needed, proved", [row for row in same if row.proved(found.whole)]),
            ("No loss found without", [row for row in same if not row.proved(found.whole)]),
        ):
            if rows:
                said.append(f"{head}: {listed([', '.join(row.out) for row in rows])}.")
        none = [row for row in found.rows if row.result.status == "infeasible"]
        unsaid = [", ".join(row.out) for row in none if row.result.reason is None]
        if unsaid:
            said.append(f"Without these the line has no schedule: {listed(unsaid)}.")
        by_reason: dict[str, list[str]] = {}
        for row in none:
            if row.result.reason is not None:
                by_reason.setdefault(row.result.reason, []).append(", ".join(row.out))
        for reason, names in by_reason.items():
            which = listed(names) if len(names) == 1 else "each of " + listed(names)
            said.append(f"Without {which} the line cannot run: {reason.rstrip('.')}.")
        far: dict[str, list[str]] = {}
        for row in found.rows:
            if _untold(row, found.whole):
                far.setdefault(_lost(row, found.whole), []).append(", ".join(row.out))
        if far:
            which = listed([f"{listed(names)} ({lost} %)" for lost, names in far.items()])
            said.append(
                f"What is lost without {which} is not told more closely: a cycle compared takes "
                f"more than {float(FAR):g} times as long as its bound. A longer --time-limit "
                "brings better ones."
            )
        elif any(not row.proved(found.whole) for row in found.rows):
            said.append(
                "Losses are those of the schedules found; where it is not proved that these are "
                "the best, the true loss may be less or more. A longer --time-limit tells more."
            )
        if not found.complete:
            said.append("Stopped before every question was looked at.")
        return said

    def tables(self) -> list[RenderableType | str]:
        if self.found.whole.schedule is None:
            return []
        return [self._table()]

    short_tables = tables

    def data_tables(self) -> list[DataTable]:
        whole = self.found.whole
        if whole.schedule is None:
            return []
        rows: list[list[object]] = [["", "", *self._cells(whole), None, _answer(None, whole)]]
        rows += [
            [
                " + ".join(row.out),
                " + ".join(row.stages),
                *self._cells(row.result),
                as_float(row.lost(whole), 6),
                _answer(row, whole),
            ]
            for row in self.found.rows
        ]
        notes = [f"Times in {self.problem.unit}; the first row: all {self._things}."]
        return [DataTable("Without tanks", COLUMNS, rows, notes)]

    def _table(self) -> Table:
        whole, rows = self.found.whole, self.found.rows
        table = new_table(f"The line without some of its {self._things}")
        add_names(table, "Out of use", "Stage")
        add_figures(table, "Degree")
        results = [whole, *(row.result for row in rows)]
        open_ = any(result.choice is not None and is_open(result) for result in results)
        bounded = ("Lower bound",) if open_ else ()  # else it says what the mean does
        add_figures(table, "Mean per load", *bounded, unit=self.problem.unit)
        add_figures(table, "Loads an hour")
        add_figures(table, "Output lost", unit="%")
        table.add_column("Answer")
        means = aligned([self._mean(result) for result in results])
        bounds = aligned([self._bound(result) for result in results])
        named = [("none", ""), *((", ".join(r.out), ", ".join(r.stages)) for r in rows)]
        lost = ["-", *(_lost(row, whole) for row in rows)]
        answers = [_answer(None, whole), *(_answer(row, whole) for row in rows)]
        for (name, stage), result, mean, bound, share, answer in zip(
            named, results, means, bounds, lost, answers, strict=True
        ):
            table.add_row(
                *(Text(name), Text(stage)),
                *("-" if result.schedule is None else str(result.degree), mean),
                *((bound,) if open_ else ()),
                *(self._rate(result), share),
                Text(answer),
            )
        return table

    def _cells(self, result: Result) -> list[object]:
        figures = self._figures(result)
        return [figures[k] for k in ("degree", "time_per_load", "at_least", "loads_per_hour")]

    def _figures(self, result: Result) -> dict[str, Any]:
        found, choice = result.schedule is not None, result.choice
        rate = self._rate(result) if found else None
        return {
            "status": result.status,
            "degree": result.degree if found else None,
            "time_per_load": json_number(self._mean(result)),
            "at_least": None if choice is None else choice.least_of_compared,
            "loads_per_hour": None if rate is None else float(rate),
            "reason": result.reason,
        }

    def _mean(self, result: Result) -> Decimal | None:
        if result.schedule is None:
            return None
        return mean_decimal(exact_time_per_load(result), 1 / ticks_per_unit(self.problem))

    def _bound(self, result: Result) -> Decimal | None:
        """What no cycle of the degrees compared takes less than, per load; None if not known."""
        if result.choice is None:
            return None
        least = Fraction(str(result.choice.least_of_compared))
        return mean_decimal(least, 1 / ticks_per_unit(self.problem))

    def _rate(self, result: Result) -> str:
        if result.schedule is None:
            return "-"
        seconds = exact_time_per_load(result) * Fraction(self.problem.seconds_per_unit)
        hourly = HOUR / seconds
        return significant(hourly, 4)


def _untold(row: WithoutTanks, whole: Result) -> bool:
    """Whether there are two schedules, of which one is too far from its bound to compare them."""
    found = row.result.schedule is not None and whole.schedule is not None
    return found and row.far(whole)


def _lost(row: WithoutTanks, whole: Result) -> str:
    """The share of the output that is lost, in %: as found, or between what it can only lie."""
    share = row.lost(whole)
    if share is not None:
        return per_cent(share, places=1)
    between = row.between(whole)
    if between is None:
        return "-"
    low, high = (per_cent(one, places=1) for one in between)
    return f"{low} to {high}"


def _between(row: WithoutTanks, whole: Result) -> list[float | None] | None:
    between = row.between(whole)
    return None if between is None else [as_float(one, 6) for one in between]


def _answer(row: WithoutTanks | None, whole: Result) -> str:
    """How sure the figures of a row are."""
    result = whole if row is None else row.result
    if result.schedule is None:
        return "no schedule" if result.status == "infeasible" else "none found in time"
    if far_from_bound(result) or (row is not None and _untold(row, whole)):
        return "far from its bound" if far_from_bound(result) else "not compared"
    if row is not None and row.lost(whole) == 0:
        return "not needed" if row.proved(whole) else "no loss found"
    return "not proved least" if is_open(result) else "proved least"
