"""What happens in a replay, on the grid: the hoist's runs and the carriers' stays."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from .grid.motion import Parts
from .grid.route import Leg, Window

Phase = Literal["fill", "steady", "run-out"]


@dataclass(slots=True)
class Run:
    """A step as the hoist executed it; `number` and `cycle` count from 0."""

    number: int
    cycle: int
    carrier: int
    leg: Leg
    load: int
    source: str
    target: str
    start: int
    end: int
    parts: Parts
    came_from: str | None
    free: int | None
    empty: int | None
    hoist: int = 0


@dataclass(slots=True)
class Stay:
    """A carrier standing in a station.

    `since_run` and `until_run` count the runs that brought and lifted it, None where it
    was put there or taken away by hand. `until` is None while it stands there at the
    end; `gone` is when its place is free again, None if it never is.
    """

    carrier: int
    recipe: str
    load: int
    stage: int
    station: str
    window: Window
    since: int
    cycle: int
    brought_by: int | None = None
    since_run: int | None = None
    until: int | None = None
    lifted_by: int | None = None
    until_run: int | None = None
    gone: int | None = None


@dataclass
class Record:
    """Everything that happened; `cycles` counts those begun."""

    runs: list[Run] = field(default_factory=list)
    stays: list[Stay] = field(default_factory=list)
    skipped: list[tuple[int, int]] = field(default_factory=list)
    carriers: list[tuple[int, int, int]] = field(default_factory=list)
    cycles: int = 0
    loading_cycles: int = 0
    steady_from: int = 0
    steady_cycles: int = 0

    def phase(self, cycle: int) -> Phase:
        """The phase a cycle, counted from 0, belongs to."""
        if self.steady_from <= cycle < self.steady_from + self.steady_cycles:
            return "steady"
        return "fill" if cycle < self.loading_cycles else "run-out"
