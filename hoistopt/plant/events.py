"""A controller's log of lifts and lowers, as read from one file or several."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..base.encodings import decoded
from ..base.errors import InputError, naming_file
from ..base.extras import library
from ..base.text import first_of
from ..base.workbook.package import is_workbook
from .cells import cells_of, places_of
from .content import PARQUET, content
from .faults import MOST_FAULTS, Fault
from .mapping import COLUMNS, EVENTS, NEEDED, LogMapping
from .times import times_of

if TYPE_CHECKING:
    import polars as pl

MOST_ROWS = 12_000_000
_LONGEST = 200
"""Characters of a cell that are kept for a fault."""


@dataclass(frozen=True)
class EventLog:
    """The events of a log in the order in which they happened.

    Attributes
    ----------
    frame : polars.DataFrame
        A row an event: `time` (Int64, microseconds since the start of 1970, UTC), `event`
        ("lift": the hoist begins to lift; "lower": it has set down), `station` (its name in
        the problem), `carrier` and `hoist` (text, null where the log does not tell), `recipe`
        (its name in the problem, or null), `line` (UInt32, row of the file), `file`, and
        `clock` (UInt32), which counts how often a clock was set back before: times are
        compared only where it is the same.
    faults : list of Fault
        Rows that could not be read, or in part, at most `MOST_FAULTS`, in the order of the files.
    unlisted : int
        Further ones.
    left_out : int
        Rows that the mapping leaves out.
    untimed : polars.DataFrame
        `file`, `line` and `station` of events whose time could not be read.
    notes : list of str
        What was found out about the files, a sentence each.
    zone : str or None
        Time zone to show times in, where it is known.
    """

    frame: pl.DataFrame
    faults: list[Fault]
    unlisted: int
    left_out: int
    untimed: pl.DataFrame
    notes: list[str]
    zone: str | None


def read_log(paths: Sequence[str | Path], mapping: LogMapping) -> EventLog:
    """Read a log from CSV or Parquet files, CSV also packed with gzip.

    Within a file the order of its rows is that of the events, a file that begins with the
    latest turned round; where it has times that go back the clock was set back. Several
    files are merged by time, and rows that two of them share are taken once.

    Parameters
    ----------
    paths : sequence of str or Path
    mapping : LogMapping
        See :func:`hoistopt.plant.mapping.read_mapping`.

    Raises
    ------
    InputError
        When a file cannot be read, is too large, lacks a column, or has not one event that
        can be read; or the library that reads logs is missing.
    """
    pl = library("polars", "log", "to read logs")
    if not paths:
        raise InputError("at least one log file")
    parts = [_part(Path(path), number, mapping) for number, path in enumerate(paths)]
    names = list(dict.fromkeys(str(path) for path in paths))
    frame = pl.concat([part.frame for part in parts])
    if len(frame) > MOST_ROWS:
        raise InputError(f"a log of at most {MOST_ROWS} events", value=f"{len(frame)} events")
    notes = [note for part in parts for note in part.notes]
    frame, shared = _merged(frame)
    if shared:
        notes.append(f"{shared} rows stand in two files and were taken once.")
    back = pl.col("time") < pl.col("time").shift(1)
    frame = frame.with_columns(
        clock=back.fill_null(False).cum_sum().cast(pl.UInt32),
        file=pl.Series([str(path) for path in paths])
        .gather(frame.get_column("file"))
        .cast(pl.Enum(names)),
    )
    faults = [fault for part in parts for fault in part.faults]
    return EventLog(
        frame.select(*COLUMNS, "line", "file", "clock"),
        faults[:MOST_FAULTS],
        sum(part.unlisted for part in parts) + max(0, len(faults) - MOST_FAULTS),
        sum(part.left_out for part in parts),
        pl.concat([part.untimed for part in parts]),
        notes,
        parts[0].zone,
    )


def _merged(frame: pl.DataFrame) -> tuple[pl.DataFrame, int]:
    """Rows of all files in order of time, each file's own order kept, shared rows once."""
    import polars as pl

    if frame.get_column("file").n_unique() < 2:
        return frame, 0
    what = ["time", "event", "station", "carrier", "hoist"]
    # The same event twice in one file stays: that is for the reader of events to explain.
    frame = frame.with_columns(again=pl.int_range(pl.len()).over(["file", *what]))
    before = len(frame)
    frame = frame.unique([*what, "again"], keep="first", maintain_order=True)
    frame = frame.with_columns(reached=pl.col("time").cum_max().over("file"))
    frame = frame.sort("reached", "file", maintain_order=True)
    return frame, before - len(frame)


