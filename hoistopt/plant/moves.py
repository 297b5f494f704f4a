"""Moves of the hoist in a log: a lift and the next lowering by the same hoist."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..base.extras import library
from ..problem import Problem
from .events import EventLog

if TYPE_CHECKING:
    import polars as pl


@dataclass(frozen=True)
class LoggedMoves:
    """The loaded moves that a log shows whole.

    Attributes
    ----------
    frame : polars.DataFrame
        A row a move in order of its start: `start` and `end` (Int64, microseconds since the
        start of 1970, UTC), `source`, `target`, `carrier`, `hoist`, `line` (row of the lift),
        `file`, `clock` (as of the log); and `since`, `before`: when and where that hoist set
        down last, null where the log does not show it or a clock was set back in between.
    alone : polars.DataFrame
        Lifts and lowerings that belong to no such move: `event`, `station`, `time`, `line`,
        `file`.
    """

    frame: pl.DataFrame
    alone: pl.DataFrame


def logged_moves(log: EventLog, problem: Problem) -> LoggedMoves:
    """Lifts with the lowerings that follow them.

    What belongs to one hoist is told by the hoist that the log names; on a line with several
    hoists, where it names none, by the carrier. A lift and a lowering of two carriers that are
    both named make no move.

    Parameters
    ----------
    log : EventLog
    problem : Problem
    """
    pl = library("polars", "log", "to read logs")
    frame = log.frame
    names = pl.col("hoist").cast(pl.String)
    if len(problem.hoists) > 1 and frame.get_column("hoist").null_count() == len(frame):
        names = pl.col("carrier").cast(pl.String)
    of = frame.with_columns(by=names.fill_null(""))
    after = {
        f"next_{key}": pl.col(key).shift(-1).over("by")
        for key in ("time", "event", "station", "carrier", "clock")
    }
    before = {
        f"last_{key}": pl.col(key).shift(1).over("by")
        for key in ("time", "event", "station", "carrier", "clock")
    }
    same = (pl.col("next_carrier") == pl.col("carrier")).fill_null(True)
    was_same = (pl.col("last_carrier") == pl.col("carrier")).fill_null(True)
    of = of.with_columns(**after, **before).with_columns(
        begins=(
            (pl.col("event") == "lift")
            & (pl.col("next_event") == "lower")
            & (pl.col("next_clock") == pl.col("clock"))
            & (pl.col("next_time") >= pl.col("time"))
            & same
        ).fill_null(False),
        ends=(
            (pl.col("event") == "lower")
            & (pl.col("last_event") == "lift")
            & (pl.col("last_clock") == pl.col("clock"))
            & (pl.col("last_time") <= pl.col("time"))
            & was_same
        ).fill_null(False),
        known=(
            (pl.col("last_event") == "lower") & (pl.col("last_clock") == pl.col("clock"))
        ).fill_null(False),
    )
    known = pl.col("known")
    moves = of.filter("begins").select(
        start="time",
        end="next_time",
        source=pl.col("station").cast(pl.String),
        target=pl.col("next_station").cast(pl.String),
        carrier=pl.coalesce("carrier", "next_carrier"),
        hoist="hoist",
        line="line",
        file="file",
        clock="clock",
        since=pl.when(known).then("last_time"),
        before=pl.when(known).then(pl.col("last_station").cast(pl.String)),
    )
    alone = of.filter(~pl.col("begins") & ~pl.col("ends"))
    return LoggedMoves(moves, alone.select("event", "station", "time", "line", "file"))
