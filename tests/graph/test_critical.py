"""Which critical circuit is told, and whether it is the only one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from hoistopt.graph.algorithms.critical import plainest_circuit
from hoistopt.graph.algorithms.cycle_ratio import least_cycle_of
from hoistopt.graph.arc import EventGraph
from hoistopt.graph.from_instance import instance_graph
from hoistopt.graph.pattern import pattern_of
from tests.helpers.explained import Solved, solved

pytestmark = pytest.mark.quick


def test_shortening_any_piece_of_a_lone_circuit_shortens_the_cycle() -> None:
    lone = shared = 0
    for family in ("plain", "slots", "carriers", "everything"):
        for line in solved(family, range(220, 235)):
            graph, circuit, alone = told(line)
            least = least_cycle_of(graph).exact
            assert least is not None
            quicker = []
            for arc in circuit:
                arcs = tuple(
                    replace(a, length=2 * a.length - (a is arc)) for a in graph.arcs
                )  # doubled, so that half a tick can be taken off
                shorter = least_cycle_of(replace(graph, arcs=arcs)).exact
                quicker.append(shorter is not None and shorter < 2 * least)
            assert all(quicker) == alone, line.name
            lone += alone
            shared += not alone
    assert lone > 10 and shared > 1


def told(line: Solved) -> tuple[EventGraph, tuple[Any, ...], bool]:
    graph = instance_graph(line.instance, pattern_of(line.problem, line.instance, line.schedule))
    least = least_cycle_of(graph)
    assert least.exact is not None
    return graph, *plainest_circuit(graph, least.exact, least.circuit)
