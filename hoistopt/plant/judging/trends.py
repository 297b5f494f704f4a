"""How stays and loads fared by week, by shift and over time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...base.numbers.shares import Share, wilson
from .stays import SECOND, Stays

if TYPE_CHECKING:
    import polars as pl

SHIFTS = (6 * 60, 14 * 60, 22 * 60)
"""Minutes of the day at which shifts begin: common practice, no source."""
MOST_BINS = 400
_LOADS = 5
"""Loads that a stretch of the run chart should have, about."""
_BINS = (10, 30, 60, 120, 480, 1440, 10080)
"""Minutes of a stretch of the run chart."""


@dataclass(frozen=True)
class Stretch:
    """Stays that ended, and loads that were finished, in a week, a shift or a stretch of time.

    Attributes
    ----------
    name : str
    begin : int or None
        In microseconds UTC; None for a shift of all days.
    loads, stays, under, over : int
    within : Share
        Stays within their windows, with a 95 % interval.
    """

    name: str
    begin: int | None
    loads: int
    stays: int
    under: int
    over: int

    @property
    def within(self) -> Share:
        """Stays within their windows, as if they were independent of one another."""
        good = self.stays - self.under - self.over
        share = good / self.stays if self.stays else 0.0
        return Share(good, self.stays, *wilson(share, self.stays))


def local(time: pl.Expr, zone: str | None) -> pl.Expr:
    """A time in microseconds UTC as local date and time, as they stand where no zone is known.

    Where it is known the zone stays with the time, so that the hour that comes twice in the
    night of a clock change is two hours.
    """
    import polars as pl

    utc = time.cast(pl.Datetime("us"))
    return utc if zone is None else utc.dt.replace_time_zone("UTC").dt.convert_time_zone(zone)


def _counted(stays: Stays, ends: pl.DataFrame, zone: str | None) -> pl.DataFrame:
    """A row for each stay judged and each load finished: local time, and what it counts as."""
    import polars as pl

    verdict = pl.col("verdict")
    judged = stays.frame.filter(verdict != "not judged").select(
        at=local(pl.col("out"), zone),
        stay=pl.lit(1, pl.UInt32),
        under=(verdict == "under").cast(pl.UInt32),
        over=(verdict == "over").cast(pl.UInt32),
        load=pl.lit(0, pl.UInt32),
    )
    zero = pl.lit(0, pl.UInt32)
    done = ends.select(
        at=local(pl.col("out"), zone), stay=zero, under=zero, over=zero, load=pl.lit(1, pl.UInt32)
    )
    return pl.concat([judged, done])


def by_week(stays: Stays, ends: pl.DataFrame, zone: str | None) -> list[Stretch]:
    """Weeks as ISO 8601 numbers them, such as 2025-W09."""
    import polars as pl

    rows = _counted(stays, ends, zone)
    week = pl.col("at").dt.truncate("1w")
    return _stretches(rows.group_by(begin=week), week_name=True)


def by_shift(
    stays: Stays, ends: pl.DataFrame, zone: str | None, shifts: Sequence[int] = SHIFTS
) -> list[Stretch]:
    """Shifts of all days together.

    Parameters
    ----------
    shifts : sequence of int
        Minutes of the day at which they begin, in rising order.
    """
    import polars as pl

    rows = _counted(stays, ends, zone)
    minute = pl.col("at").dt.hour().cast(pl.Int32) * 60 + pl.col("at").dt.minute()
    number = pl.sum_horizontal(*[(minute >= begin).cast(pl.Int32) for begin in shifts]) - 1
    number = pl.when(number < 0).then(len(shifts) - 1).otherwise(number)
    found = {row["shift"]: row for row in _sums(rows.group_by(shift=number)).iter_rows(named=True)}
    names = [
        f"{_clock(begin)} to {_clock(end)}"
        for begin, end in zip(shifts, [*shifts[1:], shifts[0]], strict=True)
    ]
    return [
        Stretch(name, None, row["load"], row["stay"], row["under"], row["over"])
        for n, name in enumerate(names)
        if (row := found.get(n)) is not None
    ]


def over_time(stays: Stays, ends: pl.DataFrame, zone: str | None) -> tuple[int, list[Stretch]]:
    """Stretches of one length, in minutes: at most `MOST_BINS` or so of them, and so long that
    some loads are finished in each, where the log is long enough."""
    import polars as pl

    rows = _counted(stays, ends, zone)
    if not len(rows):
        return _BINS[0], []
    times = rows.get_column("at").cast(pl.Int64)
    whole = (int(str(times.max())) - int(str(times.min()))) // (60 * SECOND)
    least = max(whole / MOST_BINS, _LOADS * whole / max(len(ends), 1))
    width = next((width for width in _BINS if width >= min(least, whole / 4)), _BINS[-1])
    return width, _stretches(rows.group_by(begin=pl.col("at").dt.truncate(f"{width}m")))


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _sums(groups: object) -> pl.DataFrame:
    import polars as pl

    return groups.agg(pl.col("load", "stay", "under", "over").sum())  # type: ignore[attr-defined]


def _stretches(groups: object, *, week_name: bool = False) -> list[Stretch]:
    import polars as pl

    form = "%G-W%V" if week_name else "%Y-%m-%d %H:%M"
    rows = (
        _sums(groups)
        .sort("begin")
        .with_columns(name=pl.col("begin").dt.strftime(form), since=pl.col("begin").cast(pl.Int64))
    )
    return [
        Stretch(row["name"], row["since"], row["load"], row["stay"], row["under"], row["over"])
        for row in rows.iter_rows(named=True)
    ]
