"""The degrees of a line that were compared: a row each, on a terminal, on a page and as data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from ...base.numbers.decimals import aligned, mean_decimal, per_cent, to_places
from ...planning.degrees import gains
from ...planning.result import DegreeChoice, LeftOut, Result, Status, exact_time_per_load
from ...problem import Problem
from ...problem.grid import ticks_per_unit
from ...schedule.stated_degrees import StatedChoice, StatedDegrees
from ..tables.data_table import DataTable

if TYPE_CHECKING:
    from rich.table import Table


@dataclass(frozen=True)
class DegreeRow:
    """What one degree gives; times in the problem's unit.

    Attributes
    ----------
    degree, loads_per_cycle : int
    status : {"optimal", "feasible", "infeasible", "unknown"}
    cycle_time, lower_bound : Decimal or None
        None where nothing was found.
    time_per_load : Fraction or None
        The exact mean; None without a schedule.
    searched : bool
        Whether it was searched; else its cycle is that of another degree several times over.
    """

    degree: int
    loads_per_cycle: int
    status: Status
    cycle_time: Decimal | None
    lower_bound: Decimal | None
    time_per_load: Fraction | None
    searched: bool = True


@dataclass(frozen=True)
class ComparedDegrees:
    """The degrees that were looked at, and how the best of them was chosen.

    Attributes
    ----------
    problem : Problem
    rows : tuple of DegreeRow
        The lowest degree first.
    best : int or None
        That with the least mean time per load; None where none has a schedule.
    choice : DegreeChoice or None
        How it was chosen, where the best was asked for and that is known.
    source : str or None
        Name of the file that states all this, where it was not searched for now.
    """

    problem: Problem
    rows: tuple[DegreeRow, ...]
    best: int | None
    choice: DegreeChoice | None = None
    source: str | None = None

    @classmethod
    def of(
        cls,
        problem: Problem,
        results: Sequence[Result],
        best: Result | None,
        choice: DegreeChoice | None = None,
    ) -> ComparedDegrees:
        """Those that were searched for now."""
        rows = tuple(map(degree_row, results))
        return cls(problem, rows, None if best is None else best.degree, choice)

    @property
    def best_row(self) -> DegreeRow | None:
        """The row of the best."""
        return next((row for row in self.rows if row.degree == self.best), None)

    @property
    def several(self) -> bool:
        """Whether there is a best one, and another to compare it with."""
        return self.best_row is not None and len(self.rows) > 1

    @property
    def tick(self) -> Fraction:
        """Grid of the times, in the problem's unit."""
        return 1 / ticks_per_unit(self.problem)

    @property
    def least(self) -> Decimal | None:
        """The least mean time per load found, as it is shown."""
        row = self.best_row
        return None if row is None else _mean(row, self.tick)

    def cells(self) -> list[list[str]]:
        """The rows as they are shown, in columns of one number of decimals."""
        rows, best = self.rows, self.best_row
        assert best is not None
        # One beside the other, a proved bound and its cycle time are to look like one number.
        times = aligned([row.cycle_time for row in rows] + [row.lower_bound for row in rows])
        return [
            [str(row.degree) for row in rows],
            [str(row.loads_per_cycle) for row in rows],
            times[: len(rows)],
            times[len(rows) :],
            aligned([_mean(row, self.tick) for row in rows]),
            ["-" if gain is None else per_cent(gain, places=1) for gain in self._on_first()],
            [self._answer(row) for row in rows],
        ]

    def heads(self) -> list[str]:
        """What stands above these columns."""
        unit = self.problem.unit
        timed = [f"{name}, {unit}" for name in ("Cycle time", "Lower bound", "Mean per load")]
        return ["Degree", "Loads per cycle", *timed, f"{self._gain}, %", "Answer"]

    def table(self) -> Table:
        """One row per degree with its gain over the one before; the best mean time marked."""
        from rich.text import Text

        from ..tables.terminal import add_figures, new_table

        table = new_table("Degrees compared")
        add_figures(table, "Degree", "Loads per cycle")
        add_figures(table, "Cycle time", "Lower bound", "Mean per load", unit=self.problem.unit)
        add_figures(table, self._gain, unit="%")
        table.add_column("Answer")
        for *figures, answer in zip(*self.cells(), strict=True):
            table.add_row(*figures, Text(answer))
        return table

    def data_table(self) -> DataTable:
        """A row for each degree: loads a cycle, cycle time, bound, mean time per load, gain.

        Unlike the table that is shown, its gain is that over the row above, as `gain_over_last`
        in JSON.
        """
        unit = self.problem.unit
        timed = [f"{name}_{unit}" for name in ("cycle_time", "lower_bound", "mean_per_load")]
        rows = [
            [
                *(row.degree, row.loads_per_cycle, row.cycle_time, row.lower_bound),
                _mean(row, self.tick),
                to_places(gain, 4),
                self._answer(row),
            ]
            for row, gain in zip(
                self.rows, gains(row.time_per_load for row in self.rows), strict=True
            )
        ]
        header = ["degree", "loads_per_cycle", *timed, "gain", "answer"]
        return DataTable("Degrees", header, rows, [GAIN])

    @property
    def _first(self) -> DegreeRow | None:
        """The lowest degree that has a schedule."""
        return next((row for row in self.rows if row.time_per_load is not None), None)

    @property
    def _gain(self) -> str:
        """What the gain is called: it is counted against the lowest degree with a schedule."""
        return "Gain" if self._first is None else f"Gain on degree {self._first.degree}"

    def _on_first(self) -> list[Fraction | None]:
        """By what share each mean time per load is below that of the lowest degree."""
        first = self._first
        return [
            None
            if first is None
            or first.time_per_load is None
            or row is first
            or row.time_per_load is None
            else 1 - row.time_per_load / first.time_per_load
            for row in self.rows
        ]

    def _answer(self, row: DegreeRow) -> str:
        """What came of a degree beside the best one."""
        best = self.best_row
        assert best is not None
        if row.degree == best.degree:
            return f"{_ANSWERS[row.status]}, best"
        bound, mean = row.lower_bound, best.time_per_load
        if row.status in ("optimal", "infeasible") or bound is None or mean is None:
            return _ANSWERS[row.status]
        cannot = Fraction(bound) / row.loads_per_cycle >= mean
        answer = "cannot be below the best" if cannot else _ANSWERS[row.status]
        if row.searched or (row.status == "unknown" and not cannot):
            return answer
        return f"not searched, {answer}{self._copied(row)}"

    def _copied(self, row: DegreeRow) -> str:
        """Whose cycle it is, several times over; nothing where that is not known."""
        for other in self.rows:
            times, rest = divmod(row.degree, other.degree)
            if rest or times < 2 or other.cycle_time is None:
                continue
            if other.cycle_time * times == row.cycle_time:
                return f"; cycle of degree {other.degree}, {times} times over"
        return ""