def _part(path: Path, number: int, mapping: LogMapping) -> EventLog:
    """The events of one file; `file` is its number."""
    with naming_file(path):
        found = content(path)
        if found.startswith(PARQUET):
            cells, how = _parquet(found, mapping), "Parquet"
        else:
            text, encoding = decoded(found, path)
            del found
            read = cells_of(text, mapping)
            sheet = is_workbook(path)
            cells, how = read.frame, "workbook" if sheet else f"{encoding}, {read.dialect}"
        if not len(cells):
            raise InputError("at least one event below the header")
        return _events(cells, path, number, mapping, how)


def _parquet(found: bytes, mapping: LogMapping) -> pl.DataFrame:
    """The wanted columns of a Parquet file."""
    import polars as pl

    try:
        schema = pl.read_parquet_schema(io.BytesIO(found))
        lazy = pl.scan_parquet(io.BytesIO(found))
        rows = lazy.select(pl.len()).collect().item()
        if rows > MOST_ROWS:
            raise InputError(f"a log of at most {MOST_ROWS} events", value=f"{rows} rows")
        header = list(schema)
        places = places_of(header, mapping)
        values = {key: [header[place] for place in found] for key, found in places.items()}
        return lazy.select(
            pl.int_range(1, pl.len() + 1, dtype=pl.UInt32).alias("line"),
            pl.lit(None, pl.String).alias("bad"),
            *[_value(key, names) for key, names in values.items()],
        ).collect()
    except pl.exceptions.PolarsError as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise InputError(f"a whole Parquet file ({reason})") from None


def _value(key: str, names: list[str]) -> pl.Expr:
    import polars as pl

    if key == "time" and len(names) == 1:
        return pl.col(names[0]).alias(key)
    text = [pl.col(name).cast(pl.String).str.strip_chars() for name in names]
    return pl.concat_str(text, separator=" ").alias(key)


