"""Visits of loads to stations, put together from the events of a log."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from ..base.numbers.decimals import told
from ..problem import Problem
from .events import EventLog
from .faults import MOST_FAULTS, Fault, Faults
from .following import who_of

if TYPE_CHECKING:
    import polars as pl


@dataclass(frozen=True)
class Visits:
    """What was seen of each load at each station.

    Attributes
    ----------
    frame : polars.DataFrame
        A row a visit, those of one load in order: `load` (a number), `carrier`, `recipe` (where
        the log tells it), `station`, `in` and `out` (microseconds UTC, null where not seen),
        `in_line`, `out_line`, `file`, `order` (of its first event in the log), `steady`
        (whether no clock was set back between the two) and `doubt` (whether another load may
        have been meant).
    faults : Faults
        What cannot be explained.
    joined : int
        Loads followed over a missing event, as no other could be meant.
    """

    frame: pl.DataFrame
    faults: Faults
    joined: int


def visits_of(log: EventLog, problem: Problem) -> Visits:
    """Put events together to visits, and tell those that do not fit.

    A load begins with a lift at a load station and ends when it is set down at an unload
    station. What the hoist carries from an unload station is an empty carrier, counted as a
    load of its own that is no load of any recipe.
    """
    import polars as pl

    who, followed = who_of(log, problem)
    frame = log.frame.with_row_index("order").with_columns(who=pl.Series(who))
    loads = [station.name for station in problem.stations if station.loads]
    unloads = [station.name for station in problem.stations if station.unloads]
    lift = pl.col("event") == "lift"
    frame = frame.sort("who", "order").with_columns(
        same=(pl.col("who") == pl.col("who").shift(1)).fill_null(False),
        was_lift=lift.shift(1).fill_null(False),
        was_at=pl.col("station").shift(1),
    )
    left = ~pl.col("was_lift") & pl.col("was_at").cast(pl.String).is_in(unloads)
    at = pl.col("station").cast(pl.String)
    frame = frame.with_columns(
        fresh=~pl.col("same") | (lift & at.is_in([*loads, *unloads])) | (pl.col("same") & left)
    )
    goes_on = (
        ~pl.col("fresh") & lift & ~pl.col("was_lift") & (pl.col("was_at") == pl.col("station"))
    )
    frame = frame.with_columns(load=pl.col("fresh").cum_sum(), goes_on=goes_on)
    faults = _unexplained(frame, log, problem)
    if followed is not None:
        frame = _with_names(frame, followed.names)
        faults.add(followed.faults.listed, followed.faults.unlisted)
    doubtful = followed.doubtful if followed is not None else []
    return Visits(_visits(frame, doubtful), faults, followed.joined if followed else 0)


def _with_names(frame: pl.DataFrame, names: dict[int, str]) -> pl.DataFrame:
    import polars as pl

    if not names:
        return frame
    named = pl.DataFrame(
        {"who": list(names), "carrier": list(names.values())},
        schema={"who": frame.schema["who"], "carrier": pl.String},
    )
    return frame.drop("carrier").join(named, on="who", how="left", maintain_order="left")


def _visits(frame: pl.DataFrame, doubtful: list[int]) -> pl.DataFrame:
    """Rows with the event that begins a visit, and the one after it where that ends it."""
    import polars as pl

    lift = pl.col("event") == "lift"
    ended = pl.col("goes_on").shift(-1).fill_null(False)
    told = {"out": "time", "out_line": "line", "out_order": "order"}
    return (
        frame.with_columns(
            steady=pl.when(ended)
            .then(pl.col("clock") == pl.col("clock").shift(-1))
            .otherwise(True),
            **{
                name: pl.when(lift).then(source).when(ended).then(pl.col(source).shift(-1))
                for name, source in told.items()
            },
        )
        .filter(~pl.col("goes_on"))
        .select(
            "load",
            "carrier",
            "recipe",
            "station",
            pl.when(~lift).then("time").alias("in"),
            "out",
            pl.when(~lift).then("line").alias("in_line"),
            "out_line",
            "file",
            "order",
            "steady",
            doubt=pl.col("out_order").is_in(doubtful).fill_null(False),
        )
    )


def _unexplained(frame: pl.DataFrame, log: EventLog, problem: Problem) -> Faults:
    """Events that do not follow from those before, each told once."""
    import polars as pl

    lift, same, was_lift = pl.col("event") == "lift", pl.col("same"), pl.col("was_lift")
    tanks = [s.name for s in problem.stations if not s.loads and not s.unloads]
    moved = ~was_lift & lift & (pl.col("was_at") != pl.col("station"))
    first, last = ~same, ~pl.col("same").shift(-1).fill_null(False)
    odd = frame.with_columns(
        first=first, last=last, moved=same & moved, was_line=pl.col("line").shift(1)
    ).filter(first | last | pl.col("moved") | (lift == was_lift))
    odd = odd.with_columns(
        in_tank=pl.col("station").cast(pl.String).is_in(tanks),
        from_tank=pl.col("was_at").cast(pl.String).is_in(tanks),
        inside=pl.col("order") >= len(problem.hoists),
        before_end=pl.col("order") < len(frame) - len(problem.hoists),
        began=_began(odd, frame, problem),
        replaced=_replaced(odd, frame, problem),
    )
    cases = (
        ("missing lower", same & lift & was_lift),
        ("missing lift", same & ~lift & ~was_lift),
        ("missing lower and lift", pl.col("moved") & pl.col("from_tank")),
        ("out of nowhere", pl.col("moved") & ~pl.col("from_tank") & pl.col("in_tank")),
        ("out of nowhere", pl.col("first") & lift & pl.col("in_tank") & ~pl.col("began")),
        ("missing lift", pl.col("first") & ~lift & pl.col("inside")),
        ("missing lower", pl.col("last") & lift & pl.col("before_end")),
        ("missing lift", pl.col("last") & ~lift & pl.col("in_tank") & pl.col("replaced")),
    )
    found = Faults()
    # One that does not follow may be the last of its load as well, and then is told twice.
    for number, (kind, when) in enumerate(cases):
        rows = odd.filter(when)
        found.add(
            (
                Fault(
                    row["file"], row["line"], kind, f"{row['event']} {row['station']}",
                    _why(number, row),
                )
                for row in rows.head(MOST_FAULTS).iter_rows(named=True)
            ),
            max(0, len(rows) - MOST_FAULTS),
        )  # fmt: skip
    found.add(_clocks(log))
    return found


def _why(number: int, row: dict[str, object]) -> str:
    who = row["carrier"] or "the load"
    at, was, line = row["station"], row["was_at"], row["was_line"]
    return (
        f"{who} was lifted from {was} in line {line}; where it was set down is not in the log",
        f"{who} was set down in {was} in line {line}; its lifting there is not in the log",
        f"{who} was set down in {was} in line {line}; how it came to {at} is not in the log",
        f"{who} was set down at {was} in line {line}; how it came to {at} is not in the log",
        f"nothing that was set down in {at} stands there; how {who} came there is not in the log",
        f"from where {who} was lifted is not in the log",
        f"where {who} was set down after this is not in the log",
        f"another load was set down in {at} later; the lifting of {who} is not in the log",
    )[number]


def _began(odd: pl.DataFrame, frame: pl.DataFrame, problem: Problem) -> pl.Series:
    """Whether the load of each first event can have stood there when the log began."""
    import polars as pl

    # One place: it is the first event there at all. Several: no more of them than places.
    rooms = {s.name: s.capacity if isinstance(s.capacity, int) else 10**6 for s in problem.stations}
    earliest = frame.group_by("station").agg(earliest=pl.col("order").min())
    firsts = (
        odd.sort("order")
        .filter(~pl.col("same"))
        .select(
            "order",
            "station",
            room=pl.col("station").cast(pl.String).replace_strict(rooms, return_dtype=pl.Int64),
            number=pl.int_range(pl.len()).over("station"),
        )
    )
    firsts = firsts.join(earliest, on="station", how="left").select(
        "order",
        began=pl.when(pl.col("room") == 1)
        .then(pl.col("order") == pl.col("earliest"))
        .otherwise(pl.col("number") < pl.col("room")),
    )
    joined = odd.select("order").join(firsts, on="order", how="left", maintain_order="left")
    return joined.get_column("began").fill_null(False)


def _replaced(odd: pl.DataFrame, frame: pl.DataFrame, problem: Problem) -> pl.Series:
    """Whether another load was set down later in the one place where this one was."""
    import polars as pl

    single = [s.name for s in problem.stations if s.capacity == 1]
    latest = (
        frame.filter(pl.col("event") == "lower")
        .group_by("station")
        .agg(latest=pl.col("order").max())
    )
    joined = odd.select("order", "station").join(
        latest, on="station", how="left", maintain_order="left"
    )
    return joined.select(
        replaced=(pl.col("order") < pl.col("latest")).fill_null(False)
        & pl.col("station").cast(pl.String).is_in(single)
    ).get_column("replaced")


def _clocks(log: EventLog) -> list[Fault]:
    """Where the clock was set back, and by how much."""
    import polars as pl

    steps = log.frame.with_columns(before=pl.col("time").shift(1)).filter(
        pl.col("time") < pl.col("before")
    )
    return [
        Fault(
            file,
            line,
            "clock set back",
            f"{told(Fraction(before - time, 1_000_000))} s",
            "the row before has a later time; loads that stood meanwhile are not judged",
        )
        for file, line, time, before in steps.select("file", "line", "time", "before").rows()
    ]
