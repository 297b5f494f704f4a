"""The times of a log as microseconds since the start of 1970, UTC."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

from ..base.errors import InputError
from .mapping import UNITS, LogMapping

if TYPE_CHECKING:
    import polars as pl

DATES = ("%Y-%m-%d", "%Y/%m/%d", "%Y%m%d", "%d.%m.%Y", "%d/%m/%Y", "%m/%d/%Y", "%d-%m-%Y")
CLOCKS = ("%H:%M:%S%.f", "%H:%M", "%H%M%S%.f", "%I:%M:%S%.f %p", "%I:%M %p")
FORMATS = [
    f"{date}{between}{clock}{zone}"
    for date, between, clock, zone in product(DATES, ("T", " "), CLOCKS, ("", "%z"))
]
"""How times may be written where nobody says: ISO 8601 and what is common beside it."""
TWICE = "a local time that is there once; it happens twice, as clocks are set back for winter"
NEVER = "a local time that exists; clocks are set forward over it for summer"
_SAMPLE = 500
_LAST = 7_258_118_400_000_000
"""The start of 2200, in microseconds: a later time, or one before 1970, is taken for a slip."""
_HOUR = 3_600_000_000
_SET_BACK = _HOUR // 6
"""A step back of the local clock that is at least this long, in the hour that happens twice, is
taken for the change of the clocks."""


def times_of(cells: pl.Series, mapping: LogMapping) -> tuple[pl.DataFrame, str, str | None]:
    """The time in each cell, exactly.

    Parameters
    ----------
    cells : polars.Series
        Text, whole numbers, or date and time, in the order of the log.
    mapping : LogMapping

    Returns
    -------
    polars.DataFrame
        `time`, in microseconds since the start of 1970, UTC, finer digits cut off; null where
        there is none, and then `why`, what was expected.
    str
        How they are written.
    str or None
        The zone to show them in: that of the mapping, or UTC where the times are absolute.

    Raises
    ------
    InputError
        When no format fits, or two fit equally well and mean different times.
    """
    import polars as pl

    if cells.dtype.is_temporal():
        return _typed(cells, mapping)
    if cells.dtype.is_numeric() and mapping.time_unit is None:
        raise InputError(
            "a unit for times that are numbers",
            field="time, unit",
            way_out="Give it under [time] or with --time-unit: ns, us, ms, s, min, h or d.",
        )
    text = cells.cast(pl.String)
    if mapping.time_unit is not None:
        how = f"{mapping.time_unit} since the start of 1970"
        return _counted(text, mapping.time_unit), how, mapping.zone or "UTC"
    text = text.str.replace(",", ".", literal=True)
    if text.str.ends_with("Z").any() or text.str.ends_with("z").any():
        text = text.str.replace("(?i)Z$", "+00:00")
    if text.str.contains(r"\s[+-]\d\d:?\d\d$").any():
        text = text.str.replace(r"\s+([+-]\d\d:?\d\d)$", "$1")
    form = _given(mapping.time_format) if mapping.time_format else _found(text)
    read = _read(text, form)
    if form.endswith("%z"):
        utc = read.dt.replace_time_zone(None) if read.dtype == pl.Datetime("us") else read
        time = utc.cast(pl.Int64)
        return (
            _with_why(time, "a time with its offset"),
            "times with their offsets",
            mapping.zone or "UTC",
        )
    return _local(read, mapping.zone), _zone_words(mapping.zone), mapping.zone


def _zone_words(zone: str | None) -> str:
    return f"local times of {zone}" if zone else "times without a zone, taken as they stand"


def _typed(cells: pl.Series, mapping: LogMapping) -> tuple[pl.DataFrame, str, str | None]:
    import polars as pl

    if not isinstance(cells.dtype, pl.Datetime):
        raise InputError("date and time", field="time", value=str(cells.dtype))
    if cells.dtype.time_zone is not None:
        time = cells.dt.convert_time_zone("UTC").dt.cast_time_unit("us").cast(pl.Int64)
        return _with_why(time, "a time"), "times with their zone", mapping.zone or "UTC"
    local = _local(cells.dt.cast_time_unit("us"), mapping.zone)
    return local, _zone_words(mapping.zone), mapping.zone


def _with_why(time: pl.Series, expected: str) -> pl.DataFrame:
    import polars as pl

    why = pl.when(pl.col("time").is_null()).then(pl.lit(expected))
    return pl.DataFrame({"time": time}).with_columns(why=why.otherwise(None))


def _counted(text: pl.Series, unit: str) -> pl.DataFrame:
    """Numbers of a unit, with a point or a comma for decimals."""
    import polars as pl

    factor, divisor = UNITS[unit]
    plain = text.str.replace(",", ".", literal=True)
    number = plain.cast(pl.Decimal(38, 9), strict=False)
    if number.null_count() > plain.null_count():
        number = plain.str.strip_chars().cast(pl.Decimal(38, 9), strict=False)
    limit = 253_402_300_800 * 1_000_000 * divisor // factor
    number = pl.select(pl.when(number.abs() <= limit).then(number).otherwise(None)).to_series()
    time = pl.select((number * factor).floor() // divisor).to_series().cast(pl.Int64, strict=False)
    return _with_why(time, f"a number of {unit}")


def _given(form: str) -> str:
    """A format as Python's strptime has it, in the words of the reader."""
    return form.replace(",%f", ".%f").replace(".%f", "%.f").replace(",", ".")


