"""Progress on standard error while a search runs: best cycle time, bound, gap, elapsed."""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING

from rich.text import Text

from ..base.decimals import told
from .showing import Showing
from .streams import console

if TYPE_CHECKING:
    from ..base.effort import Progress

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
