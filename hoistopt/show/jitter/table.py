"""What jitter does, as a table: on a terminal, as CSV, as data."""

from __future__ import annotations

from typing import Any

from rich.table import Table
from rich.text import Text

from ...analysis.figures.cautions import STANDING
from ...analysis.jitter.run import Jitter, StageJitter
from ...analysis.jitter.shares import Share
from ...base.decimals import significant, told
from ...schedule import readable
from ..tables.csvfile import csv_text
from ..tables.jsonfile import json_number, versions
from ..tables.terminal import add_figures, add_names, new_table


def jitter_table(found: Jitter) -> Table:
    """One row per stage: how long loads stand, and how many too long."""
    table = new_table(f"Dwell times under scatter, times in {found.problem.unit}")
    recipes = len({stage.recipe for stage in found.stages}) > 1
    add_names(table, *(("Recipe",) if recipes else ()), "Stage", "Station")
    level = f"{found.level:.0%} interval"
    add_figures(table, "Loads", "Min", "Max", "Mean", "Longest", "Too long", "Share", level)
    for stage in found.stages:
        table.add_row(
            *([Text(stage.recipe)] if recipes else []),
            Text(stage.label),
            Text(", ".join(stage.stations)),
            str(stage.share.loads),
            told(stage.least),
            "-" if stage.most is None else told(stage.most),
            _rounded(stage.mean),
            _rounded(stage.longest),
            *_share_cells(stage),
        )
    return table


def _share_cells(stage: StageJitter) -> list[str]:
    if stage.most is None:
        return ["-", "-", "-"]
    share = stage.share
    return [str(share.out), percent(share.share), interval(share)]


def percent(share: float) -> str:
    """A share to three figures."""
    return f"{significant(share * 100, 3)} %"


def interval(share: Share) -> str:
    """The interval of a share."""
    return f"{significant(share.low * 100, 3)} to {significant(share.high * 100, 3)} %"


def _rounded(time: float) -> str:
    return f"{time:.1f}" if time >= 100 else f"{time:.2f}"


def jitter_summary(found: Jitter) -> str:
    """The answer in three sentences."""
    unit = found.problem.unit
    whole = found.any_stage
    text = (
        f"{whole.out} of {whole.loads} loads stood too long in some stage, "
        f"{percent(whole.share)} ({found.level:.0%} interval {interval(whole)}). "
        f"Achieved cycle time {significant(found.cycle_time, 6)} {unit}"
    )
    if found.cycle_low is not None and found.cycle_high is not None:
        text += f" ({significant(found.cycle_low, 6)} to {significant(found.cycle_high, 6)})"
    planned = f"{told(found.planned)} {unit} planned"
    late = f"{significant(found.late_at_end, 3)} {unit} late"
    text += f", {planned}; at the end of a run the line is {late} on average."
    if not found.complete:
        text = f"Stopped early, after {found.cycles} cycles of each run. {text}"
    return text


def jitter_data(found: Jitter) -> dict[str, Any]:
    """Everything counted as plain data, times in the problem's unit, shares from 0 to 1."""
    return {
        "problem": found.problem.name,
        "unit": found.problem.unit,
        "scatter": [str(scatter) for scatter in found.scatters],
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
        "any_stage": _share(found.any_stage),
        "stages": [
            {
                "recipe": stage.recipe,
                "stage": stage.stage,
                "label": stage.label,
                "stations": list(stage.stations),
                "least": json_number(stage.least),
                "most": json_number(stage.most),
                "mean": stage.mean,
                "longest": stage.longest,
                **_share(stage.share),
            }
            for stage in found.stages
        ],
        "cautions": [STANDING],
        "versions": {**versions(), "numpy": _numpy()},
    }


def _share(share: Share) -> dict[str, Any]:
    return {
        "loads": share.loads,
        "too_long": share.out,
        "share": share.share,
        "interval": [share.low, share.high],
    }


def _numpy() -> str:
    import numpy

    return numpy.__version__


def jitter_csv(found: Jitter) -> str:
    """One row per stage."""
    unit = found.problem.unit
    header = ["recipe", "stage", "stage_name", "stations", "loads", "too_long", "share"]
    header += ["interval_low", "interval_high"]
    header += [f"{name}_{unit}" for name in ("least", "greatest", "mean", "longest")]
    rows: list[list[object]] = [
        [
            *(stage.recipe, stage.stage, stage.label, "; ".join(stage.stations)),
            *(stage.share.loads, stage.share.out),
            *(significant(x, 6) for x in (stage.share.share, stage.share.low, stage.share.high)),
            readable(stage.least),
            None if stage.most is None else readable(stage.most),
            *(significant(x, 6) for x in (stage.mean, stage.longest)),
        ]
        for stage in found.stages
    ]
    return csv_text(header, rows, [STANDING])
