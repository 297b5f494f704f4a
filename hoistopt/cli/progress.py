"""What is shown on standard error while work goes on, and gone afterwards."""

from __future__ import annotations

import sys
import time
from contextlib import AbstractContextManager
from types import TracebackType
from typing import TYPE_CHECKING, Protocol, Self

from rich.markup import escape
from rich.text import Text

from ..base.numbers.decimals import told
from .streams import console

if TYPE_CHECKING:
    from rich.progress import Progress as Bar

    from ..analysis.study import Point
    from ..base.effort import Progress


class Display(Protocol):
    """What can be shown: rich's live lines and bars."""

    def start(self) -> None:
        """Show it."""

    def stop(self) -> None:
        """Take it away."""


class Showing(AbstractContextManager["Showing"]):
    """Shows a display, if there is one."""

    display: Display | None = None

    @staticmethod
    def wanted(quiet: bool) -> bool:
        """Whether there is anyone to look: nothing is shown without a terminal."""
        return not quiet and sys.stderr.isatty()

    def __enter__(self) -> Self:
        if self.display is not None:
            self.display.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.display is not None:
            self.display.stop()


QUIET_FOR = 0.5
"""Seconds in which nothing is shown; most searches are over by then."""


class Meter(Showing):
    """A line that follows the search; without a terminal it stays silent.

    Parameters
    ----------
    unit : str
        Unit of the cycle times.
    label : str
        What is being searched for.
    quiet : bool
        Show nothing at all.
    """

    def __init__(self, unit: str, label: str, quiet: bool = False) -> None:
        self._unit = unit
        self._label = label
        self._news: Progress | None = None
        self._began = time.monotonic()
        if self.wanted(quiet):
            from rich.live import Live

            self.display = Live(
                console=console(sys.stderr),
                get_renderable=self.line,
                refresh_per_second=8,
                transient=True,
            )

    def hear(self, news: Progress) -> None:
        """Take note of news; called from the search's own threads."""
        self._news = news

    def line(self) -> Text:
        """What stands there now."""
        elapsed = time.monotonic() - self._began
        if elapsed < QUIET_FOR:
            return Text()
        doing = self._news.doing if self._news is not None else ""
        parts = [doing or self._label]
        if self._news is not None:
            news = self._news
            if news.cycle_time is None:
                parts.append("no schedule yet")
            else:
                parts.append(f"best {told(news.cycle_time)} {self._unit}")
            if news.lower_bound is not None:
                parts.append(f"bound {told(news.lower_bound)} {self._unit}")
            if news.gap is not None:
                parts.append(f"gap {news.gap:.1%}")
        return Text(f"{', '.join(parts)}, {elapsed:.0f} s (Ctrl-C keeps the best so far)")


class Watch(Meter):
    """Like the meter of a search, but for inquiries of many searches."""

    def __init__(self, label: str, quiet: bool = False) -> None:
        super().__init__("", label, quiet)

    def line(self) -> Text:
        """What stands there now."""
        elapsed = time.monotonic() - self._began
        if elapsed < QUIET_FOR:
            return Text()
        words = ""
        if self._news is not None and self._news.doing:
            news = self._news
            of = f"{news.done} of {news.total}, " if news.total is not None else ""
            words = f": {of}{news.doing}"
        return Text(f"{self._label}{words}, {elapsed:.0f} s (Ctrl-C keeps what is known)")


class StudyMeter(Showing):
    """Follows the points as they are solved; without a terminal it stays silent."""

    def __init__(self, quiet: bool = False) -> None:
        self._bar: Bar | None = None
        self._last = "(Ctrl-C keeps the points solved so far)"
        if not self.wanted(quiet):
            return
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeElapsedColumn

        self.display = self._bar = Progress(
            BarColumn(),
            MofNCompleteColumn(),
            TimeElapsedColumn(),
            "{task.description}",
            console=console(sys.stderr),
            transient=True,
        )
        self._task = self._bar.add_task(self._last, total=None)

    def hear(self, point: Point, done: int, total: int) -> None:
        """Take note of a point."""
        if self._bar is None:
            return
        time = point.cycle_time
        unit = point.design.problem.unit
        found = point.status if time is None else f"{told(time)} {unit}"
        label = escape(f"{point.design.label[:80]}: {found} {self._last}")
        self._bar.update(self._task, completed=done, total=total, description=label)
