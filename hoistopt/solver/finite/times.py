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


def joined(instance: FiniteInstance, timing: Timing) -> int:
    """When a programme that ends in a cycle is in step: the start of its first move of it."""
    return min(timing.starts[move] for move in instance.tied)


def without_loads(instance: FiniteInstance, timing: Timing) -> int | None:
    """Ticks from the last load of another recipe out of the line to the first of the cycle.

    None where there are no loads of another recipe.
    """
    join = instance.join
    if join is None or not join.leaving:
        return None
    without = joined(instance, timing) + join.first_out - max(map(timing.end, join.leaving))
    return max(0, without)


def value(instance: FiniteInstance, timing: Timing) -> tuple[int, int]:
    """What is to be least, the first figure first.

    With the line empty in the end: lateness and finish; in a cycle: the time in which no
    load comes out, 0 where that is not asked, and the joining.
    """
    if instance.join is not None:
        return without_loads(instance, timing) or 0, joined(instance, timing)
    return lateness(instance, timing), timing.finish
