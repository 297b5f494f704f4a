"""Loads that stand too long in a programme: as data, as a table, in words."""

from __future__ import annotations

from typing import Any

from rich.table import Table
from rich.text import Text

from ...base.numbers.decimals import aligned, as_decimal
from ...base.text import listed, plural
from ...checker import ProgrammeReplay
from ..tables.jsonfile import json_number
from ..tables.terminal import add_figures, add_names, new_table
from .rows import tick_of


def overstay_data(seen: ProgrammeReplay) -> list[dict[str, Any]]:
    """Every stay beyond its maximum, for JSON; times in the problem's unit."""
    return [
        {
            "load": one.load,
            "recipe": one.recipe,
            "stage": one.stage,
            "label": one.label,
            "station": one.station,
            "stood_low": json_number(one.stood.least),
            "stood_high": json_number(one.stood.most),
            "maximum": json_number(one.most),
            "by": json_number(one.by),
            "certain": one.certain,
        }
        for one in seen.overstays
    ]


def overstay_table(seen: ProgrammeReplay) -> Table:
    """Who stands too long, where, and by how much."""
    table = new_table("Lost loads: dwells beyond their maximum")
    add_figures(table, "Load")
    add_names(table, "Recipe", "Stage")
    add_figures(table, "Stands", "Maximum", "Over by", unit=seen.problem.unit)
    tick = tick_of(seen)
    rows = seen.overstays
    columns = (
        aligned([as_decimal(one.stood.most, tick, "up") for one in rows]),
        aligned([as_decimal(one.most, tick) for one in rows]),
        aligned([as_decimal(one.by, tick, "up") for one in rows]),
    )
    for one, *cells in zip(rows, *columns, strict=True):
        doubt = "" if one.certain else " (perhaps)"
        table.add_row(str(one.load), Text(one.recipe), Text(one.label + doubt), *cells)
    return table


def recovery_offer(seen: ProgrammeReplay) -> list[str]:
    """How a refused programme would be accepted: where nothing is broken but maxima of loads
    that were in the line."""
    inside = set(seen.state.numbered().loads)
    loads = sorted({one.load for one in seen.overstays})
    broken = sum(one.load not in seen.lost for one in seen.overstays)
    if not loads or len(seen.violations) != broken or not inside.issuperset(loads):
        return []
    numbers = ",".join(map(str, loads))
    return [
        "Every violation is a maximum of a load that was in the line already: "
        f"--lost {numbers} accepts the programme as a recovery that gives up "
        f"{plural(len(loads), 'load')} {listed([str(load) for load in loads])}."
    ]
