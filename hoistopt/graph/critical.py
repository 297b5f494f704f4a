"""Which circuit to tell of, where several hold the cycle time."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from heapq import heappop, heappush

from .build import Arc, Graph
from .ratio import Circuit, possible, potentials

# A maximum reads backwards in time, so a circuit without one is easier to follow.
_EFFORT = {"maximum": 3}
_MOST_STATES = 400_000


def plainest_circuit(graph: Graph, least: Fraction, known: Circuit) -> tuple[Circuit, bool]:
    """The shortest and plainest circuit that holds the least cycle time.

    Parameters
    ----------
    graph : Graph
        The constraints of a pattern.
    least : Fraction
        Its least cycle time, exactly.
    known : tuple of Arc
        A circuit of that ratio, told where no plainer one is found.

    Returns
    -------
    tuple of Arc
        In order, each arc from the head of the one before.
    bool
        Whether it is the only one: with any one of its arcs shorter the cycle would be
        shorter too. If not, others hold the cycle time just the same.
    """
    if not known:
        return known, True
    tight = _tight(graph, least)
    found = _plainest(_plain(tight), graph.nodes) or known
    alone = all(not _holds([arc for arc in tight if arc is not left], graph) for left in found)
    return found, alone


def _tight(graph: Graph, least: Fraction) -> list[Arc]:
    """Arcs without slack: every circuit of ratio `least` consists of such arcs only."""
    starts = potentials(graph, least)
    p, q = least.numerator, least.denominator
    return [
        arc
        for arc in graph.arcs
        if starts[arc.head] - starts[arc.tail] == q * arc.length - p * arc.boundaries
    ]


def _plain(arcs: list[Arc]) -> list[Arc]:
    """The easiest to follow of those that say the same."""
    best: dict[tuple[int, int, int], Arc] = {}
    for arc in arcs:
        key = (arc.tail, arc.head, arc.boundaries)
        if key not in best or _effort(arc) < _effort(best[key]):
            best[key] = arc
    return list(best.values())


def _effort(arc: Arc) -> tuple[int, int]:
    # Dwell says more than the hoist's travel where both are as long.
    return _EFFORT.get(arc.rule, 1), arc.rule == "hoist"


def _plainest(tight: list[Arc], nodes: int) -> Circuit:
    """Least effort among the closed ways of tight arcs that cross any boundary.

    Searched over pairs of a move and the boundaries crossed so far. A closed way made of
    several circuits is no less effort than one of them that crosses a boundary.
    """
    out: dict[int, list[Arc]] = {}
    for arc in tight:
        out.setdefault(arc.tail, []).append(arc)
    crossing = [arc for arc in tight if arc.boundaries > 0]
    best: Circuit = ()
    limit: int | None = None
    budget = _MOST_STATES
    for first in sorted(crossing, key=lambda arc: (arc.tail, arc.head)):
        found, budget = _closed(first, out, limit, budget, nodes)
        if found:
            best, limit = found, sum(_effort(arc)[0] for arc in found)
        if budget <= 0:
            break
    return best


def _closed(
    first: Arc, out: dict[int, list[Arc]], limit: int | None, budget: int, nodes: int
) -> tuple[Circuit, int]:
    """The way of least effort that closes after `first`, below `limit`."""
    home = first.tail
    start = (first.head, first.boundaries)
    efforts = {start: _effort(first)[0]}
    came: dict[tuple[int, int], tuple[tuple[int, int] | None, Arc]] = {start: (None, first)}
    queue = [(efforts[start], start)]
    while queue and budget > 0:
        effort, state = heappop(queue)
        budget -= 1
        if effort > efforts[state]:
            continue
        if limit is not None and effort >= limit:
            break
        node, crossed = state
        if node == home and crossed > 0:
            return _walked(state, came), budget
        for arc in out.get(node, ()):
            after = (arc.head, crossed + arc.boundaries)
            if abs(after[1]) > nodes:
                continue
            cost = effort + _effort(arc)[0]
            if cost < efforts.get(after, cost + 1):
                efforts[after] = cost
                came[after] = (state, arc)
                heappush(queue, (cost, after))
    return (), budget


def _walked(
    state: tuple[int, int], came: dict[tuple[int, int], tuple[tuple[int, int] | None, Arc]]
) -> Circuit:
    arcs: list[Arc] = []
    at: tuple[int, int] | None = state
    while at is not None:
        at, arc = came[at]
        arcs.append(arc)
    return tuple(reversed(arcs))


def _holds(tight: list[Arc], graph: Graph) -> bool:
    """Whether some circuit of these arcs crosses boundaries, forwards on the whole.

    Every circuit of tight arcs has length = boundaries * T, so with the boundaries for
    lengths such a circuit is one that no starts can keep.
    """
    counted = tuple(replace(arc, length=arc.boundaries, boundaries=0) for arc in tight)
    return not possible(replace(graph, arcs=counted), Fraction(0))