def _events(
    cells: pl.DataFrame, path: Path, number: int, mapping: LogMapping, how: str
) -> EventLog:
    """Events from cells: times read, words looked up, rows that make no sense told."""
    import polars as pl

    notes = []
    times, kind, zone = times_of(cells.get_column("time"), mapping)
    steps = times.get_column("time").drop_nulls().diff().drop_nulls()
    if (steps < 0).sum() > 9 * (steps > 0).sum():
        cells = cells.reverse()
        times, kind, zone = times_of(cells.get_column("time"), mapping)
        notes.append(f"{path} begins with the latest event; it was read from its end.")
    notes.insert(0, f"{path}: {how}; {kind}.")
    words = cells.select(
        "line",
        "bad",
        pl.col("time").cast(pl.String).alias("typed"),
        *[
            (pl.col(key) if key in cells.columns else pl.lit(None, pl.String)).alias(key)
            for key in COLUMNS[1:]
        ],
        **{"time": times.get_column("time"), "why": times.get_column("why")},
    )
    event, no_event = _looked_up(words.get_column("event"), mapping.events, EVENTS)
    names = list(dict.fromkeys(name for name in mapping.stations.values() if name is not None))
    station, no_station = _looked_up(words.get_column("station"), mapping.stations, names)
    recipe, _ = _looked_up(
        words.get_column("recipe"), mapping.recipes, list(dict.fromkeys(mapping.recipes.values()))
    )
    words = words.with_columns(
        event=event,
        station=station,
        recipe=recipe,
        said=pl.col("event"),
        place=pl.col("station"),
        kind=pl.col("recipe"),
    )
    out = no_event | no_station
    words = words.with_columns(out=out)
    whole = pl.all_horizontal(
        pl.col("bad").is_null(), *[pl.col(key).is_not_null() for key in NEEDED], ~pl.col("out")
    )
    # Whose recipe is not known is an event all the same.
    known = pl.col("recipe").is_not_null() | (pl.col("kind").fill_null("") == "")
    faults = _wrong(words.filter(~(whole & known) & ~pl.col("out")), names)
    frame = words.filter(whole).select(
        "time",
        "event",
        "station",
        _named("carrier"),
        _named("hoist"),
        "recipe",
        "line",
        file=pl.lit(number, pl.UInt32),
    )
    listed = [
        Fault(str(path), line, field, value, why)
        for line, field, value, why in faults.head(MOST_FAULTS)
        .select("line", "field", pl.col("value").fill_null("").str.slice(0, _LONGEST), "expected")
        .rows()
    ]
    if not len(frame):
        first = listed[0] if listed else None
        raise InputError(
            "at least one event that can be read" + (f"; {first.why}" if first else ""),
            field=f"row {first.line}, {first.field}" if first else None,
            value=first.value if first else None,
            way_out="Say what the words of the log mean in a mapping file or with --column, "
            "--event and --station.",
        )
    untimed = words.filter(
        pl.col("time").is_null() & pl.col("station").is_not_null() & ~pl.col("out")
    ).select("line", pl.col("station").cast(pl.String), file=pl.lit(str(path)))
    more = max(0, len(faults) - MOST_FAULTS)
    return EventLog(frame, listed, more, int(out.sum()), untimed, notes, zone)


def _named(key: str) -> pl.Expr:
    """A name, or null where the cell is empty."""
    import polars as pl

    return pl.when(pl.col(key) != "").then(pl.col(key)).otherwise(None).alias(key)


def _looked_up(
    cells: pl.Series, known: Mapping[str, str | None], names: Sequence[str]
) -> tuple[pl.Series, pl.Series]:
    """What each word means, null where nothing; and whether it is one that is left out."""
    import polars as pl

    kinds = cells.cast(pl.Categorical)
    words = kinds.unique().drop_nulls().cast(pl.String)
    keys = {word: word if word in known else word.lower() for word in words}
    meant = {word: known[key] for word, key in keys.items() if key in known}
    left_out = [word for word, meaning in meant.items() if meaning is None]
    found = kinds.replace_strict(
        {word: meaning for word, meaning in meant.items() if meaning is not None},
        default=None,
        return_dtype=pl.Enum(names),
    )
    nothing = pl.repeat(False, len(cells), dtype=pl.Boolean, eager=True)
    return found, cells.is_in(left_out).fill_null(False) if left_out else nothing


def _wrong(words: pl.DataFrame, names: Sequence[str]) -> pl.DataFrame:
    """The first thing that is wrong with each of these rows."""
    import polars as pl

    cases = (
        ("row", pl.col("bad").is_not_null(), pl.lit(None, pl.String), pl.col("bad")),
        ("time", pl.col("time").is_null(), pl.col("typed"), pl.col("why")),
        (
            "event",
            pl.col("event").is_null(),
            pl.col("said"),
            pl.lit("lift or lower, or a word that the mapping has"),
        ),
        (
            "station",
            pl.col("station").is_null(),
            pl.col("place"),
            pl.lit(f"a station of the problem ({first_of(names)}), or one that the mapping has"),
        ),
        (
            "recipe",
            pl.col("recipe").is_null() & (pl.col("kind") != ""),
            pl.col("kind"),
            pl.lit("a recipe of the problem, or one that the mapping has"),
        ),
    )
    field = value = expected = pl.lit(None, pl.String)
    for name, when, typed, why in reversed(cases):
        field = pl.when(when).then(pl.lit(name)).otherwise(field)
        value = pl.when(when).then(typed).otherwise(value)
        expected = pl.when(when).then(why).otherwise(expected)
    return words.select("line", field=field, value=value, expected=expected)
