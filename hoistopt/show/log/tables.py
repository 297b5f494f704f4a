"""What a log came to, as tables: for a terminal, CSV, a workbook and JSON alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from rich.table import Table
from rich.text import Text

from ...base.numbers.decimals import aligned, to_places
from ...base.numbers.shares import Share
from ...plant.judging.judge import JudgedLog
from ...plant.judging.stages import Capability
from ...plant.judging.trends import Stretch
from ...plant.ways import Place
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number, json_value
from ..tables.terminal import add_figures, add_names, new_table
from .shown import hours, length, mean_length, moment

if TYPE_CHECKING:
    import polars as pl

MOST_STAYS = 100_000
"""Stays that tables list one by one; the CSV file has them all."""


def stages_table(found: JudgedLog) -> DataTable:
    """A row for each stage: its window, how many stays broke it, shares and capability."""
    problem, zone = found.problem, found.log.zone
    rows = []
    for stage in found.stages:
        rows.append(
            [
                stage.place.recipe,
                stage.place.number,
                stage.place.stage.label,
                stage.place.stage.min,
                stage.place.stage.max,
                stage.stays,
                stage.under,
                stage.over,
                stage.near,
                stage.not_judged,
                mean_length(stage.mean, problem),
                length(stage.shortest, problem),
                length(stage.longest, problem),
                length(stage.most_under, problem),
                moment(stage.when_under, zone),
                length(stage.most_over, problem),
                moment(stage.when_over, zone),
                *_shares(stage.within),
                *_indices(stage.lower),
                *_indices(stage.upper),
            ]
        )
    unit = problem.unit
    return DataTable(
        "Stages",
        [
            "recipe", "number", "stage", "min", "max", "stays", "under", "over", "near",
            "not_judged", "mean", "shortest", "longest", "most_under", "most_under_at",
            "most_over", "most_over_at", "within", "within_low", "within_high", "ppk_min",
            "ppk_min_percentiles", "ppk_max", "ppk_max_percentiles",
        ],
        rows,
        units={
            **dict.fromkeys(
                ("min", "max", "mean", "shortest", "longest", "most_under", "most_over"), unit
            ),
            **dict.fromkeys(("within", "within_low", "within_high"), "%"),
        },
    )  # fmt: skip


def _shares(share: Share) -> list[Decimal | None]:
    """A share and the ends of its interval, in percent."""
    if not share.loads:
        return [None, None, None]
    return [to_places(value * 100, 3) for value in (share.share, share.low, share.high)]


def _indices(found: Capability | None) -> list[Decimal | None]:
    if found is None:
        return [None, None]
    return [to_places(found.normal, 2), to_places(found.percentiles, 2)]


def carriers_table(found: JudgedLog) -> DataTable:
    """A row for each carrier and stage with stays out of window, the most first."""
    problem, zone = found.problem, found.log.zone
    rows = []
    for row in found.carriers.head(MOST_STAYS).iter_rows(named=True):
        place = found.stays.places[row["place"]]
        rows.append(
            [
                row["carrier"],
                place.recipe,
                place.number,
                place.stage.label,
                row["stays"],
                row["under"],
                row["over"],
                length(row["most_under"], problem),
                length(row["most_over"], problem),
                moment(row["last"], zone),
            ]
        )
    return DataTable(
        "Carriers",
        [
            "carrier", "recipe", "number", "stage", "stays", "under", "over", "most_under",
            "most_over", "last",
        ],
        rows,
        units=dict.fromkeys(("most_under", "most_over"), problem.unit),
    )  # fmt: skip


STAY_COLUMNS = (
    "carrier", "recipe", "number", "stage", "station", "in", "out", "dwell", "min", "max",
    "verdict", "by", "near", "why", "load", "file", "in_line", "out_line",
)  # fmt: skip


def stays_table(found: JudgedLog, frame: pl.DataFrame, name: str) -> DataTable:
    """A row for each of these stays, in order of time."""
    problem, zone = found.problem, found.log.zone
    rows = []
    for row in frame.head(MOST_STAYS).iter_rows(named=True):
        place: Place | None = None if row["place"] is None else found.stays.places[row["place"]]
        rows.append(
            [
                row["carrier"],
                row["recipe"],
                None if place is None else place.number,
                None if place is None else place.stage.label,
                row["station"],
                moment(row["in"], zone),
                moment(row["out"], zone),
                length(row["dwell"], problem),
                None if place is None else place.stage.min,
                None if place is None else place.stage.max,
                row["verdict"],
                length(row["by"], problem),
                "yes" if row["near"] else "",
                row["why"],
                row["load"],
                row["file"],
                row["in_line"],
                row["out_line"],
            ]
        )
    units = dict.fromkeys(("dwell", "min", "max", "by"), problem.unit)
    notes = []
    if len(frame) > MOST_STAYS:
        notes.append(
            f"The first {MOST_STAYS} of {len(frame)} stays; the CSV file (--csv) has them all."
        )
    return DataTable(name, STAY_COLUMNS, rows, notes, units=units)


def out_of_window(found: JudgedLog) -> DataTable:
    """The stays that broke their window."""
    import polars as pl

    frame = found.stays.frame.filter(pl.col("verdict").is_in(["under", "over"]))
    return stays_table(found, frame, "Out of window")


def stops_table(found: JudgedLog) -> DataTable:
    """A row for each stop, in order of time."""
    zone = found.log.zone
    rows = [
        [
            moment(stop.begin, zone),
            moment(stop.end, zone),
            to_places(stop.length / 60_000_000, 2),
            stop.inside,
            stop.over,
            to_places(stop.lost, 2),
            stop.file,
            stop.line,
        ]
        for stop in found.running.stops
    ]
    header = ["from", "to", "minutes", "loads_inside", "over", "loads_lost", "file", "line"]
    return DataTable("Stops", header, rows)


def stretches_table(name: str, first: str, stretches: Sequence[Stretch]) -> DataTable:
    """A row for each week or shift."""
    rows = [[s.name, s.loads, s.stays, s.under, s.over, *_shares(s.within)] for s in stretches]
    header = [first, "loads", "stays", "under", "over", "within", "within_low", "within_high"]
    return DataTable(name, header, rows, units=dict.fromkeys(header[-3:], "%"))


def faults_table(found: JudgedLog) -> DataTable:
    """A row for each row that cannot be read and each event that cannot be explained."""
    rows = [
        [fault.file, fault.line, fault.field, fault.value, fault.why]
        for fault in found.faults.listed
    ]
    notes = []
    if found.faults.unlisted:
        notes.append(f"Further ones, not listed: {found.faults.unlisted}.")
    return DataTable("Not explained", ["file", "line", "what", "value", "why"], rows, notes)


def all_tables(found: JudgedLog) -> list[DataTable]:
    """All tables of a judged log as data, that of the stages first."""
    return [
        stages_table(found),
        carriers_table(found),
        out_of_window(found),
        stops_table(found),
        stretches_table("Weeks", "week", found.weeks),
        stretches_table("Shifts", "shift", found.shifts),
        faults_table(found),
    ]


def with_units(table: DataTable, unit: str) -> DataTable:
    """A table with the unit of its times in the names of their columns."""
    header = [f"{name}_{unit}" if table.units.get(name) == unit else name for name in table.header]
    left = {name: other for name, other in table.units.items() if other != unit}
    return replace(table, header=header, units=left)


def log_data(found: JudgedLog, tables: Sequence[DataTable]) -> dict[str, Any]:
    """All of it as plain data: lengths in the problem's unit, shares in percent."""
    times = found.log.frame.get_column("time")
    zone, running = found.log.zone, found.running
    keys = [table.name.lower().replace(" ", "_") for table in tables]
    return {
        "problem": found.problem.name,
        "unit": found.problem.unit,
        "time_zone": zone,
        "files": list(found.log.notes),
        "events": len(found.log.frame),
        "from": moment(times.min(), zone),  # type: ignore[arg-type]
        "to": moment(times.max(), zone),  # type: ignore[arg-type]
        "resolution": json_number(length(found.stays.resolution, found.problem)),
        "rows_left_out": found.log.left_out,
        "loads_out": running.loads,
        "loads_an_hour": json_number(to_places(running.loads_per_hour, 4)),
        "loads_a_running_hour": json_number(to_places(running.loads_per_running_hour, 4)),
        "hours": json_number(hours(running.span)),
        "stopped_hours": json_number(hours(running.stopped)),
        "longest_usual_gap": json_number(length(running.longest_usual, found.problem)),
        "followed_over_gaps": found.joined,
        "further_faults": found.faults.unlisted,
        **{key: _records(table) for key, table in zip(keys, tables, strict=True)},
    }


