"""Progress of a study on standard error: a bar, and what the last point came to."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from rich.markup import escape

from ..base.decimals import told
from .showing import Showing
from .streams import console

if TYPE_CHECKING:
    from rich.progress import Progress

    from ..analysis.study import Point


class StudyMeter(Showing):
    """Follows the points as they are solved; without a terminal it stays silent."""

    def __init__(self, quiet: bool = False) -> None:
        self._bar: Progress | None = None
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
