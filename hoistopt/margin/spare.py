"""Time to spare, put into the arcs of an order whose times are still to be found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from math import ceil

from ..graph.algorithms.cycle_ratio import least_cycle_of
from ..graph.algorithms.longest_path import earliest_starts, paths_from
from ..graph.arc import Arc, EventGraph
from ..instance import Instance

FINER = 16
"""In so many parts of a tick time to spare is dealt out, before starts are rounded."""


@dataclass(frozen=True)
class Times:
    """Times of an order: cycle time and start of each of its moves, in ticks."""

    cycle: int
    starts: tuple[int, ...]


@dataclass(frozen=True)
class Spare:
    """What an order keeps to spare after its moves and below its maxima.

    Parameters
    ----------
    instance : Instance
    floats : sequence of int
        Ticks of float that are asked for, by move; they are kept in any case.
    shaved : sequence of int
        Ticks that the maximum of a dwell loses to rounding, by the move that brings the load.
    """

    instance: Instance
    floats: Sequence[int]
    shaved: Sequence[int]

    @cached_property
    def stays(self) -> dict[tuple[int, int], int]:
        """The number of the stay between a departure and an arrival."""
        return {(stay.departure, stay.arrival): stay.index for stay in self.instance.stays}

    def arcs(
        self,
        arcs: Sequence[Arc],
        moves: Sequence[int],
        pads: Sequence[float],
        rooms: Sequence[float],
    ) -> tuple[Arc, ...]:
        """Arcs with time to spare, in parts of a tick, :data:`FINER` of them.

        Parameters
        ----------
        arcs : sequence of Arc
            Lengths in ticks.
        moves : sequence of int
            The move of the instance that a node of the graph is.
        pads : sequence of float
            Ticks that each move may end late without making any other start late, by move.
        rooms : sequence of float
            Ticks that each dwell keeps below its maximum, by stay of the instance.
        """
        found = []
        for arc in arcs:
            tail, head = moves[arc.tail], moves[arc.head]
            more = 0.0
            if arc.rule == "maximum":
                more = rooms[self.stays[tail, head]]
            elif arc.rule == "minimum":
                more = self.before_minimum(head, tail, pads[tail], rooms)
            elif tail != head or arc.rule in ("hoist", "distance"):
                more = pads[tail]
            found.append(replace(arc, length=arc.length * FINER + whole(more * FINER)))
        return tuple(found)

    def before_minimum(
        self, departure: int, arrival: int, pad: float, rooms: Sequence[float]
    ) -> float:
        """A late load stands its minimum all the same, if its window has so much to give.

        Room below the maximum comes first: without the pad the move out starts late, without
        the room the load stands too long.
        """
        index = self.stays.get((departure, arrival))
        stay = None if index is None else self.instance.stays[index]
        if stay is None or stay.most is None:
            return pad
        left = stay.most - stay.least - self.shaved[arrival] - rooms[stay.index]
        return max(self.floats[arrival], min(pad, left))


def halfway(graph: EventGraph) -> Times | None:
    """The shortest cycle of a graph in parts of a tick, :data:`FINER` of them, and starts halfway
    between the earliest and the latest; both in whole ticks. None where there is none."""
    least = least_cycle_of(graph)
    if least.cycle is None or least.starts is None:
        return None
    cycle = -(-least.cycle // FINER)
    earliest = earliest_starts(graph, cycle * FINER)
    if earliest is None:
        return None
    weights = graph.weights(Fraction(cycle * FINER))
    back = paths_from(graph.anchor, graph.nodes, [(h, t, w) for t, h, w in weights])
    starts = []
    for early, path in zip(earliest, back, strict=True):
        late = early if path is None else -path
        # Rounding down keeps every constraint whose length is a whole number of ticks.
        starts.append((early + late) // (2 * FINER))
    return Times(cycle, tuple(starts))


def whole(ticks: float) -> int:
    """Ticks rounded up, what is wrong with a float's last digits aside."""
    return ceil(ticks - 1e-9)
