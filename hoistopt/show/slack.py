"""The slack of a schedule as a table of alarm limits: on a terminal, as CSV, as data."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from ..analysis.figures.cautions import STANDING
from ..analysis.slack import Exceeded, MoveSlack, SlackLimits
from ..base.decimals import aligned, as_decimal, plain
from ..problem import Problem
from .answer import Answer
from .tables.csvfile import csv_text
from .tables.jsonfile import versions
from .tables.terminal import add_figures, add_names, new_table

READING = (
    "Latest starts are counted from the start of the cycle and may lie beyond its end. "
    "Alone: only this one start is late, and everything after it comes when due; later than "
    "that, the maximum named is exceeded. Slips after: later than that, starts a cycle or "
    "more later are late too. For good: the planned start itself moved."
)


@dataclass(frozen=True)
class SlackAnswer(Answer):
    """How late each move may start."""

    limits: SlackLimits

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.limits.problem

    def data(self) -> dict[str, Any]:
        return slack_data(self.limits)

    def sentences(self) -> list[str]:
        return [slack_summary(self.limits)]

    def tables(self) -> list[RenderableType | str]:
        return [slack_table(self.limits), READING]

    def csv(self) -> str:
        return slack_csv(self.limits)


def slack_table(limits: SlackLimits) -> Table:
    """One row per move: planned start, latest start alone and for good, and what gives."""
    moves = limits.moves
    loads, recipes = len({m.load for m in moves}) > 1, len({m.recipe for m in moves}) > 1
    table = new_table(f"Alarm limits, times in {limits.problem.unit}")
    add_figures(table, "Step")
    add_figures(table, "Start")
    add_names(table, "From", "To", *(("Recipe",) if recipes else ()))
    if loads:
        add_figures(table, "Load")
    add_figures(table, "Latest alone")
    add_names(table, "Breaks first")
    add_figures(table, "Slips after")
    add_figures(table, "Latest for good")
    add_names(table, "Held by")
    columns = [
        aligned([_time(limits, m.start) for m in moves]),
        aligned([_latest(limits, m, m.alone) for m in moves]),
        aligned([_latest(limits, m, m.slips) for m in moves]),
        aligned([_latest(limits, m, m.for_good) for m in moves]),
    ]
    for move, start, alone, slips, good in zip(moves, *columns, strict=True):
        table.add_row(
            str(move.step),
            start,
            Text(move.source),
            Text(move.target),
            *([Text(move.recipe)] if recipes else []),
            *([str(move.load)] if loads else []),
            "no limit" if move.alone is None else alone,
            Text("-" if move.breaks is None else breaking(move.breaks, loads)),
            slips,
            good,
            Text(move.held_by),
        )
    return table


def breaking(found: Exceeded, loads: bool) -> str:
    """The tank that breaks first, its stage, and which load where there are several."""
    text = found.label
    if found.station != found.label:
        text += f" ({found.station})"
    if loads:
        text += f", load {found.load}"
    later = {0: "", 1: ", next cycle"}.get(found.cycles, f", {found.cycles} cycles on")
    return text + later


def slack_summary(limits: SlackLimits) -> str:
    """The tightest limits in a sentence or two."""
    unit, least = limits.problem.unit, limits.least_alone
    if least is None:
        alone = "However late a move starts once, no maximum is exceeded."
    else:
        move = next(m for m in limits.moves if m.alone == least)
        assert move.breaks is not None
        alone = (
            f"Tightest alone: step {move.step} ({move.source} to {move.target}) may start "
            f"{_time(limits, least):f} {unit} late; after that "
            f"{breaking(move.breaks, len({m.load for m in limits.moves}) > 1)} is over its maximum."
        )
    if not limits.least_for_good:
        still = sum(move.for_good == 0 for move in limits.moves)
        count = "One move has" if still == 1 else f"{still} of {len(limits.moves)} moves have"
        return f"{alone} {count} no time to spare for good."
    good = _time(limits, limits.least_for_good)
    return f"{alone} Every move may start {good:f} {unit} later for good."


def slack_data(limits: SlackLimits) -> dict[str, Any]:
    """The limits as plain data, times in the problem's unit; null where there is no limit."""

    def time(ticks: int | None) -> int | float | None:
        return None if ticks is None else plain(_time(limits, ticks))

    return {
        "problem": limits.problem.name,
        "unit": limits.problem.unit,
        "cycle_time": time(limits.schedule.cycle),
        "tick": time(1),
        "moves": [
            {
                "step": m.step,
                "start": time(m.start),
                "from": m.source,
                "to": m.target,
                "recipe": m.recipe,
                "load": m.load,
                "stage": m.stage,
                "late_unnoticed": time(m.free),
                "late_alone": time(m.alone),
                "latest_alone": None if m.alone is None else time(m.start + m.alone),
                "breaks_first": None if m.breaks is None else _exceeded(m.breaks),
                "late_before_slip": time(m.slips),
                "late_before_lasting": time(m.lasts),
                "late_for_good": time(m.for_good),
                "latest_for_good": time(m.start + m.for_good),
                "held_by": m.held_by,
            }
            for m in limits.moves
        ],
        "cautions": [STANDING],
        "versions": versions(),
    }


def _exceeded(found: Exceeded) -> dict[str, Any]:
    return {
        "station": found.station,
        "stage": found.stage,
        "label": found.label,
        "recipe": found.recipe,
        "load": found.load,
        "cycles_later": found.cycles,
    }


def slack_csv(limits: SlackLimits) -> str:
    """One row per move, for the programmer of the sequencer; empty: no limit."""
    unit = limits.problem.unit
    plain_names = ["step", "from", "to", "recipe", "load", "stage"]
    timed = ["start", "latest_alone", "latest_for_good", "late_unnoticed", "late_alone"]
    timed += ["late_before_slip", "late_before_lasting", "late_for_good"]
    header = [*plain_names, *(f"{name}_{unit}" for name in timed)]
    header += ["breaks_first", "breaks_first_stage", "breaks_first_load", "held_by"]
    rows: list[list[object]] = []
    for m in limits.moves:
        breaks = [None] * 3
        if m.breaks is not None:
            breaks = [m.breaks.station, m.breaks.label, m.breaks.load]  # type: ignore[list-item]
        late = [m.free, m.alone, m.slips, m.lasts, m.for_good]
        rows.append(
            [m.step, m.source, m.target, m.recipe, m.load, m.stage]
            + [_time(limits, m.start), _latest(limits, m, m.alone)]
            + [_latest(limits, m, m.for_good)]
            + [None if ticks is None else _time(limits, ticks) for ticks in late]
            + [*breaks, m.held_by]
        )
    return csv_text(header, rows, [STANDING])


def _latest(limits: SlackLimits, move: MoveSlack, late: int | None) -> Decimal | None:
    return None if late is None else _time(limits, move.start + late)


def _time(limits: SlackLimits, ticks: int) -> Decimal:
    return as_decimal(limits.time(ticks), 1 / limits.schedule.ticks_per_unit, "down")
