"""A line on standard error that tells what a longer inquiry is busy with."""

from __future__ import annotations

import time

from rich.text import Text

from .progress import QUIET_FOR, Meter


class Watch(Meter):
    """Like the meter of a search, but for inquiries of many searches."""

    def __init__(self, label: str, quiet: bool = False) -> None:
        super().__init__("", label, quiet)
        self._words = ""

    def say(self, words: str) -> None:
        """Take note of what comes next."""
        self._words = words

    def line(self) -> Text:
        """What stands there now."""
        elapsed = time.monotonic() - self._began
        if elapsed < QUIET_FOR:
            return Text()
        words = f": {self._words}" if self._words else ""
        return Text(f"{self._label}{words}, {elapsed:.0f} s (Ctrl-C keeps what is known)")
