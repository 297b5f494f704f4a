"""Share out the float of a schedule among its moves, its order and cycle time kept.

All moves get more together, as far as that goes; those that can go on get more yet.
All that a start may be late for good is what the arcs out of it leave, so this asks for
starts x with x[head] - x[tail] >= length - height * T + late[tail]: longest paths.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..instance import Instance
from ..problem import Problem
from ..schedule import Schedule
from .arc import Arc
from .from_instance import instance_graph
from .longest_path import longest_paths
from .pattern import pattern_of


def spread_float(
    problem: Problem, instance: Instance, schedule: Schedule, rooms: Sequence[int]
) -> Schedule:
    """The same pattern and cycle time, its float shared out.

    Parameters
    ----------
    problem, instance : Problem, Instance
        The line, and its instance of the degree of the schedule.
    schedule : Schedule
        On the grid of the instance, the first load's first move at 0.
    rooms : sequence of int
        Ticks to keep below the maximum of each stay of the instance; the schedule does.

    Returns
    -------
    Schedule
        Its least float is as large as the pattern allows at this cycle time, and no move
        can be given a tick more without another losing one. Of moves that could only
        share a single tick, those with the lower numbers get it.
    """
    pattern = pattern_of(problem, instance, schedule)
    ending = {stay.departure: rooms[stay.index] for stay in instance.stays}
    arcs = [
        # The starts of an arc from a move to itself cancel.
        (arc, ending[arc.tail] if arc.rule == "maximum" else 0)
        for arc in instance_graph(instance, pattern).arcs
        if arc.tail != arc.head
    ]
    starts = [schedule.steps[step].start for step in pattern.steps]
    spread = _Spread(arcs, schedule.cycle, pattern.order[0], starts)
    spread.run()
    by_step = dict(zip(pattern.steps, spread.starts, strict=True))
    steps = (replace(step, start=by_step[number]) for number, step in enumerate(schedule.steps))
    return Schedule(schedule.cycle, schedule.ticks_per_unit, tuple(steps))


class _Spread:
    """Starts, and what each move may be late, on the way to the best."""

    def __init__(
        self, arcs: Sequence[tuple[Arc, int]], cycle: int, anchor: int, starts: list[int]
    ) -> None:
        # A constraint keeps its room, or what the move it starts from may be late.
        self.arcs = [(a.tail, a.head, a.length - a.height * cycle, r) for a, r in arcs]
        self.cycle = cycle
        self.anchor = anchor
        self.starts = starts
        self.late = [0] * len(starts)

    def run(self) -> None:
        """Raise all together as far as they go; hold back those that cannot go on."""
        free = set(range(len(self.late)))
        while free:
            low, high = min(self.late[move] for move in free), self.cycle
            while low < high:
                middle = (low + high + 1) // 2
                if self._keep(dict.fromkeys(free, middle)):
                    low = middle
                else:
                    high = middle - 1
            self._keep(dict.fromkeys(free, low))
            # One by one: of moves that hold each other back some go on, some do not.
            free = {move for move in sorted(free) if self._keep({move: low + 1})}

    def _keep(self, wanted: dict[int, int]) -> bool:
        """Whether these may be late by so much as well; if so, they are."""
        late = [wanted.get(move, given) for move, given in enumerate(self.late)]
        starts = self._starts(late)
        if starts is None:
            return False
        self.late, self.starts = late, starts
        return True

    def _starts(self, late: list[int]) -> list[int] | None:
        """Starts that leave each move so much, or None; they move on from those at hand."""
        arcs = [
            (tail, head, weight + max(room, late[tail])) for tail, head, weight, room in self.arcs
        ]
        starts, _ = longest_paths(arcs, self.starts)
        if starts is None:
            return None
        zero = starts[self.anchor]
        return [start - zero for start in starts]
