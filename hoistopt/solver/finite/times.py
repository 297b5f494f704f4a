"""Start times and ways of all moves: what a search finds and another improves."""

from __future__ import annotations

from dataclasses import dataclass

from ...instance import Route
from ...instance.finite import FiniteInstance


@dataclass(frozen=True)
class Timing:
    """When each move starts and which way it takes, by move."""

    starts: tuple[int, ...]
    routes: tuple[Route, ...]

    def end(self, move: int) -> int:
        """When a move sets its load down."""
        return self.starts[move] + self.routes[move].duration

    @property
    def finish(self) -> int:
        """When the last move is over."""
        return max(map(self.end, range(len(self.starts))), default=0)


def lateness(instance: FiniteInstance, timing: Timing) -> int:
    """Weighted ticks by which loads are out after their due times."""
    total = 0
    for load in instance.loads:
        outlet = instance.outlet(load)
        if load.due is not None and outlet is not None:
            total += load.weight * max(0, timing.end(outlet) - load.due)
    return total


def value(instance: FiniteInstance, timing: Timing) -> tuple[int, int]:
    """What is to be least: lateness first, then the finish."""
    return lateness(instance, timing), timing.finish
