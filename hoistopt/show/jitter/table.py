"""What jitter does, as a table: on a terminal, as CSV, as data."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Any

from rich.table import Table
from rich.text import Text

from ...analysis.figures.cautions import standing
from ...base.numbers.decimals import aligned, as_decimal, per_cent, significant, told
from ...base.numbers.shares import Share
from ...margin.jitter.answer import Jitter, StageJitter
from ...margin.scattering import WHOSE
from ...problem.grid import ticks_per_unit
from ...schedule import readable
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number, versions
from ..tables.terminal import add_figures, add_names, new_table


def jitter_table(found: Jitter) -> Table:
    """One row per stage: how long loads stand, and how many over the maximum."""
    unit, tick = found.problem.unit, 1 / ticks_per_unit(found.problem)
    table = new_table("Dwell times under scatter")
    recipes = len({stage.recipe for stage in found.stages}) > 1
    add_names(table, *(("Recipe",) if recipes else ()), "Stage", "Station")
    add_figures(table, "Loads")
    add_figures(table, "Min", "Max", "Mean", "Longest", unit=unit)
    add_figures(table, "Over max")
    add_figures(table, "Share", f"{found.level:.0%} interval", unit="%")
    stages = found.stages
    times = (
        [as_decimal(stage.least, tick) for stage in stages],
        [None if stage.most is None else as_decimal(stage.most, tick, "down") for stage in stages],
        [_on_tick(stage.mean, tick) for stage in stages],
        [_on_tick(stage.longest, tick) for stage in stages],
    )
    columns = (aligned(column) for column in times)
    for stage, *cells in zip(stages, *columns, strict=True):
        table.add_row(
            *([Text(stage.recipe)] if recipes else []),
            Text(stage.label),
            Text(", ".join(stage.stations)),
            str(stage.share.loads),
            *cells,
            *_share_cells(stage),
        )
    return table


def _on_tick(time: float, tick: Fraction) -> Decimal:
    """A measured time as a duration is shown: rounded up to the tick, float noise aside."""
    return as_decimal(ceil(round(time / float(tick), 6)) * tick, tick)


def _share_cells(stage: StageJitter) -> list[str]:
    if stage.most is None:
        return ["-", "-", "-"]
    share = stage.share
    seen, low, high = (per_cent(s, places=2) for s in (share.share, share.low, share.high))
    return [str(share.out), seen, f"{low} to {high}"]


def interval(share: Share) -> str:
    """The interval of a share."""
    return f"{per_cent(share.low)} to {per_cent(share.high)} %"


def jitter_summary(found: Jitter) -> str:
    """Loads over maximum, the worst stage, the cycle time achieved, the latest step."""
    unit = found.problem.unit
    whole = found.any_stage
    told_of = [
        f"{whole.out} of {whole.loads} loads were over max. dwell in some stage, "
        f"{per_cent(whole.share)} % ({found.level:.0%} interval {interval(whole)}).",
        *_worst_stage(found),
    ]
    cycle = f"Achieved cycle time {significant(found.cycle_time, 6)} {unit}"
    if found.cycle_low is not None and found.cycle_high is not None:
        cycle += f" ({significant(found.cycle_low, 6)} to {significant(found.cycle_high, 6)})"
    told_of += [f"{cycle}, {told(found.planned)} {unit} planned.", _latest_step(found)]
    if found.source != "given":
        scatters = "; ".join(map(str, found.scatters)) or "nothing"
        told_of.append(f"What scatters: {scatters} ({WHOSE[found.source]}).")
    if not found.complete:
        told_of.insert(0, f"Stopped early, after {found.cycles} cycles of each run.")
    return " ".join(told_of)


def _worst_stage(found: Jitter) -> list[str]:
    worst = max(found.stages, key=lambda stage: (stage.share.share, stage.over))
    if not worst.share.out:
        return []
    over = _on_tick(worst.over, 1 / ticks_per_unit(found.problem))
    return [
        f"Worst stage: {worst.label}, {per_cent(worst.share.share)} % of its loads over max., by "
        f"up to {over:f} {found.problem.unit}."
    ]


def _latest_step(found: Jitter) -> str:
    late, unit = found.latest, found.problem.unit
    if not late.most:
        return "No step starts late."
    return (
        f"Latest step: {late.step} ({late.source} to {late.target}), "
        f"{significant(late.mean, 3)} {unit} late on average, {significant(late.most, 3)} {unit} "
        "at most, counted against the plan from the first cycle on: lateness adds up from cycle "
        f"to cycle where the plan has no time in reserve. The last cycle begins "
        f"{significant(found.late_at_end, 3)} {unit} late."
    )


def jitter_data(found: Jitter) -> dict[str, Any]:
    """Everything counted as plain data, times in the problem's unit, shares from 0 to 1."""
    return {
        "problem": found.problem.name,
        "unit": found.problem.unit,
        "scatter": [str(scatter) for scatter in found.scatters],
        "scatter_source": found.source,
        "runs": found.runs,
        "cycles": found.cycles,
        "complete": found.complete,
        "warm_up": found.warm_up,
        "seed": found.seed,
        "confidence": found.level,
        "planned_cycle_time": json_number(found.planned),
        "cycle_time": found.cycle_time,
        "cycle_time_interval": None
        if found.cycle_low is None
        else [found.cycle_low, found.cycle_high],
        "late_at_end": found.late_at_end,
        "latest_step": {
            "step": found.latest.step,
            "from": found.latest.source,
            "to": found.latest.target,
            "mean_late": found.latest.mean,
            "max_late": found.latest.most,
        },
        "any_stage": _share(found.any_stage),
        "stages": [
            {
                "recipe": stage.recipe,
                "stage": stage.stage,
                "label": stage.label,
                "stations": list(stage.stations),
                "min": json_number(stage.least),
                "max": json_number(stage.most),
                "mean": stage.mean,
                "longest": stage.longest,
                **_share(stage.share),
            }
            for stage in found.stages
        ],
        "cautions": standing(len(found.problem.hoists) > 1),
        "versions": {**versions(), "numpy": _numpy()},
    }


def _share(share: Share) -> dict[str, Any]:
    return {
        "loads": share.loads,
        "over_max": share.out,
        "share": share.share,
        "interval": [share.low, share.high],
    }


def _numpy() -> str:
    import numpy

    return numpy.__version__


def jitter_rows(found: Jitter) -> DataTable:
    """One row per stage."""
    unit = found.problem.unit
    header = ["recipe", "stage", "stage_name", "stations", "loads", "over_max", "share"]
    header += ["interval_low", "interval_high"]
    header += [f"{name}_{unit}" for name in ("min", "max", "mean", "longest")]
    rows: list[list[object]] = [
        [
            *(stage.recipe, stage.stage, stage.label, "; ".join(stage.stations)),
            *(stage.share.loads, stage.share.out),
            *(_six(x) for x in (stage.share.share, stage.share.low, stage.share.high)),
            readable(stage.least),
            None if stage.most is None else readable(stage.most),
            *(_six(x) for x in (stage.mean, stage.longest)),
        ]
        for stage in found.stages
    ]
    return DataTable("Dwells under scatter", header, rows)


def _six(value: float) -> Decimal:
    """A measured number to six significant figures."""
    return Decimal(significant(value, 6))
