"""Longest paths in an event graph, or a circuit that is longer than it may be.

At a given cycle time the arcs are inequalities between two starts each. They can be met
unless some arcs form a circuit of positive total weight; the least starts that meet them
are lengths of longest paths. Labels are raised arc by arc until none moves: R. Bellman
(1958), On a routing problem, Quarterly of Applied Mathematics 16, 87-90, and L. R. Ford
(1956), Network flow theory, RAND P-923. A positive circuit is found as soon as the arcs
that last raised the labels close one: B. V. Cherkassky and A. V. Goldberg (1999),
Negative-cycle detection algorithms, Mathematical Programming 85, 277-311.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TypeVar

from ..arc import Circuit, EventGraph

Time = TypeVar("Time", int, Fraction)


def longest_paths(
    arcs: Sequence[tuple[int, int, Time]], labels: Sequence[Time]
) -> tuple[list[Time] | None, tuple[int, ...]]:
    """The least labels, none below those given, with ``label[head] >= label[tail] + weight``.

    Parameters
    ----------
    arcs : sequence of (int, int, number)
        Tail, head and weight; whole numbers or Fractions.
    labels : sequence of number
        Where each node begins; there are as many nodes as labels.

    Returns
    -------
    list of number, or None
        None where there are no such labels.
    tuple of int
        Then the arcs of a circuit of positive weight, by number and in order; else empty.
    """
    found = list(labels)
    raised_by = [-1] * len(found)
    # Paths without circuits have fewer arcs than there are nodes, so this many rounds do.
    for _ in range(len(found) + 1):
        moved = False
        for number, (tail, head, weight) in enumerate(arcs):
            label = found[tail] + weight
            if label > found[head]:
                found[head], raised_by[head] = label, number
                moved = True
        if not moved:
            return found, ()
        circuit = _circuit(arcs, raised_by)
        if circuit:
            return None, circuit
    raise AssertionError("labels still move, yet no circuit raises them")


def _circuit(arcs: Sequence[tuple[int, int, Time]], raised_by: Sequence[int]) -> tuple[int, ...]:
    """A circuit among the arcs that last raised the labels; it has positive weight."""
    seen_from = [-1] * len(raised_by)
    for first in range(len(raised_by)):
        at = first
        while raised_by[at] >= 0 and seen_from[at] < 0:
            seen_from[at] = first
            at = arcs[raised_by[at]][0]
        if seen_from[at] == first and raised_by[at] >= 0:
            circuit = [raised_by[at]]
            while (tail := arcs[circuit[-1]][0]) != at:
                circuit.append(raised_by[tail])
            return tuple(reversed(circuit))
    return ()


def paths_from(source: int, nodes: int, arcs: Sequence[tuple[int, int, int]]) -> list[int | None]:
    """The length of the longest path from one node to each; None where there is none.

    Raises
    ------
    ValueError
        When a circuit of positive weight makes paths of any length.
    """
    # So low that no path leads from below up to where one from the source may end.
    reach = sum(abs(weight) for _, _, weight in arcs)
    labels = [-2 * reach - 1] * nodes
    labels[source] = 0
    found, _ = longest_paths(arcs, labels)
    if found is None:
        raise ValueError("a circuit of positive weight")
    return [label if label >= -reach else None for label in found]


def starts_at(graph: EventGraph, cycle: Fraction) -> tuple[list[int] | None, Circuit]:
    """Starts that keep every arc at a cycle time, or a circuit that none keep.

    Returns
    -------
    list of int, or None
        Times the denominator of the cycle time; the earliest none of which is below 0.
    tuple of Arc
        Where there are none: a circuit longer than its height times the cycle time.
    """
    starts, broken = longest_paths(graph.weights(cycle), [0] * graph.nodes)
    return starts, tuple(graph.arcs[number] for number in broken)


def possible(graph: EventGraph, cycle: Fraction) -> bool:
    """Whether the order of moves can run at a cycle time."""
    return starts_at(graph, cycle)[0] is not None


def earliest_starts(graph: EventGraph, cycle: int) -> tuple[int, ...] | None:
    """The earliest start of every move at a cycle time, the anchor's being 0.

    None where the order of moves cannot run at that cycle time. Every start is the
    longest path from the anchor, so no schedule of this order has any move earlier. Moves that
    nothing binds to the anchor, as of a hoist that has nothing to do with the others, have no
    earliest start: they start so long before that they are in nobody's way.
    """
    if not possible(graph, Fraction(cycle)):
        return None
    weights = graph.weights(Fraction(cycle))
    found = paths_from(graph.anchor, graph.nodes, weights)
    free = [node for node, start in enumerate(found) if start is None]
    if free:
        early = -sum(abs(weight) for _, _, weight in weights) - 1
        bound = [*weights, *((graph.anchor, node, early) for node in free)]
        found = paths_from(graph.anchor, graph.nodes, bound)
    return tuple(start for start in found if start is not None)