def _records(table: DataTable) -> list[dict[str, Any]]:
    return [dict(zip(table.header, map(json_value, row), strict=True)) for row in table.rows]


@dataclass(frozen=True)
class Part:
    """Some columns and rows of a table, as people are shown them.

    Attributes
    ----------
    table : DataTable
    title : str
    columns : mapping of str to str
        Heading by name of the column, in the order in which they are shown.
    most : int
        Rows that are shown.
    rows : sequence
        All rows, in the order in which they are shown.
    """

    table: DataTable
    title: str
    columns: Mapping[str, str]
    most: int
    rows: Sequence[Sequence[object]]

    @property
    def more(self) -> int:
        """Rows that are not shown."""
        return max(0, len(self.rows) - self.most)

    def unit(self, name: str) -> str:
        """Unit of a column, or nothing."""
        return self.table.units.get(name, "")

    def column(self, name: str) -> tuple[list[str], bool]:
        """The cells of a column as text, and whether they are figures."""
        at = list(self.table.header).index(name)
        values = [row[at] for row in self.rows[: self.most]]
        filled = [value for value in values if value is not None]
        if filled and all(isinstance(value, int | Decimal) for value in filled):
            return aligned([None if v is None else Decimal(str(v)) for v in values]), True
        return ["-" if value in (None, "") else str(value) for value in values], False


def terminal_table(part: Part) -> Table:
    """A part of a table for a terminal."""
    shown = new_table(part.title)
    cells = []
    for name, heading in part.columns.items():
        texts, figures = part.column(name)
        cells.append(texts)
        if figures:
            add_figures(shown, heading, unit=part.unit(name))
        else:
            add_names(shown, heading)
    for row in zip(*cells, strict=True):
        shown.add_row(*(Text(cell) for cell in row))
    return shown
