"""New times in whole steps: near those wanted, and only where the arcs allow them."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import numpy as np
import pytest

from hoistopt.graph.arc import Arc, EventGraph
from hoistopt.graph.retiming import cycle_limits, on_grid, retimed

pytestmark = pytest.mark.quick


def test_arcs_that_contradict_one_another_have_no_timing() -> None:
    graph = EventGraph(2, 0, (Arc(0, 1, 5, 0, "minimum"), Arc(1, 0, -4, 0, "maximum")))
    assert retimed(graph, [0, 0], 10) is None


def test_arcs_may_ask_for_a_shorter_cycle() -> None:
    # start[1] - start[0] >= 5 and start[0] + T - start[1] >= 2, while T may be 8 at most.
    arcs = (Arc(0, 1, 5, 0, "minimum"), Arc(1, 0, 2, 1, "hoist"), Arc(0, 0, -8, -1, "longest"))
    assert retimed(EventGraph(2, 0, arcs), [0, 0], 12) == (8, [0, 5])
    least = Arc(0, 0, 9, 1, "shortest")
    assert retimed(EventGraph(2, 0, (*arcs, least)), [0, 0], 12) is None


def test_whole_times_are_the_next_and_none_is_later_than_needed() -> None:
    """Reference: every cycle time and every timing up to a limit, tried one by one."""
    rng, seen = Random(5), set()
    for _ in range(60):
        graph = EventGraph(
            3,
            0,
            tuple(
                Arc(rng.randrange(3), rng.randrange(3), rng.randint(-6, 5), height, "hoist")
                for height in (0, 0, 1, 1, -1)
            ),
        )
        wanted, cycle = [rng.randrange(4) for _ in range(3)], rng.randint(1, 6)
        possible = {whole: _kept(graph, wanted, whole) for whole in range(1, 13)}
        feasible = [whole for whole, starts in possible.items() if starts.size]
        found = retimed(graph, wanted, cycle)
        from_there_on = [whole for whole in feasible if whole >= cycle]
        if found is None:
            assert feasible == []
            seen.add("none")
            continue
        whole, starts = found
        assert whole == (from_there_on[0] if from_there_on else feasible[-1])
        assert starts == possible[whole].min(axis=1).tolist()
        seen.add("up" if whole > cycle else "down" if whole < cycle else "same")
    assert seen == {"none", "up", "down", "same"}


def _kept(graph: EventGraph, wanted: list[int], cycle: int) -> np.ndarray:
    """All starts of three moves up to a limit that keep every arc, a column each."""
    starts = np.indices((45, 45, 45)).reshape(3, -1)
    kept = (starts >= np.array(wanted)[:, np.newaxis]).all(axis=0)
    for arc in graph.arcs:
        kept &= starts[arc.head] - starts[arc.tail] >= arc.length - arc.height * cycle
    return starts[:, kept]


def test_a_coarser_grid_rounds_every_length_up_once() -> None:
    arcs = (
        Arc(0, 1, 7, 0, "minimum"),
        Arc(1, 0, -7, 0, "maximum"),
        Arc(0, 0, 25, 1, "shortest"),
        Arc(0, 0, -38, -1, "longest"),
    )
    tens = on_grid(EventGraph(2, 0, arcs, Fraction(10)), Fraction(1))
    assert [arc.length for arc in tens.arcs[:4]] == [1, 0, 3, -3]
    assert cycle_limits(tens) == (3, 3)
    # The other move stays behind the first: at least a step before it starts again.
    assert (tens.arcs[4].tail, tens.arcs[4].head, tens.arcs[4].height) == (1, 0, 1)
