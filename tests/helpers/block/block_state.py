"""What the model of the function block remembers: the clock, loads, the step that is next."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from hoistopt.exports import SequencerTable

LONGEST = 400_000_000
Key = tuple[int, int]
"""Cycle and index of the step that lifts a load; the list run once counts as cycle -1."""
LIST = -1


@dataclass
class Load:
    """A carrier in the line; `since` is None while it hangs at the hoist."""

    since: int | None


@dataclass
class State:
    """What the block has to remember of its line."""

    table: SequencerTable
    now: int = 0
    origin: int = 0  # when the cycle of the next step begins, as things stand
    cycle: int = 0
    missed: int = 0
    at: int = 0  # index of the next step
    committed: bool = False
    lifted: dict[int, int] = field(default_factory=dict)  # when a carrier was, by station
    loads: dict[Key, Load] = field(default_factory=dict)
    extra: int = 0  # carriers in the line that no step lifts any more
    moving: tuple[int, int, Key | None] | None = None  # step, since when, what it sets down
    should_end: int = 0  # when that step should have set down its carrier
    ended: Any = None
    done_before: bool = False
    removed_before: bool = False
    missing: bool = False
    late_before: dict[tuple[str, int], tuple[int, int]] = field(default_factory=dict)
    drift_since: int | None = None
    lost: int = 0
    preset: list[tuple[int, int, int, int]] | None = None
    asked_at: int = 0
    calls_left: int = 0
    fault: tuple[int, int] = (0, 0)
    begun: bool = False
    shown: dict[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.per = self.table.unit.milliseconds
        self.steps = self.table.rows
        self.once = len(self.table.once)
        self.period = self.table.cycle * self.per
        self.stations = [number for number, _ in self.table.stations]

    def ms(self, units: int | None) -> int:
        assert units is not None
        return units * self.per

    def _begins(self, cycle: int) -> int:
        """When a cycle begins, from the beginning of the list."""
        return 0 if cycle == LIST else self.ms(self.table.joins) + cycle * self.period

    @property
    def clock(self) -> int:
        return self.now - self.origin

    def age(self, load: Load) -> int:
        return 0 if load.since is None else min(self.now - load.since, LONGEST)

    @property
    def in_line(self) -> int:
        return len(self.loads) + self.extra

    @property
    def empty(self) -> bool:
        return not self.in_line and self.moving is None
