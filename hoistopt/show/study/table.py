"""A study as a table: on a terminal, as CSV, as data."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from rich.table import Table
from rich.text import Text

from ...analysis.study.levels import written
from ...analysis.study.points import Point, Study
from ...base.numbers.decimals import aligned, as_decimal, per_cent, significant, told
from ..tables.terminal import add_figures, new_table
from .data import with_unit

ANSWERS = {
    "optimal": "proved least",
    "feasible": "not proved least",
    "infeasible": "no schedule",
    "unknown": "none found in time",
    "failed": "failed",
    "not run": "not run",
}


def study_table(study: Study, against: str | None = None) -> Table:
    """One row a point, after the line as it is; the frontier is marked where there is cost."""
    table = new_table(f"Study of {study.problem.name}")
    named = any(point.design.name for point in study.points)
    priced = any(point.design.cost is not None for point in study.points)
    for name in (*(["Design"] if named else []), *study.names):
        table.add_column(Text(with_unit(name, study.problem)), overflow="fold")
    add_figures(table, "Cycle time", "Lower bound", "Mean per load", unit=study.problem.unit)
    add_figures(table, "Loads per hour")
    add_figures(table, "Gain", unit="%")
    if priced:
        add_figures(table, "Cost")
    table.add_column("Answer")
    best = {id(point) for point in study.frontier(against)}
    points = (study.reference, *study.points)
    costs = aligned([_decimal(point.design.cost) for point in points])
    columns = list(zip(*_figures(study, points), costs, strict=True))
    for point, cells in zip(points, columns, strict=True):
        mark = ", on the frontier" if id(point) in best else ""
        table.add_row(
            *_settings(study, point, named),
            *(cells if priced else cells[:-1]),
            Text(ANSWERS[point.status] + mark),
        )
    return table


def _settings(study: Study, point: Point, named: bool) -> list[Text]:
    if point is study.reference:
        cells = ["as it is", *[""] * (len(study.names) + named - 1)]
    else:
        cells = [point.design.name] if named else []
        cells += [written(point.settings[n]) if n in point.settings else "" for n in study.names]
    return [Text(cell) for cell in cells]


def _figures(study: Study, points: Sequence[Point]) -> list[list[str]]:
    """The columns of figures, each on its decimal point."""
    gains = [None if point is study.reference else study.gain(point) for point in points]
    return [
        aligned([_decimal(point.cycle_time) for point in points]),
        aligned([_decimal(point.answer.bound) for point in points]),
        aligned([_decimal(point.time_per_load) for point in points]),
        ["-" if p.throughput is None else f"{float(p.throughput):.3f}" for p in points],
        ["-" if gain is None else per_cent(gain, places=1, sign="+") for gain in gains],
    ]


def _decimal(value: Fraction | Decimal | None) -> Decimal | None:
    """Exact, or a time rounded up to three decimals where it has more than six."""
    return None if value is None else as_decimal(Fraction(value), Fraction(1, 1000))


def _plain(value: Fraction | Decimal | None) -> str:
    return "-" if value is None else told(Fraction(value))


def _rounded(value: Fraction | None) -> str:
    return "-" if value is None else significant(value, 5)


def study_summary(study: Study, against: str | None = None) -> str:
    """What came of it, in a few sentences."""
    told = []
    best = study.best
    if best is None:
        told.append("No point has a schedule.")
    else:
        gain = study.gain(best)
        more = "" if gain is None else f", {float(gain):+.1%} against the line as it is"
        told.append(
            f"Most loads per hour: {_rounded(best.throughput)} with {best.design.label}{more}."
        )
    frontier = study.frontier(against)
    if len(frontier) > 1:
        what = f"by {against}" if against else "by cost"
        steps = "; ".join(
            f"{_plain(study.cost_of(point, against))}: {_rounded(point.throughput)} "
            f"({point.design.label})"
            for point in frontier
        )
        told.append(f"Efficient {what}: {steps}.")
    for status in ("feasible", "infeasible", "unknown", "failed", "not run"):
        count = sum(point.status == status for point in study.points)
        if count:
            told.append(f"{count} of {len(study.points)} points: {ANSWERS[status]}.")
    told += [f"{name} makes no difference to this line." for name in study.idle]
    if _too_low(study):
        told.append(
            "At degree 1 every load uses the same of several equal stations: "
            "more of them help from a higher degree on."
        )
    return "\n".join(told)


def _too_low(study: Study) -> bool:
    """Whether stations were added that a cycle of one load cannot make use of."""
    added = [p for p in study.points if any(n.startswith("parallel(") for n in p.settings)]
    return bool(added) and all(p.loads_per_cycle == 1 for p in added)
