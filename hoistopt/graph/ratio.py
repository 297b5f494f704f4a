"""The least cycle time of a constraint graph, and the circuit that holds it there.

Along a circuit the starts cancel: with length L and H boundaries it says H*T >= L. So
the least cycle time is the largest ratio L/H over the circuits with H > 0, unless a
circuit with H <= 0 forbids it. Found by raising T to the ratio of a circuit that is
broken at T, until none is: Newton's method for ratios, W. Dinkelbach (1967), On
nonlinear fractional programming, Management Science 13, 492-498; circuits by the
labels of Bellman and Ford. All in whole numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .build import Arc, Graph

Circuit = tuple["Arc", ...]


@dataclass(frozen=True)
class Least:
    """What the constraints of a pattern leave of the cycle time.

    Attributes
    ----------
    exact : Fraction or None
        The least cycle time in ticks, as though time were no grid; None where there is
        none at all.
    cycle : int or None
        The least in whole ticks; None where there is none.
    starts : tuple of int or None
        The earliest starts at `cycle`, by move.
    circuit : tuple of Arc
        The circuit that holds `exact` where it is.
    against : tuple of Arc
        Where there is no cycle time: the circuit that cannot be kept at any T from
        `circuit`'s on; alone, where `circuit` is empty.
    """

    exact: Fraction | None
    cycle: int | None
    starts: tuple[int, ...] | None
    circuit: Circuit = ()
    against: Circuit = ()


def least_cycle_of(graph: Graph) -> Least:
    """The least cycle time of a pattern, with its proof."""
    exact, circuit, against = _least(graph, Fraction(0), ())
    if exact is None:
        return Least(None, None, None, circuit, against)
    whole, starts = ceil(exact), None
    against = ()
    if whole >= 1:
        starts, against = _labels(graph, Fraction(whole))
    if starts is None:
        return Least(exact, None, None, circuit, against)
    return Least(exact, whole, _anchored(graph, whole), circuit)


def feasible_cycles(graph: Graph) -> tuple[Fraction, Fraction | None] | None:
    """The least and the greatest cycle time of a pattern, in ticks.

    Every cycle time between them is possible too. The greatest is None where there is
    none; None instead of both where no cycle time is possible.
    """
    least, _, _ = _least(graph, Fraction(0), ())
    if least is None:
        return None
    # Larger than any ratio of a circuit: what holds here holds for good.
    cycle = Fraction(1 + sum(abs(arc.length) for arc in graph.arcs))
    limited = False
    while True:
        starts, circuit = _labels(graph, cycle)
        if starts is not None:
            return least, cycle if limited else None
        # No circuit of H >= 0 is broken at or above the least.
        cycle, limited = ratio(circuit), True


def earliest_starts(graph: Graph, cycle: int) -> tuple[int, ...] | None:
    """The earliest start of every move at a cycle time, the anchor's being 0.

    None where the pattern cannot run at that cycle time. Every start is the longest way
    from the anchor, so no schedule of the pattern has any move earlier.
    """
    starts, _ = _labels(graph, Fraction(cycle))
    return None if starts is None else _anchored(graph, cycle)


def possible(graph: Graph, cycle: Fraction) -> bool:
    """Whether the pattern can run at a cycle time."""
    return _labels(graph, cycle)[0] is not None


def potentials(graph: Graph, cycle: Fraction) -> list[int]:
    """Numbers that keep every arc at a possible cycle time, times its denominator.

    Raises
    ------
    ValueError
        When the pattern cannot run at that cycle time.
    """
    starts, _ = _labels(graph, cycle)
    if starts is None:
        raise ValueError(f"the pattern cannot run at {cycle} ticks")
    return starts


def ratio(circuit: Sequence[Arc]) -> Fraction:
    """Length over boundaries of a circuit that has any."""
    return Fraction(sum(a.length for a in circuit), sum(a.boundaries for a in circuit))


def _least(
    graph: Graph, cycle: Fraction, circuit: Circuit
) -> tuple[Fraction | None, Circuit, Circuit]:
    while True:
        starts, broken = _labels(graph, cycle)
        if starts is not None:
            return cycle, circuit, ()
        boundaries = sum(arc.boundaries for arc in broken)
        if boundaries <= 0:
            return None, circuit if boundaries else (), broken
        cycle, circuit = ratio(broken), broken


def _anchored(graph: Graph, cycle: int) -> tuple[int, ...]:
    """Longest ways from the anchor, which reaches every move along the hoist's order."""
    starts: list[int | None] = [None] * graph.nodes
    starts[graph.anchor] = 0
    weights = [(a.tail, a.head, a.length - a.boundaries * cycle) for a in graph.arcs]
    moved = True
    while moved:
        moved = False
        for tail, head, weight in weights:
            since, at = starts[tail], starts[head]
            if since is not None and (at is None or since + weight > at):
                starts[head] = since + weight
                moved = True
    assert all(start is not None for start in starts)
    return tuple(start for start in starts if start is not None)


def _labels(graph: Graph, cycle: Fraction) -> tuple[list[int] | None, Circuit]:
    """Starts (times the denominator of T) that keep every arc, or a circuit that none keep."""
    p, q = cycle.numerator, cycle.denominator
    weights = [(a.tail, a.head, q * a.length - a.boundaries * p) for a in graph.arcs]
    starts = [0] * graph.nodes
    pushed: list[int] = [-1] * graph.nodes
    for _ in range(graph.nodes + 1):
        moved = False
        for number, (tail, head, weight) in enumerate(weights):
            if starts[tail] + weight > starts[head]:
                starts[head] = starts[tail] + weight
                pushed[head] = number
                moved = True
        if not moved:
            return starts, ()
        # A circuit among the last pushes is a circuit that is broken.
        found = _circuit(graph, pushed)
        if found:
            return None, found
    raise AssertionError("labels still move, yet no circuit pushes them")


def _circuit(graph: Graph, pushed: Sequence[int]) -> Circuit:
    colour = [0] * graph.nodes
    for node in range(graph.nodes):
        at, trail = node, node + 1
        while pushed[at] >= 0 and colour[at] == 0:
            colour[at] = trail
            at = graph.arcs[pushed[at]].tail
        if colour[at] == trail and pushed[at] >= 0:
            return _round(graph, pushed, at)
    return ()


def _round(graph: Graph, pushed: Sequence[int], node: int) -> Circuit:
    arcs = [graph.arcs[pushed[node]]]
    while arcs[-1].tail != node:
        arcs.append(graph.arcs[pushed[arcs[-1].tail]])
    return tuple(reversed(arcs))
