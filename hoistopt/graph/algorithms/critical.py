"""Which circuit to tell of, where several hold the cycle time."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from heapq import heappop, heappush

from ..arc import Arc, Circuit, EventGraph
from .longest_path import possible, starts_at

# A maximum reads backwards in time, so a circuit without one is easier to follow.
_EFFORT = {"maximum": 3}
_MOST_STATES = 400_000


def plainest_circuit(graph: EventGraph, least: Fraction, known: Circuit) -> tuple[Circuit, bool]:
    """The shortest and plainest circuit that holds the least cycle time.

    Parameters
    ----------
    graph : EventGraph
        The arcs of an order of moves.
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


def _tight(graph: EventGraph, least: Fraction) -> list[Arc]:
    """Arcs without slack: every circuit of ratio `least` consists of such arcs only."""
    starts, _ = starts_at(graph, least)
    if starts is None:
        raise ValueError(f"no schedule of this order has a cycle time of {least} steps")
    return [
        arc
        for arc, (tail, head, weight) in zip(graph.arcs, graph.weights(least), strict=True)
        if starts[head] - starts[tail] == weight
    ]


def _plain(arcs: list[Arc]) -> list[Arc]:
    """The easiest to follow of those that say the same."""
    best: dict[tuple[int, int, int], Arc] = {}
    for arc in arcs:
        key = (arc.tail, arc.head, arc.height)
        if key not in best or _effort(arc) < _effort(best[key]):
            best[key] = arc
    return list(best.values())


def _effort(arc: Arc) -> tuple[int, int]:
    # Dwell says more than the hoist's travel where both are as long.
    return _EFFORT.get(arc.rule, 1), arc.rule == "hoist"


def _plainest(tight: list[Arc], nodes: int) -> Circuit:
    """Least effort among the closed walks of tight arcs whose height is above 0.

    Searched over pairs of a move and the height so far, by E. W. Dijkstra (1959), A note
    on two problems in connexion with graphs, Numerische Mathematik 1, 269-271. A closed
    walk made of several circuits is no less effort than one of them of height above 0.
    """
    out: dict[int, list[Arc]] = {}
    for arc in tight:
        out.setdefault(arc.tail, []).append(arc)
    rising = [arc for arc in tight if arc.height > 0]
    best: Circuit = ()
    limit: int | None = None
    budget = _MOST_STATES
    for first in sorted(rising, key=lambda arc: (arc.tail, arc.head)):
        found, budget = _closed(first, out, limit, budget, nodes)
        if found:
            best, limit = found, sum(_effort(arc)[0] for arc in found)
        if budget <= 0:
            break
    return best


def _closed(
    first: Arc, out: dict[int, list[Arc]], limit: int | None, budget: int, nodes: int
) -> tuple[Circuit, int]:
    """The walk of least effort that closes after `first`, below `limit`."""
    home = first.tail
    start = (first.head, first.height)
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
        node, height = state
        if node == home and height > 0:
            return _walked(state, came), budget
        for arc in out.get(node, ()):
            after = (arc.head, height + arc.height)
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


def _holds(tight: list[Arc], graph: EventGraph) -> bool:
    """Whether some circuit of these arcs has a height above 0.

    Every circuit of tight arcs has length = height * T, so with the heights for lengths
    such a circuit is one that no starts can keep.
    """
    counted = tuple(replace(arc, length=arc.height, height=0) for arc in tight)
    return not possible(replace(graph, arcs=counted), Fraction(0))
