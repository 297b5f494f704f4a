"""The answer of a search by several aims: in words, as a table, as data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from ..analysis.figures.cautions import IN_FULL, gain_speed, standing
from ..analysis.figures.report import Report, report
from ..analysis.figures.steps import tick_of
from ..analysis.robust.search import Aim, Robust
from ..base.numbers.decimals import aligned, as_decimal, per_cent
from ..planning.best_degree.candidates import held_to_degree
from ..problem import Problem
from ..schedule import readable
from .answer import Answer, Outcome
from .schedule.answer import tables_of, timeway_of
from .schedule.data import verified_data
from .schedule.tables import tables
from .schedule.words import outcome
from .slack import slack_data, slack_summary
from .tables.data_table import DataTable
from .tables.jsonfile import json_number
from .tables.terminal import add_figures, add_names, new_table

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WORDS = {
    "slack": "slack: margin below every max. dwell",
    "float": "float: margin of every start in every cycle",
    "travel": "empty travel in a cycle",
    "nominal": "dwells off their nominal, in all",
    "loads": "max. loads in process",
    "cycle": "cycle time",
    "window": "loads out of window while times scatter",
}
UNITS = {"loads": "loads", "window": "%"}
NARROW = (
    "A window narrower than the margin reached keeps all it has to give; tightest start: how "
    "late any start may be all the same, once for slack, in every cycle for float. Each aim is "
    "the best that those above it leave."
)


@dataclass(frozen=True)
class GivenCycle:
    """The cycle handed in to start from, and what its file states of it; nobody proved it again.

    Attributes
    ----------
    file : str or None
        Its name; None of a schedule, and of a file that states nothing.
    least : bool
        Whether it states that no cycle of this degree is shorter.
    chosen : bool
        Whether it states that the degree was chosen among others.
    """

    file: str | None = None
    least: bool = False
    chosen: bool = False


@dataclass(frozen=True)
class RobustAnswer(Answer):
    """A schedule that serves several aims in order.

    Attributes
    ----------
    usual_degree : bool
        Whether nobody asked for the degree.
    given : GivenCycle or None
        None where the shortest cycle was searched for.
    """

    problem: Problem
    found: Robust
    usual_degree: bool = False
    given: GivenCycle | None = None

    @property
    def outcome(self) -> Outcome:  # type: ignore[override]
        """Whether there is a schedule."""
        if self.found.schedule is not None:
            return "done"
        return "no" if self.found.status == "infeasible" else "stopped"

    @cached_property
    def report(self) -> Report | None:
        """Its steps, dwells and figures."""
        found = self.found
        if found.schedule is None or found.replay is None:
            return None
        return report(self.problem, found.schedule, found.replay)

    def warnings(self) -> Sequence[str]:
        degree = self.found.shortest.degree
        if self.given is not None and self.given.chosen:
            return super().warnings()
        held = held_to_degree(self.problem, degree, usual=self.usual_degree)
        return [*super().warnings(), *held]

    def data(self) -> dict[str, Any]:
        return robust_data(self.problem, self.found, self.report)

    def sentences(self) -> list[str]:
        if self.found.schedule is None:
            return [outcome(self.problem, self.found.shortest)]
        return [robust_summary(self.problem, self.found, self.given)]

    def tables(self) -> list[RenderableType | str]:
        if self.report is None:
            return []
        return [tables(self.report), "", *self.short_tables()]

    def short_tables(self) -> list[RenderableType | str]:
        return [] if self.report is None else [aim_table(self.problem, self.found), NARROW]

    def data_tables(self) -> list[DataTable]:
        if self.report is None:
            return []
        return [*tables_of(self.report), aims_reached(self.problem, self.found)]

    def figure(self) -> Figure | None:
        if self.report is None or self.found.replay is None:
            return None
        return timeway_of(self.problem, self.report.schedule, self.found.replay)

    def cautions(self) -> list[str]:
        if self.report is None:
            return super().cautions()
        return [*([IN_FULL] if gain_speed(self.problem) else []), *self.report.cautions]


def aim_table(problem: Problem, found: Robust) -> Table:
    """One row per aim, the most important first."""
    table = new_table("Aims in order")
    add_names(table, "Aim")
    add_figures(table, "Reached", "Tightest start")
    table.add_column("Unit")
    table.add_column("Proof")
    tick = _tick(found)
    reached = aligned([_reached(aim, tick) for aim in found.aims])
    starts = aligned([_decimal(tightest(found, aim), tick) for aim in found.aims])
    for number, (value, start) in enumerate(zip(reached, starts, strict=True)):
        aim = found.aims[number]
        unit = UNITS.get(aim.name, problem.unit)
        table.add_row(Text(WORDS[aim.name]), value, start, unit, _proof(found.aims, number))
    return table


def _proof(aims: Sequence[Aim], number: int) -> str:
    """What is proved of an aim: of the values that those above it have, proved best or not."""
    if not aims[number].proven:
        return "best found in time"
    above = all(aim.proven for aim in aims[:number])
    return "proved the best" if above else "proved the best with those above as they are"


def aims_reached(problem: Problem, found: Robust) -> DataTable:
    """A row for each aim: what it reached, its tightest start, unit, whether proved best."""
    tick = _tick(found)
    rows = [
        [
            *(WORDS[aim.name], _reached(aim, tick), _decimal(tightest(found, aim), tick)),
            *(UNITS.get(aim.name, problem.unit), "yes" if aim.proven else "no"),
        ]
        for aim in found.aims
    ]
    return DataTable("Aims", ["aim", "reached", "tightest_start", "unit", "proven"], rows)


def _reached(aim: Aim, tick: Fraction) -> Decimal:
    """The value of an aim; a share of loads in per cent."""
    if aim.name == "window":
        return Decimal(per_cent(aim.value))
    return as_decimal(aim.value, tick)


def tightest(found: Robust, aim: Aim) -> Fraction | None:
    """How late any start may be: once, or in every cycle, as the aim asks; else None."""
    limits = found.limits
    if limits is None or aim.name not in ("slack", "float"):
        return None
    late = limits.least_alone if aim.name == "slack" else limits.least_for_good
    return None if late is None else limits.time(late)


def _tick(found: Robust) -> Fraction:
    assert found.schedule is not None
    return tick_of(found.schedule)


def _decimal(time: Fraction | None, tick: Fraction) -> Decimal | None:
    return None if time is None else as_decimal(time, tick, "down")


def robust_summary(problem: Problem, found: Robust, given: GivenCycle | None = None) -> str:
    """Cycle time against the shortest, or the one given, then the tightest limits."""
    assert found.schedule is not None and found.limits is not None
    unit = problem.unit
    cycle = found.schedule.time(found.schedule.cycle)
    assert found.shortest.schedule is not None
    least = found.shortest.schedule.time(found.shortest.schedule.cycle)
    other = "the shortest" if given is None else "the cycle given"
    text = f"Cycle time {readable(cycle)} {unit}, "
    if cycle > least:
        text += f"{float((cycle - least) / least):.1%} above {other} of {readable(least)}"
    elif given is None:
        text += "no longer than the shortest found"
    elif cycle == least:
        text += f"that of {other}"
    else:
        text += f"shorter than {other} of {readable(least)}"
    if given is not None and given.least and cycle >= least:
        proof = f", the least of its degree as {given.file} states"
    else:
        known = found.shortest.status == "optimal"
        proof = "" if known else ", which is not proved to be the least"
    return f"{text}{proof}. {slack_summary(found.limits)}"


def robust_data(problem: Problem, found: Robust, report: Report | None) -> dict[str, Any]:
    """Everything about the answer as plain data; the moves as `hoistopt verify` reads them.

    Parameters
    ----------
    report : Report or None
        Tables of the schedule; None where there is none.
    """
    head: dict[str, Any] = {
        "problem": problem.name,
        "status": found.status,
        "cycle_time": found.cycle_time,
        "shortest_cycle_time": found.shortest.cycle_time,
        "lower_bound": found.shortest.lower_bound,
        "within_percent": float(found.within),
        "degree": found.shortest.degree,
        "aims": [_aim(found, aim) for aim in found.aims],
    }
    if report is None or found.limits is None:
        said = standing(len(problem.hoists) > 1)
        return {**head, "reason": found.shortest.reason, "moves": [], "cautions": said}
    verified = verified_data(problem, report)
    kept = {key: value for key, value in verified.items() if key not in head}
    limits = slack_data(found.limits)["moves"]
    return {**head, **kept, "limits": limits}


def _aim(found: Robust, aim: Aim) -> dict[str, Any]:
    told: dict[str, Any] = {"name": aim.name, "value": json_number(aim.value), "proven": aim.proven}
    if aim.name in ("slack", "float"):
        start = tightest(found, aim)
        told["tightest_start"] = json_number(start)
    return told
