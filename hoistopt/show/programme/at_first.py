"""Where each of several hoists is when a programme begins: part of the state it holds from."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

from rich.console import RenderableType
from rich.text import Text

from ...base.numbers.decimals import aligned, as_decimal, nearest
from ...base.text import listed
from ...checker import ProgrammeReplay
from ...checker.courses import AtFirst, hoists_at_first
from ..schedule.data import MILLI
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number
from ..tables.terminal import add_figures, add_names, new_table
from .rows import tick_of

TITLE = "Hoists at time 0"
AT_AN_END = "does nothing, at the end of the track"


def at_first_data(seen: ProgrammeReplay) -> list[dict[str, Any]]:
    """Where each is, in track order, as plain data; none where there is one hoist.

    ``position`` and ``to`` are in the problem's unit of length, None where a hoist does nothing
    and stands at the end of the track, out of the way; ``free`` is a time.
    """
    return [
        {
            "hoist": at.name,
            "position": json_number(_place(at.here)),
            "station": _station(seen, at),
            "to": json_number(_place(at.there)),
            "free": json_number(as_decimal(at.free, tick_of(seen))),
        }
        for at in hoists_at_first(seen)
    ]


def at_first_note(seen: ProgrammeReplay) -> list[str]:
    """One sentence on where each hoist is when the programme begins; none for a single hoist."""
    told = []
    for at in hoists_at_first(seen):
        station = _station(seen, at)
        where = f"{at.name} {AT_AN_END}"
        if at.here is not None and at.there is not None:
            where = f"{at.name} at {_told(seen, at.here)}"
            where += f" ({station})" if station else ""
            if at.here != at.there:
                where += f", on its way to {_told(seen, at.there)}"
        told.append(where)
    return [f"{TITLE}: {listed(told)}."] if told else []


def at_first_rows(seen: ProgrammeReplay) -> list[tuple[str, str, str, str]]:
    """Cells, a row for each hoist at first: name, position, where that is, when it is free."""
    hoists = hoists_at_first(seen)
    positions = aligned([_place(at.here) for at in hoists])
    free = aligned([as_decimal(at.free, tick_of(seen)) for at in hoists])
    return [
        (at.name, position, _where(seen, at), time)
        for at, position, time in zip(hoists, positions, free, strict=True)
    ]


def at_first_table(seen: ProgrammeReplay) -> list[RenderableType]:
    """Where each hoist is when the programme begins, as a table for a terminal."""
    rows = at_first_rows(seen)
    if not rows:
        return []
    table = new_table(TITLE)
    add_names(table, "Hoist")
    add_figures(table, "Position", unit=seen.problem.length_unit)
    add_names(table, "Where")
    add_figures(table, "Free at", unit=seen.problem.unit)
    for name, position, where, free in rows:
        table.add_row(Text(name), position, Text(where), free)
    table.caption = "Part of the state from which the programme holds: see that each is there."
    return [table]


def at_first_sheet(seen: ProgrammeReplay) -> list[DataTable]:
    """Where each hoist is when the programme begins, as a table of data for CSV or a workbook."""
    rows = [list(row.values()) for row in at_first_data(seen)]
    length = seen.problem.length_unit
    units = {"position": length, "to": length, "free": seen.problem.unit}
    header = ["hoist", "position", "station", "to", "free"]
    return [DataTable(TITLE, header, rows, units=units)] if rows else []


def _where(seen: ProgrammeReplay, at: AtFirst) -> str:
    """The station there; where it goes to; that it does nothing."""
    if at.here is None or at.there is None:
        return AT_AN_END
    station = _station(seen, at)
    if at.out_of_service:
        return f"{station}, out of service".removeprefix(", ")
    if at.here == at.there:
        return station
    to = f"on its way to {_told(seen, at.there)}"
    return f"{station}, {to}".removeprefix(", ")


def _station(seen: ProgrammeReplay, at: AtFirst) -> str:
    """The name of the station at which it is, if there is one."""
    found = (s.name for s in seen.problem.stations if s.position == at.here)
    return next(found, "") if at.here is not None else ""


def _place(position: Fraction | None) -> Decimal | None:
    return None if position is None else nearest(position, MILLI)


def _told(seen: ProgrammeReplay, position: Fraction) -> str:
    return f"{nearest(position, MILLI):f} {seen.problem.length_unit}"
