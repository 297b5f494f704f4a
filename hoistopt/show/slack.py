"""The slack of a schedule as a table of alarm limits: on a terminal, as CSV, as data."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from ..analysis.figures.cautions import standing
from ..base.numbers.decimals import aligned, as_decimal
from ..margin.slack import Exceeded, MoveSlack, SlackLimits
from ..problem import Problem
from .answer import Answer
from .tables.data_table import DataTable
from .tables.jsonfile import json_number, versions
from .tables.terminal import add_figures, add_names, new_table

READING = (
    "Latest starts are counted from cycle start and may lie beyond its end. Once: only this one "
    "start is late, and everything after it comes when due; later than that, the dwell named is "
    "over its maximum. No knock-on until: later than that, starts a cycle or more later are late "
    "too. Every cycle: the planned start itself moved."
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

    def data_tables(self) -> list[DataTable]:
        return [alarm_limits(self.limits)]


def slack_table(limits: SlackLimits) -> Table:
    """One row per move: planned start, latest start once and every cycle, and what gives."""
    moves, unit = limits.moves, limits.problem.unit
    loads, recipes = len({m.load for m in moves}) > 1, len({m.recipe for m in moves}) > 1
    several = len(limits.problem.hoists) > 1
    table = new_table("Latest starts, the alarm limits")
    add_figures(table, "Step")
    add_figures(table, "Start", unit=unit)
    hoist = ("Hoist",) if several else ()
    add_names(table, *hoist, "From", "To", *(("Recipe",) if recipes else ()))
    if loads:
        add_figures(table, "Load")
    add_figures(table, "Once", unit=unit)
    add_names(table, "First over max. dwell")
    add_figures(table, "No knock-on until", "Every cycle", unit=unit)
    add_names(table, "Held by")
    columns = [
        aligned([_time(limits, m.start) for m in moves]),
        aligned([_latest(limits, m, m.alone) for m in moves]),
        aligned([_latest(limits, m, m.slips) for m in moves]),
        aligned([_latest(limits, m, m.for_good) for m in moves]),
    ]
    for move, start, once, slips, always in zip(moves, *columns, strict=True):
        table.add_row(
            str(move.step),
            start,
            *([Text(move.hoist or "")] if several else []),
            Text(move.source),
            Text(move.target),
            *([Text(move.recipe)] if recipes else []),
            *([str(move.load)] if loads else []),
            "no limit" if move.alone is None else once,
            Text("-" if move.breaks is None else breaking(move.breaks, loads)),
            slips,
            always,
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
        once = "However late a move starts once, no dwell passes its maximum."
    else:
        move = next(m for m in limits.moves if m.alone == least)
        assert move.breaks is not None
        once = (
            f"Tightest start, once: step {move.step} ({move.source} to {move.target}) may start "
            f"{_time(limits, least):f} {unit} late; later than that, "
            f"{breaking(move.breaks, len({m.load for m in limits.moves}) > 1)} is over max. dwell."
        )
    if not limits.least_for_good:
        still = sum(move.for_good == 0 for move in limits.moves)
        count = "1 start has" if still == 1 else f"{still} of {len(limits.moves)} starts have"
        return f"{once} In every cycle, {count} no float and cannot be later."
    always = _time(limits, limits.least_for_good)
    return f"{once} In every cycle, any one start may be {always:f} {unit} later."


def slack_data(limits: SlackLimits) -> dict[str, Any]:
    """The limits as plain data, times in the problem's unit; null where there is no limit."""
    several = len(limits.problem.hoists) > 1

    def time(ticks: int | None) -> int | float | None:
        return None if ticks is None else json_number(_time(limits, ticks))

    return {
        "problem": limits.problem.name,
        "unit": limits.problem.unit,
        "cycle_time": time(limits.schedule.cycle),
        "tick": time(1),
        "moves": [
            {
                "step": m.step,
                "start": time(m.start),
                **({"hoist": m.hoist} if several else {}),
                "from": m.source,
                "to": m.target,
                "recipe": m.recipe,
                "load": m.load,
                "stage": m.stage,
                "late_unnoticed": time(m.free),
                "late_once": time(m.alone),
                "latest_once": None if m.alone is None else time(m.start + m.alone),
                "first_over_max": None if m.breaks is None else _exceeded(m.breaks),
                "late_no_knock_on": time(m.slips),
                "late_recovers": time(m.lasts),
                "late_every_cycle": time(m.for_good),
                "latest_every_cycle": time(m.start + m.for_good),
                "held_by": m.held_by,
            }
            for m in limits.moves
        ],
        "cautions": standing(len(limits.problem.hoists) > 1),
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


def alarm_limits(limits: SlackLimits) -> DataTable:
    """One row per move, for the programmer of the sequencer; empty: no limit."""
    unit = limits.problem.unit
    several = len(limits.problem.hoists) > 1
    plain_names = ["step", *(["hoist"] if several else []), "from", "to", "recipe"]
    plain_names += ["load", "stage"]
    timed = ["start", "latest_once", "latest_every_cycle", "late_unnoticed", "late_once"]
    timed += ["late_no_knock_on", "late_recovers", "late_every_cycle"]
    header = [*plain_names, *(f"{name}_{unit}" for name in timed)]
    header += ["first_over_max", "first_over_max_stage", "first_over_max_load", "held_by"]
    rows: list[list[object]] = []
    for m in limits.moves:
        breaks = [None] * 3
        if m.breaks is not None:
            breaks = [m.breaks.station, m.breaks.label, m.breaks.load]  # type: ignore[list-item]
        late = [m.free, m.alone, m.slips, m.lasts, m.for_good]
        moved: list[object] = [m.step, *([m.hoist] if several else []), m.source, m.target]
        rows.append(
            moved
            + [m.recipe, m.load, m.stage]
            + [_time(limits, m.start), _latest(limits, m, m.alone)]
            + [_latest(limits, m, m.for_good)]
            + [None if ticks is None else _time(limits, ticks) for ticks in late]
            + [*breaks, m.held_by]
        )
    return DataTable("Latest starts", header, rows)


def _latest(limits: SlackLimits, move: MoveSlack, late: int | None) -> Decimal | None:
    return None if late is None else _time(limits, move.start + late)


def _time(limits: SlackLimits, ticks: int) -> Decimal:
    return as_decimal(limits.time(ticks), 1 / limits.schedule.ticks_per_unit, "down")
