"""The example that explains the search along the track: its numbers are what a pass finds."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from hoistopt.solver.cyclic import track
from hoistopt.solver.cyclic.track.layers.merging import reduce_states
from hoistopt.solver.cyclic.track.layers.states import StateTable, separated_pairs
from hoistopt.solver.cyclic.track.line import Line, Station, Window
from hoistopt.solver.cyclic.track.passes import Track
from hoistopt.solver.cyclic.track.times.span import Span, minimum

AT = (0, 10, 20, 30)
SOURCE, TARGET, DURATION = (0, 1, 2, 3), (1, 2, 3, 0), (20, 20, 20, 40)
NAMES = {("R", 2): "R2", ("L", 3): "L3", ("R", -1): "R-", ("L", -1): "L-"}


def example(*dwells: tuple[int, int]) -> Line:
    """The line of the example, with least and greatest dwells in A, B and C."""
    ends = Station((0, 3), (), {}, {}, frozenset(), 0, 0)
    tanks = [
        Station(
            (arrival, departure),
            (Window(arrival, departure, DURATION[arrival] + low, DURATION[arrival] + high),),
            {arrival: departure},
            {},
            frozenset(),
            0,
            0,
        )
        for (arrival, departure), (low, high) in zip(pairwise(range(4)), dwells, strict=True)
    ]
    gap = tuple(
        tuple(DURATION[a] + abs(AT[TARGET[a]] - AT[SOURCE[b]]) for b in range(4)) for a in range(4)
    )
    return Line((ends, *tanks), (10, 10, 10), SOURCE, TARGET, DURATION, gap, AT, ())


def table(states: StateTable, merged: StateTable) -> str:
    """The numbers of two states and of the merged one, as the text shows them."""
    names = [NAMES[crossing] for crossing in states.pattern]
    rows = ["    from  to     P    Q  merged"]
    for pair, (start, end) in enumerate(separated_pairs(states.pattern)):
        p, q, both = minimum(np.append(states.separation[:, pair], merged.separation[0, pair]))
        rows.append(f"    {names[start]}    {names[end]}  {p:4} {q:4}    {both:4}")
    p, q = states.cost
    rows.append(f"    hoist     {p:4} {q:4}    {merged.cost[0]:4}")
    return "\n".join(rows)


def test_the_numbers_of_the_example_are_those_that_a_pass_finds() -> None:
    span = Span(200, 200)
    found = Track(example((30, 60), (30, 60), (30, 60))).run(span, 100)
    assert found.exact
    (states,) = (part for part in found.layers[2] if len(part) == 2)
    states = states.take(np.argsort(states.cost))
    merged, exact = reduce_states([states.take(np.arange(2))], span, 1)
    assert not exact and len(merged) == 1
    assert track.__doc__ is not None
    assert table(states, merged) in track.__doc__


def test_merging_has_the_price_that_the_example_tells() -> None:
    line = example((70, 70), (90, 120), (80, 150))
    span = Span(220, 220)
    exact, merged = Track(line).run(span, 100), Track(line).run(span, 1)
    assert exact.exact and exact.refuted
    assert not merged.exact and not merged.refuted
