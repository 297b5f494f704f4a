"""The least cycle time of an event graph, and the critical circuit that holds it there.

Along a circuit the starts cancel: with length L and height H it says H*T >= L. So the
least cycle time is the largest ratio L/H over the circuits with H > 0, unless a circuit
with H <= 0 forbids it. Found by raising T to the ratio of a circuit that is broken at T,
until none is: Newton's method for ratios, W. Dinkelbach (1967), On nonlinear fractional
programming, Management Science 13, 492-498. All in whole numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from ..arc import Circuit, EventGraph, height_of, length_of
from .longest_path import earliest_starts, starts_at


@dataclass(frozen=True)
class Least:
    """What the arcs of a fixed order leave of the cycle time, in grid steps.

    Attributes
    ----------
    exact : Fraction or None
        The least cycle time, as though time were no grid; None where there is none at
        all.
    cycle : int or None
        The least in whole steps; None where there is none.
    starts : tuple of int or None
        The earliest starts at `cycle`, by move.
    circuit : tuple of Arc
        A critical circuit: it holds `exact` where it is.
    against : tuple of Arc
        Where there is no cycle time: the circuit that cannot be kept at any T from
        `circuit`'s on; alone, where `circuit` is empty.
    """

    exact: Fraction | None
    cycle: int | None
    starts: tuple[int, ...] | None
    circuit: Circuit = ()
    against: Circuit = ()


def ratio(circuit: Circuit) -> Fraction:
    """Length over height of a circuit whose height is not 0."""
    return Fraction(length_of(circuit), height_of(circuit))


def least_cycle_of(graph: EventGraph) -> Least:
    """The least cycle time of an order of moves, with its proof."""
    exact, circuit, against = _raised(graph)
    if exact is None:
        return Least(None, None, None, circuit, against)
    whole, starts = ceil(exact), None
    if whole >= 1:
        starts, against = starts_at(graph, Fraction(whole))
    if starts is None:
        return Least(exact, None, None, circuit, against)
    return Least(exact, whole, earliest_starts(graph, whole), circuit)


def feasible_cycles(graph: EventGraph) -> tuple[Fraction, Fraction | None] | None:
    """The least and the greatest cycle time of an order of moves, in grid steps.

    Every cycle time between them is possible too, as each circuit bounds them on one
    side. The greatest is None where there is none; None instead of both where no cycle
    time is possible.
    """
    least, _, _ = _raised(graph)
    if least is None:
        return None
    # Larger than any ratio of a circuit: what holds here holds for good.
    cycle = Fraction(1 + sum(abs(arc.length) for arc in graph.arcs))
    limited = False
    while True:
        starts, circuit = starts_at(graph, cycle)
        if starts is not None:
            return least, cycle if limited else None
        # No circuit of height 0 or more is broken at or above the least.
        cycle, limited = ratio(circuit), True


def _raised(graph: EventGraph) -> tuple[Fraction | None, Circuit, Circuit]:
    """The least cycle time, from 0 on, with its circuit; else None and the circuit against."""
    cycle = Fraction(0)
    circuit: Circuit = ()
    while True:
        starts, broken = starts_at(graph, cycle)
        if starts is not None:
            return cycle, circuit, ()
        height = height_of(broken)
        if height <= 0:
            return None, circuit if height else (), broken
        cycle, circuit = ratio(broken), broken
