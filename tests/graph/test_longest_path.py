"""Longest paths, positive circuits and cycle ratios, held to networkx on small graphs.

Outside source: networkx, its Bellman-Ford algorithm and its list of simple circuits.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise, product
from random import Random

import networkx
import pytest

from hoistopt.graph.algorithms.cycle_ratio import feasible_cycles, least_cycle_of
from hoistopt.graph.algorithms.longest_path import (
    earliest_starts,
    longest_paths,
    paths_from,
    starts_at,
)
from hoistopt.graph.arc import Arc, EventGraph, height_of, length_of

pytestmark = pytest.mark.quick

Weighted = list[tuple[int, int, int]]


def drawn(rng: Random, nodes: int) -> Weighted:
    """Arcs at random, loops and parallel ones among them."""
    count = rng.randint(1, 3 * nodes)
    return [(rng.randrange(nodes), rng.randrange(nodes), rng.randint(-9, 4)) for _ in range(count)]


def turned_round(nodes: int, arcs: Weighted) -> networkx.MultiDiGraph:
    """For shortest paths: every weight with the other sign."""
    graph = networkx.MultiDiGraph()
    graph.add_nodes_from(range(nodes))
    graph.add_weighted_edges_from((tail, head, -weight) for tail, head, weight in arcs)
    return graph


@pytest.mark.parametrize("divisor", [1, 7])
def test_labels_are_the_longest_paths_of_networkx(divisor: int) -> None:
    rng, broken = Random(divisor), 0
    for _ in range(400):
        nodes = rng.randint(1, 7)
        arcs = drawn(rng, nodes)
        given = [rng.randint(-5, 5) for _ in range(nodes)]
        graph = turned_round(nodes, arcs)
        if divisor == 1:
            labels, circuit = longest_paths(arcs, given)
        else:  # the same in sevenths
            parts = [(tail, head, Fraction(weight, divisor)) for tail, head, weight in arcs]
            sevenths, circuit = longest_paths(parts, [Fraction(g, divisor) for g in given])
            labels = None if sevenths is None else [int(label * divisor) for label in sevenths]
        if labels is None:
            assert networkx.negative_edge_cycle(graph)
            _is_positive(arcs, circuit)
            broken += 1
            continue
        assert circuit == ()
        # A path from anywhere, begun at the label given there.
        graph.add_weighted_edges_from(("root", node, -label) for node, label in enumerate(given))
        found = networkx.single_source_bellman_ford_path_length(graph, "root")
        assert labels == [-found[node] for node in range(nodes)]
    assert 50 < broken < 350


def _is_positive(arcs: Weighted, circuit: tuple[int, ...]) -> None:
    tails, heads, weights = zip(*(arcs[number] for number in circuit), strict=True)
    assert list(heads) == [*tails[1:], tails[0]]
    assert len(set(tails)) == len(tails)
    assert sum(weights) > 0


def test_paths_from_a_node_are_those_of_networkx() -> None:
    rng, unreached = Random(3), 0
    for _ in range(200):
        nodes = rng.randint(2, 7)
        arcs = drawn(rng, nodes)
        graph = turned_round(nodes, arcs)
        if networkx.negative_edge_cycle(graph):
            with pytest.raises(ValueError, match="circuit"):
                paths_from(0, nodes, arcs)
            continue
        found = networkx.single_source_bellman_ford_path_length(graph, 0)
        lengths = paths_from(0, nodes, arcs)
        assert lengths == [-found[n] if n in found else None for n in range(nodes)]
        unreached += None in lengths
    assert unreached > 10


def event_graph(rng: Random) -> EventGraph:
    """Moves in a ring, as the hoist makes them, and arcs at random."""
    nodes = rng.randint(1, 5)
    ring = [
        Arc(a, b, rng.randint(1, 9), int(b == 0), "hoist") for a, b in pairwise([*range(nodes), 0])
    ]
    more = [
        Arc(rng.randrange(nodes), rng.randrange(nodes), length, height, "maximum")
        for length, height in ((rng.randint(-30, 12), rng.randint(-1, 2)) for _ in range(nodes))
    ]
    return EventGraph(nodes, 0, (*ring, *more))


def circuits(graph: EventGraph) -> list[tuple[int, int]]:
    """Length and height of every simple circuit, as networkx lists them."""
    edges, found = graph.networkx(), []
    for nodes in networkx.simple_cycles(edges):
        ends = pairwise([*nodes, nodes[0]])
        for arcs in product(*(edges[tail][head].values() for tail, head in ends)):
            found.append((sum(a["length"] for a in arcs), sum(a["height"] for a in arcs)))
    return found


def test_least_and_greatest_cycle_time_are_ratios_of_circuits() -> None:
    rng, seen = Random(11), set()
    for _ in range(400):
        graph = event_graph(rng)
        around = circuits(graph)
        # From 0 on, as time does not run back.
        low = max([Fraction(0), *(Fraction(length, h) for length, h in around if h > 0)])
        high = min((Fraction(length, h) for length, h in around if h < 0), default=None)
        never = any(length > 0 and h == 0 for length, h in around)
        found, least = feasible_cycles(graph), least_cycle_of(graph)
        if never or (high is not None and high < low):
            assert found is None and least.exact is None
            assert length_of(least.against) > low * height_of(least.against)
            seen.add("none")
        else:
            assert found == (low, high)
            assert least.exact == low
            assert length_of(least.circuit) == low * height_of(least.circuit)
            seen.add("unlimited" if high is None else "limited")
    assert seen == {"none", "unlimited", "limited"}


def test_starts_keep_every_arc_at_a_cycle_time_between_whole_steps() -> None:
    rng, kept = Random(12), 0
    for _ in range(200):
        graph = event_graph(rng)
        cycle = Fraction(rng.randint(1, 60), rng.randint(1, 3))
        starts, broken = starts_at(graph, cycle)
        if starts is None:
            assert length_of(broken) > cycle * height_of(broken)
            assert [arc.head for arc in broken] == [arc.tail for arc in (*broken[1:], broken[0])]
            continue
        kept += 1
        times = [Fraction(start, cycle.denominator) for start in starts]
        assert all(times[a.head] - times[a.tail] >= a.length - a.height * cycle for a in graph.arcs)
    assert 20 < kept < 180


def test_moves_that_nothing_binds_to_the_anchor_are_in_nobodys_way() -> None:
    graph = EventGraph(3, 0, (Arc(1, 0, 3, 0, "hoist"), Arc(1, 2, 4, 0, "hoist")))
    starts = earliest_starts(graph, 10)
    assert starts is not None and len(starts) == 3 and starts[0] == 0
    assert starts[1] + 3 <= starts[0] and starts[1] + 4 <= starts[2]
