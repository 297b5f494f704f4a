"""Moments along an axis, in the local time of the line, also in the night of a clock change."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta, tzinfo
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes

MOST_TICKS = 12
_STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 240)
"""Minutes from tick to tick in the night of a clock change."""


def moments(times: Sequence[int]) -> np.ndarray:
    """Moments in microseconds UTC as places along an axis that is `dated`."""
    import numpy as np
    from matplotlib.dates import date2num

    return np.asarray(date2num(np.array(times, "datetime64[us]")))


def dated(ax: Axes, zone: str | None) -> None:
    """Write local dates and times of day along an axis of `moments` whose ends are set.

    In the night of a clock change ticks are the same time apart, so that an hour that comes
    twice stands there twice; the library's own ticks would leave one of them out.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
    zone : str or None
        IANA name of the time zone; None: times as they stand.
    """
    from matplotlib.dates import AutoDateLocator, ConciseDateFormatter, date2num, num2date

    where = UTC if zone is None else ZoneInfo(zone)
    begin, end = (num2date(edge, tz=where) for edge in ax.get_xlim())
    minutes = (end - begin.astimezone(UTC)) / timedelta(minutes=1)
    step = next((step for step in _STEPS if minutes <= MOST_TICKS * step), None)
    if begin.utcoffset() == end.utcoffset() or step is None:
        locator = AutoDateLocator(tz=where, maxticks=MOST_TICKS)
        ax.xaxis.set_major_locator(locator)
        ax.xaxis.set_major_formatter(ConciseDateFormatter(locator, tz=where))
        return
    ticks = _ticks(begin, end, step)
    ax.set_xticks([float(date2num(tick)) for tick in ticks], _labels(ticks, where))


def _ticks(begin: datetime, end: datetime, step: int) -> list[datetime]:
    """Moments UTC so many minutes apart, at whole steps of the first day's clock."""
    midnight = begin.replace(hour=0, minute=0, second=0, microsecond=0).astimezone(UTC)
    first, last = begin.astimezone(UTC), end.astimezone(UTC)
    size = timedelta(minutes=step)
    tick = midnight + -(-(first - midnight) // size) * size
    found = []
    while tick <= last:
        found.append(tick)
        tick += size
    return found


def _labels(ticks: Sequence[datetime], where: tzinfo) -> list[str]:
    """Local times of day, the first and the first after the change with their offset."""
    labels, before = [], None
    for tick in ticks:
        local = tick.astimezone(where)
        offset = f"{local:%z}"
        known = offset == before
        labels.append(f"{local:%H:%M}" + ("" if known else f" UTC{offset[:3]}:{offset[3:5]}"))
        before = offset
    return labels