def _read(text: pl.Series, form: str) -> pl.Series:
    import polars as pl

    try:
        kind = pl.Datetime("us", "UTC") if form.endswith("%z") else pl.Datetime("us")
        read = text.str.strptime(kind, form, strict=False)
    except pl.exceptions.PolarsError:
        raise InputError(
            "a format of date and time as strptime has it, such as %d.%m.%Y %H:%M:%S",
            field="time, format",
            value=form,
        ) from None
    since = read.cast(pl.Int64)
    good = since.is_between(0, _LAST, closed="left")
    if good.all():
        return read
    return pl.select(pl.when(good).then(read).otherwise(None)).to_series()


def _found(text: pl.Series) -> str:
    """The format that reads the most times, or one error where that is not one."""
    filled = text.drop_nulls()
    filled = filled.filter(filled != "")
    if not len(filled):
        raise InputError("times", field="time", way_out="Its column is empty.")
    sample = filled.gather_every(max(1, len(filled) // _SAMPLE))
    read = {form: _read(sample, form) for form in FORMATS}
    counts = {form: len(found) - found.null_count() for form, found in read.items()}
    most = max(counts.values())
    if most * 2 < len(sample):
        raise InputError(
            "date and time as in ISO 8601, such as 2025-03-29T06:00:00.5",
            field="time",
            value=filled[0],
            way_out="Say how times are written, under [time] or with --time-format, such as "
            '"%d.%m.%Y %H:%M:%S", or give --time-unit where they are numbers.',
        )
    best = [form for form in FORMATS if counts[form] == most]
    if len(best) > 1:
        # A sample may miss the one day above 12 that tells days from months.
        whole = {form: _read(filled, form) for form in best}
        least = min(found.null_count() for found in whole.values())
        best = [form for form in best if whole[form].null_count() == least]
        if any(not whole[form].equals(whole[best[0]]) for form in best):
            raise InputError(
                "times that can be read in one way only",
                field="time",
                value=filled[0],
                way_out=f"Both {best[0].replace('%.f', '')} and {best[1].replace('%.f', '')} fit. "
                "Say which, under [time] or with --time-format.",
            )
    return best[0]


def _local(read: pl.Series, zone: str | None) -> pl.DataFrame:
    """Local times as UTC, those that happen twice by the order of the log where it shows which."""
    import polars as pl

    frame = _with_why(read.cast(pl.Int64), "date and time")
    if zone is None:
        return frame
    first = read.dt.replace_time_zone(zone, ambiguous="earliest", non_existent="null")
    second = read.dt.replace_time_zone(zone, ambiguous="latest", non_existent="null")
    frame = frame.rename({"time": "local"}).with_columns(
        first=first.dt.convert_time_zone("UTC").cast(pl.Int64),
        second=second.dt.convert_time_zone("UTC").cast(pl.Int64),
    )
    twice = pl.col("first") != pl.col("second")
    never = pl.col("local").is_not_null() & pl.col("first").is_null()
    frame = frame.with_columns(
        time=pl.col("first"),
        why=pl.when(never).then(pl.lit(NEVER)).otherwise(pl.col("why")),
        twice=twice.fill_null(False),
    )
    if frame.get_column("twice").any():
        frame = _told_apart(frame)
    return frame.select("time", "why")


def _told_apart(frame: pl.DataFrame) -> pl.DataFrame:
    """Which of two equal local times is meant: in each run of them, by the one step back."""
    import polars as pl

    # A row that cannot be read does not end a run.
    inside = pl.when(pl.col("local").is_not_null()).then("twice").forward_fill().fill_null(False)
    frame = frame.with_columns(inside=inside).with_columns(
        run=(pl.col("inside") & ~pl.col("inside").shift(1, fill_value=False)).cum_sum(),
        back=pl.col("twice")
        & (pl.col("local") + _SET_BACK < pl.col("local").forward_fill().shift(1)).fill_null(False),
    )
    known = pl.col("back").sum().over("run", "inside") == 1
    after = pl.col("back").cast(pl.Int64).cum_sum().over("run", "inside") > 0
    unknown = pl.col("twice") & ~known
    return frame.with_columns(
        time=pl.when(unknown)
        .then(None)
        .when(pl.col("twice") & after)
        .then("second")
        .otherwise("time"),
        why=pl.when(unknown).then(pl.lit(TWICE)).otherwise("why"),
    )
