"""A constructive heuristic for a first schedule: moves placed one after another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ....base.clock import Clock
from ....instance import Instance, Move, Stay
from ...bounds import horizon, least_rest
from ..incumbent import Incumbent
from ..order import schedule_in_order

LONGER = 1.1
"""Ratio of a cycle time to the one tried before it."""

TRIES = 300
"""Placements tried for one cycle time, with backtracking, before a longer one is tried."""


def find_first(instance: Instance, incumbent: Incumbent, clock: Clock | None = None) -> None:
    """Find a schedule, if placing moves one after another leads to one.

    For longer and longer cycle times the loads' moves are placed in order of load and stage, each
    as soon as the hoist is free within its time window. Where it never is, the move before is
    put off. The choice among several places is left to the whole model, which gets the order
    of moves.

    Parameters
    ----------
    incumbent : Incumbent
        Given the schedule.
    clock : Clock, optional
        When to give up.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    clock = Clock() if clock is None else clock
    cycle, longest = incumbent.bound, horizon(instance, clock)
    if instance.longest is not None:
        longest = min(longest, instance.longest)
    while True:
        order = _order(instance, cycle, clock)
        if order is not None and schedule_in_order(instance, order, incumbent, clock) is not None:
            return
        if cycle >= longest:
            return
        cycle = min(longest, 1 + int(cycle * LONGER))


def _order(instance: Instance, cycle: int, clock: Clock) -> list[int] | None:
    """Return an order of moves that may be possible at a cycle time, or None if none is found."""
    if any(instance.gaps[move.index][move.index] > cycle for move in instance.moves):
        return None
    placing = _Placing(instance, cycle)
    untried = [placing.times(0)]
    for _ in range(TRIES):
        clock.check()
        depth = len(untried) - 1
        placing.forget(depth)
        time = next(untried[-1], None)
        if time is None:
            untried.pop()
            if not untried:
                return None
            continue
        placing.starts.append(time)
        if len(placing.starts) == len(instance.moves):
            first = placing.starts[instance.first_moves[0]]
            return sorted(
                range(len(instance.moves)), key=lambda m: (placing.starts[m] - first) % cycle
            )
        untried.append(placing.times(depth + 1))
    return None


class _Placing:
    """The starts of the moves placed so far, in order of job and stage, counted on over cycles.

    Attributes
    ----------
    alone : list of bool
        By place, whether it holds one carrier and every stay there can be nowhere else.
    """

    def __init__(self, instance: Instance, cycle: int) -> None:
        self.instance, self.cycle = instance, cycle
        self.starts: list[int] = []
        self.alone = [
            place.capacity == 1 and all(len(s.places) == 1 for s in instance.stays_at.get(i, ()))
            for i, place in enumerate(instance.places)
        ]

    def forget(self, depth: int) -> None:
        """Take back all moves but the first `depth`."""
        del self.starts[depth:]

    def times(self, number: int) -> Iterator[int]:
        """Yield the times at which the next move may start, soonest first."""
        move = self.instance.moves[number]
        time, last = self._window(move)
        while time <= last:
            free = self._free(move, time)
            if free == time:
                if not self._tank_in_use(move, time):
                    yield time
                free = self._after(move, time)
            time = free

    def _window(self, move: Move) -> tuple[int, int]:
        """Return the earliest and the latest start of a move by the dwell before it."""
        stay = self.instance.stay_before.get(move.index)
        if stay is None:
            entered = [self.starts[m] for m in self.instance.first_moves if m < len(self.starts)]
            first = entered[-1] if entered else 0
            return first, first + self.cycle - 1
        arrived = self.starts[stay.arrival] + self.instance.moves[stay.arrival].shortest
        last = self.starts[stay.arrival] + self.cycle - 1
        if self._alone_in(stay):
            last -= self._rest(stay, stay)
        if stay.most is not None:
            shaved = max(route.shaved for route in self.instance.moves[stay.arrival].routes)
            last = min(last, arrived + stay.most - shaved)
        return arrived + stay.least, last

    def _free(self, move: Move, time: int) -> int:
        """Return the first time from `time` on at which the hoist is free for a move."""
        gaps, cycle = self.instance.gaps, self.cycle
        moved = True
        while moved:
            moved = False
            for other, start in enumerate(self.starts):
                since = (time - start) % cycle
                if since < gaps[other][move.index] or cycle - since < gaps[move.index][other]:
                    ahead = gaps[other][move.index] - since
                    time += ahead if ahead > 0 else ahead + cycle
                    moved = True
            if time > 2 * max(self.starts, default=0) + 2 * cycle:
                return time  # never
        return time

    def _after(self, move: Move, time: int) -> int:
        """Return the next time worth trying: after the next of the other moves."""
        gaps, cycle = self.instance.gaps, self.cycle
        waits = [
            (start - time) % cycle + gaps[other][move.index]
            for other, start in enumerate(self.starts)
        ]
        return time + max(1, min(waits, default=cycle))

    # -- tanks of one place ---------------------------------------------------------

    def _tank_in_use(self, move: Move, time: int) -> bool:
        """Return whether another load would be in the tank that is left, or in the one gone to."""
        left = self.instance.stay_before.get(move.index)
        if left is not None and self._alone_in(left):
            arrived = self.starts[left.arrival]
            for other in self._placed_in(left):
                until = time + self._rest(left, other)
                if (self.starts[other.arrival] - arrived) % self.cycle < until - arrived:
                    return True
                if (self.starts[other.departure] - arrived) % self.cycle < time - arrived:
                    return True
        reached = self.instance.stay_after.get(move.index)
        if reached is not None and self._alone_in(reached):
            for other in self._placed_in(reached):
                arrived = self.starts[other.arrival]
                free = self.starts[other.departure] + self._rest(other, reached)
                if (time - arrived) % self.cycle < free - arrived:
                    return True
        return False

    def _alone_in(self, stay: Stay) -> bool:
        """Return whether a stay has a tank of one place, and no other than that."""
        return self.alone[stay.places[0]] and len(stay.places) == 1

    def _rest(self, before: Stay, after: Stay) -> int:
        """Return the least ticks from a load's lifting to the start of the move that brings the
        next, for the tank's rest."""
        longest = max(route.duration for route in self.instance.moves[after.arrival].routes)
        return max(0, least_rest(self.instance, before, after) - longest)

    def _placed_in(self, stay: Stay) -> Sequence[Stay]:
        """Return other stays in the same tank, of which both moves are placed."""
        placed = len(self.starts)
        return [
            other
            for other in self.instance.stays_at[stay.places[0]]
            if other.index != stay.index and max(other.arrival, other.departure) < placed
        ]
