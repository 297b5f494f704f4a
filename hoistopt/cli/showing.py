"""Something on standard error while work goes on; gone afterwards."""

from __future__ import annotations

import sys
from contextlib import AbstractContextManager
from types import TracebackType
from typing import Protocol, Self


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
