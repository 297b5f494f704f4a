"""A line on standard error that tells what a longer inquiry is busy with."""

from __future__ import annotations

import time

from rich.text import Text

from .progress import QUIET_FOR, Meter


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