def degree_row(result: Result) -> DegreeRow:
    """What a search at one degree came to."""
    return DegreeRow(
        result.degree,
        result.loads_per_cycle,
        result.status,
        _time(result.cycle_time),
        _time(result.lower_bound),
        None if result.schedule is None else exact_time_per_load(result),
        result.runtime > 0,
    )


def stated_degrees(result: Result, stated: StatedDegrees, source: str) -> ComparedDegrees:
    """Those that a file of moves states.

    Parameters
    ----------
    result : Result
        Of the moves, which the checker has accepted.
    stated : StatedDegrees
    source : str
        Name of the file.
    """
    assert result.problem is not None
    loads = result.loads_per_cycle // result.degree
    rows = [
        DegreeRow(
            row.degree,
            row.degree * loads,
            row.status,
            row.cycle_time,
            row.lower_bound,
            None if row.cycle_time is None else Fraction(row.cycle_time) / (row.degree * loads),
            row.searched,
        )
        for row in stated.rows
    ]
    choice = stated.choice
    return ComparedDegrees(
        result.problem,
        tuple(rows),
        result.degree,
        None if choice is None else _as_searched(choice),
        source,
    )


def _as_searched(choice: StatedChoice) -> DegreeChoice:
    """The choice in a file, without the results that it was made from."""
    return DegreeChoice(
        results=(),
        least_per_load=float(choice.least_per_load),
        proved=choice.proved,
        least_of_compared=float(choice.least_of_compared),
        ended=choice.ended,
        patience=None if choice.patience is None else float(choice.patience),
        left_out=tuple(LeftOut(degree, reason) for degree, reason in choice.left_out),
    )


def _time(time: int | float | None) -> Decimal | None:
    return None if time is None else Decimal(str(time))


def _mean(row: DegreeRow, tick: Fraction) -> Decimal | None:
    return None if row.time_per_load is None else mean_decimal(row.time_per_load, tick)


GAIN = "gain: by what share the mean time per load is below that of the row above"
_ANSWERS = {
    "optimal": "proved least",
    "feasible": "not proved least",
    "infeasible": "no schedule",
    "unknown": "none found in time",
}
